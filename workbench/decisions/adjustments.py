"""What may be accepted for one paper, each with its limits."""

from __future__ import annotations

from workbench.decisions.decision import Decision
from workbench.language import tr


def _handle(name: str, label: str, lightness: int) -> Decision:
    return Decision(
        name, 0.0, "adjustments", label,
        tr("How much lighter tones of L* {lightness} become, and those around them in part; black "
           "and white stay as they are", lightness=lightness),
        about=tr("L* by which L* {lightness} becomes lighter", lightness=lightness),
        unit="L*", low=-25.0, high=25.0, slider=(-12, 12, 0.1),
    )  # fmt: skip


def _tint(name: str, label: str, hue: str, chroma: str) -> tuple[Decision, Decision]:
    """Hue and chroma of a toning; ``hue`` and ``chroma`` are their help."""
    return (
        Decision(
            f"{name}_hue", 0.0, "adjustments", tr("{label}: hue", label=label), hue,
            about=tr("Lab hue in degrees"), unit="°", high=360.0, slider=(0, 360, 5),
        ),
        Decision(
            f"{name}_chroma", 0.0, "adjustments", tr("{label}: chroma", label=label), chroma,
            about=tr("Lab chroma; 0 is neutral"), high=40.0, slider=(0, 30, 1),
        ),
    )  # fmt: skip


#: What may be accepted for one paper, each with its limits; the default is none.
ADJUSTMENTS: dict[str, Decision] = {
    each.name: each
    for each in (
        _handle("deep_shadows", tr("Deep shadows (L* 5)"), 5),
        _handle("shadows", tr("Shadows (L* 12)"), 12),
        _handle("dark_tones", tr("Dark tones (L* 25)"), 25),
        _handle("mid_tones", tr("Middle tones (L* 50)"), 50),
        _handle("light_tones", tr("Light tones (L* 75)"), 75),
        _handle("highlights", tr("Highlights (L* 90)"), 90),
        Decision(
            "warmth", 0.0, "adjustments", tr("Warmth"),
            tr("How much warmer a middle grey becomes; below 0, cooler. Black and white stay as they "
            "are. It does nothing to a print in black and white: tone that instead"),
            about=tr("b* of a middle grey; above 0 is warmer"), unit="b*", low=-8.0, high=8.0,
            slider=(-8, 8, 0.5),
        ),
        Decision(
            "chroma_gain", 1.0, "adjustments", tr("Chroma"),
            tr("How much more colourful the picture becomes; lightness and hue stay, greys stay grey. "
            "What goes beyond the paper's gamut its profile brings back. It does nothing to a print "
            "in black and white"),
            about=tr("by what CIELAB chroma is multiplied; 1 leaves it"), unit="×", low=0.5, high=2.0,
            slider=(0.5, 2, 0.01),
        ),
        Decision(
            "made_for", "", "adjustments", tr("Made for"),
            tr("The place that tone curve and chroma make up for, where they were accepted for one"),
            about=tr("the place that curve and chroma make up for; empty for none"),
        ),
        Decision(
            "black_and_white", "off", "adjustments", tr("Black and white"),
            tr("Prints without the picture's colours: by its lightness, or by a mix of its channels "
            "that you choose, as a coloured filter before the lens would"),
            choices=(
                ("off", tr("Off: the picture's colours")), ("lightness", tr("By the picture's lightness")),
                ("mix", tr("By a mix of its channels")),
            ),
        ),
        *(
            Decision(
                f"mix_{channel}", share, "adjustments", label, help,
                about=about, high=1.0, slider=(0, 1, 0.05),
            )
            for channel, share, label, help, about in (
                ("red", 0.3, tr("Mix: red"),
                 tr("How much the light of the red channel counts; the three are taken in proportion"),
                 tr("share of red in the mix")),
                ("green", 0.6, tr("Mix: green"),
                 tr("How much the light of the green channel counts; the three are taken in proportion"),
                 tr("share of green in the mix")),
                ("blue", 0.1, tr("Mix: blue"),
                 tr("How much the light of the blue channel counts; the three are taken in proportion"),
                 tr("share of blue in the mix")),
            )
        ),
        *_tint(
            "shadow", tr("Toning of shadows"),
            tr("Lab hue of the toning in the shadows: 0° is pink, 90° yellow, 180° green, 270° blue"),
            tr("How colourful the shadows become; held to what the paper can print; 0 leaves them "
               "neutral"),
        ),
        *_tint(
            "highlight", tr("Toning of highlights"),
            tr("Lab hue of the toning in the highlights: 0° is pink, 90° yellow, 180° green, 270° "
               "blue"),
            tr("How colourful the highlights become; held to what the paper can print; 0 leaves "
               "them neutral"),
        ),
    )
}  # fmt: skip

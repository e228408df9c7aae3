"""What the screen panel says: its table, its targets, its captions."""

from __future__ import annotations

from workbench.analysis.printed_black import DARKEST
from workbench.analysis.screen_answer import ScreenMatch, cd_words
from workbench.figures.screen import target_words
from workbench.figures.screen_contrast import contrast_words
from workbench.figures.screen_picture import Beside
from workbench.language import tr
from workbench.panels.parts.facts import facts_table


def match_facts(match: ScreenMatch) -> list[tuple[str, str]]:
    """The figures, as (name, value)."""
    hung = match.hung
    rows = [
        (
            tr("Paper white in its place (absolute)"),
            tr(
                "{luminance}; {bare} bare",
                luminance=cd_words(match.screen_white_luminance_cd_m2),
                bare=cd_words(match.paper_luminance_cd_m2),
            ),
        ),
        (
            tr("White to set the screen to"),
            tr(
                "{luminance}, x {x:.3f}, y {y:.3f}, about {kelvin:.0f} K (estimate)",
                luminance=cd_words(match.advised_cd_m2),
                x=match.white_xy[0],
                y=match.white_xy[1],
                kelvin=round(match.white_cct_k, -2),
            ),
        ),
    ]
    if match.screen_luminance_cd_m2 is not None:
        lux = match.matching_illuminance_lux
        rows.append(
            (
                tr(
                    "Light for a screen at {luminance}",
                    luminance=cd_words(match.screen_luminance_cd_m2),
                ),
                tr("none: the mirrored room alone is brighter")
                if lux is None
                else tr("{lux:,.0f} lux", lux=lux),
            )
        )
    return [
        *rows,
        (tr("Contrast as measured"), contrast_words(match.print_contrast_ratio)),
        (tr("Contrast in its place"), contrast_words(match.hung_contrast_ratio)),
        (tr("Contrast of your screen"), contrast_words(match.screen_contrast_ratio)),
        (
            tr("{darkest} in its place (absolute)", darkest=DARKEST),
            tr(
                "density {density:.2f}, L* {lightness:.1f}, {luminance}",
                density=hung.black_density,
                lightness=hung.black_lab[0],
                luminance=cd_words(hung.black_luminance_cd_m2),
            ),
        ),
    ]


def asked(match: ScreenMatch) -> str | None:
    """What to find out about the screen; None where its luminance is known."""
    if match.screen_luminance_cd_m2 is not None:
        return None
    return tr(
        "The brightness of its white is not known yet. Type what an instrument reads on it, or "
        "what it was set to when it was calibrated, to compare print and screen. Until then you "
        "see only how to set it."
    )


def targets_html(match: ScreenMatch) -> str:
    """HTML table of every target: what it asks, how far the print is from it, what it is for."""
    return facts_table(
        [
            (b.target.name, _asked(b), _apart(b.stops), b.target.purpose, b.target.source)
            for b in match.targets
        ],
        # in one: "Target" alone is a test chart elsewhere
        tr("Target; White and luminance; Your match; What it is for; Source").split("; "),
    )


def _asked(beside) -> str:
    said = target_words(beside)
    return said if beside.target.white in said else f"{beside.target.white}, {said}"


def _apart(stops: float | None) -> str:
    if stops is None:
        return "—"
    if abs(stops) < 0.05:
        return tr("within")
    if stops > 0:
        return tr("{stops:.1f} stops above", stops=stops)
    return tr("{stops:.1f} stops below", stops=-stops)


def picture_caption(match: ScreenMatch, seen: Beside) -> str:
    """What stands below the two pictures."""
    text = tr(
        "An illustration, drawn for an sRGB screen whichever you have: the white points are taken "
        "to be matched, and your own eyes adapt to each in part."
    )
    if match.screen_luminance_cd_m2 is None:
        text += tr(" Your screen is taken to be set as advised.")
    if seen.dim > 1.005:
        text += tr(
            " All is shown {dim:.0f} % darker, so that the brighter print still fits on "
            "the screen.",
            dim=100 * (1 - 1 / seen.dim),
        )
    return text

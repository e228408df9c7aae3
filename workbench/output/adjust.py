"""Adjustments for one paper: a tone curve, a small warm or cool shift, chroma, black and white.

The curve is one, over CIE lightness (L* of each channel's light), so that it does the same
whatever space the picture is in.  It rises throughout and moves neither black nor white:
black stays the deepest ink, white stays bare paper.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from functools import lru_cache

import numpy as np

from workbench.analysis.words import signed
from workbench.decisions import ADJUSTMENTS, default_of
from workbench.errors import OutputError, PlanError
from workbench.language import tr

#: The handles of the tone curve: field of `Adjustments` -> the L* that it moves.
TONES = {
    "deep_shadows": 5.0,
    "shadows": 12.0,
    "dark_tones": 25.0,
    "mid_tones": 50.0,
    "light_tones": 75.0,
    "highlights": 90.0,
}
#: The same with the ends, which stay, in shares of lightness.
KNOTS = np.array([0.0, *TONES.values(), 100.0]) / 100
#: Neighbouring handles stay at least so far apart, L*
LEAST_RISE = 0.2
# what earlier plans held of the curve, and its limits
FORMER = {"shadow_lift": (0.0, 8.0), "contrast": (-0.4, 0.4), "lightness": (-12.0, 12.0)}


@dataclass(frozen=True)
class Adjustments:
    """What a person has accepted for this paper; nought means none.

    Attributes
    ----------
    deep_shadows, shadows, dark_tones, mid_tones, light_tones, highlights : -25..25, the
        handles of the tone curve: L* by which L* 5, 12, 25, 50, 75 and 90 become lighter.
        Between them the curve is a monotone cubic (Fritsch and Carlson 1980).
    warmth : -8..8, b* of a middle grey (L* 50) afterwards; above 0 is warmer.  Fades out
        towards black and white; does nothing to grey pictures and in black and white.
    chroma_gain : 0.5..2, by what CIELAB chroma is multiplied after the curve, hue and lightness
        kept; as `warmth`, nothing to grey pictures and in black and white.
    made_for : the place that curve and gain make up for, such as "the wall at 150 lux"; empty
        for none, and where neither does anything.
    black_and_white : "off", "lightness" (the picture's own luminance), or "mix".
    mix_red, mix_green, mix_blue : 0..1, of the channels' light in a mix, in proportion.
    shadow_hue, highlight_hue : 0..360, Lab hue of the toning in degrees.
    shadow_chroma, highlight_chroma : 0..40, Lab chroma of the toning; black and white only.

    Raises
    ------
    OutputError
        for values out of range, and for a curve that would fall.

    Examples
    --------
    >>> wb.Adjustments(shadows=2).brief
    'shadows +2.0 L*'
    """

    deep_shadows: float = default_of("deep_shadows")
    shadows: float = default_of("shadows")
    dark_tones: float = default_of("dark_tones")
    mid_tones: float = default_of("mid_tones")
    light_tones: float = default_of("light_tones")
    highlights: float = default_of("highlights")
    warmth: float = default_of("warmth")
    chroma_gain: float = default_of("chroma_gain")
    made_for: str = default_of("made_for")
    black_and_white: str = default_of("black_and_white")
    mix_red: float = default_of("mix_red")
    mix_green: float = default_of("mix_green")
    mix_blue: float = default_of("mix_blue")
    shadow_hue: float = default_of("shadow_hue")
    shadow_chroma: float = default_of("shadow_chroma")
    highlight_hue: float = default_of("highlight_hue")
    highlight_chroma: float = default_of("highlight_chroma")

    def __post_init__(self):
        for name, decision in ADJUSTMENTS.items():
            try:
                value = decision.check(getattr(self, name))
            except PlanError as problem:
                raise OutputError(str(problem)) from None
            object.__setattr__(self, name, value)
        rises = np.diff(self._after)
        if rises.min() < LEAST_RISE / 100:
            at = int(np.argmin(rises))
            raise OutputError(
                tr(
                    "The tone curve would not rise between L* {low:g} and {high:g}; move their "
                    "handles closer together.",
                    low=100 * KNOTS[at],
                    high=100 * KNOTS[at + 1],
                )
            )
        if not any(self.tones) and self.chroma_gain == 1:
            object.__setattr__(self, "made_for", "")
        if self.black_and_white == "mix" and not sum(self._mix):
            raise OutputError(tr("A channel mix needs a share of at least one channel."))

    def __bool__(self) -> bool:
        moved = any(self.tones) or bool(self.warmth) or self.chroma_gain != 1
        return moved or self.is_black_and_white

    @property
    def tones(self) -> tuple[float, ...]:
        """What each handle of the curve is moved by, L*, in the order of `TONES`."""
        return tuple(getattr(self, name) for name in TONES)

    @property
    def _after(self) -> np.ndarray:
        return KNOTS + np.array([0.0, *self.tones, 0.0]) / 100

    @property
    def _mix(self) -> tuple[float, float, float]:
        return self.mix_red, self.mix_green, self.mix_blue

    @property
    def is_black_and_white(self) -> bool:
        """Whether the picture is printed in black and white, toned or not."""
        return self.black_and_white != "off"

    @property
    def is_toned(self) -> bool:
        """Whether a black-and-white print is toned."""
        return self.is_black_and_white and bool(self.shadow_chroma or self.highlight_chroma)

    @property
    def colour_gain(self) -> float:
        """`chroma_gain` where there are colours to print; 1 in black and white."""
        return 1.0 if self.is_black_and_white else self.chroma_gain

    @property
    def plain(self) -> Adjustments:
        """The same without tone curve and chroma gain, and so made for no place."""
        return self.taking(Adjustments())

    def taking(self, other: Adjustments) -> Adjustments:
        """The same with another's tone curve and chroma gain, and the place it was made for."""
        names = (*TONES, "chroma_gain", "made_for")
        return replace(self, **{name: getattr(other, name) for name in names})

    def moved(self, by) -> Adjustments:
        """The same with the curve's handles moved further.

        Parameters
        ----------
        by : L* for each of `TONES`, in their order.

        Raises
        ------
        OutputError
            beyond what a handle may be, or where the curve would fall.
        """
        moved = (round(own + more, 6) for own, more in zip(self.tones, by, strict=True))
        return replace(self, **dict(zip(TONES, moved, strict=True)))

    def tone(self, lightness) -> np.ndarray:
        """The tone curve: lightness 0..1 -> lightness 0..1."""
        x = np.asarray(lightness, float)
        if not any(self.tones):
            return x
        from scipy.interpolate import PchipInterpolator

        return np.clip(PchipInterpolator(KNOTS, self._after)(x), 0, 1)

    def curve(self, profile: bytes, channels: int):
        """(channel, lightness 0..1) -> lightness 0..1, the tone curve and the warmth."""
        # what the chroma gain will multiply
        shifts = _warm_shifts(self.warmth / self.colour_gain, profile, channels)
        return lambda channel, lightness: _shifted(self.tone(lightness), shifts[channel])

    def shares(self, luminance) -> np.ndarray:
        """Each channel's share in the one light of a black-and-white print; their sum is 1.

        Parameters
        ----------
        luminance : (channels,) of the picture's space.
        """
        if len(luminance) == 1 or self.black_and_white == "lightness":
            return np.asarray(luminance, float)
        return np.array(self._mix) / sum(self._mix)

    def toning(self, lightness) -> np.ndarray:
        """Lab of the greys of a black-and-white print: (n,) L* 0..100 -> (n, 3).

        Chroma goes evenly from that of the shadows to that of the highlights and fades out
        at black and at bare paper, which ink and paper alone decide (common practice, no
        source).
        """
        lightness = np.asarray(lightness, float)
        x = lightness / 100
        ends = [
            chroma * np.exp(1j * np.deg2rad(hue))
            for hue, chroma in (
                (self.shadow_hue, self.shadow_chroma),
                (self.highlight_hue, self.highlight_chroma),
            )
        ]
        colour = ((1 - x) * ends[0] + x * ends[1]) * (1 - (2 * x - 1) ** 8)
        return np.stack([lightness, colour.real, colour.imag], axis=-1)

    def sentences(self) -> tuple[str, ...]:
        """What is done, in plain words."""
        said = []
        if any(self.tones):
            said.append(tr("The tone curve moves {moves}.", moves=_moves(self)))
        if self.colour_gain != 1:
            said.append(
                tr(
                    "Chroma is multiplied by {gain:.2f}; hue and lightness stay.",
                    gain=self.chroma_gain,
                )
            )
        if self.made_for:
            said.append(tr("Both are made for {place}.", place=self.made_for))
        if self.warmth and not self.is_black_and_white:
            by = abs(self.warmth)
            said.append(
                tr("Middle greys are {by:g} b* warmer.", by=by)
                if self.warmth > 0
                else tr("Middle greys are {by:g} b* cooler.", by=by)
            )
        if self.black_and_white == "lightness":
            said.append(tr("It is printed in black and white, by the picture's lightness."))
        if self.black_and_white == "mix":
            red, green, blue = 100 * self.shares(np.ones(3))
            said.append(
                tr(
                    "It is printed in black and white, from {red:.0f} % red, {green:.0f} % "
                    "green and {blue:.0f} % blue.",
                    red=red,
                    green=green,
                    blue=blue,
                )
            )
        if self.is_toned:
            said.append(
                tr(
                    "Its shadows are toned to chroma {shadow_chroma:g} at hue {shadow_hue:g}°, its "
                    "highlights to chroma {highlight_chroma:g} at hue {highlight_hue:g}°.",
                    shadow_chroma=self.shadow_chroma,
                    shadow_hue=self.shadow_hue,
                    highlight_chroma=self.highlight_chroma,
                    highlight_hue=self.highlight_hue,
                )
            )
        return tuple(said)

    @property
    def brief(self) -> str:
        """The same in a few words, such as "shadows +2.0 L*, 1.5 b* cooler"; "none" for none."""
        said = [_moves(self)] if any(self.tones) else []
        if self.colour_gain != 1:
            said.append(tr("chroma × {gain:.2f}", gain=self.chroma_gain))
        if said and self.made_for:
            said[0] = tr("for {place}: {said}", place=self.made_for, said=said[0])
        if self.warmth and not self.is_black_and_white:
            by = abs(self.warmth)
            said.append(
                tr("{by:g} b* warmer", by=by) if self.warmth > 0 else tr("{by:g} b* cooler", by=by)
            )
        if self.is_black_and_white:
            said.append(tr("toned black and white") if self.is_toned else tr("black and white"))
        return ", ".join(said) or tr("none")


def as_adjustments(value) -> Adjustments:
    """None, an `Adjustments`, or a dict of its fields.

    A dict may hold what earlier plans did, see `former_tones`.  Raises OutputError.
    """
    if value is None:
        return Adjustments()
    if isinstance(value, Adjustments):
        return value
    known = [field.name for field in fields(Adjustments)]
    if isinstance(value, dict) and set(value) <= {*known, *FORMER}:
        now = {name: each for name, each in value.items() if name not in FORMER}
        former = {name: value[name] for name in FORMER if name in value}
        return Adjustments(**(former_tones(**former) | now))
    raise OutputError(
        tr("Adjustments are {listed}, not {value!r}.", listed=", ".join(known), value=value)
    )


def former_tones(
    shadow_lift: float = 0.0, contrast: float = 0.0, lightness: float = 0.0
) -> dict[str, float]:
    """Handles of today's curve for the three curves that plans held earlier, one after another.

    At the handles the curve is the former one; between them it differs by less than 1.2 L*
    at the former limits together, and by less than 0.6 L* at half of them.

    Parameters
    ----------
    shadow_lift : 0..8, L* by which L* 12 was lifted.
    contrast : -0.4..0.4, by how much steeper the middle was.
    lightness : -12..12, L* by which L* 50 became lighter.

    Returns
    -------
    A dict by `TONES`.

    Raises
    ------
    OutputError
        for what no earlier plan could hold.

    Examples
    --------
    >>> former_tones(lightness=4)["mid_tones"]
    4.0
    """
    for value, (name, (low, high)) in zip(
        (shadow_lift, contrast, lightness), FORMER.items(), strict=True
    ):
        number = isinstance(value, (int, float)) and not isinstance(value, bool)
        if not number or not low <= value <= high:
            raise OutputError(
                tr(
                    "“{name}” lies between {low:g} and {high:g}; {value!r:.40} does not.",
                    name=name,
                    low=low,
                    high=high,
                    value=value,
                )
            )
    x = np.array(list(TONES.values())) / 100
    # the lift's hump has its top at L* 12
    hump = (x / 0.12) * ((1 - x) / 0.88) ** (0.88 / 0.12)
    y = x + shadow_lift / 100 * hump
    y = y - contrast * np.sin(2 * np.pi * y) / (2 * np.pi)
    y = _shifted(y, lightness / 100)
    return {
        name: round(float(100 * each), 6) + 0.0 for name, each in zip(TONES, y - x, strict=True)
    }


_TONE_NAMES = {
    "deep_shadows": tr("deep shadows"),
    "shadows": tr("shadows"),
    "dark_tones": tr("dark tones"),
    "mid_tones": tr("middle tones"),
    "light_tones": tr("light tones"),
    "highlights": tr("highlights"),
}


def _moves(adjustments: Adjustments) -> str:
    moved = zip(TONES, adjustments.tones, strict=True)
    return ", ".join(f"{_TONE_NAMES[name]} {signed(by)} L*" for name, by in moved if round(by, 1))


def _shifted(x, shift: float):
    """A shift at the middle that fades to nothing at black and white."""
    return x + shift * 4 * x * (1 - x) if shift else x


@lru_cache(maxsize=64)
def _warm_shifts(warmth: float, profile: bytes, channels: int) -> tuple[float, ...]:
    """What each channel moves at L* 50 for the grey there to get b* = warmth."""
    from workbench.colour.engine import transform
    from workbench.output.light import light_of, lightness_of_light

    if channels == 1 or not warmth:
        return (0.0,) * channels
    device = transform(np.array([[50.0, 0, 0], [50.0, 0, warmth]]), "lab", profile)
    codes = np.rint(np.clip(device, 0, 1) * 65535).astype(np.uint16)
    light = light_of(profile, channels)
    moved = [lightness_of_light(light.decode(codes[:, c], c)) for c in range(channels)]
    return tuple(float(after - before) for before, after in moved)

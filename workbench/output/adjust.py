"""Adjustments for one paper: shadow lift, contrast, lightness, a small warm or cool shift.

Each is a curve over CIE lightness (L*/100 of each channel's light), so that it does the
same whatever space the picture is in.  All rise throughout, and none moves black or
white: black stays the deepest ink, white stays bare paper.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from workbench.decisions import ADJUSTMENTS
from workbench.errors import OutputError, PlanError

# where the lift is largest: a deep shadow that still has drawing in it
_LIFT_AT = 0.12
_LIFT_POWER = (1 - _LIFT_AT) / _LIFT_AT

KINDS = ("shadow lift", "contrast", "warmth", "lightness")


@dataclass(frozen=True)
class AdjustmentCurve:
    """One adjustment to be drawn.

    Attributes
    ----------
    kind : one of `KINDS`, or "together".
    amount : in the unit of `Adjustments`; 0 for "together".
    lightness_in : (n,) L* before, 0..100.
    lightness_out : (channels, n) L* after, one row a channel (red, green, blue).
    """

    kind: str
    amount: float
    lightness_in: np.ndarray
    lightness_out: np.ndarray


@dataclass(frozen=True)
class Adjustments:
    """What a person has accepted for this paper; nought means none.

    Attributes
    ----------
    shadow_lift : 0..8, L* by which a shadow of L* 12 is lifted; fades out above.
    contrast : -0.4..0.4, by how much steeper the middle of the scale becomes (0.1 is ten
        per cent); the ends become as much flatter.
    warmth : -8..8, b* of a middle grey (L* 50) afterwards; above 0 is warmer.  Fades out
        towards black and white; grey pictures have none.
    lightness : -12..12, L* by which a middle grey (L* 50) becomes lighter; fades out
        towards black and white.

    Raises
    ------
    OutputError
        for values out of range.

    Examples
    --------
    >>> wb.Adjustments(shadow_lift=2).brief
    'shadows +2 L*'
    """

    shadow_lift: float = 0.0
    contrast: float = 0.0
    warmth: float = 0.0
    lightness: float = 0.0

    def __post_init__(self):
        for name, decision in ADJUSTMENTS.items():
            try:
                value = decision.check(getattr(self, name))
            except PlanError as problem:
                raise OutputError(str(problem)) from None
            object.__setattr__(self, name, value)

    def __bool__(self) -> bool:
        return any((self.shadow_lift, self.contrast, self.warmth, self.lightness))

    def curve(self, profile: bytes, channels: int):
        """(channel, lightness 0..1) -> lightness 0..1, all adjustments in turn."""
        shifts = _warm_shifts(self.warmth, profile, channels)

        def adjusted(channel: int, lightness):
            x = _lifted(lightness, self.shadow_lift / 100)
            x = _steeper(x, self.contrast)
            # after the contrast, which turns about the middle and would enlarge the step
            x = _shifted(x, self.lightness / 100)
            return _shifted(x, shifts[channel])

        return adjusted

    def curves(self, profile: bytes, channels: int = 3, points: int = 101):
        """The curves of what is not nought, and of all together, as `AdjustmentCurve`."""
        single = [
            Adjustments(shadow_lift=self.shadow_lift),
            Adjustments(contrast=self.contrast),
            Adjustments(warmth=self.warmth),
            Adjustments(lightness=self.lightness),
        ]
        amounts = (self.shadow_lift, self.contrast, self.warmth, self.lightness)
        shown = [
            _sampled(kind, amount, part, profile, channels, points)
            for kind, amount, part in zip(KINDS, amounts, single, strict=True)
            if part
        ]
        if len(shown) > 1:
            shown.append(_sampled("together", 0.0, self, profile, channels, points))
        return tuple(shown)

    def sentences(self) -> tuple[str, ...]:
        """What is done, in plain words."""
        said = []
        if self.shadow_lift:
            said.append(f"Deep shadows are lifted by {self.shadow_lift:g} L*.")
        if self.contrast:
            word = "steeper" if self.contrast > 0 else "softer"
            said.append(f"The middle of the scale is {abs(self.contrast):.0%} {word}.")
        if self.warmth:
            word = "warmer" if self.warmth > 0 else "cooler"
            said.append(f"Middle greys are {abs(self.warmth):g} b* {word}.")
        if self.lightness:
            word = "lighter" if self.lightness > 0 else "darker"
            said.append(f"Middle tones are {abs(self.lightness):g} L* {word}.")
        return tuple(s.replace("%", " %") for s in said)

    @property
    def brief(self) -> str:
        """The same in a few words, such as "shadows +2 L*, 1.5 b* cooler"; "none" for none."""
        said = []
        if self.shadow_lift:
            said.append(f"shadows +{self.shadow_lift:g} L*")
        if self.contrast:
            said.append(f"contrast {100 * self.contrast:+g} %".replace("-", "−"))
        for value, unit, above, below in (
            (self.warmth, "b*", "warmer", "cooler"),
            (self.lightness, "L*", "lighter", "darker"),
        ):
            if value:
                said.append(f"{abs(value):g} {unit} {above if value > 0 else below}")
        return ", ".join(said) or "none"


def as_adjustments(value) -> Adjustments:
    """None, an `Adjustments`, or a dict of its fields.  Raises OutputError."""
    if value is None:
        return Adjustments()
    if isinstance(value, Adjustments):
        return value
    known = Adjustments.__dataclass_fields__
    if isinstance(value, dict) and set(value) <= set(known):
        return Adjustments(**value)
    raise OutputError(f"Adjustments are {', '.join(known)}, not {value!r}.")


def _sampled(kind, amount, part, profile, channels, points) -> AdjustmentCurve:
    x = np.linspace(0, 1, points)
    function = part.curve(profile, channels)
    y = np.stack([function(channel, x) for channel in range(channels)])
    return AdjustmentCurve(kind, amount, 100 * x, 100 * y)


def _lifted(x, lift: float):
    """x + lift·k(x), k a single soft hump with its top, 1, at `_LIFT_AT`."""
    if not lift:
        return x
    hump = (x / _LIFT_AT) * ((1 - x) / (1 - _LIFT_AT)) ** _LIFT_POWER
    return x + lift * hump


def _steeper(x, contrast: float):
    """An S about the middle: slope 1 + contrast there, 1 - contrast at both ends."""
    if not contrast:
        return x
    return x - contrast * np.sin(2 * np.pi * x) / (2 * np.pi)


def _shifted(x, shift: float):
    """A shift at the middle that fades to nothing at black and white."""
    return x + shift * 4 * x * (1 - x) if shift else x


def _warm_shifts(warmth: float, profile: bytes, channels: int) -> list[float]:
    """What each channel moves at L* 50 for the grey there to get b* = warmth."""
    from workbench.colour.engine import transform
    from workbench.output.light import light_of, lightness_of_light

    if channels == 1 or not warmth:
        return [0.0] * channels
    device = transform(np.array([[50.0, 0, 0], [50.0, 0, warmth]]), "lab", profile)
    codes = np.rint(np.clip(device, 0, 1) * 65535).astype(np.uint16)
    light = light_of(profile, channels)
    moved = [lightness_of_light(light.decode(codes[:, c], c)) for c in range(channels)]
    return [float(after - before) for before, after in moved]

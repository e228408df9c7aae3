"""A print made for a place: what its light, wall and glass do to the picture, and what helps.

The print as judged (D50, 500 lux, a grey surround, no glass: ISO 3664's P2) is compared with
the print on its wall by CIECAM16.  What dims, flattens and loses colour comes out as numbers
and as a picture for an adapted eye; a tone curve and a gain of chroma bring lightness
differences and colourfulness back as far as the paper goes in that light.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import numpy as np

from workbench.analysis.appearance import (
    Appearance,
    Conditions,
    appearance,
    conditions_at,
    in_light,
    xyz_appearing,
)
from workbench.analysis.cct import number
from workbench.analysis.glass import (
    PICTURE_REFLECTANCE,
    SURFACE_MIRROR,
    Glass,
    find_glass,
    light_path,
)
from workbench.analysis.light import Light, find_light
from workbench.analysis.viewing import viewing
from workbench.analysis.words import percent
from workbench.bands import in_order, row_bands
from workbench.colour.difference import delta_e_2000
from workbench.colour.engine import transform
from workbench.colour.lab import (
    D50_XYZ,
    absolute_to_relative,
    lab_to_xyz,
    xyz_to_lab,
)
from workbench.colour.trip import printed_lab, white_xyz
from workbench.errors import WorkbenchError
from workbench.paper import Paper
from workbench.rendering import DEFAULTS
from workbench.results import Result

_STEPS = 201
# a gain beyond this makes a poster of a photograph (our choice)
_MOST_GAIN = 2.0
# CIEDE2000 from which a colour counts as not brought back
_BEYOND = 2.0
_SAMPLE_PX = 160

# of a share, within which nothing is seen to have changed (our own choice)
_ALIKE = 0.02


@dataclass(frozen=True)
class Place:
    """Where a print hangs.

    Attributes
    ----------
    light : its colour, see `find_light`.
    illuminance_lux : on the print, in front of its glass; 1 to 100,000.
    wall_reflectance : luminance factor of the wall, 0.01 to 0.95.
    mount_reflectance : of the mount around the picture; None for none.
    wall_light : the wall's illuminance over the print's: 1 where the room lights both.
    glass : a name of `workbench.analysis.glass.GLASSES`, a `Glass`, or None.
    veil_share : luminance of what glass or gloss mirrors towards the eye, over that of a
        perfect white in the print's light; 0 to 10.
    distance_mm : from the eye.

    Raises
    ------
    WorkbenchError
        for values out of range and lights and glasses that are not known.

    Examples
    --------
    >>> wb.Place("3000 K", 150, glass="plain").surround_ratio
    0.5
    """

    light: Light | str | float = "gallery"
    illuminance_lux: float | None = None
    wall_reflectance: float = 0.5
    mount_reflectance: float | None = None
    wall_light: float = 1.0
    glass: Glass | str | None = None
    veil_share: float | None = None
    distance_mm: float = 1000.0

    def __post_init__(self):
        light = find_light(self.light)
        lux = light.illuminance_lux if self.illuminance_lux is None else self.illuminance_lux
        if lux is None:
            raise WorkbenchError("The place's illuminance is not known; measure it or type it.")
        number(lux, "illuminance", low=1, high=1e5, unit="lux")
        veil = light.room_share if self.veil_share is None else self.veil_share
        veil = number(0.0 if veil is None else veil, "veiling light", low=0, high=10)
        number(self.wall_reflectance, "wall's reflectance", low=0.01, high=0.95)
        if self.mount_reflectance is not None:
            number(self.mount_reflectance, "mount's reflectance", low=0.01, high=0.95)
        number(self.wall_light, "wall's share of the light", low=0, high=2)
        number(self.distance_mm, "viewing distance", low=50, high=1e5, unit="mm")
        find_glass(self.glass)
        for name, value in (("light", light), ("illuminance_lux", lux), ("veil_share", veil)):
            object.__setattr__(self, name, value)

    @property
    def surround_ratio(self) -> float:
        """Luminance of the wall over that of a perfect white in the print's light."""
        return self.wall_reflectance * self.wall_light

    @property
    def conditions(self) -> Conditions:
        """For the appearance model.  What lies behind a detail is half the picture and half
        what frames it, mount or wall (our choice: the model asks for one number)."""
        frame = self.surround_ratio if self.mount_reflectance is None else self.mount_reflectance
        assert isinstance(self.light, Light) and self.illuminance_lux is not None
        return conditions_at(
            self.light.white_xyz,
            self.illuminance_lux,
            (PICTURE_REFLECTANCE + frame) / 2,
            self.surround_ratio,
        )


#: How a print is judged: ISO 3664's P2 before a grey wall of 20 % (by secondary sources).
JUDGED = Place("ISO 3664 P2", 500.0, wall_reflectance=0.2, wall_light=1.05, veil_share=0.0)


@dataclass(frozen=True, eq=False)
class Hanging:
    """One paper's print in one place: from printed colours to how they appear."""

    place: Place
    paper_xyz: np.ndarray
    surface_mirror: float = 0.0

    @cached_property
    def _path(self) -> tuple[float, float]:
        return light_path(find_glass(self.place.glass), surface_mirror=self.surface_mirror)

    def appearance(self, lab_relative) -> Appearance:
        """How (..., 3) media-relative Lab of the print appear."""
        xyz = lab_to_xyz(lab_relative) * (self.paper_xyz / D50_XYZ)
        signal, mirror = self._path
        xyz = signal * xyz + mirror * (self.place.veil_share or 0.0) * D50_XYZ
        assert isinstance(self.place.light, Light)
        return appearance(in_light(xyz, self._light), self.place.conditions)

    @property
    def _light(self) -> np.ndarray:
        assert isinstance(self.place.light, Light)
        white = self.place.light.white_xyz
        # D50 is rounded differently in standards; no print sees the difference
        return D50_XYZ if np.abs(white - D50_XYZ).max() < 1e-3 else white

    def brought_here(self, seen: Appearance) -> np.ndarray:
        """(..., 3) media-relative Lab that appear here as those do elsewhere."""
        xyz = xyz_appearing(seen.J, seen.M, seen.h, self.place.conditions)
        return xyz_to_lab(np.maximum(xyz, 0) / (self.paper_xyz / D50_XYZ))


@dataclass(frozen=True, eq=False)
class ForPlace(Result):
    """What a place does to a print, and what is proposed.

    Shares are of what the print has as judged.

    Attributes
    ----------
    place, paper_name : of what.
    brightness_share : of the paper's white (Q of CIECAM16).
    lightness_share : of the range between paper white and printed black (J).
    colourfulness_share : of the picture's colours on average (M).
    middle_shift : by how much a middle grey (L* 50 over the paper) appears lighter, in J.
    tone_in, tone_out : media-relative L* of a printed grey before and after the proposed curve.
    picture_tone_out : L* that a grey of the picture needs to print so, for the same steps
        ``tone_in`` of the picture's own L*; what an adjustment of the file is to do.
    chroma_gain : that is proposed with it; 1 for none.
    colourfulness_after : what the proposal brings that share to.
    share_beyond : of the picture's colours, the proposal asks for more than the paper has.
    judged, hung, proposed : (h, w, 3) uint8 in the display's space: as judged, and for an eye
        adapted to the place as it will hang, plain and with the proposal.
    display_profile : ICC bytes of that space.
    """

    place: Place
    paper_name: str
    brightness_share: float
    lightness_share: float
    colourfulness_share: float
    middle_shift: float
    tone_in: np.ndarray = field(repr=False)
    tone_out: np.ndarray = field(repr=False)
    picture_tone_out: np.ndarray = field(repr=False)
    chroma_gain: float
    colourfulness_after: float
    share_beyond: float
    judged: np.ndarray = field(repr=False)
    hung: np.ndarray = field(repr=False)
    proposed: np.ndarray = field(repr=False)
    display_profile: bytes = field(repr=False)

    @property
    def middle_lift(self) -> float:
        """L* by which the proposal makes a middle grey (L* 50 over the paper) lighter."""
        return float(np.interp(50, self.tone_in, self.tone_out)) - 50

    @property
    def changes(self) -> bool:
        """Whether the proposal does anything worth printing."""
        moved = float(np.abs(self.tone_out - self.tone_in).max())
        return moved >= 0.5 or abs(self.chroma_gain - 1) >= 0.02

    @property
    def sentence(self) -> str:
        """What the place does."""
        kept = self.brightness_share, self.lightness_share, self.colourfulness_share
        if all(abs(share - 1) < _ALIKE for share in kept):
            return "On its wall the print looks as it was judged."
        return (
            f"On its wall the print keeps {percent(self.brightness_share)} of its brightness, "
            f"{percent(self.lightness_share)} of its range of lightness and "
            f"{percent(self.colourfulness_share)} of its colourfulness."
        )

    @property
    def proposal(self) -> str:
        """What is proposed, and what it cannot bring back."""
        if not self.changes:
            return "Nothing needs to be changed for this place."
        middle = self.middle_lift
        way = "lighter" if middle > 0 else "darker"
        lost = max(0.0, 1 - self.lightness_share)
        said = (
            f"Middle greys {abs(middle):.1f} L* {way}, chroma × {self.chroma_gain:.2f}: "
            f"colourfulness comes to {percent(self.colourfulness_after)}."
        )
        if lost >= _ALIKE:
            said += f" {percent(lost)} of the range of lightness cannot be brought back."
        if self.share_beyond >= 0.001:
            said += (
                f" {percent(self.share_beyond)} of the picture asks for colours beyond the paper."
            )
        return said


def print_for_place(
    picture: Any,
    paper: Paper | None = None,
    place: Place | str = "gallery",
    *,
    intent: str = DEFAULTS.intent,
    black_point_compensation: bool = DEFAULTS.black_point_compensation,
    display=DEFAULTS.display,
    long_side_px: int = 400,
    cancelled=None,
) -> ForPlace:
    """What a place does to a print, and a tone curve and chroma gain that make up for it.

    Parameters
    ----------
    picture, paper : from `open_picture` and `open_paper`; or a plan alone, whose picture,
        paper and rendering are taken.
    place : a `Place`, or the name of a light with an illuminance, see `find_light`.
    intent, black_point_compensation : how the print is made.
    display : for which the pictures are, see `soft_proof`.
    long_side_px : of the pictures, 16 to 2000.

    Returns
    -------
    A ForPlace.

    Raises
    ------
    WorkbenchError, UntaggedPictureError
        for a place that cannot be, and pictures without a profile.

    Examples
    --------
    >>> evening = wb.print_for_place(picture, papers[0], wb.Place("2700 K", 60), long_side_px=60)
    >>> evening.brightness_share < 1 and evening.chroma_gain > 1
    True
    """
    if paper is None:
        plan = picture
        picture, paper = getattr(plan, "picture", None), getattr(plan, "paper", None)
        if picture is None or paper is None:
            raise WorkbenchError("Printing for a place takes a picture and a paper.")
        rendering = dict(plan.rendering)
        intent, black_point_compensation = (
            rendering["intent"],
            rendering["black_point_compensation"],
        )
    place = place if isinstance(place, Place) else Place(place)
    number(long_side_px, "long side", low=16, high=2000, unit="px")
    how = (picture.require_profile(), paper.profile, intent, black_point_compensation)
    way = viewing(adaptation=1.0, reference=None, display=display)
    white = white_xyz(paper.profile)
    mirror = SURFACE_MIRROR.get(paper.finish or "", 0.0)
    before = Hanging(JUDGED, white, mirror)
    after = Hanging(place, white, mirror)

    preview = picture.preview(int(long_side_px))
    printed = printed_lab(_unit(preview), *how)
    sample = printed_lab(_unit(picture.preview(_SAMPLE_PX)), *how)
    sample = sample.reshape(-1, 3)
    tones = _tones(before, after, paper.black_lab[0])
    judged, here = before.appearance(sample), after.appearance(sample)
    gain = _chroma_gain(judged, after, _toned(sample, tones.out, 1.0))
    wanted = _toned(sample, tones.out, gain)
    changes = tones.moved or gain != 1
    held = _held(wanted, paper) if changes else sample
    colourful = max(float(judged.M.mean()), 1e-6)

    def pictures(band):
        rows = printed[slice(*band)]
        hung = proposed = before.brought_here(after.appearance(rows))
        if changes:
            changed = _held(_toned(rows, tones.out, gain), paper)
            proposed = before.brought_here(after.appearance(changed))
        return [_pixels(way, each) for each in (rows, hung, proposed)]

    bands = row_bands(len(printed), 64)
    shown = list(zip(*in_order(pictures, bands, cancelled=cancelled), strict=True))
    judged_px, hung_px, proposed_px = (np.concatenate(each) for each in shown)
    return ForPlace(
        place=place,
        paper_name=paper.name,
        brightness_share=tones.brightness,
        lightness_share=tones.range,
        colourfulness_share=float(here.M.mean()) / colourful,
        middle_shift=tones.middle,
        tone_in=_GREYS,
        tone_out=tones.out,
        picture_tone_out=_in_picture(tones, how, picture.channels),
        chroma_gain=gain,
        colourfulness_after=float(after.appearance(held).M.mean()) / colourful,
        share_beyond=float((delta_e_2000(wanted, held) > _BEYOND).mean()),
        judged=judged_px,
        hung=hung_px,
        proposed=proposed_px,
        display_profile=way.display.profile,
    )


def middle_lighter(white_lab, black_lab, place: Place, *, surface_mirror: float = 0.0) -> float:
    """L* by which the curve of `print_for_place` makes a middle grey lighter in a place.

    Parameters
    ----------
    white_lab, black_lab : absolute Lab of paper and black.
    surface_mirror : of the print's own surface, see `SURFACE_MIRROR`.

    Examples
    --------
    >>> middle_lighter((96, 0, 0), (10, 0, 0), JUDGED)
    0.0
    """
    before, after = (
        Hanging(each, lab_to_xyz(white_lab), surface_mirror) for each in (JUDGED, place)
    )
    return float(np.interp(50, _GREYS, _tones(before, after, black_lab[0]).out)) - 50


_GREYS = np.linspace(0, 100, _STEPS)
_GREYS.flags.writeable = False


@dataclass(frozen=True)
class _Tones:
    out: np.ndarray
    brightness: float
    range: float
    middle: float

    @property
    def moved(self) -> bool:
        return bool(np.abs(self.out - _GREYS).max() > 1e-6)


def _tones(before: Hanging, after: Hanging, black_lightness: float) -> _Tones:
    """The curve of greys that shares out what is left of the lightness as it was before.

    Each grey gets the lightness that lies between the place's black and white where it lay
    between those as judged: differences shrink by one factor, no more than they must.
    """
    greys = np.stack([_GREYS, 0 * _GREYS, 0 * _GREYS], axis=1)
    judged, here = before.appearance(greys), after.appearance(greys)
    black = float(absolute_to_relative(np.array([black_lightness, 0, 0]), before.paper_xyz)[0])
    black = min(max(black, 0.0), 60.0)
    low, low_here = (float(np.interp(black, _GREYS, each.J)) for each in (judged, here))
    share = (float(here.J[-1]) - low_here) / (float(judged.J[-1]) - low)
    wanted = low_here + (judged.J - low) * share
    # J rises with every grey, so that it can be read backwards
    out = np.interp(wanted, here.J, _GREYS)
    inked = _GREYS >= black
    out = np.where(inked, np.maximum(out, black), _GREYS)
    out[-1] = 100.0
    out = np.maximum.accumulate(out)
    if np.abs(out - _GREYS).max() < 1e-6:
        out = _GREYS
    middle = float(np.interp(50, _GREYS, here.J) - np.interp(50, _GREYS, judged.J))
    return _Tones(out, float(here.Q[-1] / judged.Q[-1]), share, middle)


def _in_picture(tones: _Tones, how: tuple, channels: int) -> np.ndarray:
    """The curve of printed greys as one of the picture's own L*."""
    if not tones.moved:
        return _GREYS
    ramp = np.repeat(np.linspace(0, 1, 256, dtype=np.float32)[:, None], channels, axis=1)
    own = np.maximum.accumulate(transform(ramp, how[0], "lab")[:, 0])
    printed = np.maximum.accumulate(printed_lab(ramp, *how)[:, 0])
    # the smallest rise, so that it can be read backwards where greys merge
    printed = printed + np.linspace(0, 1e-3, len(printed))
    wanted = np.interp(np.interp(_GREYS, own, printed), _GREYS, tones.out)
    return np.clip(np.interp(wanted, printed, own), 0, 100)


def _toned(lab, tones: np.ndarray, gain: float) -> np.ndarray:
    """Media-relative Lab after the curve and the gain; the same where neither changes any."""
    lab = np.asarray(lab, float)
    if tones is _GREYS and gain == 1:
        return lab
    lightness = np.interp(lab[..., 0], _GREYS, tones)
    return np.stack([lightness, gain * lab[..., 1], gain * lab[..., 2]], axis=-1)


def _chroma_gain(judged: Appearance, after: Hanging, toned: np.ndarray) -> float:
    """The gain with which the colours are as colourful, on average, as they were judged."""
    wanted = float(judged.M.mean())
    if wanted < 1.0:
        return 1.0  # a grey picture

    def missing(gain: float) -> float:
        scaled = toned * np.array([1, gain, gain])
        return wanted - float(after.appearance(scaled).M.mean())

    if abs(missing(1.0)) < 1e-6 * wanted:
        return 1.0
    low, high = 1 / _MOST_GAIN, _MOST_GAIN
    for _ in range(24):
        middle = math.sqrt(low * high)
        low, high = (middle, high) if missing(middle) > 0 else (low, middle)
    return math.sqrt(low * high)


def _held(lab, paper: Paper) -> np.ndarray:
    """The nearest that the paper's colorimetric table comes to media-relative Lab."""
    device = transform(np.asarray(lab, np.float32), "lab", paper.profile)
    return transform(device, paper.profile, "lab")


def _unit(pixels: np.ndarray) -> np.ndarray:
    return pixels.astype(np.float32) / np.iinfo(pixels.dtype).max


def _pixels(way, lab) -> np.ndarray:
    return np.round(255 * way.shown(lab)).astype(np.uint8)

"""The proof on its sheet, under a lamp and behind glass.

A flat sheet, lit and looked at as profiles are measured (at 45 degrees, straight on), is the
soft proof itself.  The glossy part that a measured colour holds already is taken out of it
first, at most what the paper's black leaves room for, so that it is not counted twice.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from workbench.analysis.glass import PICTURE_REFLECTANCE, Glass, find_glass
from workbench.analysis.proof import Proof, soft_proof
from workbench.bands import in_order, row_bands
from workbench.characteristics import word_of
from workbench.colour.lab import luminance_factor
from workbench.colour.trip import white_xyz
from workbench.language import tr
from workbench.numbers import number
from workbench.paper import Paper
from workbench.picture.opening import from_pixels
from workbench.picture.picture import Picture
from workbench.picture.tone import from_light, to_light
from workbench.results import Result
from workbench.surface.lamp import Lamp
from workbench.surface.relief import Surface
from workbench.surface.relight import Scene
from workbench.surface.shade import measured_factors
from workbench.surface.sheet import surface_of

_BAND_ROWS = 32
# so much of a white sheet may become lighter than the display's white
_OVER = 0.5


@dataclass(frozen=True)
class Window:
    """A bright window mirrored in glass: where, in shares of width and height, and how bright.

    ``brightness`` is its luminance over that of a perfect white sheet in the lamp's light.

    Raises
    ------
    WorkbenchError
        for edges outside 0 to 1, or a brightness below 0 or above 1000.

    Examples
    --------
    >>> wb.Window(left=0.5, brightness=3).right
    0.9
    """

    left: float = 0.6
    top: float = 0.1
    right: float = 0.9
    bottom: float = 0.6
    brightness: float = 5.0

    def __post_init__(self):
        for value, what in (
            (self.left, tr("window's left edge")),
            (self.top, tr("window's top edge")),
            (self.right, tr("window's right edge")),
            (self.bottom, tr("window's bottom edge")),
        ):
            number(value, what, low=0, high=1)
        number(self.brightness, tr("window's brightness"), low=0, high=1000)


@dataclass(frozen=True, eq=False)
class Relit(Result):
    """A proof under a lamp.

    Attributes
    ----------
    pixels : (h, w, 3) uint8, in the display's space.
    display_name, display_profile : that space.
    lamp, surface : what was lit, and how.
    pixel_mm : a pixel on the sheet.
    exposure : all light was multiplied by this, so that white paper stays within the display;
        1 for the proof's own.
    relief_contrast : standard deviation over mean of a white sheet's luminance, with the
        lamp's own falling off over the sheet.
    share_over : of the pixels, lighter than the display can show.
    """

    pixels: np.ndarray = field(repr=False)
    display_name: str
    display_profile: bytes = field(repr=False)
    lamp: Lamp
    surface: Surface = field(repr=False)
    pixel_mm: float
    exposure: float
    relief_contrast: float
    share_over: float

    @property
    def sentence(self) -> str:
        """What the lamp shows."""
        said = {"angle": self.lamp.elevation_deg, "contrast": 100 * self.relief_contrast}
        if self.surface.kind:
            return tr(
                "Under a lamp {angle:.0f}° above the sheet, {kind} makes a contrast of "
                "{contrast:.1f} % on bare paper.",
                kind=word_of(self.surface.kind),
                **said,
            )
        return tr(
            "Under a lamp {angle:.0f}° above the sheet, the surface makes a contrast of "
            "{contrast:.1f} % on bare paper.",
            **said,
        )


def relit_proof(
    picture: Picture,
    paper: Paper,
    lamp: Lamp | None = None,
    *,
    surface: Surface | None = None,
    long_side_mm: float = 297.0,
    long_side_px: int | None = 1200,
    part: tuple[int, int, int, int] | None = None,
    eye_mm: float | None = None,
    ink_alpha: float | None = None,
    glass=None,
    window: Window | None = None,
    exposure: float | None = None,
    eye_blur_mm: float = 0.0,
    cancelled=None,
    progress=None,
    **how,
) -> Relit:
    """The picture as it will look on this paper's surface under a lamp.

    Parameters
    ----------
    picture, paper : from `open_picture` and `open_paper`.
    lamp : by default at 45° from the upper left.
    surface : by default the paper's own, see `surface_of`.
    long_side_mm : of the print, whose relief is drawn at its true scale.
    long_side_px : of the result; None for all the picture's pixels.
    part : x, y, width and height in the picture's pixels, for a closer look; lamp and eye then
        stand over the middle of that part, which is still drawn at the print's scale.
    eye_mm : distance of the eye above the middle; None looks straight down everywhere.
    ink_alpha : roughness of fully inked places, 0.01 to 1, where it is not the bare paper's;
        those between lie between.
    glass : a name in `workbench.analysis.glass.GLASSES`, a `Glass`, or None.  It is flat; the
        lamp's own image in it is left out.
    window : mirrored in that glass, or None.
    exposure : multiplies all light; None takes the most, up to 1, at which at most half a per
        cent of a white sheet gets lighter than the display's white.
    how : as for `soft_proof`: intent, black_point_compensation, adaptation, reference, display.

    Returns
    -------
    A Relit.

    Raises
    ------
    WorkbenchError
        for values out of range, and whatever `soft_proof` refuses.

    Examples
    --------
    >>> raking = wb.Lamp(azimuth_deg=180, elevation_deg=12)
    >>> lit = wb.relit_proof(picture, papers[4], raking, long_side_px=120)
    >>> lit.pixels.shape, lit.surface.kind
    ((80, 120, 3), 'cold-pressed')
    """
    proof = proof_of_part(picture, paper, part, long_side_px, cancelled, progress, **how)
    long_side_mm = shown_mm(picture, part, long_side_mm)
    return relight(
        proof,
        paper,
        lamp,
        surface=surface,
        long_side_mm=long_side_mm,
        eye_mm=eye_mm,
        ink_alpha=ink_alpha,
        glass=glass,
        window=window,
        exposure=exposure,
        eye_blur_mm=eye_blur_mm,
        cancelled=cancelled,
    )


def proof_of_part(
    picture: Picture, paper: Paper, part, long_side_px, cancelled=None, progress=None, **how
) -> Proof:
    """The soft proof of a part of the picture, or of all of it for None."""
    if part is not None:
        picture = from_pixels(picture.crop(*part), picture.require_profile())
    return soft_proof(
        picture, paper, long_side_px=long_side_px, cancelled=cancelled, progress=progress, **how
    )


def middle_part(
    picture: Picture, long_side_mm: float, wide_mm: float, shape: float = 1.5, crop=None
):
    """The middle of a print, ``wide_mm`` of it wide and 1/``shape`` as high, or as much as it has.

    Parameters
    ----------
    long_side_mm : of the whole picture at the print's scale.
    wide_mm : 0 for the whole print, as are prints with no longer side.
    crop : x, y, width and height in the picture's pixels of what is printed; None for all.

    Returns
    -------
    x, y, width and height in the picture's pixels; None for the whole picture.

    Examples
    --------
    >>> middle_part(picture, 300, 100) == middle_part(picture, 600, 200)
    True
    >>> middle_part(picture, 300, 400) is None
    True
    """
    sides = picture.width_px, picture.height_px
    left, top, across, down = crop or (0, 0, *sides)
    wide = wide_mm * max(sides) / long_side_mm
    if not wide_mm or wide >= max(across, down):
        return None if (across, down) == sides else (left, top, across, down)
    width, height = (max(round(each), 1) for each in (wide, wide / shape))
    width, height = min(width, across), min(height, down)
    return left + (across - width) // 2, top + (down - height) // 2, width, height


def shown_mm(picture: Picture, part, long_side_mm: float) -> float:
    """The longer side of a part of the picture, as it is printed."""
    if part is None:
        return long_side_mm
    return long_side_mm * max(part[2:]) / max(picture.width_px, picture.height_px)


def relight(
    proof: Proof,
    paper: Paper,
    lamp: Lamp | None = None,
    *,
    surface: Surface | None = None,
    long_side_mm: float = 297.0,
    eye_mm: float | None = None,
    ink_alpha: float | None = None,
    glass=None,
    window: Window | None = None,
    exposure: float | None = None,
    eye_blur_mm: float = 0.0,
    cancelled=None,
) -> Relit:
    """A finished proof under a lamp; see `relit_proof`."""
    lamp = lamp or Lamp()
    surface = surface or surface_of(paper)
    glass = find_glass(glass)
    number(long_side_mm, tr("print's long side"), low=1, high=1e5, unit="mm")
    if eye_mm is not None:
        number(eye_mm, tr("eye's distance"), low=50, high=1e5, unit="mm")
    if ink_alpha is not None:
        number(ink_alpha, tr("roughness of ink"), low=0.01, high=1)
    number(eye_blur_mm, tr("eye's blur"), low=0, high=50, unit="mm")
    height, width = proof.pixels.shape[:2]
    scene = Scene(
        surface,
        lamp,
        long_side_mm / max(width, height),
        width,
        height,
        eye_mm,
        gloss_share(paper, surface),
    )
    white = _white_light(proof, paper)
    own = scene.measured[1] * white.gain
    signal, mirror = _glass_path(glass, lamp)

    def parts(band):
        rows = slice(*band)
        light = to_light(proof.pixels[rows], proof.display_profile)
        alpha = None
        if ink_alpha is not None:
            inked = 1 - np.clip(light.mean(axis=2) / white.light.mean(), 0, 1)
            alpha = (scene.tile.alpha + (ink_alpha - scene.tile.alpha) * inked).astype(np.float32)
        diffuse, glossy = scene.factors(band[0], band[1])
        sheet = (white.light[1] - own) * diffuse + white.gain * glossy
        if alpha is not None:
            glossy = scene.factors(band[0], band[1], alpha)[1]
        # a channel may fall below nothing: such colours lie beyond the display's
        light -= np.float32(own)
        light *= diffuse[..., None]
        light += np.float32(white.gain) * glossy[..., None]
        if glass is not None:
            light *= np.float32(signal)
            if window is not None:
                light += _mirrored(window, mirror * white.gain, band, width, height)
        return light, sheet

    bands = row_bands(height, _BAND_ROWS)
    lights: Sequence[np.ndarray]
    lights, sheets = zip(*in_order(parts, bands, cancelled=cancelled), strict=True)
    sheet = np.concatenate(sheets)
    if exposure is None:
        lightest = float(np.percentile(sheet[::3, ::3], 100 - _OVER))
        exposure = 1.0 if lightest <= 1.0 else 1 / lightest
    exposure = number(exposure, tr("exposure"), low=0.01, high=100)
    if eye_blur_mm:
        lights = _spread(lights, bands, eye_blur_mm / scene.pixel_mm)
    pixels = np.empty((height, width, 3), np.uint8)
    over = 0

    def encode(item):
        (y0, y1), light = item
        light *= np.float32(exposure)
        beyond = int((light.max(axis=2) > 1.002).sum())
        encoded = from_light(light, proof.display_profile).astype(np.uint32)
        pixels[y0:y1] = (encoded + 128) // 257
        return beyond

    for beyond in in_order(encode, list(zip(bands, lights, strict=True)), cancelled=cancelled):
        over += beyond
    return Relit(
        pixels,
        proof.display_name,
        proof.display_profile,
        lamp,
        surface,
        scene.pixel_mm,
        exposure,
        float(sheet.std(dtype=np.float64) / max(sheet.mean(dtype=np.float64), 1e-9)),
        over / (width * height),
    )


def _spread(lights, bands, deviation_px: float) -> list[np.ndarray]:
    """Bands of light, each spread by a Gaussian of three deviations to each side."""
    from scipy.ndimage import gaussian_filter

    whole = np.maximum(np.concatenate(lights), 0)
    whole = gaussian_filter(whole, (deviation_px, deviation_px, 0), mode="nearest", truncate=3)
    return [whole[slice(*band)] for band in bands]


@dataclass(frozen=True, eq=False)
class _White:
    """The bare paper in the proof: its linear display light, and that of a perfect white."""

    light: np.ndarray
    gain: float


def _white_light(proof: Proof, paper: Paper) -> _White:
    bare = np.array([[100.0, 0.0, 0.0]], np.float32)
    shown = proof.way.shown(proof.way.seen(bare, white_xyz(paper.profile)))
    codes = np.round(shown * 65535).astype(np.uint16)
    light = to_light(codes[None], proof.display_profile)[0, 0]
    return _White(light, float(light[1]) / float(luminance_factor(paper.white_lab[0])))


def gloss_share(paper: Paper, surface: Surface) -> float:
    """Share of the computed gloss that the paper's measured black leaves room for."""
    glossy = measured_factors(surface.alpha)[1]
    black = float(luminance_factor(paper.black_lab[0]))
    return 1.0 if glossy <= black else black / glossy


def _glass_path(glass, lamp: Lamp) -> tuple[float, float]:
    """What glass lets through there and back, and what it mirrors, straight on."""
    if glass is None:
        return 1.0, 0.0
    into = glass.sheet(90 - lamp.elevation_deg)[1]
    into = (1 - lamp.ambient) * into + lamp.ambient * glass.transmittance
    return into * glass_through(glass), glass.reflectance


def glass_through(glass: Glass) -> float:
    """Share of the print's light that reaches the eye through a glass, with what it throws back."""
    return glass.transmittance / (1 - PICTURE_REFLECTANCE * glass.diffuse_reflectance)


def _mirrored(window: Window, light: float, band, width: int, height: int) -> np.ndarray:
    """(rows, columns, 1) light of a window's image, with edges a hundredth of the width soft."""
    soft = max(0.01 * width, 1.0)

    def inside(place, low, high):
        return np.clip((place - low) / soft + 0.5, 0, 1) * np.clip(
            (high - place) / soft + 0.5, 0, 1
        )

    x = inside(np.arange(width) + 0.5, window.left * width, window.right * width)
    y = inside(np.arange(*band) + 0.5, window.top * height, window.bottom * height)
    image = y[:, None] * x[None, :] * (window.brightness * light)
    return image[..., None].astype(np.float32)

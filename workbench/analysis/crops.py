"""The light and the dark end of a picture: a telling crop of each, printed, and counted.

A crop at full size shows what a paper does to the tones near its white and its black,
if the picture has some there.  The crop is looked for in a preview, by sums over
windows, in a time that grows with the preview's pixels only.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np

from workbench.analysis.colours import Kept, in_strips, preview_trip, trip_key
from workbench.analysis.counts import count_shift
from workbench.bands import in_order
from workbench.colour.engine import check_intent, quick_lab
from workbench.colour.lab import chroma, lab_to_xyz
from workbench.colour.profile import read_profile
from workbench.colour.spaces import standard_profile, tone_curves
from workbench.colour.trip import printed_lab, relative_print, white_xyz
from workbench.errors import WorkbenchError
from workbench.language import tr
from workbench.paper import Paper
from workbench.picture.picture import Picture
from workbench.rendering import DEFAULTS

PREVIEW_PX = 800

# L* where a tone counts not at all, fully, fully, and not at all any more: beyond the
# last lies what is blown or blocked (our own choice)
_HIGHLIGHTS = (78.0, 90.0, 98.0, 99.8)
_SHADOWS = (0.2, 3.0, 14.0, 28.0)
# chroma up to which light colours pass for near white, and beyond which they do not
_NEAR_WHITE_CHROMA = (14.0, 34.0)
# steps between neighbours above this L* are an edge, which tells no more than a texture
_EDGE = 5.0
# what a tone in range is worth without any detail, against a step of 1 L*
_FLAT = 0.05
# of the best window's sum: windows this close are equal, and the middle one is taken
_EQUAL = 1e-6

_kept = Kept(24)


def highlight_box(
    picture: Picture, size_px: tuple[int, int] = (320, 320), within=None
) -> tuple[int, int, int, int]:
    """The window with the most detail near white, neither blown nor flat.

    Parameters
    ----------
    picture : a Picture with a profile.
    size_px : width and height of the window in picture pixels, at least 1 each.
    within : (x, y, width, height) in whole picture pixels of the part to look in, such as what
        of it is printed; all of it by default.

    Returns
    -------
    (x, y, width, height) in pixels of the upright picture at full resolution, always
    inside it, as `Picture.crop` takes them; the whole side where the picture, or the part of it,
    is smaller than the window.  The same picture and size always give the same window.  Without
    any highlights it is the lightest window.

    Raises
    ------
    UntaggedPictureError
        for a picture without a profile.
    WorkbenchError
        for a size that is none.
    """
    return _box(picture, size_px, within, "highlights", _highlight_weight)


def shadow_box(
    picture: Picture, size_px: tuple[int, int] = (320, 320), within=None
) -> tuple[int, int, int, int]:
    """The window with the most detail near black, neither blocked nor flat.

    As `highlight_box`; without any shadows it is the darkest window.
    """
    return _box(picture, size_px, within, "shadows", _shadow_weight)


def _highlight_weight(lab: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    near_white = 1 - ramp(chroma(lab), *_NEAR_WHITE_CHROMA)
    return band(lab[..., 0], *_HIGHLIGHTS) * near_white, lab[..., 0] / 100


def _shadow_weight(lab: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    return band(lab[..., 0], *_SHADOWS), 1 - lab[..., 0] / 100


def ramp(values, low: float, high: float) -> np.ndarray:
    """0 up to ``low``, 1 from ``high`` on, and evenly between."""
    return np.clip((values - low) / (high - low), 0, 1)


def band(values, start: float, full: float, last: float, end: float) -> np.ndarray:
    """1 from ``full`` to ``last``, falling to 0 at ``start`` and ``end``."""
    return ramp(values, start, full) * (1 - ramp(values, last, end))


def _box(
    picture: Picture, size_px, within, name: str, weigh: Callable
) -> tuple[int, int, int, int]:
    part = (0, 0, picture.width_px, picture.height_px) if within is None else tuple(within)
    size = tuple(min(pair) for pair in zip(_size(size_px), part[2:], strict=True))
    if size == part[2:]:
        return part
    return _kept.get((picture, name, size, part), lambda: _search(picture, size, part, weigh))


def _size(size_px) -> tuple[int, int]:
    try:
        width, height = (int(side) for side in size_px)
    except (TypeError, ValueError, OverflowError):
        width = height = 0
    if width < 1 or height < 1:
        raise WorkbenchError(
            tr(
                "A crop's size is a width and a height of at least 1 pixel, not {size_px!r}.",
                size_px=size_px,
            )
        )
    return width, height


def _search(picture: Picture, size, part, weigh: Callable) -> tuple[int, int, int, int]:
    lab = quick_lab(picture.preview(PREVIEW_PX), picture.require_profile())
    weight, fallback = weigh(lab)
    # so small that it decides only where nothing is in range
    worth = _detail(lab[..., 0], weight) + _FLAT * weight + 1e-6 * fallback
    return best_window(picture, worth, size, part)


def best_window(picture: Picture, worth: np.ndarray, size_px, within) -> tuple[int, int, int, int]:
    """The window of a picture over which a map of its preview has the largest sum.

    Parameters
    ----------
    worth : (h, w) of a preview of the whole picture.
    size_px, within : as for `highlight_box`.
    """
    left, top, part_width, part_height = within
    width, height = min(size_px[0], part_width), min(size_px[1], part_height)
    rows, columns = worth.shape
    x_scale, y_scale = picture.width_px / columns, picture.height_px / rows
    x0, x1 = _stretch(left, part_width, x_scale, columns)
    y0, y1 = _stretch(top, part_height, y_scale, rows)
    across = min(x1 - x0, max(1, round(width / x_scale)))
    down = min(y1 - y0, max(1, round(height / y_scale)))
    row, column = _best(worth[y0:y1, x0:x1], down, across)
    # the window's middle stays where it was found, whatever the rounding of its size
    x = round((x0 + column + across / 2) * x_scale - width / 2)
    y = round((y0 + row + down / 2) * y_scale - height / 2)
    x = min(max(x, left), left + part_width - width)
    y = min(max(y, top), top + part_height - height)
    return x, y, width, height


def _stretch(start: int, length: int, scale: float, most: int) -> tuple[int, int]:
    """The preview's pixels of a stretch of the picture's, at least one."""
    first = min(most - 1, round(start / scale))
    return first, min(most, max(first + 1, round((start + length) / scale)))


def _detail(lightness: np.ndarray, weight: np.ndarray) -> np.ndarray:
    """Steps of L* between neighbours that are both in range, at the first of each two."""
    detail = np.zeros_like(lightness)
    step = np.minimum(np.abs(np.diff(lightness, axis=1)), _EDGE)
    detail[:, :-1] += step * np.minimum(weight[:, :-1], weight[:, 1:])
    step = np.minimum(np.abs(np.diff(lightness, axis=0)), _EDGE)
    detail[:-1] += step * np.minimum(weight[:-1], weight[1:])
    return detail


def _best(worth: np.ndarray, down: int, across: int) -> tuple[int, int]:
    """Row and column of the window with the largest sum; of equal ones the middlemost."""
    integral = np.zeros((worth.shape[0] + 1, worth.shape[1] + 1))
    integral[1:, 1:] = worth.astype(float).cumsum(axis=0).cumsum(axis=1)
    sums = (
        integral[down:, across:]
        - integral[:-down, across:]
        - integral[down:, :-across]
        + integral[:-down, :-across]
    )
    best = sums.max()
    rows, columns = np.nonzero(sums >= best - abs(best) * _EQUAL)
    middle = (np.array(sums.shape) - 1) / 2
    nearest = np.argmin((rows - middle[0]) ** 2 + (columns - middle[1]) ** 2)
    return int(rows[nearest]), int(columns[nearest])


@dataclass(frozen=True, eq=False)
class PrintedCrop:
    """A crop as a paper prints it, to be looked at under one eye after another.

    Attributes
    ----------
    xyz : (h, w, 3) float32, media-relative: the bare paper has the PCS white.
    paper_xyz : the paper's white, Y = 1 for the perfect diffuser.
    box : (x, y, width, height) in the picture.
    """

    xyz: np.ndarray = field(repr=False)
    paper_xyz: np.ndarray
    box: tuple[int, int, int, int]

    def seen(self, eye_xyz, dim: float = 1.0) -> np.ndarray:
        """(h, w, 3) uint8 sRGB of the print for an eye that takes ``eye_xyz`` for white.

        Parameters
        ----------
        dim : divides all light, see `dimming`.

        Every pixel is worked out, in a tenth of the time of a fresh trip through the
        engine; the tests hold both against each other.
        """
        gain = self.paper_xyz / np.asarray(eye_xyz, float) / dim
        matrix = (_light_matrix() * gain).astype(np.float32)
        # by hand: a threaded matrix product waits for busy threads
        x, y, z = np.moveaxis(self.xyz.reshape(-1, 3), 1, 0)
        light = np.stack([row[0] * x + row[1] * y + row[2] * z for row in matrix], axis=1)
        index = np.clip(light * 65535 + 0.5, 0, 65535).astype(np.uint16)
        return _srgb_codes()[index].reshape(self.xyz.shape)


def printed_crop(
    picture: Picture,
    paper: Paper,
    box,
    *,
    intent: str = DEFAULTS.intent,
    black_point_compensation: bool = DEFAULTS.black_point_compensation,
) -> PrintedCrop:
    """A crop of the picture as printed, every pixel by itself; kept for the next time.

    Parameters
    ----------
    box : (x, y, width, height), as of `highlight_box`.
    """
    check_intent(intent)
    compensate = bool(black_point_compensation)

    def make():
        pixels = picture.crop(*box)
        exact = pixels.astype(np.float32) / np.iinfo(pixels.dtype).max
        lab = printed_lab(exact, picture.require_profile(), paper.profile, intent, compensate)
        return PrintedCrop(lab_to_xyz(lab).astype(np.float32), white_xyz(paper.profile), tuple(box))

    return _crops.get((*trip_key(picture, paper, intent, compensate), tuple(box)), make)


def printed_crops(picture: Picture, papers, box, **way) -> list[PrintedCrop]:
    """The same crop on each paper, as `printed_crop`; on two threads where there are several."""
    return list(in_order(lambda paper: printed_crop(picture, paper, box, **way), papers))


_crops = Kept(24)


@lru_cache(maxsize=1)
def _light_matrix() -> np.ndarray:
    primaries = read_profile(standard_profile("sRGB")).primaries()
    assert primaries is not None, "a standard space has a matrix"
    return np.linalg.inv(primaries.T)


def srgb_light(xyz) -> np.ndarray:
    """Linear sRGB, unclipped, of (..., 3) XYZ relative to D50, Y = 1 for the screen's white."""
    return np.asarray(xyz) @ _light_matrix().T


def dimming(seen_lab) -> float:
    """By how much an sRGB screen must dim all it shows, so that no white in view clips.

    A sheet lighter or warmer than the eye's white would ask for more than the screen
    has, and its tint and its last highlights would be cut off.

    Parameters
    ----------
    seen_lab : (..., 3) whites as seen, all of those shown next to one another.

    Returns
    -------
    A factor of at least 1 to divide light (XYZ) by; the same for all that is shown.
    """
    return float(max(1.0, srgb_light(lab_to_xyz(seen_lab)).max()))


@lru_cache(maxsize=1)
def _srgb_codes() -> np.ndarray:
    """(65536,) uint8 sRGB of linear light in 16 bits."""
    codes = np.linspace(0, 1, 16 * 255 + 1)
    curves = tone_curves(standard_profile("sRGB"))
    assert curves is not None, "a standard space has curves"
    light = curves[0](codes)
    return np.round(np.interp(np.linspace(0, 1, 65536), light, 255 * codes)).astype(np.uint8)


# steps of L* in which prints are counted
_PER_L = 10
_TALLY_BINS = 110 * _PER_L + 1


@dataclass(frozen=True, eq=False)
class LightnessTally:
    """A picture's pixels by the media-relative L* they print as, in steps of 0.1.

    ``counts[k]`` holds those above (k − 1)/10 and up to k/10; ``bare`` is the share, 0..1,
    that prints within 1 of the bare paper's lightness and chroma.  ``exact``: every pixel
    sent to the paper by itself, or one colour for each cell of the picture's census.
    """

    counts: np.ndarray = field(repr=False)
    bare: float
    exact: bool

    def share_above(self, lightness: float) -> float:
        """Share of the pixels, 0..1, that print lighter than an L*."""
        first = round(lightness * _PER_L) + 1
        return float(self.counts[first:].sum() / self.counts.sum())


_tallies = Kept(24)


def _is_bare(printed: np.ndarray) -> np.ndarray:
    lightness, a, b = np.moveaxis(printed, -1, 0)
    return (lightness > 99) & (a * a + b * b < 1)


def lightness_tally(
    picture: Picture,
    paper: Paper,
    *,
    intent: str = DEFAULTS.intent,
    black_point_compensation: bool = DEFAULTS.black_point_compensation,
    exact: bool = True,
    cancelled=None,
    progress=None,
) -> LightnessTally:
    """Count how light the picture prints; kept for the next time.

    Parameters
    ----------
    exact : send every pixel, or one colour for each cell of the picture's census.
    cancelled, progress : as for `gamut_report`.
    """
    how = check_intent(intent), bool(black_point_compensation)
    source = picture.require_profile()

    def count(printed, weights=None):
        step = np.ceil(printed[:, 0] * _PER_L).astype(np.intp).clip(0, _TALLY_BINS - 1)
        counts = np.bincount(step, weights, minlength=_TALLY_BINS)
        bare = _is_bare(printed)
        return np.append(counts, np.count_nonzero(bare) if weights is None else weights @ bare)

    def make():
        if exact:
            parts = in_strips(
                picture,
                lambda flat: count(printed_lab(flat, source, paper.profile, *how)),
                cancelled=cancelled,
                progress=progress,
            )
            counted = sum(parts)
        else:
            counts = count_shift(
                picture, paper, intent=intent, black_point_compensation=how[1],
                cancelled=cancelled, progress=progress,
            )  # fmt: skip
            counted = count(relative_print(counts.trip, paper.profile, intent), counts.counts)
        counts = counted[:-1]
        return LightnessTally(counts, float(counted[-1] / counts.sum()), exact)

    key = (*trip_key(picture, paper, *how), exact)
    return _tallies.get(key, make)


def reach_map(
    picture: Picture,
    paper: Paper,
    lightness: float,
    *,
    intent: str = DEFAULTS.intent,
    black_point_compensation: bool = DEFAULTS.black_point_compensation,
    long_side_px: int = 360,
) -> np.ndarray:
    """Where the paper's white shows, in a preview: 1 prints lighter than an L*, 2 is bare paper.

    Returns
    -------
    (h, w) uint8; 0 elsewhere.  For looking at; shares come from `lightness_tally`.
    """
    journey = preview_trip(picture, paper, intent, black_point_compensation, long_side_px)
    printed = relative_print(journey, paper.profile, intent)
    return (printed[..., 0] > lightness).astype(np.uint8) + _is_bare(printed)

"""Fine detail and smooth areas of a picture, on the scale of a print.

Fine detail is contrast between neighbouring spots of 0.17 mm on paper, within windows of
1.4 mm, about the size of a paper's own texture (our choice; common practice, no
source, says that such detail and such texture get in each other's way).
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from workbench.analysis.crops import PREVIEW_PX
from workbench.analysis.words import colour_name, hue_index, lightness_index
from workbench.colour.engine import quick_lab
from workbench.colour.lab import D50_XYZ, luminance_factor, triple, xyz_to_lab
from workbench.picture.picture import Picture

SPOT_MM = 0.17
WINDOW_SPOTS = 8
# standard deviation of L* in a window, a slope across it taken out: above the first,
# detail; below the second, smooth (our choice: noise of a good camera stays below)
DETAIL_FROM = 2.5
SMOOTH_BELOW = 1.0

_TILES = 192
_WINDOWS_A_SIDE = 4
# windows of the preview, across the long side
_AREAS = 40


def neighbour_steps(lightness: np.ndarray) -> np.ndarray:
    """(rows, cols) by how much L* differs from the left and the upper neighbour, together."""
    step = np.zeros_like(lightness)
    step[:, 1:] = np.abs(np.diff(lightness, axis=1))
    step[1:] += np.abs(np.diff(lightness, axis=0))
    return step


@dataclass(frozen=True, eq=False)
class DetailSample:
    """How much of a picture has fine detail, from tiles at full resolution.

    Attributes
    ----------
    share_detail, share_smooth : of the windows, 0..1.
    error : standard error of ``share_detail``, from how much the tiles differ.
    windows : how many were looked at.
    spot_px : picture pixels across a spot.
    tiles : (rows, columns) share of detailed windows in each tile, as they lie.
    """

    share_detail: float
    share_smooth: float
    error: float
    windows: int
    spot_px: int
    tiles: np.ndarray = field(repr=False)


def detail_sample(picture: Picture, ppi: float = 300.0) -> DetailSample:
    """Look for fine detail in up to 192 tiles, spread evenly over the picture.

    Parameters
    ----------
    picture : a Picture with a profile.
    ppi : of the print: picture pixels on an inch of paper.

    Each tile has 4 × 4 windows of 8 × 8 spots; spots are means in linear light, so
    that noise from pixel to pixel counts for little.
    """
    spot = max(1, round(SPOT_MM * ppi / 25.4))
    side = _WINDOWS_A_SIDE * WINDOW_SPOTS * spot
    tile_w, tile_h = min(side, picture.width_px), min(side, picture.height_px)
    columns, rows = tile_places(picture, side, _TILES)
    tiles = [picture.crop(x, y, tile_w, tile_h) for y in rows for x in columns]
    contrast = np.array(_window_contrast(np.stack(tiles), picture.require_profile(), spot))
    is_detail = contrast >= DETAIL_FROM
    by_tile = is_detail.mean(axis=1)
    error = float(by_tile.std(ddof=1) / len(by_tile) ** 0.5) if len(by_tile) > 1 else 0.0
    return DetailSample(
        share_detail=float(is_detail.mean()),
        share_smooth=float((contrast < SMOOTH_BELOW).mean()),
        error=error,
        windows=contrast.size,
        spot_px=spot,
        tiles=by_tile.reshape(len(rows), len(columns)),
    )


def tile_places(picture: Picture, side: int, most: int) -> tuple[list[int], list[int]]:
    """Left and upper borders of square tiles, about ``most`` of them, spread evenly."""
    width, height = picture.width_px, picture.height_px
    across = max(1, min(round((most * width / height) ** 0.5), width // side))
    down = max(1, min(round(most / across), height // side))
    return (
        _spread(across, width, min(side, width)),
        _spread(down, height, min(side, height)),
    )


def _spread(count: int, length: int, tile: int) -> list[int]:
    """Starts of ``count`` tiles in the middles of equal parts of a side."""
    starts = (np.arange(count) + 0.5) * length / count - tile / 2
    return [int(start) for start in np.clip(starts, 0, length - tile)]


def _window_contrast(tiles: np.ndarray, profile: bytes, spot: int) -> np.ndarray:
    """(tiles, windows) standard deviation of L* between spots."""
    light = luminance_factor(quick_lab(tiles, profile)[..., 0])
    need = WINDOW_SPOTS * spot
    # pictures smaller than a window are continued by their border
    short = [(0, max(0, need - side)) for side in light.shape[1:]]
    light = np.pad(light, [(0, 0), *short], mode="edge")
    spots = _blocks(light, spot).mean(axis=(-1, -2))
    lightness = xyz_to_lab(spots[..., None] * D50_XYZ)[..., 0]
    windows = _blocks(lightness, WINDOW_SPOTS)
    return contrast_without_slope(windows).reshape(len(tiles), -1)


def _blocks(values: np.ndarray, side: int) -> np.ndarray:
    """(n, rows, columns, side, side) whole blocks of (n, h, w) values."""
    n, h, w = values.shape
    rows, columns = h // side, w // side
    cut = values[:, : rows * side, : columns * side].reshape(n, rows, side, columns, side)
    return cut.swapaxes(2, 3)


def contrast_without_slope(windows: np.ndarray) -> np.ndarray:
    """Standard deviation within (..., side, side) windows, after taking out a plane.

    A sky that grows lighter towards the horizon is not detail.
    """
    side = windows.shape[-1]
    place = np.arange(side) - (side - 1) / 2
    spread = (place**2).sum() * side
    rest = windows - windows.mean(axis=(-1, -2), keepdims=True)
    if side > 1:
        across = (rest * place).sum(axis=(-1, -2), keepdims=True) / spread
        down = (rest * place[:, None]).sum(axis=(-1, -2), keepdims=True) / spread
        rest = rest - across * place - down * place[:, None]
    return np.sqrt((rest**2).mean(axis=(-1, -2)))


@dataclass(frozen=True)
class SmoothArea:
    """The largest connected smooth area of a picture.

    Attributes
    ----------
    share : of the picture, 0..1.
    lab : its mean colour, media-relative; None for a picture without such an area.
    colour : that in words, such as "light sky blues"; "" without one.
    """

    share: float
    lab: tuple[float, float, float] | None
    colour: str


def smooth_area(picture: Picture, sample: DetailSample) -> SmoothArea:
    """Look for large smooth areas in a preview, in windows of 1/40 of the long side.

    A window is smooth as in `detail_sample`, if the nearest tile of ``sample`` is not
    mostly detail, which the preview may have averaged away.  Windows that touch by a
    side belong together.
    """
    from scipy.ndimage import label

    lab = quick_lab(picture.preview(PREVIEW_PX), picture.require_profile())
    side = max(2, max(lab.shape[:2]) // _AREAS)
    blocks = np.stack([_blocks(plane[None], side)[0] for plane in np.moveaxis(lab, -1, 0)], -1)
    if blocks.size == 0:
        return SmoothArea(0.0, None, "")
    smooth = contrast_without_slope(blocks[..., 0]) < SMOOTH_BELOW
    nearest = [
        ((np.arange(n) + 0.5) * tiles / n).astype(int)
        for n, tiles in zip(smooth.shape, sample.tiles.shape, strict=True)
    ]
    smooth &= sample.tiles[np.ix_(*nearest)] < 0.5
    owner, count = label(smooth)
    if not count:
        return SmoothArea(0.0, None, "")
    sizes = np.bincount(owner.ravel())[1:]
    inside = owner == np.argmax(sizes) + 1
    mean = blocks.mean(axis=(2, 3))[inside].mean(axis=0)
    name = colour_name(int(lightness_index(mean)), int(hue_index(mean)))
    return SmoothArea(share=float(sizes.max() / smooth.size), lab=triple(mean), colour=name)


def detailed_place(picture: Picture, ppi: float, within) -> tuple[float, float]:
    """The middle (x, y) of the part with the most fine detail, in picture pixels.

    Of parts with equally much, the one nearest the middle of ``within`` is taken.

    Parameters
    ----------
    ppi : as for `detail_sample`.
    within : (x, y, width, height) in picture pixels of the part to look in, such as what of it
        is printed.
    """
    left, top, width, height = within
    tiles = detail_sample(picture, ppi).tiles
    rows, columns = tiles.shape
    y = (np.arange(rows) + 0.5) / rows * picture.height_px
    x = (np.arange(columns) + 0.5) / columns * picture.width_px
    away_y, away_x = (y - top) / height - 0.5, (x - left) / width - 0.5
    outside = (np.abs(away_y) > 0.5)[:, None] | (np.abs(away_x) > 0.5)
    worth = tiles - 1e-3 * np.hypot(away_y[:, None], away_x) - 2.0 * outside
    row, column = np.unravel_index(np.argmax(worth), tiles.shape)
    return x[column], y[row]

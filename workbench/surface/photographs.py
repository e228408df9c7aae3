"""Photographs of one sheet under a lamp that moves: linear light, and what is wrong with them."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from workbench.bands import in_order, row_bands
from workbench.errors import WorkbenchError
from workbench.language import tr
from workbench.picture.opening import open_picture
from workbench.picture.picture import Picture
from workbench.picture.tone import to_light
from workbench.surface import raw

FEWEST, MOST = 4, 24
#: of files that can be photographs
ENDINGS = (".tif", ".tiff", ".png", ".jpg", ".jpeg", *raw.ENDINGS)
_ROWS = 256
_SMALLEST_PX = 32
# codes this close to the top hold no measure of light
_CLIPPED = 0.985


@dataclass(frozen=True, eq=False)
class Shots:
    """Photographs as linear light.

    Attributes
    ----------
    light : (n, rows, columns) uint16, full scale 65535.
    clipped : (n,) share of pixels at the top of the scale.
    names : for people.
    """

    light: np.ndarray = field(repr=False)
    clipped: np.ndarray
    names: tuple[str, ...]


def open_photograph(path) -> Picture:
    """A photograph by its path, a raw file too; raises as `open_picture` and `raw_photograph`."""
    return raw.raw_photograph(path) if raw.is_raw(path) else open_picture(path)


def read_shots(photographs, *, part=None, cancelled=None, progress=None) -> Shots:
    """Open photographs and make them linear by their profiles.

    Parameters
    ----------
    photographs : paths, or pictures from `open_picture`; all of one size.
    part : (x, y, width, height) in pixels of the bare sheet, in which what is clipped counts;
        None for the whole.
    cancelled, progress : asked and told of the share, between photographs.

    Raises
    ------
    WorkbenchError, PictureError, UntaggedPictureError
        for too few or too many, sizes that differ, pictures that cannot be opened, and ones
        without a profile.
    """
    given = list(photographs)
    if not FEWEST <= len(given) <= MOST:
        raise WorkbenchError(
            tr(
                "A surface is measured from {fewest} to {most} photographs, six to eight are "
                "good; there are {count}.",
                fewest=FEWEST,
                most=MOST,
                count=len(given),
            )
        )
    shots: np.ndarray | None = None
    clipped, names = [], []
    for number, each in enumerate(given):
        picture = each if isinstance(each, Picture) else open_photograph(each)
        size = picture.height_px, picture.width_px
        if shots is None:
            shots = np.empty((len(given), *size), np.uint16)
        if shots.shape[1:] != size:
            raise WorkbenchError(
                tr(
                    "Photograph {number} has {width} × {height} pixels, the first has "
                    "{first_width} × {first_height}; camera and sheet must stay where they are.",
                    number=number + 1,
                    width=size[1],
                    height=size[0],
                    first_width=shots.shape[2],
                    first_height=shots.shape[1],
                )
            )
        clipped.append(_read_into(shots[number], picture, checked_part(part, size), cancelled))
        if progress is not None:
            progress((number + 1) / len(given))
        names.append(picture.name or tr("photograph {number}", number=number + 1))
    assert shots is not None
    return Shots(shots, np.array(clipped), tuple(names))


def checked_part(part, size: tuple[int, int]) -> tuple[int, int, int, int]:
    """(x0, y0, x1, y1) of a part (x, y, width, height) of photographs of (rows, columns).

    Raises WorkbenchError for one that lies outside or is too small to be measured.
    """
    rows, columns = size
    if part is None:
        return 0, 0, columns, rows
    try:
        x, y, width, height = (round(float(each)) for each in part)
    except (TypeError, ValueError, OverflowError):
        x = y = width = height = -1
    inside = x >= 0 and y >= 0 and x + width <= columns and y + height <= rows
    if not inside or min(width, height) < _SMALLEST_PX:
        raise WorkbenchError(
            tr(
                "The part that is bare sheet lies within the {columns} × {rows} pixels and has "
                "at least {smallest_px} pixels each way; mark its corners again.",
                columns=columns,
                rows=rows,
                smallest_px=_SMALLEST_PX,
            )
        )
    return x, y, x + width, y + height


def _read_into(light: np.ndarray, picture: Picture, part, cancelled) -> float:
    """Fill one photograph's linear light; the share of its part's pixels that are clipped."""
    left, top_row, right, bottom_row = part
    profile = picture.require_profile()
    rows, columns = light.shape

    def work(band):
        y0, y1 = band
        pixels = picture.crop(0, y0, columns, y1 - y0)
        top = np.iinfo(pixels.dtype).max * _CLIPPED
        linear = to_light(pixels, profile)
        one, over = linear[..., 0], pixels[..., 0] >= top
        if linear.shape[-1] == 3:
            one = 0.25 * one + 0.5 * linear[..., 1] + 0.25 * linear[..., 2]
            over |= (pixels[..., 1] >= top) | (pixels[..., 2] >= top)
        light[y0:y1] = (one * 65535 + 0.5).astype(np.uint16)
        return int(over[max(top_row - y0, 0) : max(bottom_row - y0, 0), left:right].sum())

    count = sum(in_order(work, row_bands(rows, _ROWS), cancelled=cancelled))
    return count / ((right - left) * (bottom_row - top_row))


def smooth_light(light: np.ndarray, block: int) -> np.ndarray:
    """(blocks down, blocks across) float32: the even part of a photograph's light.

    Lens, lamp's distance and sheet's colour vary over many blocks, the relief within one.
    """
    from scipy.ndimage import gaussian_filter

    rows, columns = light.shape
    down, across = max(rows // block, 1), max(columns // block, 1)
    edges = [
        np.linspace(0, n, k + 1).astype(int)[:-1] for n, k in ((rows, down), (columns, across))
    ]
    sums = np.empty((down, columns), np.float64)
    for number, y0 in enumerate(edges[0]):
        y1 = edges[0][number + 1] if number + 1 < down else rows
        sums[number] = light[y0:y1].mean(axis=0, dtype=np.float64)
    widths = np.diff([*edges[1], columns])
    means = np.add.reduceat(sums, edges[1], axis=1) / widths
    return gaussian_filter(means, 1.0, mode="nearest").astype(np.float32)


def spread(
    means: np.ndarray, shape: tuple[int, int], y0: int, y1: int, step: int = 1
) -> np.ndarray:
    """(rows, columns) float32: blocks' means interpolated to each ``step``-th pixel of a band."""
    down, across = means.shape
    y = np.clip((np.arange(y0, y1, step) + 0.5) * down / shape[0] - 0.5, 0, down - 1)
    x = np.clip((np.arange(0, shape[1], step) + 0.5) * across / shape[1] - 0.5, 0, across - 1)
    top = np.minimum(y.astype(int), max(down - 2, 0))
    left = np.minimum(x.astype(int), max(across - 2, 0))
    v, u = (y - top).astype(np.float32)[:, None], (x - left).astype(np.float32)[None, :]
    below, beside = np.minimum(top + 1, down - 1), np.minimum(left + 1, across - 1)
    rows = means[top] + v * (means[below] - means[top])
    start = rows.take(left, axis=1)
    return start + u * (rows.take(beside, axis=1) - start)

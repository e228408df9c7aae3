"""Ways to look at proofs: before and after with a divider, and a magnifier.

All pure functions of arrays and numbers; drawing and moving are others' business.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from workbench.analysis.proof import Proof, ProofMaker
from workbench.analysis.viewing import viewing
from workbench.colour.engine import transform
from workbench.errors import WorkbenchError
from workbench.language import tr
from workbench.paper_readings import AnyPaper
from workbench.picture import tone
from workbench.picture.picture import Picture
from workbench.picture.reduce import gather, reduce_band
from workbench.rendering import DEFAULTS

_MOST_PIXELS = 16_000_000


def split_view(
    before: np.ndarray,
    after: np.ndarray,
    position: float = 0.5,
    *,
    upright: bool = True,
    line_px: int = 2,
) -> np.ndarray:
    """Two pictures in one, with a divider between them.

    Parameters
    ----------
    before, after : (h, w[, channels]) arrays of the same shape and kind; before is on the
        left, or above.
    position : of the divider, 0 (all after) .. 1 (all before).
    upright : divider from top to bottom; otherwise from left to right.
    line_px : width of the divider, half black and half white so that it shows on any
        picture; 0 for none.  At either end there is none.

    Returns
    -------
    A new array like them.

    Raises
    ------
    WorkbenchError
        if the two do not fit together, or the position is none.
    """
    before, after = np.asarray(before), np.asarray(after)
    if before.shape != after.shape or before.dtype != after.dtype or before.ndim not in (2, 3):
        raise WorkbenchError(
            tr("Before and after must be pictures of the same size and bit depth.")
        )
    try:
        position = float(position)
    except (TypeError, ValueError):
        position = math.nan
    if not 0 <= position <= 1 or line_px < 0:
        raise WorkbenchError(tr("The divider stands between 0 (all after) and 1 (all before)."))
    axis = 1 if upright else 0
    length = before.shape[axis]
    at = round(position * length)
    result = after.copy()
    view, other = np.moveaxis(result, axis, 0), np.moveaxis(before, axis, 0)
    view[:at] = other[:at]
    if 0 < at < length:
        start = max(0, at - (line_px + 1) // 2)
        top = np.iinfo(result.dtype).max if result.dtype.kind == "u" else 1
        view[start:at] = 0 if line_px else view[start:at]
        view[at : at + line_px // 2] = top
    return result


def _resolution(ppi, name: str) -> float:
    try:
        ppi = float(ppi)
    except (TypeError, ValueError):
        ppi = math.nan
    if not 10 <= ppi <= 10_000:
        raise WorkbenchError(
            tr(
                "A screen has between 10 and 10,000 pixels per inch; true size needs the print's "
                "and the screen's."
            )
            if name == "screen"
            else tr(
                "A print has between 10 and 10,000 pixels per inch; true size needs the print's "
                "and the screen's."
            )
        )
    return ppi


def true_size_px(print_px: float, print_ppi: float | None, screen_ppi: float | None) -> float:
    """Screen pixels that are as long as ``print_px`` print pixels are on paper.

    Raises
    ------
    WorkbenchError
        for resolutions outside 10..10,000 ppi.
    """
    return print_px * _resolution(screen_ppi, "screen") / _resolution(print_ppi, "print")


def print_window(
    size_px: tuple[int, int], centre: tuple[float, float], window_px: tuple[int, int]
) -> tuple[int, int, int, int]:
    """Which print pixels a window shows: (x0, y0, x1, y1), always inside the print.

    Parameters
    ----------
    size_px : (width, height) of the print.
    centre : of the window, from (0, 0) upper left to (1, 1) lower right.
    window_px : (width, height) in print pixels; smaller prints are shown whole.

    Raises
    ------
    WorkbenchError
        for sizes under 1 and a centre outside 0..1.
    """
    starts, stops = [], []
    for total, place, wanted in zip(size_px, centre, window_px, strict=True):
        if not (total >= 1 and wanted >= 1 and 0 <= place <= 1):
            raise WorkbenchError(
                tr("A magnifier needs a window of at least 1 pixel and a centre between 0 and 1.")
            )
        wanted = min(int(wanted), int(total))
        start = min(max(round(place * total - wanted / 2), 0), int(total) - wanted)
        starts.append(start)
        stops.append(start + wanted)
    (x0, y0), (x1, y1) = starts, stops
    return x0, y0, x1, y1


@dataclass(frozen=True, eq=False)
class Magnified:
    """A part of the print, the same for each way of printing it.

    Attributes
    ----------
    box : (x0, y0, x1, y1) in print pixels.
    before : (h, w, 3) uint8 or uint16 display pixels without any paper.
    proofs : one `Proof` for each rendering, in their order; every pixel worked out.
    screen_px_per_print_px : 1 at 100 %, otherwise what makes it as large as on paper.
    """

    box: tuple[int, int, int, int]
    before: np.ndarray = field(repr=False)
    proofs: tuple[Proof, ...] = field(repr=False)
    screen_px_per_print_px: float


def magnify(
    picture: Picture,
    paper: AnyPaper,
    renderings=(("relative", True),),
    *,
    centre: tuple[float, float] = (0.5, 0.5),
    window_px: tuple[int, int] = (480, 360),
    read: Callable[[int, int, int, int], np.ndarray] | None = None,
    source: bytes | None = None,
    size_px: tuple[int, int] | None = None,
    print_ppi: float | None = None,
    screen_ppi: float | None = None,
    adaptation: float = DEFAULTS.adaptation,
    reference=DEFAULTS.reference,
    display=DEFAULTS.display,
    bit_depth: int = 8,
) -> Magnified:
    """Print pixels under a magnifier, linked between several renderings.

    Parameters
    ----------
    renderings : (intent, black point compensation) pairs.
    centre : as for `print_window`.
    window_px : (width, height) of the window in screen pixels.
    read : gives print pixels (x0, y0, x1, y1), uint8 or uint16,
        such as ``workbench.output.render.Renderer.pixels``; the picture's own pixels if
        left out.
    source : profile of what ``read`` gives; the picture's own if left out.
    size_px : (width, height) of what ``read`` gives; the picture's own if left out.
    print_ppi, screen_ppi : both, to see the print at its true size; without, each print
        pixel is a screen pixel.
    adaptation, reference, display, bit_depth : as for `proof.soft_proof`.

    Raises
    ------
    UntaggedPictureError, WorkbenchError, ProfileError
    """
    source = source or picture.require_profile()
    way = viewing(adaptation=adaptation, reference=reference, display=display)
    makers = [
        ProofMaker(source, paper.profile, intent, compensate, way, bit_depth=bit_depth)
        for intent, compensate in renderings
    ]
    if not makers:
        raise WorkbenchError(tr("There is nothing to magnify; name at least one intent."))
    factor = 1.0
    if print_ppi is not None or screen_ppi is not None:
        factor = true_size_px(1.0, print_ppi, screen_ppi)
    if read is None:
        read = lambda x0, y0, x1, y1: picture.crop(x0, y0, x1 - x0, y1 - y0)  # noqa: E731
    size_px = (picture.width_px, picture.height_px) if size_px is None else size_px
    across, down = (max(1, round(side / factor)) for side in window_px)
    if across * down > _MOST_PIXELS:
        raise WorkbenchError(tr("The window is too large for a magnifier; make it smaller."))
    box = print_window(size_px, centre, (across, down))
    pixels = read(*box)
    if factor != 1.0:
        pixels = _at_size(pixels, source, factor)
    return Magnified(
        box=box,
        before=_without_paper(pixels, source, way.display.profile, makers[0].dtype),
        proofs=tuple(maker.of(pixels) for maker in makers),
        screen_px_per_print_px=factor,
    )


def _at_size(pixels: np.ndarray, source: bytes, factor: float) -> np.ndarray:
    """Screen pixels, each the mean light of what it covers; enlarged, print pixels are squares."""
    height, width = pixels.shape[:2]
    size = max(1, round(width * factor)), max(1, round(height * factor))
    part = reduce_band(0, pixels, lambda p: tone.to_light(p, source), (width, height), size)
    return tone.from_light(gather([part], size, pixels.shape[2]), source)


def _without_paper(pixels, source: bytes, display: bytes, dtype) -> np.ndarray:
    exact = pixels.astype(np.float32) / np.iinfo(pixels.dtype).max
    shown = np.clip(transform(exact, source, display), 0, 1)
    return np.round(shown * np.iinfo(dtype).max).astype(dtype)

"""A part of a print under a magnifier: its very pixels, each way of printing them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from workbench.analysis.proof_views import Magnified, magnify
from workbench.analysis.sheets import MM_PER_INCH
from workbench.output.adjusted import adjusted_profile
from workbench.output.job import PrintJob
from workbench.output.layout import Layout, layout_of
from workbench.output.render import Renderer
from workbench.picture.kept import kept_while_open
from workbench.picture.picture import Picture
from workbench.planned import Planned
from workbench.rendering import DEFAULTS


@dataclass(frozen=True)
class MagnifiedPrint:
    """What a magnifier shows of a print.

    Attributes
    ----------
    seen : the pixels, see `proof_views.Magnified`.
    frame : (left, top, right, bottom) of the part as shares 0..1 of the picture.
    width_mm, height_mm : of the part on paper.
    ppi : of the print.
    """

    seen: Magnified
    frame: tuple[float, float, float, float]
    width_mm: float
    height_mm: float
    ppi: float


def window_px(job: PrintJob, tile_px: tuple[int, int], screen_ppi: float | None) -> tuple[int, int]:
    """(width, height) in print pixels of what a tile of screen pixels shows.

    Parameters
    ----------
    screen_ppi : of the screen, to see the print as large as on paper; None for a screen
        pixel each.
    """
    factor = 1.0 if screen_ppi is None else screen_ppi / job.ppi
    width, height = (max(1, round(side / factor)) for side in tile_px)
    return width, height


def magnify_print(
    job: PrintJob,
    renderings,
    *,
    centre: tuple[float, float],
    tile_px: tuple[int, int],
    screen_ppi: float | None = None,
    adaptation: float = DEFAULTS.adaptation,
    reference=DEFAULTS.reference,
    display=DEFAULTS.display,
) -> MagnifiedPrint:
    """The same part of a print in several renderings, every pixel worked out.

    Parameters
    ----------
    job : a checked one, with a paper.
    renderings : (intent, black point compensation) pairs.
    centre : from (0, 0) upper left to (1, 1) lower right.
    tile_px, screen_ppi : as for `window_px`.
    adaptation, reference, display : as for `workbench.analysis.proof.soft_proof`.

    Raises
    ------
    SizeError, UntaggedPictureError, WorkbenchError, ProfileError
    """
    layout, picture, paper = layout_of(job), job.picture, job.paper
    assert paper is not None, "a print under a magnifier has a paper"
    across, down = layout.across, layout.down
    # a toned grey picture prints in colour
    source = adjusted_profile(picture.require_profile(), picture.channels, job.adjustments)
    true_size: dict[str, Any] = (
        {} if screen_ppi is None else {"print_ppi": job.ppi, "screen_ppi": screen_ppi}
    )
    seen = magnify(
        picture, paper, renderings, centre=centre, window_px=tile_px,
        read=lambda *box: _pixels(job, box), source=source, size_px=(across.n_out, down.n_out),
        adaptation=adaptation, reference=reference, display=display, **true_size,
    )  # fmt: skip
    x0, y0, x1, y1 = seen.box
    left, right = ((across.start + x * across.length / across.n_out) for x in (x0, x1))
    top, bottom = ((down.start + y * down.length / down.n_out) for y in (y0, y1))
    width, height = picture.width_px, picture.height_px
    frame = left / width, top / height, right / width, bottom / height
    mm = MM_PER_INCH / job.ppi
    return MagnifiedPrint(seen, frame, (x1 - x0) * mm, (y1 - y0) * mm, job.ppi)


def _pixels(job: PrintJob, box: tuple[int, int, int, int]) -> np.ndarray:
    # the picture apart, because a job that is kept would hold it
    how = tuple((name, value) for name, value in vars(job).items() if name != "picture")
    return _kept_pixels(job.picture, how, box)


# eye and display move while the print and the place stay
@kept_while_open(maxsize=1)
def _kept_pixels(picture: Picture, how, box: tuple[int, int, int, int]) -> np.ndarray:
    job = PrintJob(picture, **dict(how))
    return Renderer(job, layout_of(job)).pixels(*box)


def centre_at(job: PrintJob, x: float, y: float) -> tuple[float, float]:
    """Where in the print, as shares 0..1, a place in picture pixels lies."""
    layout = layout_of(job)
    places = ((layout.across, x), (layout.down, y))
    across, down = (min(max((at - axis.start) / axis.length, 0), 1) for axis, at in places)
    return across, down


def place_in_print(plan: Planned, x: float, y: float) -> tuple[float, float]:
    """Where in a plan's print a place of its picture lies, shares of both, kept inside the print."""
    job = PrintJob.from_plan(plan, colours=False)
    return centre_at(job, x * job.picture.width_px, y * job.picture.height_px)


def printed_box(layout: Layout) -> tuple[int, int, int, int]:
    """(x, y, width, height) of what is printed of the picture, in its whole pixels."""
    across, down = layout.across, layout.down
    x, y = round(across.start), round(down.start)
    width, height = round(across.start + across.length) - x, round(down.start + down.length) - y
    return x, y, max(1, width), max(1, height)


def picture_window(job: PrintJob, print_px: tuple[int, int]) -> tuple[int, int]:
    """A window of print pixels in picture pixels."""
    factor = layout_of(job).factor
    width, height = (max(1, round(side / factor)) for side in print_px)
    return width, height

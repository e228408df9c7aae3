"""A part of the print at print pixels, without and with its sharpening.

It is made by the code that writes the file, so that what is judged on the screen is what
goes to the printer.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from workbench.analysis.proof_views import print_window
from workbench.language import tr
from workbench.output.render import Renderer, sharpening_of
from workbench.output.sharpen import Sharpening, sharpening_for
from workbench.output.solved import Solved, solve
from workbench.planned import Planned

_TOP = 65535


@dataclass(frozen=True, eq=False)
class Patch:
    """A part of the print.

    Attributes
    ----------
    box : (x0, y0, x1, y1) in pixels of the printed picture, its mirrored bleed left out.
    before, after : (rows, cols, channels) uint16 in the picture's own space, unsharpened
        and sharpened; `workbench.output.bands.in_file_colours` takes them to the file's.
    sharpening : between the two.
    newly_clipped : values at either end of the scale that were not there before; sharpening
        is made so that there are none.
    """

    box: tuple[int, int, int, int]
    before: np.ndarray = field(repr=False)
    after: np.ndarray = field(repr=False)
    sharpening: Sharpening
    newly_clipped: int

    def sentence(self) -> str:
        """What the sharpening does here, and that nothing clips, in plain words."""
        if not self.sharpening.amount:
            return tr("The print is not sharpened: before and after are the same.")
        moved = np.abs(self.after.astype(np.int32) - self.before).mean() / _TOP
        how = {"moved": 100 * moved, "many": self.after.size}
        if self.newly_clipped:
            return tr(
                "Values here move by {moved:.2g} % of the scale on average; {clipped:,} of {many:,} "
                "values have been pushed to black or white.",
                clipped=self.newly_clipped,
                **how,
            )
        return tr(
            "Values here move by {moved:.2g} % of the scale on average; none of {many:,} values has "
            "been pushed to black or white.",
            **how,
        )


def patch_of(
    plan: Planned | Solved,
    centre: tuple[float, float] = (0.5, 0.5),
    size_px: tuple[int, int] = (400, 300),
) -> Patch:
    """A part of the print, unsharpened and sharpened.

    Parameters
    ----------
    plan : a Plan, a `PrintJob`, or what either was `solve`d to.
    centre : of the part, from (0, 0) top left to (1, 1) of the printed picture.
    size_px : width and height in print pixels; smaller prints are shown whole.

    Where nothing is resampled the pixels are those of the written file; otherwise they
    agree within the rounding of `Renderer.pixels`.

    Raises
    ------
    OutputError, SizeError, UntaggedPictureError, WorkbenchError
    """
    solved = solve(plan)
    job, layout = solved.job, solved.layout
    box = print_window((layout.across.n_out, layout.down.n_out), centre, size_px)
    sharpening = sharpening_of(job, layout)
    none = sharpening_for(job.ppi, strength=None)
    before = Renderer(job, layout, none, whole=False).pixels(*box)
    after = before
    if sharpening.amount:
        after = Renderer(job, layout, sharpening, whole=False).pixels(*box)
    ends = ((after == 0) & (before != 0)) | ((after == _TOP) & (before != _TOP))
    return Patch(box, before, after, sharpening, int(np.count_nonzero(ends)))

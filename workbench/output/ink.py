"""How heavily a picture is inked on a paper, from its own device values.

The values are those that go to the printer.  A CMYK profile's are shares of area under each
ink, and their sum is the total ink of the graphic trade.  An RGB or grey profile leaves the
separation into inks to the driver, which tells nobody; assumed is that each ink is laid down
as its complement is left out: cyan as 1 − red, magenta as 1 − green, yellow as 1 − blue, and
black in place of all three as much as these together (common practice, no source).  What is
assumed counts little where the ink for a square metre is learnt from prints on the same paper.
"""

from __future__ import annotations

from workbench.colour.engine import transform
from workbench.colour.profile import read_profile
from workbench.errors import WorkbenchError
from workbench.output.adjust import as_adjustments
from workbench.output.adjusted import adjusted, adjusted_profile
from workbench.output.job import PrintJob
from workbench.output.layout import Layout
from workbench.picture.kept import kept_while_open
from workbench.picture.picture import Picture

#: Total ink of an average picture: device values in the middle, (1 − 0.5) three times.
AVERAGE_INK = 1.5
# of the small picture that is looked at: enough for a mean within a hundredth
_LOOK_PX = 256


def ink_load(job: PrintJob, layout: Layout) -> float:
    """How heavily the printed part of a picture is inked: 1 as an average picture is.

    Parameters
    ----------
    job : with its paper's profile.
    layout : of it, for the part that is printed.

    Returns
    -------
    Mean total ink over `AVERAGE_INK`: 0 for bare paper, 2 where every pixel is solid black
    in RGB.  1 where it cannot be known: without a profile of picture or paper.

    Examples
    --------
    >>> solved = plan.solved()
    >>> 0 < ink_load(solved.job, solved.layout) < 2
    True
    """
    if job.paper is None:
        return 1.0
    try:
        adjustments = as_adjustments(job.adjustments)
        across, down = layout.across, layout.down
        box = across.start, down.start, across.length, down.length
        # a paper known by readings only has none
        how = job.paper.profile, job.intent, job.black_point_compensation, adjustments
        return mean_ink(job.picture, *how, box) / AVERAGE_INK
    except WorkbenchError:
        return 1.0


@kept_while_open(maxsize=32)
def mean_ink(
    picture: Picture, paper: bytes, intent: str, black_point_compensation: bool, adjustments, box
) -> float:
    """Mean total ink of a part of a picture, 0..4, looked at in small.

    Parameters
    ----------
    picture : a Picture with a profile.
    paper : an ICC profile.
    intent, black_point_compensation, adjustments : how it is printed.
    box : (x, y, width, height) in the picture's pixels.

    Raises
    ------
    WorkbenchError
        for colours that cannot be converted.

    Examples
    --------
    >>> whole = 0, 0, picture.width_px, picture.height_px
    >>> 0 < mean_ink(picture, papers[0].profile, "relative", True, None, whole) < 3
    True
    """
    small = picture.preview(_LOOK_PX)
    scale = small.shape[1] / picture.width_px
    x0, y0 = (int(start * scale) for start in box[:2])
    x1, y1 = (max(first + 1, round((start + length) * scale))
              for first, start, length in zip((x0, y0), box[:2], box[2:], strict=True))  # fmt: skip
    profile = picture.require_profile()
    pixels = adjusted(small[y0:y1, x0:x1], profile, adjustments)
    source = adjusted_profile(profile, picture.channels, adjustments)
    values = transform(pixels, source, paper, intent=intent,
                       black_point_compensation=black_point_compensation)  # fmt: skip
    means = values.reshape(-1, values.shape[-1]).mean(axis=0) / 65535
    space = read_profile(paper).space
    inks = means if space == "CMYK" else 1 - means
    # one value of grey stands for three inks of colour, or for black in their place
    return float(inks.sum() * (3 if space == "GRAY" else 1))

"""A step wedge to be read by eye: fields in the paper's black, in a middle grey and in its white.

In the black bar and in the white one each numbered field is a little further from the bar
than the one before; the reading is the lowest number that can be told from the bar.  In
the middle, solid greys lie in fine lines of black and bare paper; the reading is the number
that vanishes from a distance.  A printer that keeps its tone scale gives the same numbers
month after month, on the same paper, in the same light, to the same eyes; the first reading
is what later ones are held against.  The steps are our own choice; common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from workbench.analysis.words import signed
from workbench.colour.engine import transform
from workbench.colour.lab import lab_to_xyz, triple, xyz_to_lab
from workbench.colour.profile import read_profile
from workbench.colour.spaces import standard_profile
from workbench.errors import PaperError
from workbench.language import LIST_MARK, tr
from workbench.paper import Paper
from workbench.rendering import DEFAULTS

#: the wedge's rows, in the order of the page
#: the rows, and as headings
ROW_NAMES = {"black": tr("Black"), "middle": tr("Middle"), "white": tr("White")}
ROWS = tuple(ROW_NAMES)
#: what is read of each row, in words
READ = {
    "black": tr("the lowest number that you can tell from the black around it"),
    "middle": tr("the number that vanishes among the lines, seen from where these merge"),
    "white": tr("the lowest number that you can tell from the bare paper around it"),
}
_ENDS = (0.5, 1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0)
_MIDDLE = (-9.0, -7.0, -5.0, -3.0, -1.0, 1.0, 3.0, 5.0, 7.0, 9.0)
_RAMP = 4097
#: a change of so many fields is more than the same eyes differ from day to day (common practice, no source)
CHANGE_FIELDS = 2


@dataclass(frozen=True)
class WedgeRow:
    """One bar of the wedge.

    Attributes
    ----------
    name : "black", "middle" or "white".
    around : numbers 0..1 of the bar; of the two lines for the middle.
    fields : numbers 0..1 of each field, (r, g, b), the first is number 1.
    steps : L* by which each is printed lighter than what is around it; below 0, darker.
    """

    name: str
    around: tuple[tuple[float, float, float], ...]
    fields: tuple[tuple[float, float, float], ...]
    steps: tuple[float, ...]

    @property
    def sentence(self) -> str:
        """What the fields differ by, as printed."""
        shown = LIST_MARK.join(f"{n}: {signed(step)}" for n, step in enumerate(self.steps, 1))
        return tr("{name}, L* from what is around: {shown}", name=ROW_NAMES[self.name], shown=shown)


def step_wedge(
    paper: Paper,
    *,
    source=None,
    intent: str = DEFAULTS.intent,
    black_point_compensation: bool = DEFAULTS.black_point_compensation,
) -> tuple[WedgeRow, ...]:
    """The wedge's rows for a paper, each step as its profile says that it prints.

    Parameters
    ----------
    paper : to be printed on; its printer must take RGB.
    source : None for a file in the paper's colours; profile bytes of an RGB space where the
        driver is to convert.
    intent, black_point_compensation : of the driver's conversion.

    Returns
    -------
    Rows for black, middle and white.

    Raises
    ------
    PaperError
        for a paper without a profile, and for printers that take CMYK.

    Examples
    --------
    >>> black, middle, white = wb.step_wedge(papers[0])
    >>> all(step > 0 for step in black.steps) and all(step < 0 for step in white.steps)
    True
    """
    if not isinstance(paper, Paper) or read_profile(paper.profile).space != "RGB":
        raise PaperError(tr("The step wedge needs a paper's profile, of a printer that takes RGB."))
    if source is not None and read_profile(source).space != "RGB":
        source = standard_profile("sRGB")
    level = np.linspace(0, 1, _RAMP)
    if source is None:
        greys = np.zeros((_RAMP, 3))
        greys[:, 0] = 100 * level
        # from the darkest that the table prints to bare paper
        numbers = np.clip(transform(greys, "lab", paper.profile), 0, 1)
        numbers[-1] = 1
        device = numbers
    else:
        numbers = np.repeat(level[:, None], 3, axis=1)
        device = transform(
            numbers, source, paper.profile, intent=intent,
            black_point_compensation=black_point_compensation,
        )  # fmt: skip
    numbers = np.rint(numbers * 65535) / 65535
    printed = transform(device, paper.profile, "lab")
    lightness = np.maximum.accumulate(printed[:, 0])

    def row(name, around, base, steps) -> WedgeRow:
        wanted = np.clip(base + np.array(steps), lightness[0], lightness[-1])
        at = np.clip(np.searchsorted(lightness, wanted), 0, _RAMP - 1)
        return WedgeRow(
            name, tuple(triple(each) for each in around),
            tuple(triple(numbers[each]) for each in at),
            tuple(float(printed[each, 0] - base) for each in at),
        )  # fmt: skip

    mean = xyz_to_lab((lab_to_xyz(printed[0]) + lab_to_xyz(printed[-1])) / 2)
    return (
        row("black", [numbers[0]], printed[0, 0], _ENDS),
        row("middle", [numbers[0], numbers[-1]], mean[0], _MIDDLE),
        row("white", [numbers[-1]], printed[-1, 0], [-step for step in _ENDS]),
    )


@dataclass(frozen=True)
class WedgeReading:
    """What was read of a printed wedge.

    Attributes
    ----------
    read_on : ISO date.
    paper_name : of the sheet.
    black, middle, white : number of the field, 1..10; 0 where none could be told.
    """

    read_on: str
    paper_name: str
    black: int
    middle: int
    white: int


def compare_readings(readings) -> tuple[str, ...]:
    """What a wedge's readings say of the printer, from the first to the last.

    Parameters
    ----------
    readings : `WedgeReading` of one paper, the oldest first.

    Returns
    -------
    Sentences.

    Raises
    ------
    Nothing.

    Examples
    --------
    >>> from workbench.analysis.wedge import WedgeReading
    >>> old, new = (WedgeReading(f"2026-0{m}-01", "Mine", 3, n, 2) for m, n in ((1, 5), (3, 8)))
    >>> wb.compare_readings([old, new])[0].startswith("Middle tones")
    True
    """
    if not readings:
        return (
            tr(
                "Nothing was read of this paper yet: the first reading is what later ones are held against."
            ),
        )
    first, last = readings[0], readings[-1]
    if len(readings) == 1:
        return (
            tr(
                "Read once, on {read_on}: later readings are held against it.",
                read_on=first.read_on,
            ),
        )
    unread = _unread(first, last)
    said = []
    for name, words, up, down in _MEANS:
        moved = _moved(first, last, name)
        if abs(moved) >= CHANGE_FIELDS:
            how = {
                "tones": words,
                "moved": abs(moved),
                "read_on": first.read_on,
                "means": up if moved > 0 else down,
            }
            said.append(
                tr("{tones} moved by {moved} fields since {read_on}: {means}", **how)
                if getattr(first, name) and getattr(last, name)
                else tr("{tones} moved by at least {moved} fields since {read_on}: {means}", **how)
            )
    if said:
        said.append(tr("Print the printer's own nozzle page before anything else is changed."))
    else:
        said.append(
            tr(
                "As on {read_on}, within {change_fields} field: the tone scale has held.",
                read_on=first.read_on,
                change_fields=CHANGE_FIELDS - 1,
            )
        )
    if unread is not None:
        said.append(
            tr(
                "Middle tones are not compared: on {read_on} no number vanished among the lines.",
                read_on=unread.read_on,
            )
        )
    return tuple(said)


def has_moved(readings) -> bool:
    """Whether the last of a wedge's readings differs from the first by `CHANGE_FIELDS` or more.

    Parameters
    ----------
    readings : as for `compare_readings`.

    Examples
    --------
    >>> from workbench.analysis.wedge import WedgeReading, has_moved
    >>> old, new = (WedgeReading(f"2026-0{m}-01", "Mine", 3, n, 2) for m, n in ((1, 5), (3, 8)))
    >>> has_moved([old, new]), has_moved([old])
    (True, False)
    """
    if len(readings) < 2:
        return False
    return any(abs(_moved(readings[0], readings[-1], row)) >= CHANGE_FIELDS for row in ROWS)


def _moved(first: WedgeReading, last: WedgeReading, row: str) -> int:
    """Fields that a row has moved; 0 where it cannot be told."""
    if row == "middle" and _unread(first, last):
        return 0
    # where no field is told from its bar, the first that would be lies beyond the last
    was, now = (getattr(each, row) or len(_ENDS) + 1 for each in (first, last))
    return now - was


def _unread(first: WedgeReading, last: WedgeReading) -> WedgeReading | None:
    """The reading, the later of the two, in whose middle no number vanished; None for neither."""
    return next((each for each in (last, first) if not each.middle), None)


# row, what moved, what a higher and what a lower number means
_MEANS = (
    ("middle", tr("Middle tones"),
     tr("lines print lighter than they did, or solid greys darker."),
     tr("lines print darker than they did, or solid greys lighter; more ink is laid down or it spreads more.")),
    ("black", tr("Shadows"), tr("more of the deepest tones merge."), tr("deep tones can be told apart sooner; the black may have become weaker.")),
    ("white", tr("Highlights"), tr("more of the lightest tones are lost."), tr("light tones print darker than they did.")),
)  # fmt: skip

"""A lecture on paper: a handout, or its exercises alone, as PDF, with the answers or without."""

from __future__ import annotations

import base64
import io

import numpy as np

from workbench.analysis.words import either
from workbench.errors import OutputError
from workbench.figures.job_sheet import wrapped
from workbench.figures.style import FONT, INK, QUIET
from workbench.files import check_target, write_whole
from workbench.language import tr
from workbench.lectures.reading import Step, letter, read_lecture, under_picture

#: width and height in mm: ISO 216, and 8.5 × 11 inches (ASME Y14.1, size A)
SHEETS_MM = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
_MARGIN, _POINT, _LINE = 18.0, 25.4 / 72, 1.35
_WRITING_LINES = 4
_FIGURE_HIGH = 78.0


def write_handout(
    notebook,
    path,
    *,
    sheet: str = "A4",
    answers: bool = False,
    exercises_only: bool = False,
    overwrite: bool = False,
):
    """Write a lecture as a PDF to hand out, made from its notebook.

    Questions have lines to write on; answers stand on a page of their own at the end, if they
    are wanted.

    Parameters
    ----------
    notebook : path of the notebook, or its content as a dict; one without outputs is run first.
    path : of the file; must end in .pdf.
    sheet : "A4" or "Letter".
    answers : whether they are added at the end.
    exercises_only : leave out everything but the guess and the exercises.
    overwrite : a file of that name may be replaced.

    Returns
    -------
    The path written.

    Raises
    ------
    OutputError
        for another sheet or ending, or where it cannot be written.
    FileError, WorkbenchError
        for what is not a notebook, or one that does not run to its end.

    Examples
    --------
    >>> notebook = {"cells": [{"cell_type": "markdown", "source": "# Why?", "outputs": [0]}]}
    >>> wb.write_handout(notebook, folder / "why.pdf", sheet="Letter").name
    'why.pdf'
    """
    if sheet not in SHEETS_MM:
        raise OutputError(
            tr(
                "A handout is made for {listed}, not for “{sheet}”.",
                listed=either(SHEETS_MM),
                sheet=sheet,
            )
        )
    target = check_target(path, overwrite=overwrite)
    if target.suffix.lower() != ".pdf":
        raise OutputError(tr("“{name}” is a handout; let its name end in .pdf.", name=target.name))
    data = handout_pdf(read_lecture(notebook), sheet, answers, exercises_only)
    return write_whole(target, data, overwrite=overwrite)


def handout_pdf(steps: list[Step], sheet: str, answers: bool, exercises_only: bool) -> bytes:
    """The PDF of a lecture's steps; the same bytes for the same lecture."""
    paper = _Paper(SHEETS_MM[sheet])
    paper.text(steps[0].title, 20, bold=True, after=3)
    asked: list[dict] = []
    for step in steps:
        if step.level > 1 and not exercises_only:
            drawn = any(part.get("png") for part in step.parts)
            paper.room(_FIGURE_HIGH + 30 if drawn else 30)
            paper.text(step.title, 13 if step.level == 2 else 11.5, bold=True, before=3, after=1.5)
        for part in step.parts:
            if part["kind"] in ("guess", "exercise"):
                asked.append(part)
                _question(paper, part, len(asked))
            elif not exercises_only:
                _part(paper, part)
    if answers and asked:
        paper.next_page()
        paper.text(tr("Answers"), 16, bold=True, after=3)
        for number, part in enumerate(asked, 1):
            right = f"{letter(part['right'])}. " if part.get("options") else ""
            paper.room(16)
            paper.text(f"{number}   {right}{part['answer']}", 10, after=2.5)
    return paper.pdf(steps[0].title)


def _part(paper: _Paper, part: dict) -> None:
    kind = part["kind"]
    if kind == "words":
        paper.text(part["text"], 10, after=2)
    elif kind == "point":
        paper.text("•  " + part["text"], 10, after=1, indent=4)
    elif kind == "source":
        paper.text(tr("Source: {text}", text=part["text"]), 8.5, quiet=True, before=1, after=2)
    elif kind == "said":
        for sentence in part["sentences"]:
            paper.text("•  " + sentence, 10, after=1, indent=4)
    elif kind in ("figure", "knob") and part.get("png"):
        paper.picture(part["png"])
        if told := under_picture(part):
            paper.text(told, 9, quiet=True, after=2)
    elif kind == "table":
        paper.table(part["heads"], part["rows"])
        if part.get("caption"):
            paper.text(part["caption"], 9, quiet=True, after=2)


def _question(paper: _Paper, part: dict, number: int) -> None:
    paper.room(30)
    paper.text(f"{number}   {part['question']}", 10.5, bold=True, before=1, after=1.5)
    for place, option in enumerate(part.get("options") or ()):
        paper.text(f"{letter(place)}   {option}", 10, after=0.8, indent=6)
    if not part.get("options"):
        for _ in range(_WRITING_LINES):
            paper.line(8)
    paper.y += 2


class _Paper:
    """Pages of one size, filled from the top; lengths in millimetres, type in points."""

    def __init__(self, size_mm: tuple[float, float]):
        self.wide, self.high = size_mm
        self.pages: list = []
        self.next_page()

    def next_page(self) -> None:
        from matplotlib.figure import Figure

        page = Figure(figsize=(self.wide / 25.4, self.high / 25.4), facecolor="white")
        self.axes = page.add_axes((0, 0, 1, 1))
        self.axes.set_axis_off()
        self.axes.set(xlim=(0, self.wide), ylim=(self.high, 0))
        self.pages.append(page)
        self.y = _MARGIN

    def room(self, high: float) -> None:
        """Go on to the next page where less than this is left."""
        if self.y + high > self.high - _MARGIN:
            self.next_page()

    def text(self, text, size, *, bold=False, quiet=False, before=0.0, after=0.0, indent=0.0):
        x, room = _MARGIN + indent, self.wide - 2 * _MARGIN - indent
        self.y += before
        step = size * _LINE * _POINT
        for line in wrapped(text, size, room * 0.985, bold=bold):
            self.room(step)
            self._set(x, self.y + 0.98 * size * _POINT, line, size, bold, quiet)
            self.y += step
        self.y += after

    def _set(self, x, y, line, size, bold=False, quiet=False) -> None:
        self.axes.text(
            x, y, line, fontsize=size, fontfamily=FONT, color=QUIET if quiet else INK,
            fontweight="bold" if bold else "normal", va="baseline", parse_math=False,
        )  # fmt: skip

    def line(self, after: float) -> None:
        self.room(after)
        self.y += after
        self._rule(self.y, "#999999")

    def _rule(self, y: float, colour: str) -> None:
        self.axes.plot([_MARGIN, self.wide - _MARGIN], [y, y], color=colour, linewidth=0.5)

    def picture(self, code: str) -> None:
        from PIL import Image

        with Image.open(io.BytesIO(base64.b64decode(code))) as image:
            image = image.convert("RGB")
            image.thumbnail((1200, 1200))
            pixels = np.asarray(image)
        scale = min((self.wide - 2 * _MARGIN) / pixels.shape[1], _FIGURE_HIGH / pixels.shape[0])
        wide, high = pixels.shape[1] * scale, pixels.shape[0] * scale
        self.room(high + 8)
        self.axes.imshow(
            pixels, extent=(_MARGIN, _MARGIN + wide, self.y + high, self.y), aspect="auto",
            interpolation="none",
        )  # fmt: skip
        self.axes.set(xlim=(0, self.wide), ylim=(self.high, 0))
        self.y += high + 2

    def table(self, heads, rows) -> None:
        """Columns as wide as their longest cell, narrowed alike where there is no room."""
        size, gap = 8.5, 4.0
        whole = self.wide - 2 * _MARGIN
        letters = [max(len(row[n]) for row in [heads, *rows]) for n in range(len(heads))]
        wanted = np.array([min(count, 46) * size * 0.62 * _POINT + gap for count in letters])
        wide = wanted * min(1.0, whole / wanted.sum())
        left = _MARGIN + np.concatenate([[0], np.cumsum(wide)[:-1]])
        step = size * _LINE * _POINT
        for number, row in enumerate([heads, *rows]):
            cells = [
                wrapped(cell, size, room - gap * 0.6, bold=not number)
                for cell, room in zip(row, wide, strict=True)
            ]
            self.room(step * max(map(len, cells)) + 2)
            for x, lines in zip(left, cells, strict=True):
                for place, line in enumerate(lines):
                    y = self.y + place * step + 0.98 * size * _POINT
                    self._set(x, y, line, size, bold=not number)
            self.y += step * max(map(len, cells)) + 1.2
            self._rule(self.y - 0.4, "#cccccc")
        self.y += 2

    def pdf(self, title: str) -> bytes:
        from matplotlib.backends.backend_pdf import PdfPages

        for number, page in enumerate(self.pages, 1):
            page.axes[0].text(
                self.wide - _MARGIN, self.high - 9, f"{number} / {len(self.pages)}", fontsize=8,
                fontfamily=FONT, color=QUIET, ha="right",
            )  # fmt: skip
        out = io.BytesIO()
        # no date, so that the same lecture gives the same file
        with PdfPages(out, metadata={"Title": title, "CreationDate": None}) as pdf:
            for page in self.pages:
                pdf.savefig(page, facecolor="white")
        return out.getvalue()

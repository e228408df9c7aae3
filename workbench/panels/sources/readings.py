"""A paper for which there is no profile: what readings of its white and black tell."""

from __future__ import annotations

import re
from pathlib import PurePath

from workbench.errors import PaperError
from workbench.language import tr
from workbench.panels import parts
from workbench.panels.parts.facts import facts_table
from workbench.panels.sources.words import measured_facts
from workbench.paper_readings import MeasuredPaper, measured_paper, open_measured_paper
from workbench.readings import ILLUMINANTS, reading

FILE_EXTENSIONS = (".txt", ".cgats", ".it8")

_NUMBER = re.compile(r"[-+−]?\d+(?:[.,]\d+)?")


class Readings:
    """A fold: typed readings or a measurement file in, tint, density and contrast out.

    ``paper`` is the latest MeasuredPaper, or None; ``facts`` the table that shows it.  A
    ``plan`` is given it too, for what needs its spectra.
    """

    def __init__(self, front, plan=None):
        self._plan = plan
        self.paper: MeasuredPaper | None = None
        self.status = parts.StatusLine(front)
        safely = parts.guarded(self.status)
        self.white = parts.text(
            front,
            tr("White reading"),
            placeholder=tr("95.2 0.4 -3.1"),
            help=tr("Three numbers read from the bare paper"),
        )
        self.black = parts.text(
            front,
            tr("Black reading"),
            placeholder=tr("16.0 0.2 0.5"),
            help=tr("Three numbers read from the deepest black; may be left empty"),
        )
        self.kind = parts.choice(
            front,
            tr("The numbers are"),
            options=["Lab", "XYZ"],
            help=tr("XYZ with Y = 100 for white"),
        )
        self.illuminant = parts.choice(
            front,
            tr("For the illuminant"),
            options=list(ILLUMINANTS),
            value="D50",
            help=tr("Others than D50 are carried over, and the result is marked as an estimate"),
        )
        self.observer = parts.choice(
            front, tr("And the observer"), options=[("2°", 2), ("10°", 10)], help=tr("Usually 2°")
        )
        work = parts.button(
            front,
            tr("Work it out"),
            safely(self.work_out),
            main=True,
            help=tr("Use the typed readings"),
        )
        self.file = parts.FileChooser(
            front,
            tr("Measurement file (CGATS text)"),
            self._open,
            extensions=FILE_EXTENSIONS,
            help=tr("Spectral or Lab; white and black are found in it, and several are averaged"),
        )
        self.facts = parts.html("")
        typed = parts.row(self.white, self.black, self.kind, self.illuminant, self.observer, work)
        typed.add_class("wb-knobs")
        self.widget = parts.fold(
            tr("A paper without a profile: readings of its white and black"),
            typed,
            self.file,
            self.status,
            self.facts,
            front=front,
        ).widget

    def work_out(self) -> None:
        """Show what the typed readings tell."""
        white, black = self._typed(self.white), self._typed(self.black)
        if white is None:
            raise PaperError(tr("Type the reading of the paper's white: three numbers."))
        self._show(measured_paper(tr("Typed readings"), white, black))

    def _typed(self, field):
        numbers = [
            float(n.replace("−", "-").replace(",", "."))
            for n in _NUMBER.findall(re.sub(r",\s", " ", field.value))
        ]
        if not field.value.strip():
            return None
        if len(numbers) != 3:
            typed = field.value.strip()
            if field is self.white:
                raise PaperError(
                    tr(
                        "The white reading “{typed}” is not three numbers; type them like 95.2 "
                        "0.4 -3.1.",
                        typed=typed,
                    )
                )
            raise PaperError(
                tr(
                    "The black reading “{typed}” is not three numbers; type them like 95.2 0.4 "
                    "-3.1.",
                    typed=typed,
                )
            )
        return reading(
            **{self.kind.value.lower(): numbers},
            illuminant=self.illuminant.value,
            observer_deg=self.observer.value,
        )

    def _open(self, source) -> None:
        stated = {"illuminant": self.illuminant.value, "observer_deg": self.observer.value}
        if isinstance(source, tuple):
            name, data = source
            paper = open_measured_paper(data, PurePath(name).stem, **stated)
        else:
            paper = open_measured_paper(source, **stated)
        self._show(paper)

    def _show(self, paper: MeasuredPaper) -> None:
        self.paper = paper
        if self._plan is not None:
            self._plan.measured_paper = paper
        self.facts.value = facts_table(measured_facts(paper))
        self.status.say(
            tr("Share of a picture outside, tone curves and proofs need a profile of this paper.")
        )

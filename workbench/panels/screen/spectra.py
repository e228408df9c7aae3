"""A fold of the screen panel: the paper's white under other lights, where its spectrum is known."""

from __future__ import annotations

from html import escape

from workbench.analysis.illuminants import TintsUnderLights, tint_under_lights
from workbench.analysis.words import signed
from workbench.colour.difference import delta_e_2000
from workbench.figures.illuminants import IlluminantsFigure
from workbench.language import numeral, tr
from workbench.panels import parts
from workbench.panels.parts.facts import facts_table
from workbench.panels.view import View
from workbench.paper_readings import spectral_white

NO_SPECTRA = tr(
    "Add spectral readings of the bare paper under Paper, Shelf to see its tint under other lights."
)
# a reading further from the chosen paper's white is another sheet's, or another instrument's
# (CIEDE2000; common practice, no source)
_ANOTHER_SHEET = 2.0


def paper_with_spectra(*papers):
    """The first of these papers that has a spectrum of its white; None where none has."""
    return next((paper for paper in papers if spectral_white(paper) is not None), None)


def tints(request, cancelled, progress):
    """The first of the papers that has a spectrum, and its tints; None where none has."""
    *papers, observer = request
    paper = paper_with_spectra(*papers)
    return None if paper is None else (paper, tint_under_lights(paper, observer=observer))


class SpectraFold:
    """Behind a title: a sentence, a plot and a table; or how to get there.

    Its ``view`` is the panel's to show, and works things out only while the fold is open.
    ``result`` is what is shown, or None.
    """

    def __init__(self, panel):
        front, self._plan = panel.front, panel.plan
        self.result: TintsUnderLights | None = None
        self.none = parts.html(NO_SPECTRA, "wb-muted")
        self.observer = parts.choice(
            front, tr("Observer"), options=[(tr("2°, as all figures here"), 2), ("10°", 10)],
            help=tr("2° is what profiles are made for; 10° is nearer to a large sheet seen as a whole"),
        )  # fmt: skip
        self.answer = parts.Sentence(tr("This paper's white under other lights"))
        self.plot = parts.PlotView(front, IlluminantsFigure(), tr("The white under other lights"))
        self.table, self.caveat = parts.html(""), parts.html("", "wb-muted")
        self.found = parts.column(self.answer, self.observer, self.plot, self.table, self.caveat)
        self.found.layout.display = "none"
        self.fold = parts.fold(
            tr("The paper under other lights, from its spectrum"),
            self.none,
            self.found,
            front=front,
        )
        self.widget = self.fold.widget
        panel.look(self.fold, self.observer)
        self.view = View("spectra", self._request, tints, self._show, parts.FINER, keep=2)

    def _request(self) -> tuple | None:
        # the chosen paper's own spectrum goes before that of the readings opened last
        if not self.fold.opened:
            return None
        return self._plan.paper, self._plan.measured_paper, self.observer.value

    def _show(self, found) -> None:
        self.none.layout.display = "" if found is None else "none"
        self.found.layout.display = "none" if found is None else ""
        if found is None:
            self.result = None
            return
        paper, self.result = found
        result = self.result
        chosen = self._plan.paper
        self.answer.label = tr("{paper}: its white under other lights", paper=result.name)
        self.answer.say(result.sentence, mark=tr("spectra"), detail=_whose(paper, chosen))
        self.plot.show(result, alt=self.plot.figure.alt_text(result))
        self.table.value = tints_html(result)
        parts.set_html(self.caveat, result.caveat, "wb-muted")


def _whose(paper, chosen) -> str:
    """Which sheet was read, where it is not the chosen paper's own reading."""
    if paper is chosen:
        return tr("By the readings that this paper's profile was made from.")
    how = {"read": paper.name, "paper": chosen.name}
    if not chosen.white_is_known:
        return tr(
            "By the readings opened as “{read}”; the white of {paper} is not known, so see that "
            "it is the same sheet.",
            **how,
        )
    away = float(delta_e_2000(spectral_white(paper).lab, chosen.white_lab))
    if away <= _ANOTHER_SHEET:
        return tr(
            "By the readings opened as “{read}”, whose white is that of {paper} to {away:.1f} "
            "CIEDE2000.",
            away=away,
            **how,
        )
    return tr(
        "By the readings opened as “{read}”. Their white lies {away:.1f} CIEDE2000 from that of "
        "{paper}: another sheet, or another instrument.",
        away=away,
        **how,
    )


def tints_html(result: TintsUnderLights) -> str:
    """HTML table of the tints, one row a light."""
    table = facts_table(
        [
            (
                tint.name,
                f"{tint.about}, {round(tint.cct_k, -2):.0f} K",
                tint.tint,
                f"a* {signed(tint.lab[1])}, b* {signed(tint.lab[2])}",
                "—" if tint is result.d50 else numeral(tint.shift_ciede2000, ".1f"),
            )
            for tint in result.tints
        ],
        (
            tr("Light"),
            tr("What it is"),
            tr("Tint"),
            tr("To an eye adapted to it"),
            tr("Away from D50"),
        ),
        css="wb-facts-lights",
    )
    note = tr(
        "a* and b* are relative to each light's own white. Away from D50: CIEDE2000 "
        "after the {adaptation} transform. Lights and observers: CIE 15:2018; sums: "
        "ASTM E308.",
        adaptation=result.adaptation,
    )
    return f'{table}<div class="wb-muted">{escape(note)}</div>'

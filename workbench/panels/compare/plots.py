"""The side-by-side panel's plots: tone curves, gamuts at a lightness, whites as a fan."""

from __future__ import annotations

from workbench.analysis.black import tone_curve
from workbench.colour.shell import gamut_shell
from workbench.figures.compare import CurvesFigure, Fan, FanFigure, Named, SlicesFigure
from workbench.figures.compare_view import eye_for
from workbench.language import tr
from workbench.panels import parts
from workbench.panels.view import View


class ComparePlots:
    """Plots and the slider of the slice.

    Parameters
    ----------
    owner : the panel, with the papers to show and their numbers.
    """

    def __init__(self, owner):
        self._owner, front = owner, owner.front
        self.curves = parts.PlotView(front, CurvesFigure(), tr("Tone curves of the papers"))
        self.slices = parts.PlotView(front, SlicesFigure(), tr("Gamuts of the papers"))
        self.lightness = parts.slider(
            front, tr("Cut at lightness"), value=50, min=1, max=99, unit="L*",
            help=tr("Where the gamuts are cut; dark colours lie low, light ones high"),
        )  # fmt: skip
        owner.look(self.lightness)
        self.fan = parts.PlotView(front, FanFigure(), tr("The papers' whites as swatches"))
        self.body = [
            self.curves,
            parts.row(parts.column(self.slices, self.lightness), self.fan),
        ]

    def shows(self) -> tuple[View, ...]:
        """The panel's views of its plots."""
        return (
            View("fan", self._whites, fan_of, self._show_fan, forget=lambda: _hide(self.fan)),
            View("curves", self._way, curves_of, self._show_curves,
                 forget=lambda: _hide(self.curves)),
            View("slices", self._cut, slices_of, self._show_slices,
                 forget=lambda: _hide(self.slices)),
        )  # fmt: skip

    def _whites(self) -> tuple | None:
        owner, plan = self._owner, self._owner.plan
        known = tuple(paper for paper in owner.papers if paper.white_is_known)
        numbers = tuple(owner.numbers[id(paper)] for paper in known)
        return (known, numbers, plan.reference, plan.adaptation, plan.paper) if known else None

    def _way(self) -> tuple | None:
        plan = self._owner.plan
        named = self._named()
        return named and (*named, plan.picture, plan.intent, plan.black_point_compensation)

    def _cut(self) -> tuple | None:
        named = self._named()
        return named and (*named, self.lightness.value)

    def _named(self) -> tuple | None:
        """Papers that have a profile, their names with numbers, and their styles."""
        owner = self._owner
        papers, numbers = tuple(owner.with_profile), owner.numbers
        if not papers:
            return None
        places = {id(paper): place for place, paper in enumerate(owner.papers)}
        names = tuple(f"{numbers[id(paper)]}. {paper.name}" for paper in papers)
        return papers, names, tuple(places[id(paper)] for paper in papers)

    def _show_fan(self, fan: Fan) -> None:
        self.fan.show(fan, alt=self.fan.figure.alt_text(fan))
        self.fan.widget.layout.display = ""

    def _show_curves(self, named: Named) -> None:
        self.curves.show(named, alt=self.curves.figure.alt_text(named))
        self.curves.widget.layout.display = ""

    def _show_slices(self, found: tuple[Named, float]) -> None:
        self.slices.show(found, alt=self.slices.figure.alt_text(*found))
        self.slices.widget.layout.display = ""


def fan_of(asked: tuple) -> Fan:
    """The whites that are known, as the one eye sees them."""
    papers, numbers, reference, adaptation, adapted_to = asked
    eye = eye_for(papers, reference=reference, adaptation=adaptation, adapted_to=adapted_to)
    names = tuple(paper.name for paper in papers)
    return Fan(
        names, numbers, eye.whites_rgb, eye.whites_lab, eye.beside, eye.beside_rgb, eye.beside_lab
    )


def curves_of(asked: tuple) -> Named:
    """How each paper prints the greys of the picture's space."""
    papers, names, styles, picture, intent, compensate = asked
    way = {"intent": intent, "black_point_compensation": compensate}
    return Named(names, tuple(tone_curve(paper, picture, **way) for paper in papers), styles)


def slices_of(asked: tuple) -> tuple[Named, float]:
    """The gamuts, and where they are cut."""
    papers, names, styles, lightness = asked
    return Named(names, tuple(gamut_shell(paper.profile) for paper in papers), styles), lightness


def _hide(plot) -> None:
    plot.widget.layout.display = "none"

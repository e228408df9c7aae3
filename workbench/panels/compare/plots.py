"""The side-by-side panel's plots: tone curves, gamuts at a lightness, whites as a fan."""

from __future__ import annotations

from workbench.analysis.black import tone_curve
from workbench.colour.shell import gamut_shell
from workbench.figures.compare import CurvesFigure, Fan, FanFigure, Named, SlicesFigure
from workbench.panels import parts


class ComparePlots:
    """Plots and the slider of the slice.

    Parameters
    ----------
    owner : the panel, with the papers to show and their numbers.
    """

    def __init__(self, owner):
        self._owner, front = owner, owner.front
        self.curves = parts.PlotView(front, CurvesFigure(), "Tone curves of the papers")
        self.slices = parts.PlotView(front, SlicesFigure(), "Gamuts of the papers")
        self.lightness = parts.slider(
            front, "Cut at lightness", value=50, min=1, max=99, unit="L*",
            help="Where the gamuts are cut; dark colours lie low, light ones high",
        )  # fmt: skip
        self.lightness.on_change(owner.safely(lambda value: owner.cut()))
        self.fan = parts.PlotView(front, FanFigure(), "The papers' whites as swatches")
        self.body = [
            self.curves,
            parts.row(parts.column(self.slices, self.lightness), self.fan),
        ]

    def show_fan(self) -> None:
        """The whites that are known, as the view's eye sees them."""
        owner = self._owner
        known = [paper for paper in owner.papers if paper.white_is_known]
        self.fan.widget.layout.display = "" if known else "none"
        if not known:
            return
        eye = owner.view.eye(known)
        numbers = tuple(owner.numbers[id(p)] for p in known)
        names = tuple(p.name for p in known)
        fan = Fan(
            names,
            numbers,
            eye.whites_rgb,
            eye.whites_lab,
            eye.beside,
            eye.beside_rgb,
            eye.beside_lab,
        )
        self.fan.show(fan, alt=self.fan.figure.alt_text(fan))

    def show_curves(self) -> None:
        """How each paper prints the greys of the picture's space."""
        plan = self._owner.plan
        for plot in (self.curves, self.slices):
            plot.widget.layout.display = "" if self._owner.with_profile else "none"
        if self._owner.with_profile:
            named = self._named(lambda paper: tone_curve(paper, plan.picture, **plan.rendering))
            self.curves.show(named, alt=self.curves.figure.alt_text(named))

    def show_slices(self) -> None:
        """The gamuts, cut where the slider stands."""
        if self._owner.with_profile:
            shells, cut = (
                self._named(lambda paper: gamut_shell(paper.profile)),
                self.lightness.value,
            )
            self.slices.show((shells, cut), alt=self.slices.figure.alt_text(shells, cut))

    def _named(self, make) -> Named:
        """Something of each paper that has a profile, in the paper's own style."""
        owner = self._owner
        papers, numbers = owner.with_profile, owner.numbers
        styles = {id(paper): place for place, paper in enumerate(owner.papers)}
        return Named(
            tuple(f"{numbers[id(p)]}. {p.name}" for p in papers),
            tuple(make(p) for p in papers),
            tuple(styles[id(p)] for p in papers),
        )

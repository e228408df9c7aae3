"""The proof panel: the print on a display, what neither can hold, and which intent to take."""

from __future__ import annotations

import ipywidgets as widgets

from workbench.analysis.gamut import gamut_report
from workbench.analysis.intents import compare_intents
from workbench.analysis.proof_maps import LimitShares, limit_shares, step_shares
from workbench.analysis.viewing import find_display
from workbench.figures.on_paper import size_on_paper
from workbench.figures.proof import DifferenceFigure
from workbench.figures.proof_picture import (
    DIFFERENCE,
    LIMITED,
    SPLIT,
    Proofed,
    proof_picture,
    proof_scene,
)
from workbench.language import tr
from workbench.panels import parts
from workbench.panels.panel import Panel
from workbench.panels.print_knobs import lone_row
from workbench.panels.proof.controls import DisplayChooser, divider_slider, view_choice
from workbench.panels.proof.magnifier import Magnifier
from workbench.panels.proof.words import (
    advice_words,
    caption,
    intents_html,
    limits_legend,
    shares_words,
)
from workbench.panels.view import View
from workbench.panels.white.controls import EyeControls
from workbench.plan import JOB_TRAITS

# CSS pixels; finer screens get more, up to as many picture pixels
PREVIEW_PX, _TALL_PX, _MOST_PX = 640, 520, 900
_REST_S = 0.2  # nothing moves: time for what is slow


class ProofPanel(Panel):
    """Soft proof: picture and print, their difference, their limits, and the intents."""

    # the magnifier shows print pixels
    watch = (*JOB_TRAITS, "threshold", "reference", "adaptation", "display", "screen_ppi")

    # building ---------------------------------------------------------------

    def build(self) -> list:
        front = self.front
        self._frame = None  # where the magnifier stands
        self._exact: tuple = (None, None)  # exact maps, and what they are of
        self._table = None
        eye = EyeControls(self)
        self.adaptation, self.reference = eye.adaptation, eye.reference
        self.reference.widget.layout.width = "260px"
        self.view, self.divider = self.look(view_choice(front), divider_slider(front))
        self.display = DisplayChooser(self.plan, front, self.status)
        self.picture = parts.LiveView(front, changed=self._changed, plan=self.plan)
        self.picture.link("divider", self.divider.slider, 100)
        self.shares = parts.Sentence(tr("Out of gamut: paper and display"))
        self.legend = parts.PlotView(
            front, DifferenceFigure(), tr("Difference from picture to print")
        )
        self.limits = widgets.HTML(limits_legend())
        self.advice = parts.Sentence(tr("Which intent for this picture"))
        self.table = widgets.HTML()
        self.magnifier = Magnifier(self, self._frame_at)
        self._arrange(SPLIT)
        return [
            *lone_row(self),
            eye.row,
            parts.row(self.view, self.display.choice),
            self.display.taken,
            self.display.own,
            self.picture,
            self.divider,
            self.limits,
            self.legend,
            self.shares,
            self.advice,
            self.table,
            parts.heading(tr("Under the magnifier: the same part of the print, each way"), 4),
            self.magnifier,
        ]

    # what it shows ----------------------------------------------------------

    def shows(self):
        rest = {"lane": parts.FINER, "rest_s": _REST_S}
        return (
            View("parts", lambda: self.view.value, str, self._arrange),
            View("picture", self._picture, _pictured, self._show_picture),
            self.picture.place_told(self.plan),
            View("maps", self._mapped, _exact_maps, self._take_maps, keep=2, **rest),
            View("shares", self._shared, _shares, self._show_shares, **rest),
            View(
                "intents", self._compared, _intents, self._take_table, parts.WHOLE,
                doing=tr("Comparing the intents"),
            ),
            View("table", self._tabled, tuple, self._show_table),
            # last: it waits until nothing moves
            View("magnifier", self.magnifier.request, self.magnifier.compute, self.magnifier.show,
                 **rest),
        )  # fmt: skip

    def _arrange(self, view: str) -> None:
        """Show what belongs to the view."""
        for item, of in ((self.divider, SPLIT), (self.limits, LIMITED), (self.legend, DIFFERENCE)):
            widget = item if isinstance(item, widgets.Widget) else item.widget
            widget.layout.display = "" if view == of else "none"

    # the picture

    def _proofed(self) -> Proofed:
        picture = self.plan.picture
        shape = picture.width_px / picture.height_px
        wide = min(PREVIEW_PX, _TALL_PX * shape)
        return Proofed.of(self.plan, min(_MOST_PX, self.fine(max(wide, wide / shape))))

    def _picture(self) -> tuple:
        proofed, view = self._proofed(), self.view.value
        maps = self._exact[1] if view != SPLIT and self._exact[0] == proofed else None
        divider = self.divider.value / 100 if view == SPLIT else 0.0
        size = size_on_paper(self.plan) if self.picture.live else None
        return proofed, view, divider, self._frame, maps, size, bool(self.plan.adjustments)

    def _show_picture(self, drawn: tuple) -> None:
        proofed, view, pixels, maps = drawn
        exact = maps is not None and maps.exact
        mark = tr("preview, every pixel") if exact else tr("preview")
        display = find_display(proofed.rendering.display)
        self.picture.profile = display.profile if view == SPLIT else None
        said = caption(proofed, view, maps)
        if self.plan.adjustments:
            said = f"{said} {parts.BEFORE}"
        self.picture.show(pixels, alt=said)
        self.picture.set_caption(
            tr("{said} The frame is the magnifier's place.", said=said), mark=mark
        )
        if view == DIFFERENCE:
            shares = step_shares(maps.difference)
            self.legend.show(shares, alt=self.legend.figure.alt_text(shares))

    def _mapped(self) -> Proofed | None:
        drawn = (SPLIT, LIMITED) if self.picture.live else (SPLIT,)
        return None if self.view.value in drawn else self._proofed()

    def _take_maps(self, found: tuple) -> None:
        self._exact = found
        self._changed(found)

    def _frame_at(self, box) -> None:
        """The magnifier stands elsewhere."""
        self._frame = box
        self._changed(box)

    # shares and intents

    def _shared(self) -> tuple:
        plan = self.plan
        report = self.front.counting.of(
            gamut_report, plan.picture, plan.paper, threshold=plan.threshold
        )
        return self._proofed(), report, bool(plan.adjustments)

    def _show_shares(self, found: tuple[LimitShares, str, bool]) -> None:
        shares, display, adjusted = found
        sentence, detail = shares_words(shares, display)
        if adjusted:
            detail = f"{detail} {parts.BEFORE}"
        self.shares.say(sentence, parts.count_mark(shares.exact), detail)

    def _compared(self) -> tuple:
        return self.plan.picture, self.plan.paper, self.plan.threshold

    def _take_table(self, found: tuple) -> None:
        self._table = found
        self._changed(found)

    def _tabled(self) -> tuple:
        of, table = self._table or (None, None)
        return table if of == self._compared() else None, *self.plan.rendering.way.values()

    def _show_table(self, found: tuple) -> None:
        table, *way = found
        said = (tr("Being worked out …"),)
        if table is not None:
            advice, reason = advice_words(table)
            said = advice, parts.count_mark(table.gamut.exact), reason
        self.advice.say(*said)
        self.table.value = intents_html(table, *way)


def _pictured(request: tuple) -> tuple:
    proofed, view, divider, frame, maps, size, _ = request
    if size is not None:
        scene = proof_scene(proofed, view, divider=divider, frame=frame, size=size)
        # the legend counts as before
        return proofed, view, scene, (maps or proofed.maps()) if view == DIFFERENCE else None
    pixels, maps = proof_picture(proofed, view, divider=divider, frame=frame, maps=maps)
    return proofed, view, pixels, maps


def _exact_maps(proofed: Proofed, cancelled, progress) -> tuple:
    return proofed, proofed.maps(exact=True)


def _shares(request: tuple, cancelled, progress) -> tuple[LimitShares, str, bool]:
    proofed, report, adjusted = request
    rendering = proofed.rendering
    shares = limit_shares(
        proofed.picture, proofed.paper, **rendering, **proofed.seen,
        threshold=rendering.threshold, counts=report.counts, exact=report.exact,
        cancelled=cancelled,
    )  # fmt: skip
    return shares, find_display(rendering.display).name, adjusted


def _intents(request: tuple, cancelled, progress) -> tuple:
    picture, paper, threshold = request
    found = compare_intents(
        picture, paper, threshold=threshold, cancelled=cancelled, progress=progress
    )
    return request, found

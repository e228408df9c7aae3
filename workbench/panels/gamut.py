"""The gamut panel: what of the picture this paper cannot hold, where, how far, and why."""

from __future__ import annotations

from html import escape

import numpy as np

from workbench.analysis.colours import (
    distance_map,
    gathered,
    preview_trip,
    quick_colours,
    trip_key,
)
from workbench.analysis.gamut import GamutReport, GamutTally, gamut_tally, known_tally
from workbench.analysis.proof import picture_grid, proof_grid
from workbench.analysis.words import percent
from workbench.colour.engine import INTENTS
from workbench.colour.shell import gamut_shell
from workbench.figures import style
from workbench.figures.gamut import DistributionFigure, ReasonsFigure
from workbench.figures.gamut_solid import GamutView, SliceFigure, SolidFigure
from workbench.panels import parts
from workbench.panels.panel import Panel

PREVIEW_PX = 620
_MOST_PX = 900

INTENT_NAMES = {
    "relative": "relative colorimetric",
    "perceptual": "perceptual",
    "saturation": "saturation",
    "absolute": "absolute colorimetric",
}
# every way to print, as (intent, black point compensation)
WAYS = tuple(
    (intent, on)
    for intent in INTENT_NAMES
    for on in ((False,) if intent == "absolute" else (False, True))
)
OVERLAY_COLOURS = (
    ("vermilion", style.VERMILION),
    ("orange", style.ORANGE),
    ("yellow", style.YELLOW),
    ("sky blue", style.SKY),
    ("blue", style.BLUE),
    ("pink", style.PURPLE),
    ("black", "#000000"),
    ("white", "#ffffff"),
)
_MOVES_ALL = ("perceptual", "saturation")


class GamutPanel(Panel):
    """Share, place, distance, hue and reason of what lies beyond the paper."""

    title = "Gamut"
    watch = (
        "picture",
        "paper",
        "papers",
        "other_paper",
        "intent",
        "black_point_compensation",
        "threshold",
    )

    # building -------------------------------------------------------------

    def build(self) -> list:
        front = self.front
        self._key = self._tally = self._settled = self._seen = None
        self._rows, self._rows_of = (), None
        self._base, self._base_of = None, None
        self.share = parts.Sentence("Beyond this paper")
        self.far = parts.Sentence("How far")
        self.reason = parts.Sentence("Why")
        self._build_controls()
        self.picture = parts.PictureView(front, alt="The picture")
        self.distribution = parts.PlotView(front, DistributionFigure(), alt="Distances")
        self.reasons = parts.PlotView(front, ReasonsFigure(), alt="Reasons")
        self.slice = parts.PlotView(front, SliceFigure(), alt="Slice of the gamut")
        self.solid = parts.PlotView(front, SolidFigure(), alt="The gamut as a body")
        self.dots_note = parts.html(
            "Each dot is a group of nearly equal colours of the whole picture, larger for more "
            "pixels, as the intent sends them to the paper.",
            "wb-muted",
        )
        self.table = parts.html("")
        own = [self.intent, self.compensation] if self.alone else []
        controls = parts.column(
            *own,
            self.threshold,
            self.overlay,
            self.overlay_of,
            self.overlay_colour,
            self.base,
        )
        front.observe(self.safely(lambda change: self._ratio_changed()), "pixel_ratio")
        return [
            self.share,
            parts.row(self.far, self.reason),
            parts.row(self.picture, controls),
            parts.row(self.distribution, self.reasons),
            parts.row(
                parts.column(self.slice, self.lightness, self.other),
                parts.column(self.solid, self.turn, self.tilt),
            ),
            self.dots_note,
            parts.heading("Every way to print", 4),
            self.table,
        ]

    def _build_controls(self) -> None:
        front = self.front
        self.intent = self.bind(
            parts.choice(
                front,
                "Rendering intent",
                options=[(INTENT_NAMES[i], i) for i in INTENTS],
                value=self.plan.intent,
                help="How colours that the paper cannot hold are brought into it",
            ),
            "intent",
        )
        self.compensation = self.bind(
            parts.tick(
                front,
                "Black point compensation",
                help="Fit the picture's blacks to the paper's, so that shadows do not merge",
            ),
            "black_point_compensation",
        )
        self.threshold = self.bind(
            parts.slider(
                front,
                "Count as beyond from",
                value=2.0,
                min=0.5,
                max=20,
                step=0.1,
                unit="CIEDE2000",
                typed=(0.1, 50),
                help="How far a colour must lie beyond the paper to count; 1 is about the "
                "smallest difference seen side by side, 5 is plain to see",
            ),
            "threshold",
        )
        self.overlay = parts.tick(
            front, "Show where, over the picture", value=True, help="Colour what is counted"
        )
        self.overlay_of = parts.choice(
            front,
            "The colour marks",
            options=[("what lies beyond the paper", "beyond"), ("what the print moves", "moved")],
            help="Beyond: the paper has no such colour. Moved: the print differs from the "
            "picture, whether it must or the intent does so on purpose",
        )
        self.overlay_colour = parts.choice(
            front, "Colour of the marks", options=list(OVERLAY_COLOURS),
            help="Choose one that the picture does not hold",
        )  # fmt: skip
        self.base = parts.choice(
            front,
            "Picture below the marks",
            options=[("as it is", "picture"), ("as it will print", "print")],
            help="As it will print, to an eye that takes the paper for white",
        )
        for control in (self.overlay, self.overlay_of, self.overlay_colour, self.base):
            control.on_change(self.safely(lambda value: self._when_ready(self._show_picture)))
        self.lightness = parts.slider(
            front, "Lightness of the slice", value=50, min=0, max=100, unit="L*",
            help="The slice shows colours within 2.5 of this lightness",
        )  # fmt: skip
        self.lightness.on_change(self.safely(lambda value: self._when_ready(self._cut)))
        self.turn = parts.slider(
            front, "Turn", value=30, min=0, max=360, step=2, unit="degrees",
            help="Turns the body around its lightness axis",
        )  # fmt: skip
        self.tilt = parts.slider(
            front, "Tilt", value=25, min=0, max=90, unit="degrees",
            help="0 looks from the side, 90 from above",
        )  # fmt: skip
        for control in (self.turn, self.tilt):
            control.on_change(self.safely(lambda value: self._when_ready(self._show_solid)))
        self.other = parts.choice(
            front, "Outline of another paper", options=[("none", None)],
            help="Drawn dashed in the slice",
        )  # fmt: skip
        self.other.on_change(self.safely(self._choose_other))

    def _choose_other(self, index) -> None:
        self.plan.other_paper = None if index is None else self.plan.papers[index]

    def _offer_others(self) -> None:
        plan = self.plan
        options = [("none", None)] + [
            (f"{number}. {paper.name}", number - 1)
            for number, paper in enumerate(plan.papers, 1)
            if paper is not plan.paper
        ]
        chosen = next(
            (i for i, p in enumerate(plan.papers) if p is plan.other_paper and p is not plan.paper),
            None,
        )
        offered = (tuple(options), chosen)
        if offered != getattr(self, "_offered", None):
            self._offered = offered
            self.other.replace(options, chosen)

    # following ------------------------------------------------------------

    def follow(self) -> None:
        plan = self.plan
        self._offer_others()
        key = trip_key(plan.picture, plan.paper, plan.intent, plan.black_point_compensation)
        if key == self._key:
            self._show_report()
            self._later()
            return
        plan.picture.require_profile()
        self._submit(key)
        self._key, self._settled = key, None
        self._tally = known_tally(plan.picture, plan.paper, **plan.rendering) or gamut_tally(
            plan.picture, plan.paper, **plan.rendering, exact=False
        )
        self._gather()
        self._show_report()
        self._show_slice()
        self._show_solid()
        self._show_table()

    def _submit(self, key) -> None:
        """Hand over what takes long: first the table of all ways, then every pixel."""
        picture, paper, how, px = self.plan.picture, self.plan.paper, self.plan.rendering, self._px

        def rows(cancelled, progress):
            found = []
            for intent, on in WAYS:
                if cancelled():
                    break
                found.append(
                    gamut_tally(
                        picture, paper, intent=intent, black_point_compensation=on, exact=False
                    )
                )
            return found

        def every_pixel(cancelled, progress):
            trip = preview_trip(picture, paper, *how.values(), px)
            maps = {"beyond": trip.beyond, "moved": trip.moved}
            tally = gamut_tally(picture, paper, **how, cancelled=cancelled, progress=progress)
            return key, tally, maps

        if self._rows_of != key[:2]:
            self._rows, self._rows_of = (), key[:2]
            self.worker.submit("gamut, every way", rows, self._rows_done, status=self.status)
        self.worker.submit(
            "gamut, every pixel",
            every_pixel,
            self._counted,
            lambda fraction, text: self.status.working("Counting every pixel", fraction),
            status=self.status,
        )

    def _rows_done(self, tallies) -> None:
        self._rows = tuple(tallies)
        self._show_table()

    def _counted(self, result) -> None:
        key, tally, maps = result
        if key == self._key:
            self._tally, self._settled = tally, maps
            self._show_report()

    def _when_ready(self, show) -> None:
        if self._tally is not None:
            show()

    def _later(self) -> None:
        """Bring what the threshold touches least up to date once it rests."""
        self.worker.submit(
            "gamut, views",
            lambda cancelled, progress: None,
            lambda _: (self._show_slice(), self._show_solid(), self._show_table()),
            status=self.status,
        )

    def _cut(self) -> None:
        self._show_slice()
        self.worker.submit(
            "gamut, ring",
            lambda cancelled, progress: None,
            lambda _: self._show_solid(),
            status=self.status,
        )

    def _ratio_changed(self) -> None:
        self._settled = None
        self._when_ready(self._show_picture)

    # showing --------------------------------------------------------------

    @property
    def _px(self) -> int:
        return min(_MOST_PX, round(PREVIEW_PX * max(self.front.pixel_ratio, 1)))

    def _report(self) -> GamutReport:
        return self._tally.report(self.plan.threshold)

    def _show_report(self) -> None:
        report = self._report()
        mark = "whole picture" if report.exact else "preview"
        self.share.say(report.sentence, mark, _counted_words(report))
        self.far.say(report.far_sentence, mark, _far_words(report))
        self.reason.say(report.why_sentence, mark, _moved_words(report))
        for view in (self.distribution, self.reasons):
            view.show(report, alt=view.figure.alt_text(report))
        self._show_picture(report)

    def _show_picture(self, report: GamutReport | None = None) -> None:
        report = report or self._report()
        plan, px, of = self.plan, self._px, self.overlay_of.value
        pixels = self._picture_below(px)
        share = report.share_outside if of == "beyond" else report.share_moved
        if not self.overlay.value:
            self.picture.show(pixels, alt=self._below_words())
            self.picture.set_caption(self._below_words(), mark="preview")
            return
        if self._settled is not None and self._settled[of].shape == pixels.shape[:2]:
            distance = self._settled[of]
        else:
            distance = distance_map(
                plan.picture, plan.paper, **plan.rendering, long_side_px=px, exact=False, of=of
            )
        name = dict((v, k) for k, v in OVERLAY_COLOURS)[self.overlay_colour.value]
        does = "lies beyond the paper" if of == "beyond" else "is moved by the print"
        words = f"{name.capitalize()} marks what {does}: {percent(share)} of the picture"
        self.picture.show(
            marked(pixels, distance, report.limit, self.overlay_colour.value),
            alt=f"{self._below_words()}. {words}.",
        )
        self.picture.set_caption(f"{words}; stronger where further.", mark="preview")

    def _picture_below(self, px: int) -> np.ndarray:
        plan, printed = self.plan, self.base.value == "print"
        of = (px, self._key if printed else plan.picture)
        if self._base_of != of:
            source = plan.picture.require_profile()
            grid = (
                proof_grid(source, plan.paper.profile, adaptation=1.0, **plan.rendering)
                if printed
                else picture_grid(source)
            )
            self._base, self._base_of = grid.apply(plan.picture.preview(px)), of
        return self._base

    def _below_words(self) -> str:
        if self.base.value == "print":
            return f"The picture as it will print on {self.plan.paper.name}"
        return "The picture as it is"

    def _gather(self) -> None:
        plan = self.plan
        colours = quick_colours(plan.picture, plan.paper, plan.intent, plan.black_point_compensation)
        self._seen = colours, gathered(colours)

    def _view(self, lightness: float | None) -> GamutView:
        plan, absolute = self.plan, self.plan.intent == "absolute"
        colours, near = self._seen
        reach = float(np.hypot(near.lab[:, 1], near.lab[:, 2]).max())
        if lightness is not None:
            near = gathered(colours, cell=2.5, lightness=lightness)
        other = plan.other_paper if plan.other_paper is not plan.paper else None
        return GamutView(
            shell=gamut_shell(plan.paper.profile, absolute=absolute),
            colours=near,
            limit=max(plan.threshold, plan.paper.noise_floor),
            paper_name=plan.paper.name,
            other=other and gamut_shell(other.profile, absolute=absolute),
            other_name=other.name if other else "",
            reach=reach,
            absolute=absolute,
        )

    def _show_slice(self) -> None:
        lightness = self.lightness.value
        view = self._view(lightness)
        self.slice.show((view, lightness), alt=self.slice.figure.alt_text(view, lightness))

    def _show_solid(self) -> None:
        view = self._view(None)
        self.solid.show(
            (view, self.turn.value, self.tilt.value, self.lightness.value),
            alt=self.solid.figure.alt_text(view),
        )

    def _show_table(self) -> None:
        self.table.value = table_of_ways(self._rows, self.plan)


def marked(pixels: np.ndarray, distance: np.ndarray, limit: float, colour: str) -> np.ndarray:
    """A picture with what lies further than the limit coloured, the stronger the further.

    Parameters
    ----------
    pixels : (h, w, 3) uint8.
    distance : (h, w) CIEDE2000.
    limit : CIEDE2000; the colour covers 60 % just past it and everything 10 further.
    colour : hex.
    """
    rgb = np.array([int(colour[i : i + 2], 16) for i in (1, 3, 5)], np.float32)
    far = distance > limit
    cover = (0.6 + 0.04 * np.minimum(distance[far] - limit, 10))[:, None]
    result = pixels.copy()
    result[far] = np.round(pixels[far] * (1 - cover) + rgb * cover)
    return result


def _counted_words(report: GamutReport) -> str:
    counted = f"Counted from {report.limit:.1f} CIEDE2000 on"
    if report.noise_floor > report.threshold:
        return f"{counted}: the noise of this profile's own tables, above your threshold."
    return f"{counted}; this profile's own tables are good to {report.noise_floor:.1f}."


def _far_words(report: GamutReport) -> str:
    moves = report.shift_percentiles
    return (
        f"From picture to print, {_frame(report)}: half the pixels by less than {moves[50]:.1f}, "
        f"the furthest by {moves[100]:.1f}, on average {report.mean_shift:.1f}."
    )


def _frame(report: GamutReport) -> str:
    return "absolute" if report.intent == "absolute" else "relative to the paper's white"


def _moved_words(report: GamutReport) -> str:
    if report.intent in _MOVES_ALL:
        return (
            f"This intent moves colours on purpose: {percent(report.share_moved)} of the picture "
            "by more than that. Beyond is what the paper could not hold with any intent."
        )
    if report.black_point_compensation and report.share_moved > report.share_outside:
        return (
            f"Black point compensation lightens shadows on purpose: with it, "
            f"{percent(report.share_moved)} of the picture moves by more than that."
        )
    return ""


def table_of_ways(tallies: tuple[GamutTally, ...], plan) -> str:
    """HTML of all intents with and without black point compensation; the chosen one marked."""
    if not tallies:
        return '<span class="wb-muted">Being counted …</span>'
    head = (
        "Rendering intent",
        "Black point compensation",
        "Beyond the paper",
        "Moved in print",
        "95 % move by less than",
        "",
    )
    rows = []
    for tally in tallies:
        report = tally.report(plan.threshold)
        chosen = report.intent == plan.intent and (
            report.intent == "absolute"
            or report.black_point_compensation == plan.black_point_compensation
        )
        if report.intent == "absolute":
            compensation = "not used"
        else:
            compensation = "on" if report.black_point_compensation else "off"
        cells = (
            compensation,
            percent(report.share_outside),
            percent(report.share_moved),
            f"{report.shift_percentiles[95]:.1f}",
            "◀ chosen" if chosen else _tables_note(plan.paper, report.intent),
        )
        body = "".join(f"<td>{escape(cell)}</td>" for cell in cells)
        strong = ' style="font-weight:600" aria-current="true"' if chosen else ""
        rows.append(f"<tr{strong}><th>{escape(INTENT_NAMES[report.intent])}</th>{body}</tr>")
    limit = max(plan.threshold, plan.paper.noise_floor)
    note = (
        f"Shares of the whole picture's pixels, by more than {limit:.1f} CIEDE2000, counted by "
        "groups of equal colours (preview). Beyond is judged by the paper's colorimetric table, "
        "moved from picture to print."
    )
    return (
        '<table class="wb-facts"><tr>'
        + "".join(f"<th>{escape(h)}</th>" for h in head)
        + f"</tr>{''.join(rows)}</table><div class='wb-muted'>{escape(note)}</div>"
    )


def _tables_note(paper, intent: str) -> str:
    """What a person should know of the profile's tables for an intent."""
    shared = dict(paper.shared_intents)
    if intent in shared:
        return f"same tables as {shared[intent]}"
    table = "relative" if intent == "absolute" else intent
    return "" if table in paper.intents else "the profile has no tables for it"

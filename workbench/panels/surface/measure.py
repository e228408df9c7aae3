"""Measure this sheet with a camera: photographs, what is marked in them, and what came of it."""

from __future__ import annotations

from dataclasses import dataclass
from html import escape
from pathlib import Path

import numpy as np

from workbench.analysis.proof import picture_grid
from workbench.errors import WorkbenchError
from workbench.figures.measuring import HowFigure, MeasuredFigure, marked
from workbench.language import numeral, tr
from workbench.library import open_shelf
from workbench.library.kept_surface import keep_surface
from workbench.panels import parts
from workbench.panels.outcome import Outcome
from workbench.panels.parts.dragging import BEGIN, follow_hand
from workbench.panels.parts.guard import report
from workbench.panels.shelf.reading import named_folder, starting_papers
from workbench.panels.view import View
from workbench.surface.asked import BALL, CORNERS, EVEN, FOOT, PIN, RULER, TIPS, TYPED, Asked
from workbench.surface.marks import pairs_of, part_between, text_of
from workbench.surface.photographs import ENDINGS, MOST, open_photograph
from workbench.surface.sheet import surface_of
from workbench.surface.stereo import Measured

_SHOWN_PX = 560
_HOW = (
    tr(
        "Lay the sheet flat beside a ruler and a white card, and point the camera straight down from a "
        "stand. Darken the room. Take one photograph for each of six to eight places of one lamp round the "
        "sheet, 20 to 50° above the table, and move nothing else. Set focus, exposure and white balance "
        "by hand, so that the white card stays below the top of the scale."
    ),
    tr(
        "Take care: a hot lamp burns skin and can set paper alight; take a cool one, keep it "
        "away from the sheet and let it cool before you move it. Do not look into it. A glossy sheet "
        "mirrors the lamp: put it higher or lower until no glare reaches the camera."
    ),
)
_WAYS = (
    (tr("in even steps round the sheet"), EVEN),
    (tr("as typed for each photograph"), TYPED),
    (tr("told by a ball on the sheet"), BALL),
    (tr("told by a pin's shadow"), PIN),
)
# mark -> (label, what a click marks, how many points, help, the ways that it is for; none for all)
_MARKS = {
    RULER: (
        tr("Two points of the ruler"), tr("two points of the ruler"), 2,
        tr("The farther apart, the better the scale"), (),
    ),
    CORNERS: (
        tr("Two opposite corners of bare sheet"), tr("two opposite corners of bare sheet"), 2,
        tr("Only what lies between them is measured: sheet, and no ruler, card or edge"), (),
    ),
    BALL: (
        tr("The ball's middle and a point on its edge"),
        tr("the ball's middle and a point on its edge"), 2,
        tr("A ball that lies on the sheet"), (BALL,),
    ),
    FOOT: (
        tr("The pin's foot"), tr("the pin's foot"), 1,
        tr("Where the upright pin stands on the sheet"), (PIN,),
    ),
    TIPS: (
        tr("The tips of its shadow, in order"), tr("the tips of its shadow, in order"), MOST,
        tr("One point for each photograph"), (PIN,),
    ),
}  # fmt: skip


@dataclass(frozen=True, eq=False)
class _Small:
    """A photograph in small: its path, its (width, height), and pixels for the screen."""

    path: str
    size_px: tuple[int, int]
    pixels: np.ndarray


class MeasurePart:
    """A fold with the form; the result is kept with the plan's paper.

    Attributes
    ----------
    paths : of the photographs, in order.
    found : the latest `Measured`, or None.
    """

    def __init__(self, panel):
        self.panel, self.plan, front = panel, panel.plan, panel.front
        self.paths: list[str] = []
        self.found: Measured | None = None
        self._small: _Small | None = None
        self.status, self.said = parts.StatusLine(front), parts.StatusLine(front)
        self._work = front.scheduler.on(parts.FILES, rest_s=0)
        safely = parts.guarded(self.said)
        self.how = parts.PlotView(front, HowFigure(), HowFigure.ALT)
        self.chooser = parts.FileChooser(
            front, tr("Photographs"), self.add, extensions=ENDINGS, upload=False,
            help=tr("In the order of the lamp's places; one after the other, or with the rest of the folder"),
        )  # fmt: skip
        self.rest = parts.button(
            front, tr("Take the rest of the folder"), safely(self.add_rest),
            help=tr("Adds all files of the same kind in the folder of the last one, by name"),
        )  # fmt: skip
        self.clear = parts.button(
            front,
            tr("Start over"),
            safely(self.forget),
            help=tr("Takes all photographs out of the list"),
        )
        self.number = parts.choice(
            front, tr("Photograph shown"), options=[(tr("none yet"), 0)], help=tr("To be marked")
        )
        self.mark = parts.choice(
            front, tr("A click marks"), options=[(tr("nothing"), "")],
            help=tr("Click in the photograph, or type x and y in pixels from the upper left"),
        )  # fmt: skip
        self.marks = {
            name: parts.text(front, label, unit="px", help=help, placeholder="120 80; 1360 80")
            for name, (label, _, _, help, _) in _MARKS.items()
        }
        self.ruler_mm = parts.number(
            front, tr("Between the ruler's points"), value=100, min=1, max=1000, unit="mm", decimals=1,
            help=tr("Read off the ruler"),
        )  # fmt: skip
        self.scale = parts.text(
            front, tr("Or the scale"), unit=tr("mm per pixel"), placeholder=numeral(0.025),
            help=tr("Where it is known; the ruler is not needed then"),
        )  # fmt: skip
        self.way = parts.choice(
            front, tr("The lamp's places"), options=_WAYS, help=tr("How they are known")
        )
        self.first = parts.number(
            front, tr("The first one's azimuth"), value=90, min=0, max=360, unit="°", decimals=0,
            help=tr("0 is from the right, 90 from the top of the photograph"),
        )  # fmt: skip
        self.elevation = parts.number(
            front, tr("The lamp's elevation"), value=35, min=5, max=80, unit="°", decimals=0,
            help=tr("Above the sheet; 20 to 50° tells slopes best"),
        )  # fmt: skip
        self.clockwise = parts.tick(
            front,
            tr("It went round clockwise"),
            help=tr("Otherwise against the clock, as in the drawing"),
        )
        self.places = parts.text(
            front, tr("Azimuth and elevation of each"), unit="°", placeholder="90 35; 135 35; 180 35",
            help=tr("A pair for each photograph, in order"),
        )  # fmt: skip
        self.shiny = parts.tick(
            front,
            tr("The ball is shiny"),
            value=True,
            help=tr("A mirror's spot tells it; otherwise shading"),
        )
        self.pin_mm = parts.number(
            front, tr("The pin's height"), value=10, min=0.1, max=200, unit="mm", decimals=1,
            help=tr("Above the sheet"),
        )  # fmt: skip
        self.list, self.view = parts.html(""), parts.PictureView(front, tr("No photograph yet"))
        follow_hand(front, self.view.surround, parts.guarded(self.said)(self._clicked))
        self.begin = parts.button(
            front, tr("Measure the sheet"), safely(self.measure), main=True,
            help=tr("Works out the relief, its uncertainty and what went wrong"),
        )  # fmt: skip
        self.cancel = parts.button(
            front, tr("Cancel"), safely(self.give_up), help=tr("Stops measuring")
        )
        self.keep = parts.button(
            front, tr("Keep it with this paper"), safely(self.keep_it),
            help=tr("Writes a surface file beside the shelf; the paper's entry names it from then on"),
        )  # fmt: skip
        self.answer, self.notes = parts.Sentence(tr("Measured")), parts.html("")
        self.figure = MeasuredFigure()
        self.plot = parts.PlotView(front, self.figure, tr("The measured relief"))
        self.result = parts.column(self.answer, self.notes, self.plot, parts.row(self.keep))
        self.result.layout.display = "none"
        self.cancel.disabled = True
        self.fold = parts.fold(
            tr("Measure this sheet with a camera"),
            self.how, *(parts.html(said) for said in _HOW), self.chooser, parts.row(self.rest, self.clear), self.list,
            parts.row(self.number, self.mark), self.status, self.view,
            parts.row(self.marks[RULER], self.ruler_mm, self.scale), self.marks[CORNERS],
            parts.row(self.way, self.first, self.elevation, self.clockwise, self.places),
            parts.row(self.marks[BALL], self.shiny),
            parts.row(self.marks[FOOT], self.marks[TIPS], self.pin_mm),
            parts.row(self.begin, self.cancel), self.said, self.result, front=front,
        )  # fmt: skip
        panel.look(self.fold, self.number, self.way, *self.marks.values())

    # photographs ------------------------------------------------------------------

    def add(self, path: str) -> None:
        """Put a photograph at the end of the list."""
        path = str(Path(path).expanduser().absolute())
        if path in self.paths:
            raise WorkbenchError(tr("“{name}” is in the list already.", name=Path(path).name))
        if len(self.paths) >= MOST:
            raise WorkbenchError(
                tr("{most} photographs are enough; start over for others.", most=MOST)
            )
        self.paths.append(path)
        self._list()

    def add_rest(self) -> None:
        """Add the other files of the last one's kind from its folder."""
        if not self.paths:
            raise WorkbenchError(tr("Open one photograph first; the rest of its folder follows."))
        last = Path(self.paths[-1])
        found = (
            str(each) for each in last.parent.iterdir()
            if each.suffix.lower() == last.suffix.lower() and each.is_file()
        )  # fmt: skip
        more = [each for each in sorted(found) if each not in self.paths]
        self.paths += more[: MOST - len(self.paths)]
        self._list()

    def forget(self) -> None:
        """Take all photographs out of the list; what is marked stays."""
        self.paths = []
        self._list()

    def _list(self) -> None:
        names = [Path(each).name for each in self.paths]
        items = "".join(f"<li>{escape(name)}</li>" for name in names)
        self.list.value = f"<ol>{items}</ol>" if names else ""
        kept = self.number.value
        options = [(f"{place + 1}. {name}", place) for place, name in enumerate(names)]
        self.number.replace(
            options or [(tr("none yet"), 0)], kept if kept is not None and kept < len(names) else 0
        )
        self.panel._changed(None)

    # what is shown ------------------------------------------------------------------

    def shows(self) -> tuple[View, ...]:
        """What the panel declares of it."""
        return (
            View("how", self._opened, lambda asked: asked, lambda _: self.how.show()),
            View("fields", self._chosen_way, lambda way: way, self._fields),
            View("photograph", self._shown, _small, self._show, lane=parts.FINER, keep=4,
                 doing=tr("Opening the photograph"), status=self.status),
            View("marked", self._to_mark, _marked, self._show_marked),
        )  # fmt: skip

    def _opened(self) -> bool | None:
        return True if self.fold.opened else None

    def _chosen_way(self) -> str:
        return self.way.value

    def _fields(self, way: str) -> None:
        for control, ways in (
            (self.first, (EVEN,)), (self.elevation, (EVEN,)), (self.clockwise, (EVEN,)),
            (self.places, (TYPED,)), (self.shiny, (BALL,)), (self.pin_mm, (PIN,)),
            *((self.marks[name], ways) for name, (*_, ways) in _MARKS.items()),
        ):  # fmt: skip
            control.visible = not ways or way in ways
        offered = [
            (clicked, name) for name, (_, clicked, _, _, ways) in _MARKS.items()
            if not ways or way in ways
        ]  # fmt: skip
        kept = self.mark.value
        names = [name for _, name in offered]
        self.mark.replace([(tr("nothing"), ""), *offered], kept if kept in names else "")

    def _shown(self) -> tuple | None:
        if not (self.fold.opened and self.paths):
            return None
        return self.paths[self.number.value or 0], self.panel.fine(_SHOWN_PX)

    def _show(self, small: _Small) -> None:
        self._small = small
        self.panel._changed(None)  # what is marked stands on it

    def _to_mark(self) -> tuple | None:
        asked = self._shown()
        if asked is None or self._small is None or self._small.path != asked[0]:
            return None
        return self._small, tuple((name, each.value) for name, each in self.marks.items())

    def _show_marked(self, pixels) -> None:
        self.view.show(pixels, alt=tr("The photograph, with what was marked"))

    def _clicked(self, hand) -> None:
        """Put a point where the person clicked."""
        name = self.mark.value
        if hand.phase != BEGIN or not name or self._small is None:
            return
        size = self._small.size_px
        points = list(pairs_of(self.marks[name].value, _MARKS[name][0]))
        point = hand.x * size[0], hand.y * size[1]
        if name == TIPS:
            at = self.number.value or 0
            points = [*points[:at], *[point] * (at + 1 - len(points[:at])), *points[at + 1 :]]
            self.number.value = min(at + 1, len(self.paths) - 1)
        else:
            most = _MARKS[name][2]
            points = [point] if len(points) >= most else [*points, point]
        self.marks[name].value = text_of(points)
        self.panel._changed(None)

    # measuring ------------------------------------------------------------------------

    def asked(self) -> Asked:
        """What the form says, to be measured."""
        paper = self.plan.paper
        surface = None if paper is None else surface_of(paper)
        return Asked(
            paths=tuple(self.paths),
            way=self.way.value,
            marks=tuple((name, each.value) for name, each in self.marks.items()),
            ruler_mm=self.ruler_mm.value,
            scale=self.scale.value,
            first_deg=self.first.value,
            elevation_deg=self.elevation.value,
            clockwise=self.clockwise.value,
            places=self.places.value,
            shiny=self.shiny.value,
            pin_mm=self.pin_mm.value,
            alpha=0.55 if surface is None else surface.alpha,
            kind="" if surface is None else surface.kind,
        )

    def measure(self) -> None:
        """Begin to measure; the answer comes when it is there."""
        asked = self.asked()
        asked.check()
        self.said.working(tr("Measuring"), 0.0)
        self.cancel.disabled, self.begin.disabled = False, True
        self._work.submit(
            "measure", asked.measured, self._measured,
            lambda share, text: self.said.working(text or tr("Measuring"), share), self._failed,
        )  # fmt: skip

    def give_up(self) -> None:
        """Stop measuring; what was found before stays."""
        if self._work.is_busy("measure"):
            self._work.cancel("measure")
            self.said.say(tr("Cancelled; nothing was measured."))
        self._at_rest()

    def _at_rest(self) -> None:
        self.cancel.disabled, self.begin.disabled = True, False

    def _measured(self, found: Measured) -> None:
        self._at_rest()
        self.found = found
        self.said.say(
            tr("Measured.") if not found.notes else tr("Measured, but something went wrong.")
        )
        self.answer.say(found.sentence)
        items = "".join(f"<li>{escape(note)}</li>" for note in found.notes)
        nothing = tr("Nothing went wrong.")
        self.notes.value = f"<ul>{items}</ul>" if items else f"<p>{nothing}</p>"
        self.figure.update(found)
        self.plot.show(alt=self.figure.alt_text())
        self.result.layout.display = ""

    def _failed(self, error: BaseException) -> None:
        self._at_rest()
        report(self.said, error, self)

    # keeping --------------------------------------------------------------------------

    def keep_it(self) -> None:
        """Keep what was found with the plan's paper."""
        found, paper = self.found, self.plan.paper
        if found is None or paper is None:
            raise WorkbenchError(tr("Measure the sheet of a chosen paper first."))

        def work(cancelled, progress):
            shelf = open_shelf(named_folder(), default=starting_papers)
            return paper, keep_surface(found.surface, paper, shelf)

        self.said.working(tr("Writing the surface"))
        self._work.submit("keep", work, self._kept, on_error=self._failed)

    def _kept(self, done: tuple) -> None:
        before, kept = done
        self.said.say(kept.sentence)
        self.plan.swap(before, kept.paper)
        Outcome.of(self.plan).surface = kept  # for the panel of the shelf


def _pixels(picture, width_px: int):
    long_side = round(width_px * max(1.0, picture.height_px / picture.width_px))
    return picture_grid(picture.require_profile()).apply(picture.preview(long_side))


def _small(asked: tuple, cancelled, progress) -> _Small:
    path, width_px = asked
    picture = open_photograph(path)
    return _Small(path, (picture.width_px, picture.height_px), _pixels(picture, width_px))


def _marked(asked: tuple):
    small, texts = asked
    points, box = [], None
    for name, text in texts:
        try:
            found = pairs_of(text, _MARKS[name][0])
        except WorkbenchError:
            continue  # told when it is measured
        points += found
        if name == CORNERS and len(found) == 2:
            box = part_between(*found)
    return marked(small.pixels, points, small.size_px, box)

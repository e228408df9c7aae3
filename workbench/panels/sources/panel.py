"""Opening pictures on the desk, and the question a picture without a profile asks."""

from __future__ import annotations

from functools import cached_property
from pathlib import PurePath

import ipywidgets as widgets

from workbench.colour.spaces import space_hint, space_label
from workbench.errors import WorkbenchError
from workbench.files import clean_text
from workbench.language import tr
from workbench.panels import parts
from workbench.panels.parts.encode import png
from workbench.panels.parts.facts import facts_table
from workbench.panels.parts.guard import report
from workbench.panels.sources.papers import PAPER_EXTENSIONS, Papers
from workbench.panels.sources.words import picture_facts
from workbench.picture import Picture, open_picture, opening_cost
from workbench.picture.assume import assumption_previews

PICTURE_EXTENSIONS = (".tif", ".tiff", ".png", ".jpg", ".jpeg")


def as_picture(source) -> Picture:
    """A Picture, from itself or a path."""
    return source if isinstance(source, Picture) else open_picture(source)


class Sources:
    """A chooser of pictures, the assumption question, and what the file says; ``papers`` beside it.

    Opens files into the plan; what cannot be opened leaves the plan as it was.
    """

    def __init__(self, plan, front, status):
        self.plan = plan
        self._waiting: Picture | None = None
        self._front = front
        self._safely = parts.guarded(status)
        self.picture = parts.FileChooser(
            front,
            tr("Picture file (TIFF, PNG, JPEG)"),
            self._open_picture,
            extensions=PICTURE_EXTENSIONS,
            help=tr("Where the picture lies on this computer; it is only read"),
            formats=tr(
                "TIFF, PNG or JPEG of any size, 8 or 16 bits a channel. Or drag it onto the desk. "
                "From raw files and layers, export a TIFF first."
            ),
            large=True,
        )
        self._opening = front.scheduler.on(parts.FILES, rest_s=0)
        self.stop = parts.button(
            front,
            tr("Stop opening"),
            self._safely(self._stop_opening),
            help=tr("Give up the picture that is being opened; the one on the desk stays"),
        )
        self._not_opening()
        self.question = parts.column()
        self.question.layout.display = "none"
        self.facts = parts.html("")
        self.widget = parts.column(
            self.picture,
            self.stop,
            self.question,
            parts.heading(tr("What the file says"), 4),
            self.facts,
        )
        self._status = status
        fill = self._safely(self._fill)
        plan.observe(fill, names=["picture"])
        fill()

    @cached_property
    def papers(self) -> Papers:
        """Made when it is first asked for: its page is not the first, and it has many controls."""
        with self._front.turn:
            return Papers(self.plan, self._front, self._status)

    def take_drops(self, widget) -> None:
        """Let pictures and profiles be dragged onto a widget."""
        self._front.listen(widget, "drop", self._dropped)

    def _dropped(self, content: dict) -> None:
        profile = str(content.get("name", "")).lower().endswith(PAPER_EXTENSIONS)
        (self.papers.chooser if profile else self.picture).upload.receive(content)

    def _open_picture(self, source) -> None:
        """At once, or in the background where it takes long; a newer request gives up the older."""
        self._opening.cancel()
        self._not_opening()
        name, data = source if isinstance(source, tuple) else (None, source)
        cost = opening_cost(data, name)
        if cost.at_once:
            self._opened(open_picture(data, name=name))
            return
        cost.check(f"“{clean_text(name or PurePath(source).name)}”")
        self.stop.layout.display = ""

        def failed(problem):
            self._not_opening()
            report(self.picture.status, problem)

        self._opening.submit(
            "picture",
            lambda cancelled, progress: open_picture(
                data, name=name, cancelled=cancelled, progress=progress
            ),
            self._opened,
            lambda share, text: self.picture.status.working(
                tr("Opening: {sentence}", sentence=cost.sentence), share
            ),
            failed,
            status=self.picture.status,
        )
        self.picture.status.working(tr("Opening: {sentence}", sentence=cost.sentence), 0.0)

    def _stop_opening(self) -> None:
        self._opening.cancel()
        self._not_opening()
        self.picture.status.say(tr("Opening was stopped; the picture on the desk stays."))

    def _not_opening(self) -> None:
        self.stop.layout.display = "none"

    def _opened(self, picture: Picture) -> None:
        self._not_opening()
        self.offer(picture)
        if picture.profile is None:
            self.picture.status.say(
                tr("“{name}” needs an answer from you; see below.", name=picture.name)
            )
        else:
            self.picture.status.say(tr("“{name}” is on the desk.", name=picture.name))

    def offer(self, picture: Picture) -> None:
        """Put a picture into the plan; one without a profile is asked about first."""
        if picture.profile is not None:
            self._answered()
            self.plan.picture = picture
            return
        self._waiting = picture
        self.question.children = self._ask(picture)
        self.question.layout.display = ""

    def _ask(self, picture: Picture) -> tuple:
        choices = []
        for space, preview in assumption_previews(picture):
            image = widgets.Image(value=png(preview), format="png")
            image.add_class("wb-assumption")
            self._front.tag(image, alt=tr("The picture, if its colours are {space}", space=space))
            choose = parts.button(
                self._front,
                space_label(space),
                self._safely(lambda s=space: self.assume(s)),
                help=tr("Go on with {space}: {hint}", space=space, hint=space_hint(space)),
            )
            choices.append(parts.column(image, choose))
        asked = tr(
            "“{name}” does not say what its numbers mean as colours. Which of these looks right?",
            name=picture.name,
        )
        if picture.profile_hint:
            asked += tr(
                " A weaker note in the file points to {space}.",
                space=space_label(picture.profile_hint),
            )
        items = [
            parts.Sentence(
                tr("A picture without a colour profile"),
                asked,
            ).widget,
            parts.row(*choices),
        ]
        if self.plan.picture is not None:
            items.append(
                parts.button(
                    self._front,
                    tr("Put it away"),
                    self._safely(self._leave),
                    help=tr("Do not open this picture; the one on the desk stays"),
                )
            )
        return tuple(items)

    def assume(self, space: str) -> None:
        """Go on with the waiting picture in the space the person chose."""
        if self._waiting is None:
            raise WorkbenchError(tr("No picture is waiting for a colour profile."))
        picture = self._waiting.assume(space)
        self._answered()
        self.plan.picture = picture
        self.picture.status.say(
            tr("“{name}” is on the desk, as {space}.", name=picture.name, space=space)
        )

    def _leave(self) -> None:
        self._answered()
        self.picture.status.clear()

    def _answered(self) -> None:
        self._waiting = None
        self.question.layout.display = "none"
        self.question.children = ()

    def _fill(self, change=None) -> None:
        picture = self.plan.picture
        self.facts.value = facts_table([] if picture is None else picture_facts(picture))

"""Writing: where to, the buttons, how far it is, and what was found on reading back."""

from __future__ import annotations

import os
from pathlib import Path
from types import SimpleNamespace

import ipywidgets as widgets

from workbench.errors import Cancelled, WorkbenchError
from workbench.files import check_target
from workbench.language import tr
from workbench.output.formats import kind_for
from workbench.output.print_file import write_print_file
from workbench.panels import parts
from workbench.panels.outcome import Outcome
from workbench.panels.parts.folders import folder_for
from workbench.panels.print_file.controls import ENDINGS, kind_of
from workbench.panels.print_file.words import run_html, written_html
from workbench.panels.view import View

PLAN_ENDING = " plan.toml"
# of what is written together, after the name
RUN_ENDINGS = (".tif", " job sheet.html", " job sheet.pdf", PLAN_ENDING)
REPLACE = tr("Replace a file of this name")
_CANCELLED = tr("Cancelled; nothing was written.")


class WritingPart:
    """Folder, name and buttons.  Nothing is replaced without a tick, the picture never."""

    def __init__(self, panel):
        self.panel, self.plan, self.front = panel, panel.plan, panel.front
        self._work = panel.front.scheduler.on(parts.FILES, rest_s=0)
        self.said = parts.StatusLine(self.front)
        self.problem = parts.StatusLine(self.front)  # of folder and name
        self._own_name = False  # typed by the person, so it no longer follows the paper
        self._build(parts.guarded(self.said), parts.guarded(self.problem))
        self._set_busy(False)

    def _build(self, safely, about_name) -> None:
        front = self.front
        self.folder = parts.text(
            front, tr("Folder"),
            help=tr("Left empty, files go to the folder that the picture came from"),
        )  # fmt: skip
        self.name = parts.text(
            front, tr("File name"),
            help=tr("The ending says the kind of file: .tif, .png or .jpg"),
        )  # fmt: skip
        for field in (self.folder, self.name):
            field.field.continuous_update = True  # a click must not overtake what was typed
            field.widget.layout.width = "380px"
        self.folder.on_change(about_name(lambda value: self._look()))
        self.name.on_change(about_name(self._name_typed))
        self.replace = parts.tick(
            front, REPLACE,
            help=tr("Without this tick nothing that exists is written over; the picture itself "
            "never is"),
        )  # fmt: skip
        self.replace.on_change(about_name(lambda value: self._look()))
        self.write_button = parts.button(
            front, tr("Write the print file"), safely(self.write), main=True,
            help=tr("Make the file, then read it back and check it"),
        )  # fmt: skip
        self.all_button = parts.button(
            front, tr("Write file, job sheet and plan"), safely(self.write_all),
            help=tr("A TIFF file, a page that says how to print it, and the plan: in the folder, "
            "under this name"),
        )  # fmt: skip
        self.cancel_button = parts.button(
            front, tr("Cancel"), safely(self.cancel), help=tr("Stop; nothing half done is left")
        )
        self.plan_button = parts.button(
            front, tr("Save the plan"), safely(self.save_plan),
            help=tr("Everything decided so far as a small text file, to go on with another day"),
        )  # fmt: skip
        self.changed = parts.tick(
            front, tr("Accept files that have changed since"),
            help=tr("Otherwise you are told which picture or profile has changed, and the plan "
            "is not opened"),
        )  # fmt: skip
        self.opener = parts.FileChooser(
            front, tr("Plan to open"), self.open_plan, extensions=(".toml",), upload=False,
            help=tr("A plan that was saved here; it takes the place of all that is set now"),
        )  # fmt: skip
        self.stop_button = parts.button(
            front, tr("Stop opening"), safely(self.stop_opening),
            help=tr("Give up opening this plan; the one at hand stays as it is"),
        )  # fmt: skip
        self.stop_button.disabled = True
        self.result = widgets.HTML()
        opening = parts.fold(
            tr("Open a plan"), self.opener, self.changed, self.stop_button, front=front
        )
        self.items = [
            parts.row(self.folder, self.name, self.replace),
            self.problem,
            parts.row(self.write_button, self.all_button, self.cancel_button),
            self.said,
            self.result,
            parts.row(self.plan_button),
            opening,
        ]

    # where to -----------------------------------------------------------------

    def shows(self) -> tuple[View, ...]:
        """What the panel declares of it: a name, until the person gives one."""
        return (
            View("name", self._name_for, named, lambda name: setattr(self.name, "value", name)),
            View(
                "folder", self._left_empty, str,
                lambda words: setattr(self.folder.field, "placeholder", words),
            ),
        )  # fmt: skip

    def _name_for(self) -> tuple | None:
        plan = self.plan
        if self._own_name:
            return None
        return plan.picture, plan.paper, self.panel.colours.kind.value

    def _left_empty(self) -> str:
        if getattr(self.plan.picture, "path", None) is None:
            return tr("a folder on this computer")
        return tr("the picture's own folder")

    def take_kind(self, kind: str) -> None:
        """Let the name end as another kind of file does."""
        name = self.name.value
        if kind_of(name) != kind:
            self.name.value = self._stem(name) + ENDINGS[kind]

    def _stem(self, name: str) -> str:
        return name[: name.rfind(".")] if kind_of(name) else name

    def _name_typed(self, name: str) -> None:
        self._own_name = bool(name.strip())
        kind = kind_of(name.strip())
        if kind is not None and kind != self.panel.colours.kind.value:
            self.panel.colours.kind.value = kind
            self.panel._changed(None)
        self._look()

    def _look(self) -> None:
        """Take a sentence away that no longer holds."""
        self.problem.solved(self)

    def _folder(self) -> Path:
        return Path(folder_for(self.folder.value, getattr(self.plan.picture, "path", None)))

    def _target(self, ending: str | None = None) -> Path:
        """The checked path of a file to write; its trouble stands below the name."""
        name = self.name.value.strip()
        try:
            if not name:
                raise WorkbenchError(tr("Give the file a name."))
            if os.path.basename(name) != name:
                raise WorkbenchError(
                    tr(
                        "“{name}” holds a folder; put that into the field for the folder.",
                        name=name,
                    )
                )
            if ending is None and "." not in name:
                name += ENDINGS[self.panel.colours.kind.value]
            if ending is not None:
                name = self._stem(name) + ending
            target = check_target(
                self._folder() / name,
                originals=[getattr(self.plan.picture, "path", None)],
                overwrite=self.replace.value,
            )
            if ending is None:
                kind_for(target)
        except WorkbenchError as problem:
            raise self._blamed(problem) from None
        self.problem.solved(self)
        return target

    def _blamed(self, problem: WorkbenchError) -> Cancelled:
        """Say what is wrong below the name; what is returned ends the work without more words."""
        self.said.clear()
        self.problem.problem(str(problem), source=self)
        return Cancelled()

    # writing ------------------------------------------------------------------

    def write(self) -> None:
        """Write the print file alone."""
        solved = self._solved()
        target, overwrite = self._target(), self.replace.value

        def work(cancelled, progress):
            return write_print_file(
                solved, target, overwrite=overwrite, cancelled=cancelled,
                progress=lambda share: progress(share, tr("Writing the print file")),
            )  # fmt: skip

        def words(written):
            self._hand_over(written, solved.job)
            return written_html(written), tr("Written as {path}", path=written.path)

        self._begin(work, words)

    def write_all(self) -> None:
        """Write the print file (TIFF), the job sheet and the plan to the folder."""
        self._solved()
        from workbench.run import run_plan

        plan, overwrite = self.plan.copy(), self.replace.value
        folder, name = self._folder(), self._stem(self._target().name)
        self._check_all(folder, name, overwrite)

        def work(cancelled, progress):
            return run_plan(
                plan, folder, name=name, overwrite=overwrite, cancelled=cancelled,
                progress=lambda share: progress(share, tr("Writing file, job sheet and plan")),
            )  # fmt: skip

        def words(result):
            self._hand_over(result.written, plan)
            return run_html(result), tr(
                "File, job sheet and plan are in {folder}", folder=result.plan_path.parent
            )

        self._begin(work, words)

    def _check_all(self, folder: Path, stem: str, overwrite: bool) -> None:
        """Tell before the work begins that one of the names is taken."""
        taken = [stem + ending for ending in RUN_ENDINGS if (folder / (stem + ending)).exists()]
        if taken and not overwrite:
            raise self._blamed(
                WorkbenchError(
                    tr(
                        "There is a file “{name}” already; choose another name or folder, or tick "
                        "“{replace}”.",
                        name=taken[0],
                        replace=REPLACE,
                    )
                )
            )

    def _hand_over(self, written, of) -> None:
        """Hand the file over, for the record, unless it is for another print by now."""
        if of.picture is self.plan.picture and of.paper is self.plan.paper:
            Outcome.of(self.plan).written = written

    def _solved(self):
        made = self.panel.made
        if made is None:
            raise WorkbenchError(
                tr("There is nothing to write yet: mend what is marked above, or open a picture.")
            )
        return made

    def _begin(self, work, words) -> None:
        """Start work whose result ``words`` makes into (HTML, sentence)."""
        self._set_busy(True)
        self.result.value = ""
        self.said.working(tr("Starting"))

        def done(result) -> None:
            self._set_busy(False)
            self.result.value, sentence = words(result)
            self.said.say(sentence)

        def failed(error) -> None:
            self._set_busy(False)
            parts.guard.report(self.said, error, self)

        self._work.submit(
            "write", work, done, lambda share, text: self.said.working(text, share), failed
        )

    def cancel(self) -> None:
        """Stop between two bands; the unfinished file is removed."""
        if self._work.is_busy("write"):
            self._work.cancel("write")
            self.said.say(_CANCELLED)
        self._set_busy(False)

    def _set_busy(self, busy: bool) -> None:
        self.write_button.disabled = self.all_button.disabled = busy
        self.cancel_button.disabled = not busy

    # plans --------------------------------------------------------------------

    def save_plan(self) -> None:
        """Save everything decided beside where the print file goes."""
        target = self._target(PLAN_ENDING)
        plan, overwrite = self.plan.copy(), self.replace.value

        def work(cancelled, progress):
            from workbench.plan_file import save_plan

            return save_plan(plan, target, overwrite=overwrite)

        self.said.working(tr("Saving the plan"))
        self._work.submit(
            "save plan",
            work,
            lambda path: self.said.say(tr("The plan is saved as {path}", path=target)),
            status=self.said,
        )

    def open_plan(self, path) -> None:
        """Let a saved plan take the place of this one, once its picture has been read."""
        from workbench.plan_file import open_plan

        accept, notices = self.changed.value, []
        line = self.opener.status

        def work(cancelled, progress):
            return open_plan(
                path, accept_changes=accept, notices=notices, cancelled=cancelled,
                progress=lambda share: progress(share, tr("Opening the plan")),
            )  # fmt: skip

        def done(opened) -> None:
            self.stop_button.disabled = True
            self.plan.take_over(opened)
            Outcome.of(self.plan).forget()  # what came of the former print
            self._own_name = False
            self.panel._changed(None)
            self._look()  # what was said of the old name
            line.say(" ".join([tr("The plan is open."), *notices]))

        def failed(error) -> None:
            self.stop_button.disabled = True
            parts.guard.report(line, error, self)

        self.stop_button.disabled = False
        line.working(tr("Opening the plan"))
        self._work.submit(
            "open plan", work, done, lambda share, text: line.working(text, share), failed,
            status=line,
        )  # fmt: skip

    def stop_opening(self) -> None:
        """Give up a plan that is being opened; this one stays."""
        self._work.cancel("open plan")
        self.stop_button.disabled = True
        self.opener.status.say(tr("Cancelled; the plan is as it was."))


def named(asked: tuple) -> str:
    """What a print of a picture on a paper is called, with the ending of its kind."""
    from workbench.run import names_for

    picture, paper, kind = asked
    return names_for(SimpleNamespace(picture=picture, paper=paper)) + ENDINGS[kind]

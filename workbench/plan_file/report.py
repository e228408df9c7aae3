"""What is amiss in a plan file: sentences that name the key, and the line where it stands."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import lru_cache

from workbench.errors import PlanError, WorkbenchError
from workbench.files.toml_text import Layout, NotToml, layout
from workbench.language import tr

# nobody reads more, and each takes looking through the text
_MOST_SAID = 100


#: said where no line can be named
IN_THE_PLAN = tr("In the plan")


def line_words(line) -> str:
    """How a sentence names a line."""
    return tr("Line {line}", line=line)


@dataclass
class Report:
    """Problems, which are fatal, and notices, which are not; collected while reading.

    Attributes
    ----------
    text : of the plan file.
    accept_changes : files that have changed since the plan was saved are taken as they are.
    progress, cancelled : told and asked while large files are read through.
    """

    text: str = field(repr=False)
    accept_changes: bool = False
    progress: Callable[[float], None] | None = None
    cancelled: Callable[[], bool] | None = None
    problems: list[str] = field(default_factory=list)
    notices: list[str] = field(default_factory=list)

    def problem(self, said, section: str, key: str = "", index: int = 0) -> None:
        """Note a problem with a key, or with a whole section (its ``index``-th table)."""
        if len(self.problems) < _MOST_SAID:
            sentences = said.problems if isinstance(said, PlanError) else (str(said),)
            place = self._place(section, key, index)
            self.problems += [f"{place}: {sentence}" for sentence in sentences]

    def notice(self, said, section: str, key: str = "", index: int = 0) -> None:
        """Note what was passed over."""
        if len(self.notices) < _MOST_SAID:
            self.notices.append(f"{self._place(section, key, index)}: {said}")
        elif len(self.notices) == _MOST_SAID:
            self.notices.append(tr("And more like these."))

    def take(self, function, section: str, key: str = "", index: int = 0):
        """The function's result; None, with its problem noted, where it raises."""
        try:
            return function()
        except WorkbenchError as problem:
            self.problem(problem, section, key, index)
            return None

    def _place(self, section: str, key: str, index: int) -> str:
        line = self.line(section, key, index)
        where = f"[{section}]" if section and section != key else ""
        parts = [line_words(line) if line else "", where]
        return ", ".join(part for part in parts if part) or IN_THE_PLAN

    def line(self, section: str, key: str = "", index: int = 0) -> int | None:
        """The line, from 1, where a key or its section stands; None where neither does."""
        place = _layout_of(self.text)
        if place is None:
            return None
        starts = [start for start, _, path in place.headers if path == (section,)]
        first, stop = 0, len(self.text)
        if len(starts) > index:
            first = starts[index]
            stop = starts[index + 1] if len(starts) > index + 1 else stop
        wanted = tuple(part for part in (section, key) if part)
        places = [
            each.start
            for each in place.assignments
            if first <= each.start < stop and (*each.table, *each.key)[: len(wanted)] == wanted
        ]
        if not places:
            places = starts[index : index + 1]
        if not places and section:
            # all in one line: papers = [{ … }]
            places = [
                each.start
                for each in place.assignments
                if (*each.table, *each.key)[:1] == (section,)
            ]
        return self.text.count("\n", 0, places[0]) + 1 if places else None


@lru_cache(maxsize=2)
def _layout_of(text: str) -> Layout | None:
    try:
        return layout(text)
    except NotToml:
        return None

"""The parts of a lecture that a class works: a guess to vote on, a knob, an exercise."""

from __future__ import annotations

import base64
from pathlib import Path

import anywidget
import traitlets

from workbench.errors import WorkbenchError
from workbench.lectures.shown import MIME, png_of
from workbench.live.worded import worded
from workbench.panels.parts.guard import UNEXPECTED, log

_HERE = Path(__file__).parent


class _Part(anywidget.AnyWidget):
    """A widget whose output carries its words for handouts as well."""

    _esm = worded((_HERE / "parts.js").read_text(encoding="utf-8"))
    _css = (_HERE / "lecture.css").read_text(encoding="utf-8")

    kind = traitlets.Unicode().tag(sync=True)

    def told(self) -> dict:
        """What a handout needs of it."""
        raise NotImplementedError

    def reset(self) -> None:
        """Put it back as it was at first."""
        raise NotImplementedError

    def _repr_mimebundle_(self, **options):
        bundle = super()._repr_mimebundle_(**options)
        data = bundle[0] if isinstance(bundle, tuple) else bundle
        data = {**data, MIME: self.told()}
        return (data, bundle[1]) if isinstance(bundle, tuple) else data


class Asked(_Part):
    """A question with a hidden answer; with options, the class votes on them first.

    Attributes
    ----------
    votes : for each option.
    shown : whether the answer is.
    """

    question = traitlets.Unicode().tag(sync=True)
    options = traitlets.List(traitlets.Unicode()).tag(sync=True)
    right = traitlets.Int(-1).tag(sync=True)
    answer = traitlets.Unicode().tag(sync=True)
    votes = traitlets.List(traitlets.Int()).tag(sync=True)
    shown = traitlets.Bool(False).tag(sync=True)

    def told(self) -> dict:
        names = ("kind", "question", "options", "right", "answer")
        return {name: getattr(self, name) for name in names}

    def reset(self) -> None:
        self.votes, self.shown = [0] * len(self.options), False


class Knob(_Part):
    """A slider of a few stops with a picture, or a sentence, for each.

    A stop is drawn when it is first reached, one at a time; the page asks for the next when
    the last one is there.
    """

    label = traitlets.Unicode().tag(sync=True)
    stops = traitlets.List(traitlets.Unicode()).tag(sync=True)
    at = traitlets.Int(0).tag(sync=True)
    png = traitlets.Bytes().tag(sync=True)
    alt = traitlets.Unicode().tag(sync=True)
    said = traitlets.Unicode().tag(sync=True)
    drawn = traitlets.Int(-1, help="the stop that is shown").tag(sync=True)

    def __init__(self, label: str, stops, draw, start: int):
        super().__init__(kind="knob", label=label, stops=list(stops), at=start)
        self._draw, self._start, self._kept = draw, start, {}
        self._show()
        self.observe(lambda _: self._show(), "at")

    def told(self) -> dict:
        code = base64.b64encode(self.png).decode()
        names = ("kind", "label", "stops", "at", "said", "alt")
        return {**{name: getattr(self, name) for name in names}, "png": code}

    def reset(self) -> None:
        self.at = self._start

    def _show(self) -> None:
        at = self.at
        if not 0 <= at < len(self.stops):
            return
        if at not in self._kept:
            try:
                self._kept[at] = self._made(at)
            except WorkbenchError as problem:
                self._kept[at] = b"", "", str(problem)
            except Exception:
                log.exception("a lecture's knob failed")
                self._kept[at] = b"", "", UNEXPECTED
        png, alt, said = self._kept[at]
        with self.hold_sync():
            self.png, self.alt, self.said, self.drawn = png, alt, said, at

    def _made(self, at: int) -> tuple[bytes, str, str]:
        thing = self._draw(at)
        thing, said = thing if isinstance(thing, tuple) else (thing, "")
        if isinstance(thing, str):
            return b"", "", thing
        png, alt = png_of(thing)
        return png, alt or said or f"{self.label}: {self.stops[at]}", said


class Bar(_Part):
    """The head of a lecture: what it runs on, and the button that presents it."""

    said = traitlets.Unicode().tag(sync=True)

    _esm = worded((_HERE / "stage.js").read_text(encoding="utf-8"))

    def __init__(self, said: str, reset):
        super().__init__(kind="bar", said=said)
        self._reset = reset
        self.on_msg(self._heard)

    def told(self) -> dict:
        return {"kind": "bar", "said": self.said}

    def _heard(self, _, content, buffers) -> None:
        if content == {"reset": True}:
            self._reset()

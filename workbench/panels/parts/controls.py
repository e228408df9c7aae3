"""Labelled controls: a name with its unit, help in plain words, a keyboard path.

Each has ``.widget`` (to lay out), ``.value``, ``.on_change(callback)`` and
``.disabled``.  ``on_change`` callbacks get the new value, and are called when
the person changes it; setting ``.value`` from code moves the control without
calling them, so a panel can follow its plan without going round in circles.
In tests, setting ``control.field.value`` (or ``control.slider.value``) or
calling their ``set_state`` acts as the person would.
"""

from __future__ import annotations

import math
from contextlib import contextmanager

import ipywidgets as widgets

from workbench.panels.parts.sentences import html, set_html


class Control:
    """What all controls share; ``field`` is the Jupyter widget that is edited."""

    def __init__(
        self, front, label: str, unit: str, help: str, field, *more, inline=False, small=False
    ):
        self.label, self.unit, self.help = label, unit, help
        self.name = f"{label} ({unit})" if unit else label
        self.field = field
        self._front = front
        self._lock = front.turn
        self._callbacks: list = []
        self._setting = False
        for each in (field, *more):
            each.tooltip = help
            # a ticked box carries its own label
            front.tag(each, title=help, **({} if inline else {"aria_label": self.name}))
        self._label = html(self.name, "wb-label")
        front.tag(self._label, title=help, on_focus=front.tag(field))
        body = widgets.Box([*more, field])
        body.add_class("wb-control-body")
        self.widget = widgets.Box([body] if inline else [self._label, body])
        self.widget.add_class("wb-control")
        if inline or small:
            self.widget.add_class("wb-control-small")
        if inline:
            self.widget.add_class("wb-control-tick")
        field.observe(self._field_moved, "value")

    def on_change(self, callback) -> None:
        """Call callback(value) whenever the person changes the value."""
        self._callbacks.append(callback)

    @property
    def value(self):
        return self._read()

    @value.setter
    def value(self, value) -> None:
        with self._lock:
            self._setting = True
            try:
                self._write(value)
            finally:
                self._setting = False

    @property
    def disabled(self) -> bool:
        return self.field.disabled

    @disabled.setter
    def disabled(self, off: bool) -> None:
        for each in self._named():
            each.disabled = bool(off)

    @property
    def visible(self) -> bool:
        return self.widget.layout.display != "none"

    @visible.setter
    def visible(self, shown: bool) -> None:
        self.widget.layout.display = "" if shown else "none"

    def rename(self, label: str, unit: str = "") -> None:
        """Another label or unit (mm to inches)."""
        self.label, self.unit = label, unit
        self.name = f"{label} ({unit})" if unit else label
        set_html(self._label, self.name, "wb-label")
        for each in self._named():
            self._front.tag(each, aria_label=self.name)

    # -- for the kinds of controls

    def _named(self):
        return (self.field,)

    def _read(self):
        return self.field.value

    def _write(self, value) -> None:
        self.field.value = value

    def _field_moved(self, change) -> None:
        with self._lock:
            if self._setting:
                return
        self._tell()

    def _tell(self) -> None:
        with self._lock:
            value = self.value
            for callback in list(self._callbacks):
                callback(value)


class Number(Control):
    """What numbers share: a value of their own, which field and slider follow.

    ``_write(value, moved)`` keeps ``_value`` and sets all but the widget that has moved: the
    page would take it for a newer value and undo the moves made meanwhile.
    """

    _value: float

    def _read(self):
        return self._value

    def _field_moved(self, change) -> None:
        self._moved(change["new"], self.field)

    def _moved(self, value, widget) -> None:
        with self._lock:
            if self._setting or not math.isfinite(value):
                return
            before = self._value
            self._setting = True
            try:
                self._write(value, widget)
            finally:
                self._setting = False
            same = self._value == before
        if not same:
            self._tell()


class NumberControl(Number):
    """A number with a field to type in and, if wanted, a slider beside it.

    The slider's ends may be narrower than what may be typed: a typed number
    beyond them is kept, and the slider rests at its end.
    """

    def __init__(self, front, label, *, value, min, max, step, unit, help, decimals, typed, slider):
        self.step = step
        self.decimals = _decimals(step) if decimals is None else decimals
        low, high = typed if typed is not None else (min, max)
        self.low, self.high = low, high
        self._value = self._clean(value)
        kind = (widgets.BoundedIntText, widgets.IntSlider)
        if self.decimals:
            kind = (widgets.BoundedFloatText, widgets.FloatSlider)
        field = kind[0](
            value=self._shown(self._value), min=low, max=high, step=step, continuous_update=False
        )
        field.add_class("wb-number")
        self.slider = None
        if slider:
            self.slider = kind[1](
                value=_between(self._shown(self._value), min, max),
                min=min, max=max, step=step, readout=False, continuous_update=True,
            )  # fmt: skip
            self.slider.add_class("wb-slider")
        more = () if self.slider is None else (self.slider,)
        super().__init__(front, label, unit, help, field, *more, small=not slider)
        if self.slider is not None:
            self.slider.observe(self._slider_moved, "value")

    def limits(self, min, max, typed=None) -> None:
        """Other ends; the value is brought inside without telling anyone."""
        self.set(self._value, (min, max), typed)

    def set(self, value, limits, typed=None) -> None:
        """Another value and other ends at once, without telling anyone.

        One after the other the old value would be brought inside the new ends: as
        where a length is shown in another unit.
        """
        with self._lock:
            self._setting = True
            try:
                self.low, self.high = typed if typed is not None else limits
                with self._still():
                    _set_limits(self.field, self.low, self.high)
                    if self.slider is not None:
                        _set_limits(self.slider, *limits)
                    self._write(_between(value, self.low, self.high))
            finally:
                self._setting = False

    def _named(self):
        return (self.field,) if self.slider is None else (self.field, self.slider)

    def _clean(self, value):
        return _between(value if self.decimals else round(value), self.low, self.high)

    def _shown(self, value):
        return round(value, self.decimals) if self.decimals else round(value)

    def _write(self, value, moved=None) -> None:
        self._value = self._clean(value)
        shown = self._shown(self._value)
        for each in self._named():
            if each is not moved:
                place = _between(shown, each.min, each.max)
                if not math.isclose(each.value, place, rel_tol=1e-12, abs_tol=1e-6 * self.step):
                    if each is self.slider:
                        with self._still():
                            each.value = place
                    else:
                        each.value = place

    @contextmanager
    def _still(self):
        """Keep the page's slider from answering with what it makes of new numbers.

        It sends back the step nearest to every value that it is given, unless it is told
        in the same message to report only what the person does.
        """
        if self.slider is None or not self.slider.continuous_update:
            yield
            return
        with self.slider.hold_sync():
            self.slider.continuous_update = False
            yield
        self.slider.continuous_update = True

    def _slider_moved(self, change) -> None:
        # a slider that has just been put on the page reports the step nearest to its value
        if not math.isclose(change["new"], self._nearest_step(), abs_tol=1e-3 * self.step):
            self._moved(self._shown(change["new"]), self.slider)

    def _nearest_step(self) -> float:
        low, high = self.slider.min, self.slider.max
        steps = (_between(self._shown(self._value), low, high) - low) / self.step
        return _between(low + math.floor(steps + 0.5) * self.step, low, high)


class ChoiceControl(Control):
    """One of several things; ``options`` is a list of (label, value) or of texts."""

    def replace(self, options, value) -> None:
        """Offer other options, without telling anyone."""
        with self._lock:
            self._setting = True
            try:
                self.field.options = options
                self.field.value = value
            finally:
                self._setting = False


def slider(
    front, label, *, value, min, max, step=1, unit="", help="", decimals=None, typed=None
) -> NumberControl:
    """A slider with a number field; ``typed=(low, high)`` lets more be typed.

    Whole numbers when ``step`` is whole and ``decimals`` is 0 or not given.
    """
    return NumberControl(
        front, label, value=value, min=min, max=max, step=step, unit=unit, help=help,
        decimals=decimals, typed=typed, slider=True,
    )  # fmt: skip


def number(front, label, *, value, min, max, step=1, unit="", help="", decimals=None):
    """A field for a number, without a slider."""
    return NumberControl(
        front, label, value=value, min=min, max=max, step=step, unit=unit, help=help,
        decimals=decimals, typed=None, slider=False,
    )  # fmt: skip


def choice(front, label, *, options, value=None, unit="", help="") -> ChoiceControl:
    """A drop-down list."""
    options = list(options)
    if value is None:
        value = options[0][1] if isinstance(options[0], tuple) else options[0]
    field = widgets.Dropdown(options=options, value=value)
    field.add_class("wb-choice")
    return ChoiceControl(front, label, unit, help, field)


def tick(front, label, *, value=False, help="") -> Control:
    """A box to tick."""
    field = widgets.Checkbox(value=value, description=label, indent=False)
    field.add_class("wb-tick")
    return Control(front, label, "", help, field, inline=True)


def text(front, label, *, value="", unit="", help="", placeholder="") -> Control:
    """A field for words; the change is told on Enter or on leaving the field."""
    field = widgets.Text(value=value, placeholder=placeholder, continuous_update=False)
    field.add_class("wb-text")
    return Control(front, label, unit, help, field)


def button(front, label, on_click, *, help="", main=False, icon="") -> widgets.Button:
    """A button; ``on_click`` is called without arguments (wrap it in ``guarded``)."""
    made = widgets.Button(description=label, tooltip=help, icon=icon)
    made.add_class("wb-button")
    if main:
        made.add_class("wb-button-main")
    front.tag(made, title=help or label)

    def clicked(_) -> None:
        with front.turn:
            on_click()

    made.on_click(clicked)
    return made


def _between(value, low, high):
    return min(max(value, low), high)


def _decimals(step) -> int:
    """Decimals a step needs: 0.25 -> 2, 1 -> 0."""
    for decimals in range(7):
        if math.isclose(step, round(step, decimals), rel_tol=1e-9, abs_tol=1e-12):
            return decimals
    return 7


def _set_limits(widget, low, high) -> None:
    """Set both ends at once; one after the other may cross and raise."""
    if low > widget.max:
        widget.max = high
        widget.min = low
    else:
        widget.min = low
        widget.max = high

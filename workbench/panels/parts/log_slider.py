"""A slider whose steps are shares, for light: from 50 to 100 lux is as far as from 500 to 1000."""

from __future__ import annotations

import math

import ipywidgets as widgets

from workbench.panels.parts.controls import Number

_STEP_DECADES = 0.02  # about 5 %, a fifteenth of a stop


class LogNumber(Number):
    """A number above 0 with a field to type in and a slider in equal shares.

    Parameters
    ----------
    min, max : ends of the slider.
    typed : lowest and highest number that may be typed; the slider then rests at its end.

    The slider gives numbers of two digits; a typed one is kept as it is.  Otherwise as the
    numbers of `parts.controls`.
    """

    def __init__(self, front, label, *, value, min, max, typed, unit="", help=""):
        self._low, self._high = typed
        self._value = self._clean(value)
        field = widgets.BoundedFloatText(
            value=self._value, min=typed[0], max=typed[1], step=1, continuous_update=False
        )
        field.add_class("wb-number")
        self.slider = widgets.FloatLogSlider(
            value=self._rest(min, max), base=10, min=math.log10(min), max=math.log10(max),
            step=_STEP_DECADES, readout=False, continuous_update=True,
        )  # fmt: skip
        self._ends = (min, max)
        self.slider.add_class("wb-slider")
        super().__init__(front, label, unit, help, field, self.slider)
        self.slider.observe(self._slider_moved, "value")

    def _named(self):
        return self.field, self.slider

    def _clean(self, value) -> float:
        return min(max(float(value), self._low), self._high)

    def _rest(self, low, high) -> float:
        return min(max(self._value, low), high)

    def _write(self, value, moved=None) -> None:
        self._value = self._clean(value)
        if moved is not self.field and self.field.value != self._value:
            self.field.value = self._value
        if moved is not self.slider and not self._is_at(self.slider.value):
            self.slider.value = self._rest(*self._ends)

    def _slider_moved(self, change) -> None:
        # a page snaps what it is given to the slider's steps, and may send that back
        if not self._is_at(change["new"]):
            self._moved(two_digits(change["new"]), self.slider)

    def _is_at(self, place: float) -> bool:
        """Whether the slider, resting here, shows the value there is."""
        there = self._rest(*self._ends)
        return abs(math.log10(place / there)) < 0.51 * _STEP_DECADES


def two_digits(value: float) -> float:
    """A number above 0 rounded to two digits, three where it begins with a 1."""
    first = value / 10.0 ** math.floor(math.log10(value))
    digits = (2 if first < 2 else 1) - math.floor(math.log10(value))
    return round(value, digits)

"""The light on the print by a photograph of a white card: its exposure tells it."""

from __future__ import annotations

from workbench.analysis.exposure import exposure_of, illuminance_by_card, seconds_of
from workbench.decisions import DECISIONS
from workbench.errors import WorkbenchError
from workbench.language import numeral, tr
from workbench.panels import parts
from workbench.panels.view import View

_HOW = tr(
    "Hang a white card where the print will be and photograph it so that it fills the frame, exposed "
    "as the meter says, without any correction. Its exposure tells the light on it (ISO 2720), to "
    "about a third of a stop; do not stand in the light."
)


class CardPart:
    """A fold of the place panel."""

    def __init__(self, panel):
        self.panel, front = panel, panel.front
        self.said = parts.StatusLine(front)
        self.chooser = parts.FileChooser(
            front, tr("The photograph"), self.open, extensions=(".jpg", ".jpeg", ".tif", ".tiff", ".dng"),
            upload=False, help=tr("Its file says how it was exposed; or type that below"),
        )  # fmt: skip
        self.f_number = parts.number(
            front,
            tr("F-number"),
            value=4,
            min=0.7,
            max=64,
            decimals=1,
            help=tr("Such as 4 for f/4"),
        )
        self.time = parts.text(
            front, tr("Exposure time"), value="1/30", unit="s", help=tr("Such as 1/30 or 0.5")
        )
        self.iso = parts.number(
            front, tr("ISO speed"), value=400, min=6, max=1_000_000, decimals=0, help=tr("As set")
        )
        self.card = parts.number(
            front, tr("The card reflects"), value=90, min=50, max=100, unit="%", decimals=0,
            help=tr("Bright paper reflects 85 to 95 % (common practice, no source)"),
        )  # fmt: skip
        self.answer = parts.Sentence(tr("Light on the card"))
        self.take = parts.button(
            front, tr("Take it as the light on the print"), parts.guarded(self.said)(self._take),
            help=tr("Sets the light on the print to the best guess"),
        )  # fmt: skip
        self.fold = parts.fold(
            tr("No meter: measure the light with a camera and a white card"),
            parts.html(_HOW), self.chooser,
            parts.row(self.f_number, self.time, self.iso, self.card),
            self.said, self.answer, parts.row(self.take), front=front,
        )  # fmt: skip
        self.found = None
        panel.look(self.fold, self.f_number, self.time, self.iso, self.card)

    def open(self, path: str) -> None:
        """Take the exposure that a photograph's file states."""
        told = exposure_of(path)
        self.f_number.value, self.iso.value = told.f_number, told.iso
        faster = told.exposure_s < 0.4
        self.time.value = (
            f"1/{_four_digits(1 / told.exposure_s)}" if faster else _four_digits(told.exposure_s)
        )
        self.panel._changed(None)

    def shows(self) -> tuple[View, ...]:
        """What the panel declares of it."""
        return (
            View("card", self._asked, lambda asked: told_by(*asked), self._show,
                 forget=self._forget, status=self.said),
        )  # fmt: skip

    def _asked(self) -> tuple | None:
        if not self.fold.opened:
            return None
        return self.f_number.value, self.time.value, self.iso.value, self.card.value

    def _show(self, told: tuple) -> None:
        self.found, problem = told
        self.take.disabled = self.found is None
        self.answer.say("" if self.found is None else self.found.sentence)
        if problem:
            self.said.problem(problem)
        else:
            self.said.clear()

    def _forget(self) -> None:
        self.found = None

    def _take(self) -> None:
        if self.found is None:
            raise WorkbenchError(tr("Say first how the card was exposed."))
        self.panel.plan.illuminance_lux = DECISIONS["illuminance_lux"].nearest(
            float(f"{self.found.illuminance_lux:.2g}")
        )


def _four_digits(value: float) -> str:
    # an electronic shutter's 16000 never as 1.6e+04, which cannot be typed
    return numeral(value, ".4g" if value < 1000 else ".0f")


def told_by(f_number: float, time: str, iso: float, card_percent: float) -> tuple:
    """(the `CardReading` or None, what is wrong in a sentence or "")."""
    try:
        how = {"card_reflectance": card_percent / 100}
        return illuminance_by_card(f_number, seconds_of(time), iso, **how), ""
    except WorkbenchError as problem:
        return None, str(problem)

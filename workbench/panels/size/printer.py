"""The person's own printer: what it takes, what it cannot print on, and keeping that."""

from __future__ import annotations

from workbench.language import tr
from workbench.library.printer_file import keep_printer, read_printer
from workbench.panels import parts
from workbench.panels.knobs import knob
from workbench.panels.shelf.reading import named_folder
from workbench.printer import TYPICAL

_KNOBS = (
    "printer_name", "printer_width_mm", "printer_length_mm", "printer_rolls",
    "margin_left_mm", "margin_right_mm", "margin_leading_mm", "margin_trailing_mm",
    "thick_from_mm", "thick_leading_mm", "thick_trailing_mm", "thickest_mm",
)  # fmt: skip

_FINE = dict.fromkeys(("thick_from_mm", "thickest_mm"), {"step": 0.05, "decimals": 2})


class PrinterPart:
    """Knobs behind a title, and buttons to keep the printer beside the shelf or to use that one."""

    def __init__(self, panel):
        self._plan, front = panel.plan, panel.front
        self.knobs = {name: knob(panel, name, **_FINE.get(name, {})) for name in _KNOBS}
        self.said = parts.StatusLine(front)
        safely = parts.guarded(self.said)
        self.keep = parts.button(
            front, tr("Keep as my printer"), safely(lambda *_: self._keep()),
            help=tr("In a text file beside the shelf; every new plan begins with it"),
        )  # fmt: skip
        self.take = parts.button(
            front, tr("Use my printer"), safely(lambda *_: self._take()),
            help=tr("With what was kept beside the shelf"),
        )  # fmt: skip
        knobs = parts.row(*self.knobs.values())
        knobs.add_class("wb-knobs")
        about = parts.html(
            tr(
                "Where a margin is not known, {margin_mm:g} mm is typical (common practice, no "
                "source). Widest, longest and thickest are 0 where they are not known.",
                margin_mm=TYPICAL.left_mm,
            ),
            "wb-muted",
        )
        self.fold = parts.fold(
            tr("Your printer"),
            about,
            knobs,
            parts.row(self.keep, self.take),
            self.said,
            front=front,
        )

    def _keep(self) -> None:
        path = keep_printer(self._plan.printer, named_folder())
        self.said.say(tr("Kept in {path}", path=path))

    def _take(self) -> None:
        if (kept := read_printer(named_folder())) is None:
            self.said.say(tr("No printer has been kept yet."))
            return
        self._plan.use(kept)
        self.said.say(
            tr("Now planning for {printer}.", printer=kept.printer_name or tr("your printer"))
        )

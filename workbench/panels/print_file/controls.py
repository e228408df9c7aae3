"""The print file panel's plain controls: who converts, and the kind of file."""

from __future__ import annotations

from workbench.language import tr
from workbench.output.formats import KINDS
from workbench.panels import parts
from workbench.panels.knobs import knob
from workbench.panels.print_file.words import hands_words
from workbench.panels.view import View

TIFF, PNG, JPEG = "TIFF", "PNG", "JPEG"
ENDINGS = {TIFF: ".tif", PNG: ".png", JPEG: ".jpg"}


def kind_of(name: str) -> str | None:
    """The kind that a file's name ends in, or None."""
    dot = name.rfind(".")
    return KINDS.get(name[dot:].lower()) if dot >= 0 else None


class ColourControls:
    """Who converts, and into what kind of file.

    ``kind`` is what the person chose on the page; all else is the plan's.
    """

    def __init__(self, panel):
        self._plan = panel.plan
        self.converts = knob(panel, "converts")
        self.hands = parts.html("", "wb-muted")
        self.kind = parts.choice(
            panel.front,
            tr("Kind of file"),
            options=[(tr("TIFF (best)"), TIFF), ("PNG", PNG), (tr("JPEG, high quality"), JPEG)],
            help=tr(
                "TIFF and PNG keep every pixel; JPEG is small and has 8 bits. The name's "
                "ending follows"
            ),
        )
        self.kind.on_change(panel.safely(panel.writing.take_kind))
        panel.look(self.kind)
        self.bit_depth = knob(panel, "bit_depth")
        self.compression = knob(panel, "compression")
        self.problem = parts.StatusLine(panel.front)
        controls = self.converts, self.kind, self.bit_depth, self.compression
        for control in controls:
            control.widget.layout.width = "240px"
        self.items = [parts.row(*controls), self.hands, self.problem]

    def shows(self) -> tuple[View, ...]:
        """What the panel declares of them."""
        return (View("colours", lambda: (self._plan.converts, self.kind.value), tuple, self._show),)

    def _show(self, asked: tuple) -> None:
        converts, kind = asked
        parts.set_html(self.hands, hands_words(converts))
        self.bit_depth.disabled = kind == JPEG
        self.compression.visible = kind == TIFF

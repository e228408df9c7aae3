"""The print file panel's plain controls: who converts, and the kind of file."""

from __future__ import annotations

from workbench.output.formats import KINDS
from workbench.panels import parts

TIFF, PNG, JPEG = "TIFF", "PNG", "JPEG"
ENDINGS = {TIFF: ".tif", PNG: ".png", JPEG: ".jpg"}
_NONE = "none"  # a list shows nothing for None


def kind_of(name: str) -> str | None:
    """The kind that a file's name ends in, or None."""
    dot = name.rfind(".")
    return KINDS.get(name[dot:].lower()) if dot >= 0 else None


class ColourControls:
    """Who converts, and into what kind of file.

    ``kind`` is what the person chose on the page; all else is the plan's.
    """

    def __init__(self, panel):
        front = panel.front
        self.converts = panel.bind(
            parts.choice(
                front,
                "Who converts the colours",
                options=[
                    ("the workbench, here", "workbench"),
                    ("the printer driver, later", "driver"),
                ],
                help="Only one of the two may: what is converted twice comes out wrong",
            ),
            "converts",
        )
        self.hands = parts.html("", "wb-muted")
        self.kind = parts.choice(
            front,
            "Kind of file",
            options=[("TIFF (best)", TIFF), ("PNG", PNG), ("JPEG, high quality", JPEG)],
            help="TIFF and PNG keep every pixel; JPEG is small and has 8 bits. The name's "
            "ending follows",
        )
        self.bit_depth = panel.bind(
            parts.choice(
                front,
                "Bits a channel",
                options=[("16: soft slopes stay smooth", 16), ("8, dithered", 8)],
                help="16 bits keep more steps than an eye or a printer can tell; with 8, noise "
                "of one step hides where they end",
            ),
            "bit_depth",
        )
        self.compression = panel.bind(
            parts.choice(
                front,
                "Compression of the TIFF",
                options=[("none", _NONE), ("deflate, without loss", "deflate")],
                help="Smaller files that take longer; every pixel stays as it is",
            ),
            "compression",
            to_plan=lambda value: None if value == _NONE else value,
            from_plan=lambda value: value or _NONE,
        )
        self.problem = parts.StatusLine(front)
        for control in (self.converts, self.kind, self.bit_depth, self.compression):
            control.widget.layout.width = "240px"
        self.items = [
            parts.row(self.converts, self.kind, self.bit_depth, self.compression),
            self.hands,
            self.problem,
        ]

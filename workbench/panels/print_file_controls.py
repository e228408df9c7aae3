"""The print file panel's plain controls: colours, kind of file, lengths in the plan's unit."""

from __future__ import annotations

from workbench.analysis.sheets import FAMILIES, SHEETS
from workbench.output.formats import KINDS
from workbench.panels import parts

TIFF, PNG, JPEG = "TIFF", "PNG", "JPEG"
ENDINGS = {TIFF: ".tif", PNG: ".png", JPEG: ".jpg"}
_NONE = "none"  # a list shows nothing for None
_PER_UNIT = {"cm": 10.0, "mm": 1.0, "in": 25.4}


def still_line(front):
    """A status line that takes no room while it says nothing."""
    line = parts.StatusLine(front)
    line.widget.layout.min_height = "0"
    return line


def bound_length(panel, trait: str, label: str, most_mm: float, help: str):
    """A slider for a length of the plan, shown in the plan's unit; `in_unit` changes that."""
    control = parts.slider(
        panel.front, label, value=0, min=0, max=most_mm, step=0.1, decimals=2, typed=(0, 50000),
        help=help,
    )  # fmt: skip
    plan = panel.plan
    control.on_change(
        panel.safely(lambda value: setattr(plan, trait, value * _PER_UNIT[plan.unit]))
    )

    def follow(change=None) -> None:
        per = _PER_UNIT[plan.unit]
        control.rename(label, plan.unit)
        control.set(getattr(plan, trait) / per, (0, most_mm / per), typed=(0, 50000 / per))

    plan.observe(follow, names=[trait, "unit"])
    follow()
    return control


def sheet_options(unit: str) -> list[tuple[str, str]]:
    """(label, name) of every sheet by families; sizes in mm, or in inches for inches."""
    unit = "in" if unit == "in" else "mm"
    offered = [("none chosen", "")]
    for family in FAMILIES:
        kind = "" if family == "roll" else f"{family}, "
        offered += [
            (f"{sheet.name} ({kind}{sheet.size_text(unit)})", sheet.name)
            for sheet in SHEETS
            if sheet.family == family
        ]
    return offered


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
        self.problem = still_line(front)
        for control in (self.converts, self.kind, self.bit_depth, self.compression):
            control.widget.layout.width = "240px"
        self.items = [
            parts.row(self.converts, self.kind, self.bit_depth, self.compression),
            self.hands,
            self.problem,
        ]

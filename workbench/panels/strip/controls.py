"""The controls of the test strip: which parts, which steps, which sheet."""

from __future__ import annotations

from workbench.files import free_path
from workbench.panels import parts
from workbench.panels.parts.choice_or_typed import ChoiceOrTyped

MOST_SUGGESTED = 5
_SHEETS = (
    ("A4", "A4"),
    ("A5", "A5"),
    ("A6", "A6"),
    ("A3", "A3"),
    ("Letter", "Letter"),
    ("4×6 in", "4×6 in"),
    ("5×7 in", "5×7 in"),
    ("8×10 in", "8×10 in"),
    ("13×18 cm", "13×18 cm"),
)


class StripControls:
    """Parts, steps and sheet; ``on_change`` is told of any change, without values."""

    def __init__(self, front):
        self._callbacks: list = []
        self._unwanted: set[str] = set()
        self._names: list[str] = []
        self.parts = [
            parts.tick(front, f"Part {n + 1}", value=True, help="Print this part of the picture")
            for n in range(MOST_SUGGESTED)
        ]
        self.reasons = [parts.html("", "wb-muted") for _ in self.parts]
        self._rows = [
            parts.row(tick, reason) for tick, reason in zip(self.parts, self.reasons, strict=True)
        ]
        for row, tick in zip(self._rows, self.parts, strict=True):
            row.layout.display = "none"
            # so that the reasons stand below one another
            tick.widget.layout.width, row.layout.align_items = "210px", "center"
            # on a narrow page a reason stands below its own part, not above the next one
            row.layout.grid_gap = "0 24px"
        self.own = parts.tick(
            front, "A place of your own", help="Print a part around the place given here as well"
        )
        self.own_x = parts.number(
            front, "Its middle, from the left", value=50, min=0, max=100, unit="%", decimals=1,
            help="Of the print's width; 0 is the left edge, 100 the right one",
        )  # fmt: skip
        self.own_y = parts.number(
            front, "and from the top", value=50, min=0, max=100, unit="%", decimals=1,
            help="Of the print's height; 0 is the upper edge, 100 the lower one",
        )  # fmt: skip
        self.lightness = parts.number(
            front, "A step of lightness", value=3, min=0.5, max=6, step=0.5, unit="L*",
            help="How much lighter or darker a middle grey becomes from one patch to the next",
        )  # fmt: skip
        self.lightness_count = parts.choice(
            front, "Steps lighter and darker", options=[(str(n), n) for n in range(5)], value=2,
            help="How many steps each way from what is planned; 0 for none",
        )  # fmt: skip
        self.warmth = parts.number(
            front, "A step of warmth", value=2, min=0.5, max=4, step=0.5, unit="b*",
            help="How much warmer (yellower) or cooler (bluer) a middle grey becomes",
        )  # fmt: skip
        self.warmth_count = parts.choice(
            front, "Steps warmer and cooler", options=[(str(n), n) for n in range(3)], value=0,
            help="How many steps each way from what is planned; 0 for none",
        )  # fmt: skip
        self.sheet = ChoiceOrTyped(
            front, "Sheet for the strip", options=_SHEETS,
            help="A small sheet of the same paper; 20 x 15 cm and the like may be typed",
            placeholder="20 x 15 cm",
        )  # fmt: skip
        self.sheet.value = "A4"
        for number, tick in enumerate(self.parts):
            tick.on_change(lambda wanted, number=number: self._ticked(number, wanted))
        for control in (
            self.own, self.own_x, self.own_y, self.lightness, self.lightness_count, self.warmth,
            self.warmth_count, self.sheet,
        ):  # fmt: skip
            control.on_change(lambda value: self._tell())
        steps = parts.row(
            self.lightness_count, self.lightness, self.warmth_count, self.warmth, self.sheet
        )
        steps.add_class("wb-knobs")
        own = parts.row(self.own, self.own_x, self.own_y)
        offered = parts.column(*self._rows)
        offered.layout.grid_gap = "4px"
        self.body = [steps, offered, own]

    def on_change(self, callback) -> None:
        self._callbacks.append(callback)

    def offer(self, tellings, letters=None) -> None:
        """Show the suggested parts; those of a kind that was not wanted stay unticked.

        ``letters`` maps names to the letters by which parts are known on the strip.
        """
        self._names = [telling.name for telling in tellings]
        for number, row in enumerate(self._rows):
            here = number < len(tellings)
            row.layout.display = "" if here else "none"
            if here:
                telling = tellings[number]
                letter = (letters or {}).get(telling.name)
                name = telling.name[:1].upper() + telling.name[1:]
                self.parts[number].field.description = f"{letter}  {name}" if letter else name
                self.parts[number].value = telling.name not in self._unwanted
                parts.set_html(self.reasons[number], telling.reason, "wb-muted")

    @property
    def unwanted(self) -> frozenset[str]:
        """Names of suggested parts that are not ticked."""
        return frozenset(self._unwanted)

    @property
    def own_place(self) -> tuple[float, float] | None:
        """Shares of the print's width and height, if a place was given."""
        return (self.own_x.value / 100, self.own_y.value / 100) if self.own.value else None

    @property
    def lightness_steps(self) -> tuple[float, ...]:
        return _both_ways(self.lightness.value, self.lightness_count.value)

    @property
    def warmth_steps(self) -> tuple[float, ...]:
        return _both_ways(self.warmth.value, self.warmth_count.value)

    def _ticked(self, number: int, wanted: bool) -> None:
        if number < len(self._names):
            name = self._names[number]
            (self._unwanted.discard if wanted else self._unwanted.add)(name)
            self._tell()

    def _tell(self) -> None:
        for callback in self._callbacks:
            callback()


def sheet_saver(front, label: str, help: str, folder: str, original, prepare) -> parts.SaveTo:
    """A folder and a button that writes a sheet into it, with progress.

    Parameters
    ----------
    label, help : of the button; ``folder`` : label of the folder's field.
    original : () -> path of the picture whose folder is meant where none is typed.
    prepare : () -> (stem of the file's name, function(path, progress=..., cancelled=...) that
        writes and returns a WrittenSheet).
    """

    def begin(folder):
        stem, make = prepare()
        path = free_path(folder, stem, ".tif")

        def work(cancelled, progress):
            def told(share: float) -> None:
                progress(share, f"Writing “{path.name}”")

            return make(path, progress=told, cancelled=cancelled)

        return work

    act = parts.Act(
        label, help, begin, doing="Writing", said=lambda written: f"Written: {written.path}",
        notes=_read_back, main=True,
    )  # fmt: skip
    return parts.SaveTo(front, {"write": act}, label=folder, original=original, long=True)


def _read_back(written) -> str:
    how, checks = written.sentences[1], written.sentences[2:]
    said = (how, f"Read back: {' '.join(checks)}")
    return "".join(f"<p>{parts.html(s, 'wb-muted').value}</p>" for s in said)


def _both_ways(step: float, count: int) -> tuple[float, ...]:
    return tuple(step * n for n in range(-count, count + 1))

"""The controls of the test strip: which decisions, which place, which sheet."""

from __future__ import annotations

from workbench.analysis.words import begin_large
from workbench.files import free_path
from workbench.gang.apart import PLACE_ROW, ROWS
from workbench.language import tr
from workbench.panels import parts
from workbench.panels.parts.choice_or_typed import ChoiceOrTyped

_HELP = {
    "shadows": tr(
        "Lifts the shadows step by step, in the dark part of the picture that shows it best"
    ),
    "highlights": tr(
        "Lowers the highlights step by step, in the light part of the picture that shows it best"
    ),
    "around": tr(
        "Darker to lighter and cooler to warmer, in a grid around what is planned, in a middle tone"
    ),
    "place": tr(
        "The print as it is beside the one that makes up for light, wall and glass of its place: "
        "the plan's own, or what is proposed"
    ),
}
# rows on offer
_OFFERED = {**{kind: name for kind, (name, *_) in ROWS.items()}, "place": PLACE_ROW}
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
    """Rows, a place and the sheet; ``on_change`` is told of any change, without values."""

    def __init__(self, front):
        self._callbacks: list = []
        self.rows = {
            kind: parts.tick(front, begin_large(name), value=kind in ROWS, help=_HELP[kind])
            for kind, name in _OFFERED.items()
        }
        self.reasons = {kind: parts.html("", "wb-muted") for kind in _OFFERED}
        lines = [parts.row(self.rows[kind], self.reasons[kind]) for kind in _OFFERED]
        for row, tick in zip(lines, self.rows.values(), strict=True):
            # so that the reasons stand below one another
            tick.widget.layout.width, row.layout.align_items = "210px", "center"
            # on a narrow page a reason stands below its own part, not above the next one
            row.layout.grid_gap = "0 24px"
        self.own = parts.tick(
            front,
            tr("A place of your own"),
            help=tr(
                "Tries lightness and warmth around the place given here as well; with this "
                "ticked, a click on the picture gives it"
            ),
        )
        self.own_x = parts.number(
            front, tr("Its middle, from the left"), value=50, min=0, max=100, unit="%", decimals=1,
            help=tr("Of the print's width; 0 is the left edge, 100 the right one"),
        )  # fmt: skip
        self.own_y = parts.number(
            front, tr("and from the top"), value=50, min=0, max=100, unit="%", decimals=1,
            help=tr("Of the print's height; 0 is the upper edge, 100 the lower one"),
        )  # fmt: skip
        self.sheet = ChoiceOrTyped(
            front, tr("Sheet for the strip"), options=_SHEETS,
            help=tr("A small sheet of the same paper; 20 x 15 cm and the like may be typed"),
            placeholder=tr("20 x 15 cm"),
        )  # fmt: skip
        self.sheet.value = "A4"
        for control in (*self.rows.values(), self.own, self.own_x, self.own_y, self.sheet):
            control.on_change(lambda value: self._tell())
        own = parts.row(self.own, self.own_x, self.own_y)
        offered = parts.column(*lines)
        offered.layout.grid_gap = "4px"
        self.body = [self.sheet, offered, own]

    def on_change(self, callback) -> None:
        self._callbacks.append(callback)

    def say(self, sentences: dict) -> None:
        """Say of each row, by its kind, what it tests, where, and how far its steps lie apart."""
        for kind, reason in self.reasons.items():
            parts.set_html(reason, sentences.get(kind, ""), "wb-muted")

    @property
    def wanted(self) -> tuple[str, ...]:
        """The rows of decisions that are ticked."""
        return tuple(kind for kind in ROWS if self.rows[kind].value)

    @property
    def with_place(self) -> bool:
        """Whether the print made for its place is wanted beside the plain one."""
        return self.rows["place"].value

    @property
    def own_place(self) -> tuple[float, float] | None:
        """Shares of the print's width and height, if a place was given."""
        return (self.own_x.value / 100, self.own_y.value / 100) if self.own.value else None

    @own_place.setter
    def own_place(self, place: tuple[float, float]) -> None:
        self.own_x.value, self.own_y.value = (100 * share for share in place)

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
                progress(share, tr("Writing “{name}”", name=path.name))

            return make(path, progress=told, cancelled=cancelled)

        return work

    act = parts.Act(
        label, help, begin, doing=tr("Writing"), said=lambda written: tr("Written: {path}", path=written.path),
        notes=_read_back, main=True,
    )  # fmt: skip
    return parts.SaveTo(front, {"write": act}, label=folder, original=original, long=True)


def _read_back(written) -> str:
    how, checks = written.sentences[1], written.sentences[2:]
    said = (how, tr("Read back: {checks}", checks=" ".join(checks)))
    return "".join(f"<p>{parts.html(s, 'wb-muted').value}</p>" for s in said)

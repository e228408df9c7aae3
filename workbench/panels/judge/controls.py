"""The controls of judging by eye: what is seen, and what is read of the wedge."""

from __future__ import annotations

from workbench.analysis.judge import CAST, CONTRAST, HUES, LIGHTNESS, TONES, Observations
from workbench.analysis.wedge import READ, ROW_NAMES
from workbench.analysis.words import HUE_WORDS, begin_large
from workbench.language import tr
from workbench.panels import parts

_CHAIN = ((tr("not printed, or not looked at"), ""), (tr("the halves agree"), "yes"),
          (tr("the halves differ plainly"), "no"))  # fmt: skip
_IN_TONES = tr("in the shadows"), tr("in the middle tones"), tr("in the highlights")


class SeenControls:
    """The short form; ``observations`` is what it says."""

    def __init__(self, front, changed):
        self.ruled_out: tuple[str, ...] = ()
        self._changed = changed
        self.lightness = parts.choice(
            front, tr("Print against screen"), options=LIGHTNESS, help=tr("The print as a whole")
        )
        self.contrast = parts.choice(
            front,
            tr("Its contrast"),
            options=CONTRAST,
            help=tr("Whether light and dark tones lie closer together or further apart"),
        )
        self.cast = parts.choice(
            front,
            tr("Its colour cast"),
            options=CAST,
            help=tr("Whether all colours lean to one side"),
        )
        self.tones = {
            tone: parts.tick(front, words, help=tr("Tick none where it is the same everywhere"))
            for tone, words in zip(TONES, _IN_TONES, strict=True)
        }
        self.hue = parts.choice(
            front, tr("Colours wrong by themselves"),
            options=[(tr("none"), ""), *((HUE_WORDS[hue], hue) for hue in HUES)],
            help=tr("Where the rest of the picture is right"),
        )  # fmt: skip
        self.stripes = parts.tick(
            front, tr("stripes or bands"), help=tr("Lines that run through the print")
        )
        self.dried = parts.tick(
            front,
            tr("it has dried"),
            value=True,
            help=tr("For as long as the paper needs; see below"),
        )
        self.light = parts.tick(
            front, tr("both in the stated light"), value=True,
            help=tr("Print and screen stand in the light that is set in the plan"),
        )  # fmt: skip
        self.chain = parts.choice(
            front,
            tr("Chain patch"),
            options=_CHAIN,
            help=tr("Of the judging sheet, looked at from a distance"),
        )
        self._all = (self.lightness, self.contrast, self.cast, *self.tones.values(), self.hue,
                     self.stripes, self.dried, self.light, self.chain)  # fmt: skip
        for control in self._all:
            control.on_change(lambda value: self._anew())
        first = parts.row(self.lightness, self.contrast, self.cast, self.hue, self.chain)
        first.add_class("wb-knobs")
        ticks = parts.row(*self.tones.values(), self.stripes, self.dried, self.light)
        self.body = [first, ticks]

    def observations(self, wedge_moved: bool) -> Observations:
        """What the form says, and whether the wedge reads otherwise than it did."""
        return Observations(
            self.lightness.value, self.contrast.value, self.cast.value,
            tuple(tone for tone, tick in self.tones.items() if tick.value),
            (self.hue.value,) if self.hue.value else (),
            self.stripes.value, self.dried.value, self.light.value,
            {"yes": True, "no": False}.get(self.chain.value), wedge_moved, self.ruled_out,
        )  # fmt: skip

    def rule_out(self, key: str) -> None:
        """Leave out a cause that was looked into."""
        self.ruled_out = (*self.ruled_out, key)
        self._changed()

    def _anew(self) -> None:
        # another print, or seen otherwise: all causes count again
        self.ruled_out = ()
        self._changed()


class WedgeControls:
    """What is read of a printed wedge: a number for each row."""

    def __init__(self, front):
        self.rows = {
            name: parts.number(
                front, ROW_NAMES[name], value=0, min=0, max=10, step=1, decimals=0,
                help=tr("{read}; 0 where none can be told", read=begin_large(read)),
            )
            for name, read in READ.items()
        }  # fmt: skip
        self.body = [parts.row(*self.rows.values())]

    @property
    def values(self) -> tuple[int, ...]:
        return tuple(int(control.value) for control in self.rows.values())

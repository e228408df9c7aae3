"""How prints came out over time: the mean difference of each, paper by paper.

A print that was judged by eye only, without a measurement, stands as a mark at the foot.
"""

from __future__ import annotations

import re
from collections import Counter
from datetime import timedelta
from typing import Any

from workbench.figures.live import LiveFigure
from workbench.figures.plane import fit_page, new_page
from workbench.figures.style import (
    CARD,
    DASHES,
    QUIET,
    SERIES,
    SIZE_LABEL,
    SIZE_NOTE,
    add_axes,
    colour,
    place_again,
    shorter,
    words,
)
from workbench.language import month, tr

NAMED = 5  # papers with a colour of their own; the rest are grey
_SHAPES = ("o", "^", "D", "v", "P", "s")
_OTHERS = tr("other papers")
# the axis reaches at least so far, in CIEDE2000, so that small differences look small
_LEAST_REACH = 3.0
_FOOT = 0.06  # share of the height below 0, for prints judged by eye
_ROW_PX, _NAMES_PX = 22, 230
_NARROW_PX = 520  # below this the names stand under the plot
# by what the ticks of the axis are (years, months, days … seconds), a month's number in <>: most
# ticks, those at which a longer time begins, and what stands once at the end
_TICKS = ["%Y", "<%m>", "%d", "%H:%M", "%H:%M", "%S.%f"]
_BEGINNINGS = ["", "%Y", "<%m>", "<%m>-%d", "%H:%M", "%H:%M"]
_AT_THE_END = ["", "%Y", "<%m> %Y", "%d <%m> %Y", "%d <%m> %Y", "%d <%m> %Y"]
_MARGINS: dict[str, Any] = {"left_px": 60, "top_px": 34, "bottom_px": 52}


def series_of(notes) -> list[tuple[str, list]]:
    """(paper, its notes from the oldest to the newest), the papers with most prints first.

    At most ``NAMED`` papers have a series of their own; the rest share one.
    """
    notes = sorted(notes, key=lambda note: note.when)
    count = Counter(note.paper_name for note in notes)
    named = [name for name, _ in count.most_common(NAMED if len(count) > NAMED + 1 else NAMED + 1)]
    series = [(name, [note for note in notes if note.paper_name == name]) for name in named]
    others = [note for note in notes if note.paper_name not in named]
    return series + ([(_OTHERS, others)] if others else [])


def alt_text(notes) -> str:
    """What the figure shows, in words."""
    measured = [note for note in notes if note.mean_de00 is not None]
    if not measured:
        return tr("No print of these was measured.")
    said = []
    for name, theirs in series_of(measured):
        values = [note.mean_de00 for note in theirs]
        paper = name or tr("no paper named")
        if len(values) > 1:
            said.append(
                tr(
                    "{paper}: {last:.1f} at last, {least:.1f} to {most:.1f} in {count} prints",
                    paper=paper,
                    last=values[-1],
                    least=min(values),
                    most=max(values),
                    count=len(values),
                )
            )
        else:
            said.append(tr("{paper}: {last:.1f}", paper=paper, last=values[-1]))
    prints = (
        tr("1 measured print")
        if len(measured) == 1
        else tr("{count} measured prints", count=len(measured))
    )
    return tr(
        "Mean CIEDE2000 of {prints} over time. {listed}.", prints=prints, listed="; ".join(said)
    )


def _dates(locator):
    """Formats the ticks of a time axis with the months' names in the language, not the system's."""
    from matplotlib.dates import ConciseDateFormatter

    class Dates(ConciseDateFormatter):
        def format_ticks(self, values):
            return [_with_months(label) for label in super().format_ticks(values)]

        def get_offset(self):
            return _with_months(super().get_offset())

    return Dates(locator, formats=_TICKS, zero_formats=_BEGINNINGS, offset_formats=_AT_THE_END)


def _with_months(text: str) -> str:
    return re.sub(r"<(\d\d)>", lambda found: month(int(found[1])), text)


class RecordFigure(LiveFigure):
    """Mean CIEDE2000 of each print against its date, a colour and shape for each paper.

    ``update(notes)`` shows notes as of the record (their ``when``, ``paper_name``,
    ``mean_de00`` and ``passed``), in any order.  Hollow points did not pass.
    """

    def __init__(self, width_px: int = 720, height_px: int = 280, scale: float = 1.0):
        super().__init__(width_px, height_px, scale=scale)
        self._low_px = height_px
        self._axes = add_axes(
            self.figure, right_px=self._right_px(), **_MARGINS,
            title=tr("How the prints came out"), ylabel=tr("mean CIEDE2000 (absolute)"),
        )  # fmt: skip
        self._axes.axhline(0, color=QUIET, linewidth=0.8)
        self._page = new_page(self)
        self._artists: list = []
        self._notes: list = []
        self.update([])

    def _right_px(self) -> int:
        return 20 if self._is_narrow else _NAMES_PX

    @property
    def _is_narrow(self) -> bool:
        return self.size_px[0] < _NARROW_PX

    def set_size(self, width_px: int, height_px: int | None = None) -> bool:
        changed = super().set_size(width_px, height_px)
        if changed:
            with self.lock:
                self.update(self._notes)
        return changed

    def update(self, notes) -> None:
        self._notes = list(notes)
        series = series_of(self._notes)
        rows = len(series) + 2  # and what hollow points and foot marks mean
        self._make_room(rows)
        for artist in self._artists:
            artist.remove()
        self._artists = []
        values = [note.mean_de00 for note in self._notes if note.mean_de00 is not None]
        reach = max(_LEAST_REACH, max(values, default=0) * 1.15)
        self._axes.set_ylim(-_FOOT * 2 * reach, reach)
        self._axes.set_yticks([tick for tick in self._axes.get_yticks() if 0 <= tick <= reach])
        self._axes.set_ylim(-_FOOT * 2 * reach, reach)
        self._set_dates([note.when for note in self._notes])
        for row, (name, theirs) in enumerate(series):
            self._draw(row, name, theirs, reach)
        self._explain(len(series))

    def _make_room(self, rows: int) -> None:
        """Names beside the plot, or under it where there is little room."""
        width = self.size_px[0]
        under = _ROW_PX * rows + 8 if self._is_narrow else 0
        height = max(self._low_px + under, 44 + _ROW_PX * rows)
        if height != self.size_px[1]:
            super().set_size(width, height)
        bottom = _MARGINS["bottom_px"] + under
        left, top = _MARGINS["left_px"], _MARGINS["top_px"]
        layout = (left, self._right_px(), top, bottom, (0, 1), (0, 1))
        self._axes.workbench_layout = layout
        place_again(self.figure)
        fit_page(self._page, self.size_px)
        if self._is_narrow:
            self._names_at = (left, height - under + 6)
        else:
            self._names_at = (width - _NAMES_PX + 18, top + 10)

    def _set_dates(self, moments) -> None:
        from matplotlib.dates import AutoDateLocator
        from matplotlib.ticker import NullFormatter, NullLocator

        if not moments:
            self._axes.xaxis.set_major_locator(NullLocator())
            self._axes.xaxis.set_major_formatter(NullFormatter())
            return
        first, last = min(moments), max(moments)
        spare = max((last - first) * 0.04, timedelta(days=2))
        self._axes.set_xlim(first - spare, last + spare)
        locator = AutoDateLocator(minticks=2, maxticks=4 if self._is_narrow else 7)
        self._axes.xaxis.set_major_locator(locator)
        self._axes.xaxis.set_major_formatter(_dates(locator))
        self._axes.xaxis.get_offset_text().set(fontsize=SIZE_NOTE, color=QUIET)

    def _draw(self, row: int, name: str, notes, reach: float) -> None:
        mine = name != _OTHERS and row < len(SERIES)
        tint = SERIES[row] if mine else colour("other")
        shape = _SHAPES[row] if mine else "."
        measured = [note for note in notes if note.mean_de00 is not None]
        style = {"color": tint, "linestyle": "none", "markersize": 7, "markeredgewidth": 1.6}
        if mine:
            # lines join prints on one paper, not those of several
            self._plot(measured, None, color=tint, linewidth=1.2, linestyle=DASHES[row], alpha=0.6)
        good = [note for note in measured if note.passed is not False]
        self._plot(good, None, marker=shape, **style)
        bad = [note for note in measured if note.passed is False]
        self._plot(bad, None, marker=shape, markerfacecolor=CARD, **style)
        seen = [note for note in notes if note.mean_de00 is None]
        foot = -_FOOT * reach
        style["markersize"] = 8
        self._plot([n for n in seen if n.passed is not False], foot, marker="|", **style)
        self._plot([n for n in seen if n.passed is False], foot, marker="x", **style)
        self._legend(row, name or tr("no paper named"), tint, shape)

    def _plot(self, notes, at, **style) -> None:
        if not notes:
            return
        heights = [note.mean_de00 if at is None else at for note in notes]
        self._artists += self._axes.plot([note.when for note in notes], heights, **style)

    def _legend(self, row: int, text: str, tint: str, shape: str) -> None:
        x, y = self._names_at
        y += row * _ROW_PX
        self._artists += self._page.plot(
            [x], [y], marker=shape, color=tint, markersize=7, linestyle="none"
        )
        self._artists.append(
            words(self._page, x + 14, y, shorter(text, 22), size=SIZE_LABEL, va="center")
        )

    def _explain(self, row: int) -> None:
        if not self._notes:
            middle = self.size_px[0] / 2, self.size_px[1] / 2
            self._artists.append(
                words(self._page, *middle, tr("No prints to show yet"), ha="center", quiet=True)
            )
            return
        x, y = self._names_at
        lines = []
        if any(note.passed is False for note in self._notes):
            lines.append(tr("hollow or ×: not as planned"))
        if any(note.mean_de00 is None for note in self._notes):
            lines.append(tr("at the foot: judged by eye only"))
        for number, line in enumerate(lines):
            at = y + (row + number) * _ROW_PX
            self._artists.append(words(self._page, x - 4, at, line, quiet=True, va="center"))

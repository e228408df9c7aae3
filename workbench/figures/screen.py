"""How bright paper and screen are, beside what standards and practice ask for."""

from __future__ import annotations

import math

from workbench.analysis.screen_answer import SAME_STOPS, ScreenMatch, TargetBeside, cd_words
from workbench.figures.screen_rows import NamedRows, names_px
from workbench.figures.style import (
    FONT,
    INK,
    QUIET,
    SIZE_LABEL,
    SIZE_NOTE,
    add_axes,
    colour,
    line,
)
from workbench.language import numeral, tr

# cd/m², from a museum's wall to a sunlit one; what lies beyond rests at the edge
SPAN_CD_M2 = (5.0, 2560.0)
_TICKS = [5 * 2**n for n in range(10)]
_ROW_PX, _OWN_PX, _TOP_PX, _BOTTOM_PX, _RIGHT_PX = 36, 42, 50, 56, 24
_BAR = 0.28  # of a row
_NARROW_PX = 440


def range_words(span) -> str:
    """A range of luminances such as “80–100”, “80 or more”."""
    low, high = span
    if high is None:
        return tr("{low:,.0f} or more", low=low)
    if low is None:
        return tr("{high:,.0f} or less", high=high)
    lowest, highest = numeral(low, ",.0f"), numeral(high, ",.0f")
    return lowest if round(low) == round(high) else f"{lowest}–{highest}"


def target_words(beside: TargetBeside) -> str:
    """What a target asks for, short enough for a plot."""
    target = beside.target
    if beside.luminance_cd_m2 is None:
        return tr("no luminance quoted")
    said = f"{range_words(beside.luminance_cd_m2)} cd/m²"
    if target.applies_to == "print" and target.illuminance_lux:
        return f"{range_words(target.illuminance_lux)} lux: {said}"
    return f"{target.white}, {said}"


def gap_words(match: ScreenMatch, *, brief: bool = False) -> str:
    """How print and screen compare, in stops; ``brief`` where there is little room."""
    stops = match.stops_too_dark
    if stops is None:
        white, advised = match.screen_white_luminance_cd_m2, match.advised_cd_m2
        if white != advised:
            return tr(
                "Print {white}; keep the screen at {advised}",
                white=cd_words(white),
                advised=cd_words(advised),
            )
        return tr("A screen that matches: {luminance}", luminance=cd_words(white))
    if abs(stops) < SAME_STOPS:
        return tr("The print is as bright as the screen")
    apart = (
        tr("1.0 stop") if round(abs(stops), 1) == 1 else tr("{stops:.1f} stops", stops=abs(stops))
    )
    if brief and stops > 0:
        return tr("The print is {stops} darker", stops=apart)
    if brief:
        return tr("The print is {stops} brighter", stops=apart)
    if stops > 0:
        return tr("The print is {stops} darker than the screen", stops=apart)
    return tr("The print is {stops} brighter than the screen", stops=apart)


def inside(luminance: float) -> float:
    """A luminance brought to the edge of the axis where it lies beyond."""
    return min(max(luminance, SPAN_CD_M2[0]), SPAN_CD_M2[1])


class LadderFigure(NamedRows):
    """Luminances on a scale of stops: the print's white as hung, the screen's, the targets'.

    ``update(match)`` takes a `ScreenMatch`.  Lines through all rows mark the print (solid) and
    the screen (dashed); targets that set the light on a print are shown as this paper's white
    in that light.
    """

    def __init__(
        self, match: ScreenMatch | None = None, *, width_px: int = 720, scale: float = 1.0
    ):
        super().__init__(width_px, _TOP_PX + _BOTTOM_PX + 2 * _OWN_PX, scale)
        self.axes = add_axes(
            self.figure, left_px=names_px(width_px), right_px=_RIGHT_PX, top_px=_TOP_PX,
            bottom_px=_BOTTOM_PX, xlabel=tr("cd/m² (absolute), a line a stop"),
        )  # fmt: skip
        axes = self.axes
        axes.xaxis.label.set(x=1, ha="right")
        axes.set_xscale("log", base=2)
        axes.set(xlim=SPAN_CD_M2, yticks=[])
        axes.set_xticks(_TICKS, [numeral(tick) for tick in _TICKS])
        axes.set_xticks([], minor=True)
        axes.grid(False, axis="y")
        axes.spines["left"].set_visible(False)
        self.bars: list = []
        self._rows: list[tuple] = []
        self._targets: tuple | None = None
        self._gap = "", ""  # what the headline says, in full and in brief
        self._build_own()
        if match is not None:
            self.update(match)

    def _build_own(self) -> None:
        axes = self.axes
        through = {"transform": axes.get_xaxis_transform(), "linewidth": 1.6, "zorder": 3}
        self.print_line = line(axes, [], [], "chosen", **through)
        self.screen_line = line(axes, [], [], color=INK, dashes=1, **through)
        self.gap = line(axes, [], [], color=INK, linewidth=1.2, zorder=4)
        own = {"linestyle": "none", "clip_on": False, "markeredgewidth": 0.8, "zorder": 5}
        (self.print_mark,) = axes.plot(
            [], [], marker="o", markersize=11, color=colour("chosen"), markeredgecolor=INK, **own
        )
        (self.bare_mark,) = axes.plot(
            [], [], marker="o", markersize=9, markerfacecolor="none", markeredgecolor=QUIET, **own
        )
        (self.screen_mark,) = axes.plot(
            [], [], marker="s", markersize=10, color=INK, markeredgecolor=INK, **own
        )
        self.headline = axes.annotate(
            "", (1, 1), (0, 12), xycoords="axes fraction", textcoords="offset points", ha="right",
            va="bottom", color=INK, fontfamily=FONT, fontsize=SIZE_LABEL + 1, annotation_clip=False,
        )  # fmt: skip
        self._own_names = [self.name(axes, y, up_px=up, quiet=q)
                           for y in (0.5, 1.5) for up, q in ((8, False), (-8, True))]  # fmt: skip
        self.moving(self.print_line, self.screen_line, self.gap, self.bare_mark, self.print_mark,
                    self.screen_mark, self.headline, *self._own_names)  # fmt: skip

    def _fit(self) -> None:
        """Cut names and headline to the width."""
        super()._fit()
        self._set_headline()

    def _set_headline(self) -> None:
        narrow = self.size_px[0] < _NARROW_PX
        self.headline.set_fontsize(SIZE_NOTE if narrow else SIZE_LABEL + 1)
        self.headline.set_text(self._gap[narrow])

    def update(self, match: ScreenMatch) -> None:
        """Show another match."""
        # how far the print is from a target is not drawn, and changes all the time
        asked = tuple((beside.target, beside.luminance_cd_m2) for beside in match.targets)
        if asked != self._targets:
            self._set_targets(match.targets)
            self._targets = asked
        seen, screen = match.screen_white_luminance_cd_m2, match.screen_luminance_cd_m2
        x = inside(seen)
        self.print_line.set_data([x, x], [0, 1])
        self.print_mark.set_data([x], [0.5])
        self.bare_mark.set_data([inside(match.paper_luminance_cd_m2)], [0.5])
        there = [] if screen is None else [inside(screen)]
        self.screen_mark.set_data(there, [1.5] * len(there))
        self.screen_line.set_data(2 * there, [0, 1] if there else [])
        self.gap.set_data([x, *there] if there else [], [1.0, 1.0] if there else [])
        self._gap = gap_words(match), gap_words(match, brief=True)
        self._set_headline()
        glass = tr("behind its glass") if match.hung.glass else tr("no glass")
        bare = f"{cd_words(seen)}; {glass}"
        own = (tr("Paper white in its place"), bare, tr("White of your screen"),
               tr("not known") if screen is None else cd_words(screen))  # fmt: skip
        for artist, text in zip(self._own_names, own, strict=True):
            self.say(artist, text)

    def _set_targets(self, targets) -> None:
        from matplotlib.patches import Rectangle

        count = len(targets)
        if count != len(self._rows):
            for row in self._rows:
                for artist in row:
                    artist.remove()
            del self._named[len(self._own_names) :]
            self._rows = []
            for y in (2.7 + n for n in range(count)):
                bar = self.axes.add_patch(Rectangle((1, y), 1, _BAR, linewidth=0, zorder=2))
                (more,) = self.axes.plot([], [], linestyle="none", marker=">", markersize=8,
                                         clip_on=False, zorder=2)  # fmt: skip
                names = [self.name(self.axes, y, up_px=up, quiet=up < 0) for up in (8, -8)]
                self._rows.append((bar, more, *names))
            self.axes.set_ylim(count + 2.3, 0)
            height = _TOP_PX + _BOTTOM_PX + round(_ROW_PX * (count + 2.3))
            self.set_size(self.size_px[0], height)
        for n, (row, beside) in enumerate(zip(self._rows, targets, strict=True)):
            self._set_target(2.7 + n, row, beside)
        self.bars = [row[0] for row in self._rows]

    def _set_target(self, y: float, row, beside: TargetBeside) -> None:
        bar, more, name, detail = row
        self.say(name, beside.target.name)
        self.say(detail, target_words(beside))
        span = beside.luminance_cd_m2
        bar.set_visible(span is not None)
        more.set_data([], [])
        if span is None:
            return
        low = SPAN_CD_M2[0] if span[0] is None else inside(span[0])
        high = SPAN_CD_M2[1] if span[1] is None else inside(span[1])
        tint = colour("paper" if beside.target.applies_to == "print" else "picture")
        if high / low < 2**0.08:  # one figure, not a range: still to be seen
            middle = math.sqrt(low * high)
            low, high = middle * 2**-0.04, middle * 2**0.04
        bar.set(x=low, width=high - low, y=y - _BAR / 2, height=_BAR, facecolor=tint)
        if span[1] is None:
            more.set_data([SPAN_CD_M2[1]], [y])
            more.set_color(tint)

    def alt_text(self, match: ScreenMatch) -> str:
        """The ladder in words."""
        screen = match.screen_luminance_cd_m2
        return tr(
            "Paper white in its place: {print_white}. White of your screen: {screen_white}. "
            "{gap}. Beside it: {listed}.",
            print_white=cd_words(match.screen_white_luminance_cd_m2),
            screen_white=tr("not known") if screen is None else cd_words(screen),
            gap=gap_words(match),
            listed="; ".join(f"{b.target.name}: {target_words(b)}" for b in match.targets),
        )

"""Papers side by side: their tone curves, their gamuts at a lightness, their whites as a fan."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np

from workbench.analysis.words import signed
from workbench.figures.black import TonePlots, tone_axes
from workbench.figures.gamut_view import plane_radius
from workbench.figures.live import LiveFigure
from workbench.figures.placed import PlacedPicture
from workbench.figures.plane import fit_page, new_page
from workbench.figures.style import (
    AB_PLANE,
    DASHES,
    INK,
    QUIET,
    SERIES,
    SURROUND,
    add_axes,
    legend,
    line,
    shorter,
    words,
)
from workbench.language import numeral, tr

MOST_PAPERS = 6
_PRINT_TO = 36.0
_LETTER_PX = 7.2


@dataclass(frozen=True, eq=False)
class Named:
    """Something of each paper, under its name; up to six.

    Attributes
    ----------
    names : of the papers.
    things : tone curves, shells, or whatever a figure asks for, one a paper.
    styles : of each, 0..5: its colour and dashes, the same in every figure.
    """

    names: tuple[str, ...]
    things: tuple = field(repr=False)
    styles: tuple[int, ...] = ()

    @property
    def lines(self):
        """(style, name, thing) of each paper."""
        styles = self.styles or range(len(self.names))
        return list(zip(styles, self.names, self.things, strict=True))


def _paper_line(axes, style: int, **options):
    return line(axes, [], [], color=SERIES[style], dashes=style, linewidth=1.9, **options)


class CurvesFigure(TonePlots):
    """From picture lightness to print lightness for each paper, whole and in the shadows.

    ``update(Named)`` takes a `ToneCurve` for each paper.
    """

    def __init__(self, width_px: int = 1040, height_px: int = 380, scale: float = 1.0):
        super().__init__(width_px, height_px, scale=scale)
        self._shown: Named | None = None
        self.plots = self.whole, self.shadows = tone_axes(self.figure, _PRINT_TO)
        self.curves = {}
        for axes in (self.whole, self.shadows):
            line(axes, [0, 100], [0, 100], "other", dashes=4, linewidth=1.1)
            lines = [_paper_line(axes, style, zorder=3) for style in range(MOST_PAPERS)]
            self.curves[axes] = self.moving(*lines)

    def _fit(self) -> None:
        super()._fit()
        if self._shown is not None:
            self._explain(self._shown)

    def update(self, result: Named) -> None:
        """Show other curves."""
        for lines in self.curves.values():
            for curve in lines:
                curve.set_data([], [])
            for style, _, tone in result.lines:
                lines[style].set_data(tone.source_lightness, tone.print_lightness)
        if self._shown is None or self._shown.lines != result.lines:
            self._shown = result
            self._explain(result)

    def _explain(self, shown: Named) -> None:
        from matplotlib.lines import Line2D

        room = self._name_letters(0.72)
        handles = [
            Line2D([], [], color=SERIES[s], linestyle=DASHES[s], linewidth=1.9)
            for s, *_ in shown.lines
        ]
        handles.append(Line2D([], [], color=QUIET, linestyle=DASHES[4], linewidth=1.1))
        names = [shorter(name, max(room, 8)) for _, name, _ in shown.lines]
        legend(self.whole, handles, [*names, tr("without a paper")], loc="upper left",
               borderaxespad=0.2, labelspacing=0.25)  # fmt: skip

    def alt_text(self, result: Named) -> str:
        """The plot in words."""
        ends = "; ".join(
            tr(
                "{name} from L* {low:.1f} to {high:.1f}",
                name=name,
                low=tone.print_lightness[0],
                high=tone.print_lightness[-1],
            )
            for _, name, tone in result.lines
        )
        return tr("Curves from picture lightness to print lightness, absolute: {ends}.", ends=ends)


class SlicesFigure(LiveFigure):
    """The gamuts of papers at one lightness, in the a*b* plane.

    ``update((Named, lightness))`` takes a `GamutShell` for each paper, media-relative,
    and a lightness 0..100.
    """

    IN_UNITS = True

    _NAMES_PX = 6 * 19 + 46  # of title and names, above the plane

    def __init__(self, width_px: int = 356, height_px: int = 500, scale: float = 1.0):
        super().__init__(width_px, height_px, scale=scale)
        self.axes = add_axes(
            self.figure, left_px=64, right_px=10, top_px=self._NAMES_PX, bottom_px=50,
            **AB_PLANE,
        )  # fmt: skip
        for across in (self.axes.axhline, self.axes.axvline):
            across(0, color=QUIET, linewidth=0.8, zorder=0.5)
        self.outlines = self.moving(
            *(_paper_line(self.axes, style, zorder=3) for style in range(MOST_PAPERS))
        )
        self.title = self.moving(words(self.figure, 0, 1, "", size=12, va="top", color=INK))
        self._shown: Named | None = None
        self._radius = 0.0

    def update(self, result: tuple[Named, float]) -> None:
        """Show papers cut at a lightness."""
        shown, lightness = result
        if self._shown is None or self._shown.lines != shown.lines:
            self._shown = shown
            self._explain(shown)
            self._make_room(shown)
        for outline in self.outlines:
            outline.set_data([], [])
        for style, _, shell in shown.lines:
            self.outlines[style].set_data(*shell.outline(lightness).T)
        self.title.set_text(tr("Gamuts cut at L* {lightness:.0f} (relative)", lightness=lightness))
        self.title.set_position((8 / self.size_px[0], 1 - 10 / self.size_px[1]))

    def _make_room(self, shown: Named) -> None:
        radius = plane_radius(max(shell.most_chroma for *_, shell in shown.lines))
        if radius != self._radius:
            self._radius = radius
            self.axes.set(xlim=(-radius, radius), ylim=(-radius, radius))

    def _explain(self, shown: Named) -> None:
        from matplotlib.lines import Line2D

        handles = [
            Line2D([], [], color=SERIES[s], linestyle=DASHES[s], linewidth=1.9)
            for s, *_ in shown.lines
        ]
        room = int((self.size_px[0] - 70) / _LETTER_PX)
        names = [shorter(name, max(room, 8)) for _, name, _ in shown.lines]
        legend(self.axes, handles, names, loc="lower left", bbox_to_anchor=(-0.2, 1.0),
               handlelength=2.8, labelspacing=0.25, borderaxespad=0.2)  # fmt: skip

    def set_size(self, width_px: int, height_px: int | None = None) -> bool:
        """As for every live figure; as high as the plane needs."""
        return super().set_size(width_px, height_px or width_px + self._NAMES_PX - 24)

    def _fit(self) -> None:
        if self._shown is not None:
            self._explain(self._shown)

    def alt_text(self, shown: Named, lightness: float) -> str:
        """The slice in words."""
        areas = "; ".join(f"{name} {shell.area(lightness):.0f}" for _, name, shell in shown.lines)
        return tr(
            "Outlines of the gamuts at lightness {lightness:.0f}, media-relative; areas in "
            "square Lab units: {areas}.",
            lightness=lightness,
            areas=areas,
        )


@dataclass(frozen=True, eq=False)
class Fan:
    """Whites to be shown as swatches.

    Attributes
    ----------
    names, numbers : of the papers.
    rgb, lab : of their whites: sRGB 0..1 as seen on this screen, Lab as seen.
    beside, beside_rgb, beside_lab : name and colours of the reference beside them.
    """

    names: tuple[str, ...]
    numbers: tuple[int, ...]
    rgb: np.ndarray = field(repr=False)
    lab: np.ndarray = field(repr=False)
    beside: str
    beside_rgb: np.ndarray = field(repr=False)
    beside_lab: np.ndarray = field(repr=False)


class FanFigure(LiveFigure):
    """Papers' whites as a fan of swatches beside the reference, with their Lab as seen.

    ``update(Fan)`` shows other whites.
    """

    _FAN_PX = 200  # height of the fan; the names stand under it

    def __init__(self, width_px: int = 356, height_px: int = 400, scale: float = 1.0):
        super().__init__(width_px, height_px, scale=scale)
        self._page = new_page(self)
        self._shown: Fan | None = None
        self.fan = PlacedPicture()
        self._page.add_artist(self.fan)
        self.moving(self.fan)
        options: dict[str, Any] = {"ha": "center", "va": "center", "zorder": 3}
        self.numbers = [
            self.moving(words(self._page, 0, 0, "", **{**options, "color": "#222222"}))
            for _ in range(MOST_PAPERS + 1)
        ]
        self.names = [words(self._page, 12, 0, "", va="center") for _ in range(MOST_PAPERS + 1)]
        self.labs = [
            words(self._page, 0, 0, "", va="center", ha="right") for _ in range(MOST_PAPERS + 1)
        ]
        self._head = words(self._page, 0, 0, tr("L*, a*, b* as seen"), va="center", ha="right",
                           quiet=True)  # fmt: skip

    def _fit(self) -> None:
        """Close the fan where there is less room."""
        fit_page(self._page, self.size_px)
        if self._shown is not None:
            self.update(self._shown)

    def update(self, result: Fan) -> None:
        """Show other whites."""
        self._shown = result
        width, _ = self.size_px
        colours = [*result.rgb, result.beside_rgb]
        pixels, middles = fan_pixels(colours, (width, self._FAN_PX))
        self.fan.pixels, self.fan.box = pixels, (0, 0, width, self._FAN_PX)
        names = [f"{n}  {name}" for n, name in zip(result.numbers, result.names, strict=True)]
        names.append(result.beside)
        marks = [*map(str, result.numbers), ""]
        labs = [*result.lab, result.beside_lab]
        self._head.set_position((width - 8, self._FAN_PX + 16))
        for place in range(MOST_PAPERS + 1):
            shown = place < len(names)
            for text in (self.numbers[place], self.names[place], self.labs[place]):
                text.set_visible(shown)
            if not shown:
                continue
            y = self._FAN_PX + 38 + 21 * place
            self.numbers[place].set_position(middles[place])
            self.numbers[place].set_text(marks[place])
            room = int((width - 150) / _LETTER_PX)
            self.names[place].set_position((10, y))
            self.names[place].set_text(shorter(names[place], room))
            lab = labs[place]
            self.labs[place].set_position((width - 8, y))
            said = f"{numeral(lab[0], '.1f')}, {signed(lab[1])}, {signed(lab[2])}"
            self.labs[place].set_text(said)

    def alt_text(self, fan: Fan) -> str:
        """The swatches in words."""
        said = "; ".join(
            f"{name} L* {numeral(lab[0], '.1f')}, a* {signed(lab[1])}, b* {signed(lab[2])}"
            for name, lab in zip((*fan.names, fan.beside), (*fan.lab, fan.beside_lab), strict=True)
        )
        return tr(
            "Swatches of the papers' whites beside {beside}, as seen: {said}.",
            beside=fan.beside,
            said=said,
        )


def fan_pixels(colours, size_px: tuple[int, int]) -> tuple[np.ndarray, list]:
    """Swatches spread like a hand of cards, the last one upright beside them.

    Parameters
    ----------
    colours : (n, 3) sRGB 0..1.
    size_px : width and height.

    Returns
    -------
    (h, w, 3) uint8 on the neutral surround, and the place of each swatch's number, in
    pixels from the upper left.
    """
    from PIL import Image, ImageDraw

    fine = 2
    width, height = size_px
    image = Image.new("RGB", (width * fine, height * fine), SURROUND)
    draw = ImageDraw.Draw(image)
    codes = [tuple(int(v) for v in np.round(np.asarray(c) * 255)) for c in colours]
    papers = len(colours) - 1
    aside = 84  # room for the sheet at the right
    long, broad = 0.82 * height, 0.3 * height
    foot = np.array([(width - aside) / 2, height + 60])
    start = 78.0
    most = np.degrees(np.arcsin(min(0.95, ((width - aside) / 2 - 34) / (start + long))))
    angles = np.linspace(-most, most, papers) if papers > 1 else np.zeros(1)
    middles = []
    for angle, code in zip(np.radians(angles), codes[:-1], strict=True):
        out = np.array([np.sin(angle), -np.cos(angle)])
        side = np.array([np.cos(angle), np.sin(angle)]) * broad / 2
        low, top = foot + out * start, foot + out * (start + long)
        corners = [low - side, top - side, top + side, low + side]
        draw.polygon([tuple(c * fine) for c in corners], fill=code)
        # a thin shadow line between sheets of nearly the same white
        draw.line([tuple(c * fine) for c in corners[:2]], fill=(150, 150, 150), width=2)
        middles.append(tuple(foot + out * (start + long - 20) - side * 0.55))
    left, upper = width - aside + 6, 0.14 * height
    sheet = (left * fine, upper * fine, (width - 12) * fine, (height - 14) * fine)
    draw.rectangle(sheet, codes[-1])
    middles.append(((left + width - 12) / 2, upper + 20))
    small = image.resize((width, height), Image.Resampling.BOX)
    return np.asarray(small).copy(), middles

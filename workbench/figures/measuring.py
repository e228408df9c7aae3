"""How a sheet is photographed to measure its relief, what was marked, and what came of it."""

from __future__ import annotations

import math

import numpy as np

from workbench.figures.drawing import add_box
from workbench.figures.live import LiveFigure
from workbench.figures.style import (
    BLUE,
    FONT,
    GRID,
    INK,
    LINE_WIDTH,
    ORANGE,
    QUIET,
    SIZE_LABEL,
    VERMILION,
    add_axes,
    legend,
    rgb_codes,
    words,
)
from workbench.language import tr

LAMPS = 8
_WIDE_PX, _TALL_PX, _BOTH_PX = 740, 330, 560
_ELEVATION_DEG = 35


class HowFigure(LiveFigure):
    """The set-up from above and from the side; it shows no result."""

    ALT = tr(
        "How to photograph a sheet. From above: the bare sheet with a ruler along its lower edge and "
        "a white card beside it, and a lamp in eight places round it, one for each photograph. From "
        "the side: the camera looks straight down at the sheet, and the lamp stands 20 to 50 "
        "degrees above the table, all else dark."
    )

    def __init__(self, width_px: int = _WIDE_PX, height_px: int = _TALL_PX):
        super().__init__(width_px, height_px)
        self.above = self.figure.add_axes((0, 0, 1, 1))
        self.beside = self.figure.add_axes((0, 0, 1, 1))
        for axes in (self.above, self.beside):
            axes.set_axis_off()
            axes.set_aspect("equal", adjustable="box", anchor="N")
        _draw_above(self.above)
        _draw_beside(self.beside)
        self._fit()

    def update(self, result=None) -> None:
        """Nothing moves."""

    def _fit(self) -> None:
        both = self._size_px[0] >= _BOTH_PX
        self._size_px = self._size_px[0], _TALL_PX if both else 2 * _TALL_PX - 40
        self.figure.set_size_inches(*(side / 100 for side in self._size_px))
        self.above.set_position((0, 0, 0.5, 1) if both else (0, 0.5, 1, 0.5))
        self.beside.set_position((0.5, 0, 0.5, 1) if both else (0, 0, 1, 0.5))


def _lamp(axes, x: float, y: float, turn_deg: float, number: str = "") -> None:
    """A lamp that shines along ``turn_deg``."""
    from matplotlib.patches import Circle, Wedge

    axes.add_patch(
        Wedge((x, y), 0.3, turn_deg - 24, turn_deg + 24, facecolor=ORANGE, alpha=0.35, lw=0)
    )
    axes.add_patch(Circle((x, y), 0.11, facecolor=ORANGE, edgecolor=INK, linewidth=1))
    if number:
        words(axes, x, y - 0.005, number, ha="center", va="center", color="#202020")


def _draw_above(axes) -> None:
    axes.set(xlim=(-1.6, 1.6), ylim=(-1.6, 1.64))
    words(axes, 0, 1.5, tr("From above"), size=SIZE_LABEL, ha="center", va="center")
    add_box(axes, (-0.62, -0.42, 1.24, 0.94), facecolor="#ffffff", edgecolor=QUIET)
    words(axes, 0, 0.06, tr("the bare sheet"), ha="center", va="center", color="#202020")
    add_box(axes, (-0.6, -0.62, 0.8, 0.13), facecolor=GRID, edgecolor=QUIET)
    for k in range(17):
        x = -0.6 + 0.05 * k
        axes.plot([x, x], [-0.49, -0.53 if k % 4 else -0.56], color=INK, linewidth=0.8)
    words(axes, -0.28, -0.72, tr("ruler"), ha="center", va="center", quiet=True)
    add_box(axes, (0.26, -0.68, 0.26, 0.19), facecolor="#ffffff", edgecolor=QUIET)
    words(axes, 0.39, -0.77, tr("white card"), ha="center", va="center", quiet=True)
    for k in range(LAMPS):
        azimuth = 90 + k * 360 / LAMPS
        x, y = (1.22 * f(math.radians(azimuth)) for f in (math.cos, math.sin))
        _lamp(axes, x, y, azimuth + 180, str(k + 1))
    axes.annotate(
        "", (-1.0, 1.08), (-0.2, 1.4), annotation_clip=False,
        arrowprops={"arrowstyle": "->", "color": QUIET, "connectionstyle": "arc3,rad=0.25"},
    )  # fmt: skip
    said = tr("one lamp, moved: a photograph for each place")
    words(axes, 0, -1.5, said, ha="center", va="center", quiet=True)


def _draw_beside(axes) -> None:
    from matplotlib.patches import Arc

    axes.set(xlim=(-1.6, 1.6), ylim=(-1.6, 1.64))
    words(axes, 0, 1.5, tr("From the side"), size=SIZE_LABEL, ha="center", va="center")
    table = -0.85
    axes.plot([-1.4, 1.4], [table, table], color=INK, linewidth=LINE_WIDTH)
    add_box(axes, (-0.5, table, 1.0, 0.05), facecolor="#ffffff", edgecolor=QUIET)
    words(axes, 0, table - 0.12, tr("sheet, lying flat"), ha="center", va="center", quiet=True)
    # the camera, and what it sees
    add_box(axes, (-0.2, 0.92, 0.4, 0.26), facecolor=QUIET)
    add_box(axes, (-0.09, 0.8, 0.18, 0.12), facecolor=INK)
    for side in (-1, 1):
        axes.plot([0.06 * side, 0.5 * side], [0.8, table + 0.05], color=QUIET, linewidth=0.8,
                  linestyle=(0, (4, 3)))  # fmt: skip
    words(
        axes,
        0.28,
        1.1,
        tr("camera, straight down,\non a stand, set by hand"),
        va="center",
        quiet=True,
    )
    reach = 1.45
    x, y = (reach * f(math.radians(_ELEVATION_DEG)) for f in (math.cos, math.sin))
    axes.plot([0, -x], [table + 0.05, table + 0.05 + y], color=ORANGE, linewidth=LINE_WIDTH)
    _lamp(axes, -x, table + 0.05 + y, -_ELEVATION_DEG)
    axes.add_patch(
        Arc((0, table + 0.05), 1.3, 1.3, theta1=180 - _ELEVATION_DEG, theta2=180, color=INK)
    )
    words(axes, -0.7, table + 0.22, "20–50°", ha="right", va="center")
    words(axes, -x, table + 0.32 + y, tr("lamp, farther away\nthan the sheet is long"), ha="center",
          va="bottom", quiet=True)  # fmt: skip
    words(
        axes,
        0,
        -1.5,
        tr("room dark; no light but the lamp's"),
        ha="center",
        va="center",
        quiet=True,
    )


def marked(pixels: np.ndarray, points, size_px: tuple[int, int], box=None) -> np.ndarray:
    """A photograph in small with what was marked in it.

    Parameters
    ----------
    pixels : (h, w, 3) uint8.
    points : (x, y) in pixels of the whole photograph.
    size_px : (width, height) of that.
    box : (x, y, width, height) of the part that is bare sheet, or None.

    Returns
    -------
    (h, w, 3) uint8: a cross at each point, a frame round the part.

    Examples
    --------
    >>> import numpy as np
    >>> grey = np.full((30, 40, 3), 90, np.uint8)
    >>> (marked(grey, [(200, 150)], (400, 300)) != grey).any()
    True
    """
    out = pixels.copy()
    height, width = out.shape[:2]
    down, across = height / size_px[1], width / size_px[0]
    if box is not None:
        x0, y0 = int(box[0] * across), int(box[1] * down)
        x1, y1 = int((box[0] + box[2]) * across), int((box[1] + box[3]) * down)
        for rows, columns in (
            (slice(y0, y0 + 2), slice(x0, x1)), (slice(y1 - 2, y1), slice(x0, x1)),
            (slice(y0, y1), slice(x0, x0 + 2)), (slice(y0, y1), slice(x1 - 2, x1)),
        ):  # fmt: skip
            out[_inside(rows, height), _inside(columns, width)] = rgb_codes(BLUE)
    for x, y in points:
        at, row = int(x * across), int(y * down)
        for reach, colour in ((9, (255, 255, 255)), (8, rgb_codes(VERMILION))):
            thick = reach - 7
            long, thin = slice(at - reach, at + reach + 1), slice(row - thick, row + thick - 1)
            out[_inside(thin, height), _inside(long, width)] = colour
            long, thin = slice(row - reach, row + reach + 1), slice(at - thick, at + thick - 1)
            out[_inside(long, height), _inside(thin, width)] = colour
    return out


def _inside(part: slice, most: int) -> slice:
    return slice(min(max(part.start, 0), most), min(max(part.stop, 0), most))


class MeasuredFigure(LiveFigure):
    """A measured relief as heights, and how well each photograph is told by the others."""

    def __init__(self, width_px: int = _WIDE_PX, height_px: int = 280):
        super().__init__(width_px, height_px)
        self.relief = add_axes(self.figure, span_x=(0, 0.5), left_px=56, top_px=34, grid=False,
                               xlabel="mm", ylabel="mm")  # fmt: skip
        self.told = add_axes(self.figure, span_x=(0.5, 1), left_px=64, top_px=34,
                             xlabel=tr("photograph, told by the others"), ylabel=tr("share of its light, %"))  # fmt: skip
        self.shown = None

    def update(self, result) -> None:
        """Show what `measure_surface` found."""
        self.shown = result
        surface = result.surface
        across, down = surface.size_mm
        step = max(1, math.ceil(max(surface.height_mm.shape) / 600))
        heights = 1000 * surface.height_mm[::step, ::step]
        limit = max(float(np.percentile(np.abs(heights), 99)), 0.1)
        for axes in (self.relief, self.told):
            for artist in (*axes.images, *axes.patches):
                artist.remove()
        self.relief.imshow(heights, cmap="gray", vmin=-limit, vmax=limit,
                           extent=(0, across, down, 0), aspect="equal")  # fmt: skip
        title = tr("Heights, black to white ±{limit:.2g} µm", limit=limit)
        self.relief.set_title(title, loc="left", fontsize=SIZE_LABEL, color=INK, fontfamily=FONT)
        count = np.arange(1, len(result.left_out_error) + 1)
        contrast, error = 100 * result.left_out_contrast, 100 * result.left_out_error
        self.told.bar(count - 0.2, contrast, 0.38, color=BLUE, label=tr("the relief's shading"))
        self.told.bar(count + 0.2, error, 0.38, color=VERMILION,
                      label=tr("off by"))  # fmt: skip
        self.told.set_xticks(count)
        self.told.set_ylim(0, 1.1 * max(float(contrast.max()), float(error.max()), 0.1))
        legend(self.told, ncols=2, loc="lower left", bbox_to_anchor=(0, 1), borderaxespad=0.2)
        self.invalidate()

    def alt_text(self) -> str:
        """The figure in words."""
        if self.shown is None:
            return tr("No surface has been measured.")
        surface = self.shown.surface
        across, down = surface.size_mm
        return tr(
            "Measured relief, {across:.0f} × {down:.0f} mm, RMS height {height:.1f} µm. {sentence}",
            across=across,
            down=down,
            height=1000 * surface.rms_height_mm,
            sentence=self.shown.sentence,
        )

"""One place for the look of every plot: colours, greys, type sizes, margins.

Nothing here touches matplotlib's global settings: every helper sets the
properties of the artists it is given, so a person's own defaults (a dark style
sheet, another font size) neither change our plots nor are changed by them.

The accents are the eight colours of Okabe and Ito ("Color Universal Design",
2008), chosen to stay apart for colour-blind readers.  Figures name a role,
never a colour.  Where a colour carries the only difference between two lines,
give the lines different dashes as well (``DASHES``).
"""

from __future__ import annotations

from types import MappingProxyType
from typing import Any

import numpy as np

from workbench.figures.kept_words import keep_layout
from workbench.language import DECIMAL, tr

# Okabe & Ito 2008, as published (sRGB)
BLACK = "#000000"
ORANGE = "#E69F00"
SKY = "#56B4E9"
GREEN = "#009E73"
YELLOW = "#F0E442"
BLUE = "#0072B2"
VERMILION = "#D55E00"
PURPLE = "#CC79A7"

# Neutral greys: every one has equal red, green and blue, so no plot tints the
# judgement of the picture beside it.
CARD = "#f4f4f4"  # behind the plot
INK = "#1f1f1f"  # words and axes
QUIET = "#5c5c5c"  # second-rank words; 6:1 on CARD
GRID = "#d6d6d6"
SURROUND = "#777777"  # around pictures, in light and dark themes alike

# The same greys in a dark theme
_DARK = {CARD: "#1c1c1c", INK: "#e8e8e8", QUIET: "#adadad", GRID: "#3d3d3d"}

ROLES = MappingProxyType(
    {
        "picture": BLUE,  # what is in the file
        "paper": GREEN,  # what the paper does
        "outside": VERMILION,  # beyond the paper
        "moved": SKY,  # shifted, but still printable
        "too_dark": PURPLE,
        "chosen": ORANGE,  # where the person's setting stands
        "other": QUIET,  # another paper or setting, for comparison
        "good": GREEN,
        "caution": ORANGE,
        "problem": VERMILION,
    }
)

# In this order for several equal things (papers side by side)
SERIES = (BLUE, VERMILION, GREEN, PURPLE, ORANGE, SKY)
DASHES: tuple[Any, ...] = (
    "-",
    (0, (6, 2)),
    (0, (2, 2)),
    (0, (8, 2, 2, 2)),
    (0, (1, 1)),
    (0, (4, 1, 1, 1, 1, 1)),
)

# Points; at 100 dpi one point is 1.39 px, and 9 pt is the smallest used.
SIZE_TITLE = 12
SIZE_LABEL = 10.5
SIZE_TICK = 9.5
SIZE_NOTE = 9.5
LINE_WIDTH = 2.0

DPI = 100  # of a figure at scale 1, so that one hundredth of an inch is a CSS pixel

FONT = "DejaVu Sans"  # ships with matplotlib, so plots look alike everywhere
#: of axes for a plane of a* and b*
AB_PLANE: dict[str, Any] = {
    "xlabel": tr("a*: green to red"),
    "ylabel": tr("b*: blue to yellow"),
    "aspect": "equal",
    "adjustable": "box",
    "anchor": "NW",
}


def colour(role: str) -> str:
    """The hex colour of a role in ``ROLES``.

    Raises KeyError, with the roles there are, for an unknown one.
    """
    try:
        return ROLES[role]
    except KeyError:
        raise KeyError(f"no colour role {role!r}; there are {', '.join(ROLES)}") from None


def rgb_codes(hexadecimal: str) -> np.ndarray:
    """(3,) uint8 sRGB of a hex colour.

    >>> rgb_codes(VERMILION).tolist()
    [213, 94, 0]
    """
    return np.frombuffer(bytes.fromhex(hexadecimal[1:]), np.uint8)


def new_figure(width_px: float = 800, height_px: float = 400, dpi: float = DPI, scale: float = 1.0):
    """An empty figure on an Agg canvas.

    ``width_px`` and ``height_px`` are CSS pixels; the buffer holds ``scale``
    times as many (2 for screens with two device pixels to the CSS pixel), with
    type and lines growing in step.
    """
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    figure = Figure(
        figsize=(width_px / dpi, height_px / dpi),
        dpi=dpi * scale,
        facecolor=CARD,
        edgecolor=CARD,
        layout=None,
    )
    FigureCanvasAgg(figure)
    return figure


def add_axes(
    figure,
    *,
    left_px: float = 68,
    right_px: float = 20,
    top_px: float = 34,
    bottom_px: float = 52,
    span_x: tuple[float, float] = (0, 1),
    span_y: tuple[float, float] = (0, 1),
    xlabel: str = "",
    ylabel: str = "",
    title: str = "",
    grid: bool = True,
    **axes_options,
):
    """Axes in our style, with margins in CSS pixels (so they never jump).

    For several axes in one figure give each its share of the figure as
    fractions from the left (``span_x``) and from the bottom (``span_y``); the
    margins lie inside that share and stay when the figure's size changes.
    Further options go to ``Figure.add_axes`` (``sharex=``, ``aspect=``, …).
    """
    layout = (left_px, right_px, top_px, bottom_px, span_x, span_y)
    axes = figure.add_axes(_place(figure, layout), **axes_options)
    axes.workbench_layout = layout
    return style_axes(axes, xlabel=xlabel, ylabel=ylabel, title=title, grid=grid)


def place_again(figure) -> None:
    """Put the axes made by ``add_axes`` where they belong after a change of size."""
    for axes in figure.axes:
        layout = getattr(axes, "workbench_layout", None)
        if layout is not None:
            axes.set_position(_place(figure, layout))


def _place(figure, layout) -> tuple[float, float, float, float]:
    """Left, bottom, width and height of axes as fractions of the figure."""
    left, right, top, bottom, span_x, span_y = layout
    width, height = (size * DPI for size in figure.get_size_inches())
    x0, x1 = span_x[0] + left / width, span_x[1] - right / width
    y0, y1 = span_y[0] + bottom / height, span_y[1] - top / height
    if x1 <= x0 or y1 <= y0:
        raise ValueError(f"the margins leave no room for axes in {width:.0f} x {height:.0f} px")
    return x0, y0, x1 - x0, y1 - y0


def style_axes(axes, *, xlabel: str = "", ylabel: str = "", title: str = "", grid: bool = True):
    """Give axes the light grid, two spines and type of ours; returns them."""
    axes.set_facecolor(CARD)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
    for side in ("left", "bottom"):
        axes.spines[side].set(visible=True, color=QUIET, linewidth=0.8)
    axes.tick_params(
        which="both",
        color=QUIET,
        labelcolor=INK,
        labelsize=SIZE_TICK,
        labelfontfamily=FONT,
        direction="out",
        length=4,
        width=0.8,
        top=False,
        right=False,
    )
    axes.set_axisbelow(True)
    if grid:
        axes.grid(True, which="major", color=GRID, linewidth=0.8, linestyle="-", alpha=1.0)
    else:
        axes.grid(False)
    type_ = {"color": INK, "fontfamily": FONT, "fontweight": "normal"}
    axes.set_xlabel(xlabel, fontsize=SIZE_LABEL, **type_)
    axes.set_ylabel(ylabel, fontsize=SIZE_LABEL, **type_)
    axes.set_title(title, loc="left", fontsize=SIZE_TITLE, pad=10, **type_)
    if DECIMAL != ".":
        _local_ticks(axes)
    return axes


def _local_ticks(axes) -> None:
    """Numbers along the axes with the language's decimal mark, where matplotlib writes them."""
    from matplotlib.ticker import ScalarFormatter

    class Local(ScalarFormatter):
        def __call__(self, x, pos=None):
            return super().__call__(x, pos).replace(".", DECIMAL)

    for axis in (axes.xaxis, axes.yaxis):
        if type(axis.get_major_formatter()) is ScalarFormatter:
            axis.set_major_formatter(Local())


def line(axes, x, y, role: str = "picture", *, dashes=0, label: str | None = None, **options):
    """A line in a role's colour; ``dashes`` indexes ``DASHES`` or is a dash pattern."""
    options.setdefault("linewidth", LINE_WIDTH)
    options.setdefault("color", colour(role))
    style = DASHES[dashes] if isinstance(dashes, int) else dashes
    (made,) = axes.plot(x, y, linestyle=style, marker="", label=label, **options)
    return made


def words(target, x, y, text: str = "", *, size: float = SIZE_NOTE, quiet: bool = False, **options):
    """Text in our type on axes (data coordinates) or a figure (fractions).

    For axes fractions pass ``transform=axes.transAxes``.  Dollar signs stay
    dollar signs: file names are words, not formulas.
    """
    options.setdefault("color", QUIET if quiet else INK)
    made = target.text(x, y, text, fontsize=size, fontfamily=FONT, parse_math=False, **options)
    return keep_layout(made)


def shorter(name: str, letters: int = 30) -> str:
    """A name cut to so many letters, where it is too long for a plot.

    >>> shorter("A name that is far too long for it", 12)
    'A name that…'
    """
    return name if len(name) <= letters else name[: letters - 1].rstrip() + "…"


def legend(axes, handles=None, labels=None, **options):
    """A legend without a frame, in our type.

    It keeps its place (``loc=``): matplotlib's "best" place moves with the data.
    """
    options = {"loc": "upper right", "frameon": False, **options}
    given = () if handles is None else (handles, labels or [h.get_label() for h in handles])
    made = axes.legend(*given, prop={"family": FONT, "size": SIZE_NOTE}, labelcolor=INK, **options)
    return made


def repaint(figure, dark: bool) -> None:
    """Exchange our greys for those of the dark or the light theme.

    Only colours equal to one of ours change; accents, and colours that mean a
    paper or a picture, stay.
    """
    from matplotlib.colors import to_hex, to_rgba

    table = dict(_DARK) if dark else {theirs: ours for ours, theirs in _DARK.items()}
    parts = ("color", "facecolor", "edgecolor", "markerfacecolor", "markeredgecolor")
    for artist in figure.findobj():
        for part in parts:
            getter = getattr(artist, f"get_{part}", None)
            if getter is None or (part == "color" and hasattr(artist, "get_facecolor")):
                continue  # patches and collections: face and edge each for itself
            now = getter()
            rows = now if getattr(now, "ndim", 1) == 2 else [now]
            if len(rows) != 1 or (isinstance(rows[0], str) and rows[0] in ("none", "face")):
                continue
            old = to_rgba(rows[0])
            new = table.get(to_hex(old))
            if new is not None:
                getattr(artist, f"set_{part}")(to_rgba(new, alpha=old[3]))
    greys = {grey: _DARK[grey] if dark else grey for grey in _DARK}
    for axes in figure.axes:  # ticks still to be made take these
        axes.tick_params(
            which="both", color=greys[QUIET], labelcolor=greys[INK], grid_color=greys[GRID]
        )

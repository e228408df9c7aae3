"""A live figure to take away: as a picture with its caption, and its data as a table."""

from __future__ import annotations

import io
from textwrap import wrap

import numpy as np

from workbench.errors import OutputError
from workbench.figures.live import LiveFigure
from workbench.figures.style import CARD, FONT, INK, SIZE_NOTE
from workbench.language import tr

KINDS = ("png", "svg", "pdf")
_PNG_DPI = 200
# width of a letter of the caption and height of its lines, in inches
_LETTER, _LINE = 0.075, 0.19
_MARGIN = 0.15
TITLES = (tr("Plot"), tr("Series"), tr("Across"), tr("Across, value"), tr("Up"), tr("Up, value"))


def figure_bytes(live: LiveFigure, kind: str, caption: str = "", *, dark: bool = False) -> bytes:
    """A file of a figure as it stands, its caption below.

    Parameters
    ----------
    kind : "png" (200 dots an inch), "svg" or "pdf" (with type as type).
    caption : the main figures in words.
    dark : whether the page is dark, to which the figure goes back; files are light.

    Raises
    ------
    OutputError
        for another kind.
    """
    from matplotlib import rc_context
    from matplotlib.transforms import Bbox

    if kind not in KINDS:
        raise OutputError(
            tr(
                "Figures are saved as {listed}, not as {kind!r}.",
                listed=", ".join(KINDS),
                kind=kind,
            )
        )
    with live.lock:
        live.set_dark(False)
        figure = live.figure
        width, height = figure.get_size_inches()
        lines = wrap(caption, max(20, int((width - 2 * _MARGIN) / _LETTER)))
        below = len(lines) * _LINE + (2 * _MARGIN if lines else 0)
        text = figure.text(
            _MARGIN / width, -_MARGIN / height, "\n".join(lines), va="top", ha="left",
            fontsize=SIZE_NOTE, fontfamily=FONT, color=INK, linespacing=1.3,
        )  # fmt: skip
        out = io.BytesIO()
        try:
            # no time stamps and no random names: the same figure is the same file
            with rc_context({"svg.hashsalt": "print-plan", "svg.fonttype": "none"}):
                figure.savefig(
                    out, format=kind, dpi=_PNG_DPI, facecolor=CARD,
                    bbox_inches=Bbox([[0, -below], [width, height]]),
                    metadata={"png": {}, "svg": {"Date": None}, "pdf": {"CreationDate": None}}[kind],
                )  # fmt: skip
        finally:
            text.remove()
            live.set_dark(dark)
            live.invalidate()
    return out.getvalue()


def table_of(live: LiveFigure) -> list[tuple]:
    """What a figure shows, as rows of `TITLES`.

    Its own table, or the points of lines and dots and the lengths of bars where these stand
    in the units of their axes (`LiveFigure.IN_UNITS`); otherwise nothing: a drawing has none.
    """
    rows: list[tuple] = []
    with live.lock:
        if (own := live.table()) is not None:
            return own
        if not live.IN_UNITS:
            return []
        for number, axes in enumerate(live.figure.axes, 1):
            if axes.get_visible():
                name = (
                    axes.get_title() or axes.get_title("left") or tr("plot {number}", number=number)
                )
                rows += [(name, *row) for row in _rows(axes) if _is_told(row)]
    return rows


def _rows(axes):
    from matplotlib.collections import PathCollection
    from matplotlib.patches import StepPatch

    across, up = axes.get_xlabel(), axes.get_ylabel()
    ticks = {
        "x": dict(zip(axes.get_xticks(), _words(axes.get_xticklabels()), strict=False)),
        "y": dict(zip(axes.get_yticks(), _words(axes.get_yticklabels()), strict=False)),
    }
    for number, line in enumerate(filter(_seen, axes.lines), 1):
        for x, y in zip(*map(np.atleast_1d, line.get_data()), strict=True):
            yield _name(line, tr("line {number}", number=number)), across, float(x), up, float(y)
    dotted = [each for each in axes.collections if isinstance(each, PathCollection)]
    for number, dots in enumerate(filter(_seen, dotted), 1):
        for x, y in np.ma.filled(np.ma.asarray(dots.get_offsets(), float), np.nan):
            yield _name(dots, tr("dots {number}", number=number)), across, float(x), up, float(y)
    for number, steps in enumerate(filter(_seen, axes.patches), 1):
        if isinstance(steps, StepPatch):
            heights, edges, _ = steps.get_data()
            for x, y in zip(edges, heights, strict=False):
                yield (
                    _name(steps, tr("steps {number}", number=number)),
                    across,
                    float(x),
                    up,
                    float(y),
                )
    for bars in axes.containers:
        upright = getattr(bars, "orientation", "vertical") == "vertical"
        for number, bar in enumerate(filter(_seen, bars.patches), 1):
            x, y = bar.get_x() + bar.get_width() / 2, bar.get_y() + bar.get_height() / 2
            word = ticks["x" if upright else "y"].get(x if upright else y) or tr(
                "bar {number}", number=number
            )
            if upright:
                yield word, across, x, up, bar.get_height()
            else:
                yield word, across, bar.get_width(), up, y


def _is_told(row: tuple) -> bool:
    """Whether both values are numbers: dots that are put away stand nowhere."""
    return bool(np.isfinite([row[2], row[4]]).all())


def _seen(artist) -> bool:
    return artist.get_visible()


def _name(artist, otherwise: str) -> str:
    label = str(artist.get_label())
    return otherwise if not label or label.startswith("_") else label


def _words(labels) -> list[str]:
    return [label.get_text() for label in labels]

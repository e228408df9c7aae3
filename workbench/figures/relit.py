"""One picture on several papers under the same lamp, side by side at one scale."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from workbench.analysis.relit import Relit
from workbench.characteristics import word_of
from workbench.figures.style import FONT, QUIET, SIZE_NOTE, new_figure, shorter, words
from workbench.language import tr
from workbench.surface.lamp import Lamp
from workbench.surface.relief import WAYS_TO_KNOW

MOST = 6
_GAP_PX, _TOP_PX, _CAPTION_PX, _SIDE_PX = 16, 40, 62, 16
_BARS_MM = (1, 2, 5, 10, 20, 50, 100, 200)
# by where it stands, counted from the right against the clock
_FROM = (
    tr("Lamp from the right, {height:.0f}° above the sheet"),
    tr("Lamp from the upper right, {height:.0f}° above the sheet"),
    tr("Lamp from above, {height:.0f}° above the sheet"),
    tr("Lamp from the upper left, {height:.0f}° above the sheet"),
    tr("Lamp from the left, {height:.0f}° above the sheet"),
    tr("Lamp from the lower left, {height:.0f}° above the sheet"),
    tr("Lamp from below, {height:.0f}° above the sheet"),
    tr("Lamp from the lower right, {height:.0f}° above the sheet"),
)


@dataclass(frozen=True, eq=False)
class OnPaper:
    """A relit proof with the name of its paper."""

    name: str
    relit: Relit


def lamp_words(lamp: Lamp) -> str:
    """Where a lamp stands, in words.

    >>> lamp_words(Lamp(azimuth_deg=180, elevation_deg=12))
    'Lamp from the left, 12° above the sheet'
    """
    side = _FROM[round((lamp.azimuth_deg % 360) / 45) % 8]
    said = [side.format(height=lamp.elevation_deg)]
    if lamp.distance_mm is not None:
        said.append(tr("{distance:.1f} m away", distance=lamp.distance_mm / 1000))
    if lamp.ambient:
        said.append(tr("{share:.0f} % even light", share=100 * lamp.ambient))
    return ", ".join(said)


def relit_figure(shown: Sequence[OnPaper], *, width_px: int = 960, columns: int = 2, scale=1.0):
    """Up to six relit proofs of one size, with what their surfaces are.

    Parameters
    ----------
    shown : the proofs; their pixels are shown as they are where they fit.
    width_px : of the figure.
    columns : side by side, 1 to 3.

    Returns
    -------
    A matplotlib Figure whose ``alt_text`` says what it shows.  Raises ValueError for none, or
    more than six.
    """
    if not 1 <= len(shown) <= MOST:
        raise ValueError(f"one to {MOST} papers, not {len(shown)}")
    columns = min(max(columns, 1), 3, len(shown))
    rows = -(-len(shown) // columns)
    height, width = shown[0].relit.pixels.shape[:2]
    cell = (width_px - 2 * _SIDE_PX - (columns - 1) * _GAP_PX) / columns
    tall = cell * height / width
    height_px = _TOP_PX + rows * (tall + _CAPTION_PX)
    figure = new_figure(width_px, height_px, scale=scale)
    words(figure, _SIDE_PX / width_px, 1 - 24 / height_px, lamp_words(shown[0].relit.lamp))
    for number, each in enumerate(shown):
        row, column = divmod(number, columns)
        left = _SIDE_PX + column * (cell + _GAP_PX)
        top = _TOP_PX + row * (tall + _CAPTION_PX)
        axes = figure.add_axes(
            (left / width_px, 1 - (top + tall) / height_px, cell / width_px, tall / height_px)
        )
        axes.imshow(each.relit.pixels, interpolation="antialiased", aspect="auto")
        axes.set_axis_off()
        letters = int(cell / 7.5)
        below = 1 - (top + tall) / height_px
        words(figure, left / width_px, below - 18 / height_px, shorter(each.name, letters)).set_fontweight("bold")  # fmt: skip
        words(
            figure, left / width_px, below - 37 / height_px,
            shorter(surface_words(each.relit), letters), quiet=True,
        )  # fmt: skip
        if number == 0:
            _bar(axes, each.relit, width, height, cell)
    figure.alt_text = (
        lamp_words(shown[0].relit.lamp)
        + ". "
        + "; ".join(f"{each.name}: {surface_words(each.relit)}" for each in shown)
    )
    return figure


def surface_words(relit: Relit) -> str:
    """A surface in few words, and how much of it this light shows."""
    surface = relit.surface
    kind = f"{word_of(surface.kind)}, " if surface.kind else ""
    return tr(
        "{surface}; RMS slope {slope:.3f}, {contrast:.0f} % contrast",
        surface=kind + WAYS_TO_KNOW[surface.how_known],
        slope=surface.rms_slope,
        contrast=100 * relit.relief_contrast,
    )


def _bar(axes, relit: Relit, width: int, height: int, cell: float) -> None:
    """A scale bar in the picture's lower left corner, of at most a third of its width."""
    fitting = [mm for mm in _BARS_MM if mm / relit.pixel_mm <= width / 3]
    if not fitting:
        return
    mm = fitting[-1]
    unit = width / cell
    x, y = 12 * unit, height - 14 * unit
    for colour, wide in (("black", 4.5), ("white", 2.5)):
        axes.plot([x, x + mm / relit.pixel_mm], [y, y], color=colour, linewidth=wide,
                  solid_capstyle="butt")  # fmt: skip
    axes.text(
        x, y - 8 * unit, f"{mm} mm", color="white", fontsize=SIZE_NOTE, fontfamily=FONT,
        bbox={"facecolor": QUIET, "edgecolor": "none", "pad": 2},
    )  # fmt: skip
    axes.set_xlim(-0.5, width - 0.5)
    axes.set_ylim(height - 0.5, -0.5)

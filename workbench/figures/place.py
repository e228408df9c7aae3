"""A print as judged, as it hangs, and with what is proposed for its place."""

from __future__ import annotations

from workbench.figures.style import INK, add_axes, colour, legend, line, new_figure, words
from workbench.language import tr
from workbench.output.for_place import ForPlace

_SIDE_PX, _GAP_PX, _TOP_PX, _CAPTION_PX, _PLOT_PX = 16, 12, 30, 30, 260
_TITLES = (tr("As judged"), tr("As it will hang"), tr("As it will hang, with the proposal"))


def place_figure(result: ForPlace, *, width_px: int = 960, scale: float = 1.0):
    """Three pictures for an adapted eye, the proposed curve, and what the place takes.

    Parameters
    ----------
    result : from `print_for_place`.

    Returns
    -------
    A matplotlib Figure whose ``alt_text`` says what it shows.
    """
    height, width = result.judged.shape[:2]
    cell = (width_px - 2 * _SIDE_PX - 2 * _GAP_PX) / 3
    tall = cell * height / width
    height_px = _TOP_PX + tall + _CAPTION_PX + _PLOT_PX
    figure = new_figure(width_px, height_px, scale=scale)
    pictures = (result.judged, result.hung, result.proposed)
    for number, (title, pixels) in enumerate(zip(_TITLES, pictures, strict=True)):
        left = _SIDE_PX + number * (cell + _GAP_PX)
        axes = figure.add_axes(
            (left / width_px, 1 - (_TOP_PX + tall) / height_px, cell / width_px, tall / height_px)
        )
        axes.imshow(pixels, interpolation="antialiased", aspect="auto")
        axes.set_axis_off()
        words(figure, left / width_px, 1 - (_TOP_PX - 10) / height_px, title)
    share = _PLOT_PX / height_px
    curve = add_axes(
        figure, span_x=(0, 0.42), span_y=(0, share), left_px=64, top_px=16,
        xlabel=tr("L* as it is (paper white 100)"), ylabel=tr("L* proposed"),
    )  # fmt: skip
    line(curve, [0, 100], [0, 100], "other", dashes=2, label=tr("no change"))
    line(curve, result.tone_in, result.tone_out, "chosen", label=tr("for the place"))
    curve.set(xlim=(0, 100), ylim=(0, 100))
    legend(curve, loc="upper left")
    _shares(figure, result, share)
    figure.alt_text = f"{result.paper_name}. {result.sentence} {result.proposal}"
    return figure


def _shares(figure, result: ForPlace, share: float) -> None:
    """Bars: how much of what was judged is left."""
    rows = (
        (tr("brightness"), result.brightness_share),
        (tr("range of lightness"), result.lightness_share),
        (tr("colourfulness"), result.colourfulness_share),
        (tr("colourfulness, proposed"), result.colourfulness_after),
    )
    axes = add_axes(
        figure, span_x=(0.44, 1), span_y=(0, share), left_px=176, right_px=56, top_px=16,
        xlabel=tr("share of what was judged, %"), grid=False,
    )  # fmt: skip
    for place, (_, value) in enumerate(rows):
        proposed = place == len(rows) - 1
        axes.barh(place, 100 * value, height=0.55, color=colour("chosen" if proposed else "moved"))
        words(axes, 100 * value - 1.5, place, f"{100 * value:.0f}", va="center", ha="right")
    axes.axvline(100, color=INK, linewidth=1)
    axes.set_yticks(range(len(rows)), [name for name, _ in rows])
    axes.set(ylim=(len(rows) - 0.4, -0.6), xlim=(0, max(110, *(110 * v for _, v in rows))))

"""Where the words of a figure stand, and whether they have room."""

from __future__ import annotations

from matplotlib.text import Text


def shown_words(figure) -> list[tuple[str, object]]:
    """(words, extent in pixels from the bottom left) of each text that is drawn.

    ``figure`` is a live figure or a plain one.
    """
    plain = getattr(figure, "figure", figure)
    if plain is figure:
        figure.canvas.draw()
    else:
        figure.pixels()
    renderer = plain.canvas.get_renderer()
    hidden = {label for axes in plain.axes for label in _not_drawn(axes)}
    return [
        (text.get_text(), (text.get_bbox_patch() or text).get_window_extent(renderer))
        for text in plain.findobj(Text)
        if text.get_visible() and text.get_text().strip() and text not in hidden
    ]


def _not_drawn(axes):
    """Labels of ticks past the ends of their axis, or of an axis that is switched off."""
    for axis in (axes.xaxis, axes.yaxis):
        low, high = sorted(axis.get_view_interval())
        for tick in (*axis.get_major_ticks(), *axis.get_minor_ticks()):
            if not axes.axison or not low - 1e-9 <= tick.get_loc() <= high + 1e-9:
                yield from (tick.label1, tick.label2)


def assert_words_inside(figure):
    """No words are cut off by the figure's edges."""
    page = getattr(figure, "figure", figure).bbox
    found = shown_words(figure)
    assert found
    for words, extent in found:
        assert extent.x0 >= 0 and extent.x1 <= page.width, f"{words!r} is cut off at a side"
        assert extent.y0 >= 0 and extent.y1 <= page.height, f"{words!r} is cut off above or below"


def assert_words_have_room(figure):
    """No words are cut off, and none lie over others."""
    assert_words_inside(figure)
    found = shown_words(figure)
    for i, (words, extent) in enumerate(found):
        for other, its in found[i + 1 :]:
            apart = (
                extent.x1 <= its.x0
                or its.x1 <= extent.x0
                or extent.y1 <= its.y0
                or its.y1 <= extent.y0
            )
            assert apart, f"{words!r} lies over {other!r}"

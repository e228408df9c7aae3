"""The curves of adjustments: the numbers of `Adjustments.curves`, told apart, with room."""

from __future__ import annotations

import numpy as np
import pytest
from figures.test_size_figure import assert_words_have_room

from workbench.colour.spaces import standard_profile
from workbench.figures.adjustments import TOGETHER, AdjustmentsFigure
from workbench.output.adjust import KINDS, Adjustments

PROFILE = standard_profile("opRGB")
ALL = Adjustments(shadow_lift=4, contrast=0.2, warmth=-3, lightness=5)


@pytest.fixture
def figure():
    return AdjustmentsFigure()


def visible(figure) -> set:
    return {key for key, lines in figure.lines.items() if all(line.get_visible() for line in lines)}


def test_the_lines_are_the_curves_themselves(figure):
    curves = ALL.curves(PROFILE)
    assert [curve.kind for curve in curves] == [*KINDS, TOGETHER]
    figure.update(curves)
    for curve in curves:
        count = len({tuple(np.round(row, 9)) for row in curve.lightness_out})
        for channel in range(count):
            whole, change = figure.lines[curve.kind, channel]
            assert whole.get_visible() and change.get_visible()
            assert np.array_equal(whole.get_xdata(), curve.lightness_in)
            assert np.array_equal(whole.get_ydata(), curve.lightness_out[channel])
            assert np.array_equal(
                change.get_ydata(), curve.lightness_out[channel] - curve.lightness_in
            )
    # of those alike in all channels there is one line, of the others three
    assert visible(figure) == {
        ("shadow lift", 0), ("contrast", 0), ("lightness", 0),
        *((kind, channel) for kind in ("warmth", TOGETHER) for channel in range(3)),
    }  # fmt: skip


def test_every_line_lies_inside_the_plots(figure):
    for amount in (0.5, 2, 4, 8):
        figure.update(Adjustments(shadow_lift=amount, lightness=amount).curves(PROFILE))
        low, high = figure.change_axes.get_ylim()
        for lines in figure.lines.values():
            if lines[1].get_visible():
                assert low <= lines[1].get_ydata().min() and lines[1].get_ydata().max() <= high


def test_offered_and_accepted_are_told_apart(figure):
    offered = Adjustments(contrast=0.1).curves(PROFILE)
    figure.update(Adjustments(shadow_lift=3).curves(PROFILE), offered=offered)
    pale, full = figure.lines["contrast", 0][1], figure.lines["shadow lift", 0][1]
    assert pale.get_alpha() < full.get_alpha() and pale.get_linewidth() < full.get_linewidth()
    names = [text.get_text() for text in figure._legend.get_texts()]
    assert names == ["shadow lift", "contrast"]
    assert "Pale: offered only." in figure._note.get_text()
    # accepted, it is no longer offered
    figure.update(Adjustments(shadow_lift=3, contrast=0.1).curves(PROFILE), offered=offered)
    names = [text.get_text() for text in figure._legend.get_texts()]
    assert names == ["shadow lift", "contrast", "together"]
    assert pale.get_alpha() == 1 and figure._note.get_text() == ""


def test_what_is_no_longer_there_is_no_longer_drawn(figure):
    figure.update(ALL.curves(PROFILE))
    figure.update(())
    assert visible(figure) == set() and figure._legend is None
    assert "none is accepted" in figure.alt_text((), ())


@pytest.mark.parametrize("width", [620, 440, 300])
@pytest.mark.parametrize("offered", [False, True])
def test_words_have_room(figure, width, offered):
    curves = ALL.curves(PROFILE)
    figure.update(() if offered else curves, offered=curves[:-1] if offered else ())
    figure.set_size(width)
    if width < 420:
        assert not figure.curve_axes.get_visible()
        figure.curve_axes.remove()  # it is not drawn, but its words would be found
    assert_words_have_room(figure)


def test_the_plot_that_is_left_out_draws_nothing_over_the_other(figure):
    figure.update(ALL.curves(PROFILE))
    figure.set_size(360)
    assert not figure.curve_axes.get_visible()
    drawn = figure.pixels()
    for lines in figure.lines.values():
        lines[0].set_data([], [])
    assert np.array_equal(figure.pixels(), drawn)


def test_lines_of_one_kind_differ_in_dashes_and_kinds_in_colour(figure):
    dashes = {str(figure.lines["warmth", c][1]._dash_pattern) for c in range(3)}
    assert len(dashes) == 3
    colours = {figure.lines[kind, 0][1].get_color() for kind in (*KINDS, TOGETHER)}
    assert len(colours) == len(KINDS) + 1


def test_a_grey_picture_has_one_line_each(figure):
    grey = standard_profile("Grey, power 2.2")
    figure.update(Adjustments(shadow_lift=2, contrast=0.1).curves(grey, 1))
    assert visible(figure) == {("shadow lift", 0), ("contrast", 0), (TOGETHER, 0)}


def test_the_alternative_text_names_the_largest_change(figure):
    words = figure.alt_text(Adjustments(shadow_lift=3).curves(PROFILE), ())
    assert "shadow lift moves lightness by up to +3.0 L*, at L* 12, accepted" in words


def test_a_moving_slider_draws_no_still_parts(figure):
    figure.update(Adjustments(shadow_lift=3.0).curves(PROFILE))
    figure.pixels()
    before = figure.still_draws
    for amount in (3.5, 4.0, 4.5):
        figure.update(Adjustments(shadow_lift=amount).curves(PROFILE))
        figure.pixels()
    assert figure.still_draws == before

"""The figure of the tone curve: its numbers, told apart, with room."""

from __future__ import annotations

import numpy as np
import pytest
from figure_helpers import assert_words_have_room

from workbench.analysis.words import signed
from workbench.colour.spaces import standard_profile
from workbench.figures.adjustments import AdjustmentsFigure, curves_of
from workbench.output.adjust import Adjustments
from workbench.output.suggest import ToneChange

PROFILE = standard_profile("opRGB")
ALL = Adjustments(shadows=4, mid_tones=2, warmth=-3)
X = np.linspace(0, 100, 11)
CHANGE = ToneChange(
    X, 0.9 * X, 0.9 * X + 1, (2, 9), (80, 97), (3, 5), (15, 14), (45, 46), (0.01, 0)
)


@pytest.fixture
def figure():
    return AdjustmentsFigure()


def visible(figure) -> set:
    return {
        (name, side)
        for name, lines in figure.lines.items()
        for side, line in zip(("print", "change"), lines, strict=True)
        if line.get_visible()
    }


def test_the_lines_are_the_curves_and_the_print(figure):
    offered = Adjustments(shadows=6)
    figure.update(curves_of(PROFILE, 3, ALL, offered, CHANGE, CHANGE))
    x = np.linspace(0, 1, 201)
    for channel in range(3):
        drawn = figure.lines[f"accepted {channel}"][1].get_ydata()
        assert drawn == pytest.approx(100 * (ALL.curve(PROFILE, 3)(channel, x) - x))
    assert figure.lines["offered"][1].get_ydata() == pytest.approx(100 * (offered.tone(x) - x))
    assert np.array_equal(figure.lines["before"][0].get_ydata(), CHANGE.before)
    assert np.array_equal(figure.lines["accepted 0"][0].get_ydata(), CHANGE.after)
    assert [(band.get_x(), band.get_width()) for band in figure.ends] == [(2, 7), (80, 17)]
    assert visible(figure) == {
        ("before", "print"), ("offered", "print"), ("accepted 0", "print"),
        ("offered", "change"), *((f"accepted {c}", "change") for c in range(3)),
    }  # fmt: skip
    # alike in all channels: one line; nothing at all: none
    figure.update(curves_of(PROFILE, 3, Adjustments(shadows=3)))
    assert visible(figure) == {("accepted 0", "change")}
    figure.update(curves_of(PROFILE, 3, Adjustments()))
    assert visible(figure) == set() and "none" in figure._none.get_text()


def test_every_line_lies_inside_the_plot(figure):
    for amount in (0.5, 2, 4, 8, 20):
        made = Adjustments(mid_tones=amount, dark_tones=amount, light_tones=amount / 2)
        figure.update(curves_of(PROFILE, 3, made))
        low, high = figure.change_axes.get_ylim()
        drawn = figure.lines["accepted 0"][1].get_ydata()
        assert low <= drawn.min() and drawn.max() <= high


@pytest.mark.parametrize("width", [620, 440, 300])
@pytest.mark.parametrize("made", [ALL, Adjustments(shadows=3), Adjustments()], ids=str)
def test_words_have_room(figure, width, made):
    figure.update(curves_of(PROFILE, 3, made, Adjustments(shadows=6), CHANGE, CHANGE))
    figure.set_size(width)
    if width < 420:
        assert not figure.print_axes.get_visible()
        figure.print_axes.remove()  # it is not drawn, but its words would be found
    assert_words_have_room(figure)


def test_the_alternative_text_names_the_largest_change(figure):
    said = figure.alt_text(curves_of(PROFILE, 3, Adjustments(shadows=3), Adjustments(mid_tones=-2)))
    assert "+3.0 L*, at L* 12" in said and "−2.0 L*, at L* 50" in said
    assert "none" in figure.alt_text(curves_of(PROFILE, 3, Adjustments()))


def test_the_alternative_text_names_the_largest_change_of_all_channels(figure):
    curves = curves_of(PROFILE, 3, Adjustments(warmth=8))
    away = curves.accepted - curves.lightness
    channel, place = np.unravel_index(np.abs(away).argmax(), away.shape)
    assert channel == 2  # blue falls further than red rises
    told = f"up to {signed(away[channel, place])} L*, at L* {curves.lightness[place]:.0f}"
    assert told in figure.alt_text(curves)


def test_a_moving_slider_draws_no_still_parts(figure):
    figure.update(curves_of(PROFILE, 3, Adjustments(shadows=3.0)))
    figure.pixels()
    before = figure.still_draws
    for amount in (3.5, 4.0, 4.5):
        figure.update(curves_of(PROFILE, 3, Adjustments(shadows=amount)))
        figure.pixels()
    assert figure.still_draws == before


def test_black_and_white_draws_its_one_curve():
    made = Adjustments(mid_tones=4, warmth=3, black_and_white="lightness")
    rows = curves_of(PROFILE, 3, made).accepted
    assert rows[:, 100] == pytest.approx(54.0)

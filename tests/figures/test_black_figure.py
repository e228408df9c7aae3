"""The tone curve and the scale of blacks: what is drawn is what was found, and words have room."""

from dataclasses import replace

import numpy as np
import pytest
from figure_helpers import assert_words_have_room
from helpers import model_paper
from matplotlib.text import Text

from workbench.analysis.black import black_point, tone_curves
from workbench.figures.black import ToneFigure, Tones, rendering_words
from workbench.figures.black_scale import Blacks, ScaleFigure, ratio_words
from workbench.figures.on_screen import screen_rgb
from workbench.figures.style import colour


@pytest.fixture(scope="module")
def matte():
    return model_paper("Paper with quite a long name, matte", (96, 0, 1), 1.65, "matte")


@pytest.fixture(scope="module")
def gloss():
    return model_paper("Glossy paper", (96, 0, -3), 2.3, "gloss")


def tones(paper, other=None, **how):
    return Tones(
        black_point(paper, **how),
        tone_curves(paper),
        None if other is None else black_point(other, **how),
    )


def blacks(*papers, chosen=0, other=None):
    return Blacks(tuple(black_point(paper) for paper in papers), chosen, other)


# the tone curve -------------------------------------------------------------------


def test_the_chosen_curve_ends_in_the_papers_black_and_white(matte, gloss):
    shown = tones(matte, gloss)
    figure = ToneFigure(shown)
    for axes in (figure.whole, figure.shadows):
        x, y = figure.chosen[axes].get_data()
        assert (x[0], x[-1]) == pytest.approx((0, 100), abs=0.01)
        assert y[0] == shown.chosen.black_lab[0]
        assert y[-1] == pytest.approx(96, abs=0.1)
        assert figure.other[axes].get_ydata()[0] == shown.other.black_lab[0]
        assert figure.other[axes].get_linestyle() == "--"
        assert figure.chosen[axes].get_linestyle() == "-"


def test_every_other_intent_is_there_and_faint(matte):
    figure = ToneFigure(tones(matte))
    for curves in figure.faint.values():
        assert [len(curve.get_xdata()) for curve in curves] == [256] * 7
        assert all(curve.get_alpha() < 0.5 for curve in curves)
    assert not any(curve.get_visible() for curve in figure.other.values())


@pytest.mark.parametrize("how", [{}, {"black_point_compensation": True}, {"tolerance": 3.0}])
def test_the_merged_range_is_shaded_and_its_levels_are_dots(matte, how):
    shown = tones(matte, **how)
    figure, black = ToneFigure(shown), shown.chosen
    for axes in (figure.whole, figure.shadows):
        assert figure.merged[axes].get_width() == black.merged_lightness
        x, y = figure.mark[axes].get_data()
        assert list(x) == [black.merged_lightness] * 2
        assert list(y) == [0, black.curve.print_lightness[black.merged_levels]]
    merged, apart = figure.merged_levels.get_xdata(), figure.apart_levels.get_xdata()
    assert len(merged) == black.merged_levels + 1
    assert list(np.r_[merged, apart]) == list(
        black.curve.source_lightness[: len(merged) + len(apart)]
    )
    assert apart[-1] <= 30
    assert f"{black.merged_levels} levels merge" in figure.note.get_text()


def test_the_papers_white_and_black_are_marked_with_their_density(matte):
    black = tones(matte).chosen
    figure = ToneFigure(tones(matte))
    assert [end.get_ydata()[0] for end in figure.ends] == [black.white_lab[0], black.black_lab[0]]
    white_words, black_words = (words.get_text() for words in figure.end_words)
    # -log10 of the luminance factor ((96 + 16) / 116)^3 is 0.046
    assert white_words == "white: L* 96.0, density 0.05"
    assert f"density {black.black_density:.2f}" in black_words


def test_a_moving_tolerance_redraws_only_what_moves(matte, gloss):
    figure = ToneFigure(tones(matte, gloss, tolerance=1.0))
    before = figure.pixels()
    figure.update(tones(matte, gloss, tolerance=2.0))
    after = figure.pixels()
    assert figure.still_draws == 1
    assert (before != after).any()
    figure.update(tones(gloss, matte, tolerance=2.0))
    figure.pixels()
    assert figure.still_draws == 2


@pytest.mark.parametrize("width", [1040, 684, 640, 639, 560, 360])
@pytest.mark.parametrize("first", ["matte", "gloss"])
def test_words_of_the_curve_have_room(matte, gloss, width, first):
    pair = (matte, gloss) if first == "matte" else (gloss, matte)
    figure = ToneFigure(tones(*pair))
    figure.set_size(width)
    assert_words_have_room(figure)
    # narrow, the shadows stand below, with a name for their own axis
    below = figure.shadows.get_position().y1 < figure.whole.get_position().y0
    assert below == (width < 640) == bool(figure.shadows.get_ylabel())


def test_curve_in_words(matte, gloss):
    shown = tones(matte, gloss, black_point_compensation=True)
    text = ToneFigure().alt_text(shown)
    assert f"{shown.chosen.merged_levels} levels merge" in text
    assert "relative colorimetric, compensated" in text and "absolute" in text
    assert f"On Glossy paper: {shown.other.merged_levels}." in text
    assert rendering_words("absolute", True) == "absolute colorimetric"


# the scale --------------------------------------------------------------------------


def bars(figure, row):
    return [(bar.get_x(), bar.get_width(), bar.get_facecolor()[:3]) for bar in figure.rows[row][:2]]


def test_rows_go_from_the_shallowest_black_to_the_deepest(matte, gloss):
    figure = ScaleFigure(blacks(gloss, matte), width_px=1040)
    assert [row[-2].get_text() for row in figure.rows] == [
        "Paper with quite a long name, matte", "Glossy paper",
    ]  # fmt: skip
    reaches = [bars(figure, row)[0][1] for row in (0, 1)]
    assert reaches == sorted(reaches)
    assert reaches[0] == black_point(matte).black_density


def test_a_bar_is_the_papers_black_and_then_the_screens(matte):
    figure = ScaleFigure(blacks(matte))
    black = black_point(matte)
    (start, reach, tint), (then, rest, deepest) = bars(figure, 0)
    assert (start, then, then + rest) == pytest.approx((0, reach, 2.6))
    assert deepest == (0, 0, 0)
    # sRGB of the neutral luminance, IEC 61966-2-1
    y = ((black.black_lab[0] + 16) / 116) ** 3
    expected = 1.055 * y ** (1 / 2.4) - 0.055
    assert tint == pytest.approx([expected] * 3, abs=0.01)


def test_a_black_deeper_than_the_scale_stays_inside_it(matte):
    black = black_point(matte)
    deep = replace(black, printed=replace(black.printed, density=3.1))
    (_, reach, _), (_, rest, _) = bars(ScaleFigure(Blacks((deep,))), 0)
    assert (reach, rest) == (2.6, 0)


def test_chosen_and_other_are_marked(matte, gloss):
    figure = ScaleFigure(blacks(gloss, matte, chosen=1, other=0))
    chosen, other = figure.rows[0], figure.rows[1]
    assert chosen[-2].get_fontweight() == "bold" and other[-2].get_fontweight() == "normal"
    assert chosen[2].get_color() == colour("chosen") != other[2].get_color()
    assert other[-2].get_text() == "Glossy paper (other)"


def test_rows_say_density_lightness_contrast_and_stops(gloss):
    black = black_point(gloss)
    text = ScaleFigure(blacks(gloss)).rows[0][-1].get_text()
    assert text == (
        f"{black.black_density:.2f} · L* {black.black_lab[0]:.1f} · "
        f"{black.contrast_ratio:.0f}:1 · {black.stops:.1f} stops"
    )


def test_usual_ranges_are_on_the_scale_with_their_source(matte):
    figure = ScaleFigure(blacks(matte))
    spans = [(band.get_x(), band.get_x() + band.get_width()) for band in figure.bands]
    # M. McNamee 2010, a published paper test
    assert np.allclose(spans, [(1.4, 1.5), (1.6, 1.7), (2.0, 2.2)])
    said = " ".join(text.get_text() for text in figure.figure.findobj(Text))
    assert "McNamee 2010" in said and "canvas" in said and "0.30 of density is one stop" in said


def test_the_figure_grows_with_the_papers_and_forgets_those_that_went(matte, gloss):
    figure = ScaleFigure(blacks(matte))
    low = figure.size_px[1]
    figure.update(blacks(matte, gloss, matte))
    assert figure.size_px[1] == low + 100 and len(figure.rows) == 3
    figure.update(blacks(gloss))
    assert figure.size_px[1] == low and len(figure.rows) == 1
    said = [text.get_text() for text in figure.figure.findobj(Text)]
    assert "Glossy paper" in said and not any(text.startswith("Paper with") for text in said)


@pytest.mark.parametrize("width", [1040, 684, 620, 440, 360])
def test_words_of_the_scale_have_room(matte, gloss, width):
    figure = ScaleFigure(blacks(matte, gloss, chosen=0, other=1))
    figure.set_size(width)
    assert "absolute" in figure.axes.get_xlabel()
    assert_words_have_room(figure)


def test_scale_in_words(matte, gloss):
    text = ScaleFigure().alt_text(blacks(gloss, matte))
    assert text.index("matte") < text.index("Glossy")
    assert "absolute" in text


def test_ratios_and_screen_colours():
    assert ratio_words(41.6) == "42:1" and ratio_words(7.13) == "7.1:1"
    white, black = screen_rgb([(100, 0, 0), (0, 0, 0)])
    assert np.allclose(white, 1, atol=1e-3) and np.allclose(black, 0, atol=1e-5)

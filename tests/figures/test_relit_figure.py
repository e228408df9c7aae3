"""Relit proofs and a print in its place, drawn: the pictures themselves, with words that have room."""

import numpy as np
import pytest
from figure_helpers import assert_words_have_room

import workbench as wb
from workbench.figures.place import place_figure
from workbench.figures.relit import OnPaper, lamp_words, relit_figure


@pytest.fixture(scope="module")
def shown():
    picture, papers = wb.demo_picture(), wb.demo_papers()
    lamp = wb.Lamp(azimuth_deg=180, elevation_deg=15)
    part = (1500, 600, 1500, 1000)
    return [
        OnPaper(papers[k].name, wb.relit_proof(picture, papers[k], lamp, part=part, long_side_px=450))
        for k in (1, 3, 4, 6)
    ]  # fmt: skip


def test_a_closer_look_is_drawn_at_the_prints_scale(shown):
    """1500 of 5400 pixels of a print 297 mm wide, in 450 pixels."""
    assert shown[0].relit.pixel_mm == pytest.approx(297 * 1500 / 5400 / 450)
    contrast = [each.relit.relief_contrast for each in shown]
    assert contrast == sorted(contrast)


@pytest.mark.parametrize("columns", [1, 2, 3])
def test_papers_side_by_side(shown, columns):
    figure = relit_figure(shown, columns=columns)
    pictures = [axes.images[0].get_array() for axes in figure.axes]
    assert all(np.array_equal(a, b.relit.pixels) for a, b in zip(pictures, shown, strict=True))
    assert_words_have_room(figure)
    for each in shown:
        assert each.name in figure.alt_text and each.relit.surface.kind in figure.alt_text
    # the bar is as long as it says
    bar = figure.axes[0].lines[-1].get_xdata()
    (label,) = (text.get_text() for text in figure.axes[0].texts)
    assert (bar[1] - bar[0]) * shown[0].relit.pixel_mm == pytest.approx(float(label.split()[0]))


def test_seven_papers_are_too_many(shown):
    with pytest.raises(ValueError, match="six|6"):
        relit_figure(shown + shown)


@pytest.mark.parametrize(
    ("azimuth", "side"), [(0, "right"), (90, "above"), (225, "lower left"), (-90, "below")]
)
def test_lamps_in_words(azimuth, side):
    assert side in lamp_words(wb.Lamp(azimuth))


def test_a_print_in_its_place():
    place = wb.Place("2700 K", 60, wall_reflectance=0.8, glass="plain", veil_share=0.4)
    result = wb.print_for_place(wb.demo_picture(), wb.demo_papers()[2], place, long_side_px=90)
    figure = place_figure(result)
    pictures = [axes.images[0].get_array() for axes in figure.axes if axes.images]
    for drawn, pixels in zip(pictures, (result.judged, result.hung, result.proposed), strict=True):
        assert np.array_equal(drawn, pixels)
    bars = [patch.get_width() for patch in figure.axes[-1].patches]
    assert bars == pytest.approx(
        [100 * each for each in (result.brightness_share, result.lightness_share,
                                 result.colourfulness_share, result.colourfulness_after)]
    )  # fmt: skip
    curve = figure.axes[3].lines[1]
    assert np.array_equal(curve.get_ydata(), result.tone_out)
    assert_words_have_room(figure)
    assert result.proposal in figure.alt_text

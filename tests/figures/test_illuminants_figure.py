"""The figure of a white under several lights: every mark in its place, no name over another."""

import numpy as np
import pytest
from matplotlib.colors import to_hex
from spectra import BANDS_NM, invented_white

from workbench.analysis.illuminants import LIGHTS, USUAL_LIGHTS, tint_under_lights
from workbench.figures.illuminants import IlluminantsFigure
from workbench.figures.style import BLUE, ORANGE, PURPLE, VERMILION
from workbench.readings import spectral_reading


def tints(brightener=0.16, lights=USUAL_LIGHTS, observer=2):
    white = spectral_reading(BANDS_NM, invented_white(brightener=brightener))
    return tint_under_lights(white, lights, observer)


@pytest.fixture(params=[720, 600, 480, 479, 330])
def width(request):
    return request.param


@pytest.mark.parametrize("lights", [USUAL_LIGHTS, tuple(LIGHTS), ("A",)])
@pytest.mark.parametrize("brightener", [0, 0.16, 0.4])
def test_marks_stand_where_their_axes_say(lights, brightener, width):
    figure, result = IlluminantsFigure(), tints(brightener, lights)
    figure.update(result)
    figure.set_size(width)
    figure.pixels()
    height = figure.figure.bbox.height
    for marker, tint in zip(figure.markers, result.tints, strict=False):
        # through the plane's own axes, by matplotlib's transform
        expected = figure.axes.transData.transform(tint.lab[1:])
        x, y = (float(v[0]) for v in marker.get_data())
        shown = figure._page.transData.transform((x, y))
        assert shown == pytest.approx(expected, abs=0.6), tint.name
        assert figure.axes.bbox.x0 < shown[0] < figure.axes.bbox.x1
        assert figure.axes.bbox.y0 < shown[1] < figure.axes.bbox.y1
    assert not any(m.get_visible() for m in figure.markers[len(result.tints) :])
    cross = figure._page.transData.transform([float(v[0]) for v in figure.cross.get_data()])
    assert cross == pytest.approx(figure.axes.transData.transform((0, 0)), abs=0.6)
    assert 0 < cross[1] < height
    # alike in both directions, so that distances are seen as they are
    per_a, per_b = (figure.axes.transData.transform(p) for p in ((1, 0), (0, 1)))
    assert per_a[0] - cross[0] == pytest.approx(per_b[1] - cross[1], rel=0.02)


@pytest.mark.parametrize("lights", [USUAL_LIGHTS, tuple(LIGHTS)])
@pytest.mark.parametrize("brightener", [0, 0.16])
def test_no_name_lies_over_another_or_outside(lights, brightener, width):
    figure = IlluminantsFigure()
    figure.update(tints(brightener, lights))
    figure.set_size(width)
    figure.pixels()
    renderer = figure.figure.canvas.get_renderer()
    boxes = [t.get_window_extent(renderer) for t in figure.names if t.get_visible()]
    assert len(boxes) == len(lights)
    boxes.append(figure.axes.xaxis.label.get_window_extent(renderer))
    page = figure.figure.bbox
    for n, box in enumerate(boxes):
        assert box.x0 >= 0 and box.x1 <= page.x1 and box.y0 >= 0 and box.y1 <= page.y1
        for other in boxes[n + 1 :]:
            assert not box.overlaps(other)


def test_kinds_of_light_differ_in_shape_and_in_colour():
    figure = IlluminantsFigure()
    figure.update(tints(lights=("D50", "A", "LED-B1", "FL2")))
    shown = figure.markers[:4]
    assert len({m.get_marker() for m in shown}) == 4
    assert [to_hex(m.get_markerfacecolor()).upper() for m in shown] == [
        BLUE, ORANGE, VERMILION, PURPLE
    ]  # fmt: skip


def test_another_white_moves_the_marks_and_the_words():
    figure = IlluminantsFigure()
    figure.update(first := tints(0.16))
    before, said = figure.pixels(), figure.alt_text(first)
    figure.update(second := tints(0.0))
    assert not np.array_equal(before, figure.pixels())
    assert figure.alt_text(second) != said
    assert "LED-V1 at a* 0.0, b* +0.3, neutral" in said and "D50 at a*" in said
    assert figure.names[0].get_text() == f"D50, {second.d50.tint}"

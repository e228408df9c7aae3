"""What is seen of a relief: by the eye's function, by distance, by the lamp."""

import numpy as np
import pytest

import workbench as wb
from workbench.analysis.eye import contrast_sensitivity, cycles_per_degree
from workbench.analysis.texture import _octaves, visible_to
from workbench.picture import from_pixels


def test_a_gratings_contrast_lies_in_its_octave():
    """A grating of modulation 0.1 has an RMS contrast of 0.1/√2, in the octave of its fineness."""
    x = np.arange(512) * 0.05
    light = np.broadcast_to(1 + 0.1 * np.sin(2 * np.pi * 1.25 * x), (512, 512))
    fineness, contrast = _octaves(light, 0.05)
    strongest = int(np.argmax(contrast))
    assert fineness[strongest] / 2**0.5 <= 1.25 < fineness[strongest] * 2**0.5
    assert contrast[strongest] == pytest.approx(0.1 / np.sqrt(2), rel=1e-3)
    assert np.delete(contrast, strongest).max() < 1e-6


def test_a_grating_is_seen_to_where_the_eyes_function_says():
    far = visible_to([1.0], [0.05 / np.sqrt(2)])
    at = cycles_per_degree(1.0, far)
    assert 0.05 * contrast_sensitivity(at) == pytest.approx(1, rel=0.06)
    assert visible_to([1.0], [1e-5]) == 0


def test_relief_and_lamp_decide_how_far_the_texture_is_seen():
    papers = wb.demo_papers()
    spot, high = wb.Lamp(elevation_deg=20), wb.Lamp(elevation_deg=75)
    far = [wb.texture_seen(papers[k], spot).visible_to_mm for k in (0, 2, 4)]
    assert far == sorted(far) and far[2] > 3 * far[0]
    raking = wb.texture_seen(papers[4], spot)
    assert wb.texture_seen(papers[4], high).visible_to_mm < raking.visible_to_mm
    assert raking.even_light_to_mm < raking.visible_to_mm / 2
    assert "even light" in raking.sentence and raking.share_hidden is None
    # farther than 20 m nothing is looked for, so that is not where it ends
    grazing = wb.texture_seen(papers[4], wb.Lamp(elevation_deg=5, ambient=0))
    assert grazing.visible_to_mm == pytest.approx(20_000) and "20 m and farther" in grazing.sentence
    assert "farther" not in raking.sentence and "up to" in raking.sentence
    flat = wb.texture_seen(wb.surface_of_kind("flat"), spot)
    assert flat.visible_to_mm == 0 and "not seen" in flat.sentence


def test_relief_hides_faint_detail_and_leaves_strong():
    rng = np.random.default_rng(2)
    grain = rng.standard_normal((800, 1200))

    def picture(strength):
        level = np.clip(118 * (1 + strength * grain), 0, 255).astype(np.uint8)
        return from_pixels(np.repeat(level[..., None], 3, axis=2), "sRGB")

    canvas, spot = wb.demo_papers()[6], wb.Lamp(elevation_deg=25)

    def hidden(strength, sheet=canvas):
        seen = wb.texture_seen(sheet, spot, picture=picture(strength), distance_mm=400)
        return seen.share_hidden, seen.energy_hidden

    faint, strong = hidden(0.03), hidden(0.3)
    assert faint[0] > 0.3 > 3 * strong[0] and faint[1] > 3 * strong[1]
    # strong places weigh more by energy, and are hidden last
    assert faint[1] < faint[0] and strong[1] < strong[0]
    assert hidden(0.03, wb.surface_of_kind("flat")) == (0, 0)


@pytest.mark.parametrize("wrong", [{"distance_mm": 1}, {"long_side_mm": 0}])
def test_what_cannot_be(wrong):
    with pytest.raises(wb.WorkbenchError):
        wb.texture_seen(wb.surface_of_kind("laid"), **wrong)

"""The relit proof: where it must be today's proof, and what lamp, relief, ink and glass do."""

import time

import numpy as np
import pytest

import workbench as wb
from workbench.analysis.glass import GLASSES, PICTURE_REFLECTANCE
from workbench.analysis.relit import relight
from workbench.picture.tone import to_light
from workbench.surface.relief import Surface

FLAT = Surface(np.zeros((8, 8)), 1.0, 0.0)


@pytest.fixture(scope="module")
def papers():
    return wb.demo_papers()


@pytest.fixture(scope="module")
def picture():
    return wb.demo_picture()


@pytest.mark.parametrize("number", [0, 2, 6])
@pytest.mark.parametrize("how", [{}, {"adaptation": 0.3}, {"display": "Display P3"}])
def test_a_flat_sheet_as_measured_is_the_proof_itself(picture, papers, number, how):
    paper = papers[number]
    proof = wb.soft_proof(picture, paper, long_side_px=300, **how)
    for surface in (FLAT, wb.surface_of_kind("flat")):
        lit = relight(proof, paper, wb.Lamp(elevation_deg=45), surface=surface)
        assert lit.exposure == 1.0 and lit.relief_contrast < 1e-5
        assert np.abs(lit.pixels.astype(int) - proof.pixels).max() <= 1


def test_a_paper_beside_the_print_serves_as_a_named_white_does(picture, papers):
    # the light of bare paper follows the eye of the proof, whatever lies beside it
    beside = wb.open_paper(wb.model_profile((100, 0, 0), 1.6, finish="matte", grid=9))
    white = beside.white_lab
    assert np.abs(np.subtract(white, (100, 0, 0))).max() < 0.01
    lamp = wb.Lamp(elevation_deg=70, size_mm=200)
    named, sheet = (
        relight(
            wb.soft_proof(picture, papers[1], long_side_px=120, adaptation=0.0, reference=each),
            papers[1], lamp, eye_mm=400,
        )
        for each in ("perfect diffuser", beside)
    )  # fmt: skip
    assert sheet.exposure == pytest.approx(named.exposure, abs=1e-3)
    assert np.abs(sheet.pixels.astype(int) - named.pixels).max() <= 1


def test_raking_light_brings_out_the_relief_and_even_light_hides_it(picture, papers):
    proof = wb.soft_proof(picture, papers[4], long_side_px=300)

    def contrast(**lamp):
        return relight(proof, papers[4], wb.Lamp(**lamp), long_side_mm=60).relief_contrast

    raking, high = contrast(elevation_deg=12), contrast(elevation_deg=60)
    assert raking > 2 * high > 0.02
    assert contrast(elevation_deg=12, ambient=1.0) < 0.01
    smoother = relight(proof, papers[2], wb.Lamp(elevation_deg=12), long_side_mm=60)
    assert smoother.relief_contrast < raking / 2


def test_a_lamp_turned_by_half_a_circle_lights_the_other_slopes(picture, papers):
    proof = wb.soft_proof(picture, papers[3], long_side_px=300)
    left, right = (
        relight(proof, papers[3], wb.Lamp(azimuth, 35), surface=wb.surface_of_kind("cold-pressed"), long_side_mm=40)
        for azimuth in (180, 0)
    )  # fmt: skip
    ratio = [
        each.pixels.mean(axis=2) / np.maximum(proof.pixels.mean(axis=2), 1)
        for each in (left, right)
    ]
    assert np.corrcoef(ratio[0].ravel(), ratio[1].ravel())[0, 1] < -0.5


def test_the_mirror_image_of_a_lamp_shines_on_gloss_only(picture, papers):
    lamp = wb.Lamp(azimuth_deg=90, elevation_deg=80, size_mm=30)
    gloss, matte = (
        relight(wb.soft_proof(picture, paper, long_side_px=300), paper, lamp, eye_mm=600, exposure=0.9)
        for paper in (papers[0], papers[2])
    )  # fmt: skip
    assert gloss.share_over > 0.003 and matte.share_over == 0


def test_ink_may_shine_otherwise_than_paper(picture, papers):
    proof = wb.soft_proof(picture, papers[1], long_side_px=200)
    lamp = wb.Lamp(elevation_deg=80)
    same = relight(proof, papers[1], lamp, exposure=1.0)
    dull = relight(proof, papers[1], lamp, exposure=1.0, ink_alpha=0.5)
    changed = np.abs(same.pixels.astype(int) - dull.pixels).mean(axis=2)
    dark = proof.pixels.mean(axis=2) < 60
    light = proof.pixels.min(axis=2) > 230
    assert changed[dark].mean() > 3 * max(changed[light].mean(), 0.1)


def test_glass_dims_and_a_window_lies_over_everything(picture, papers):
    paper = papers[2]
    proof = wb.soft_proof(picture, paper, long_side_px=200)
    glass = GLASSES["plain"]
    lamp = wb.Lamp(elevation_deg=45)
    bare, behind = (relight(proof, paper, lamp, surface=FLAT, glass=g) for g in (None, glass))
    light = [to_light(each.pixels, each.display_profile)[..., 1] for each in (bare, behind)]
    bright = light[0] > 0.3
    signal = glass.sheet(45)[1] * glass.transmittance
    signal /= 1 - PICTURE_REFLECTANCE * glass.diffuse_reflectance
    assert np.median(light[1][bright] / light[0][bright]) == pytest.approx(signal, rel=0.02)
    window = wb.Window(0.5, 0.0, 1.0, 1.0, brightness=2.0)

    def lift(name):
        with_window = relight(proof, paper, lamp, surface=FLAT, glass=name, window=window)
        without = relight(proof, paper, lamp, surface=FLAT, glass=name)
        one, two = (to_light(e.pixels, e.display_profile)[:, 150:] for e in (with_window, without))
        return float(np.median(one - two))

    white = float(np.array(paper.white_lab[0] + 16) / 116) ** 3
    assert lift("plain") == pytest.approx(2 * glass.reflectance / white, rel=0.05)
    assert lift("anti-reflection") < 0.2 * lift("plain")


def test_two_megapixels_in_a_second(picture, papers):
    """Stated: under 1 s on two processors; thrice that leaves room for a busy machine."""
    proof = wb.soft_proof(picture, papers[4], long_side_px=1732)
    start = time.perf_counter()
    lit = relight(proof, papers[4], wb.Lamp(elevation_deg=14, distance_mm=900), eye_mm=500)
    assert lit.pixels.shape[0] * lit.pixels.shape[1] >= 2e6
    assert time.perf_counter() - start < 3


@pytest.mark.parametrize(
    "wrong",
    [{"long_side_mm": 0}, {"eye_mm": 1}, {"ink_alpha": 0}, {"glass": "ice"}, {"exposure": -1}],
)
def test_what_cannot_be(picture, papers, wrong):
    with pytest.raises(wb.WorkbenchError):
        wb.relit_proof(picture, papers[0], long_side_px=60, **wrong)

"""Small proofs of patches and prints, held against the soft proof of the whole picture."""

from __future__ import annotations

import numpy as np
import pytest
from gang.makers import make_strip
from output.makers import as_picture, job, matte_paper, scene

import workbench as wb
from workbench.colour.engine import transform
from workbench.colour.lab import D50_XYZ
from workbench.colour.spaces import standard_profile
from workbench.gang.nest import nest
from workbench.gang.small_proof import patch_proofs, piece_proof
from workbench.output.job import PrintJob


def lab(pixels) -> np.ndarray:
    """Mean Lab of uint8 sRGB pixels."""
    mean = pixels.reshape(-1, 3).mean(axis=0) / 255
    return transform(mean, standard_profile("sRGB"), "lab")


def whole_proof(work) -> np.ndarray:
    return wb.soft_proof(
        work.picture, work.paper, intent=work.intent, adaptation=1.0, long_side_px=None,
        black_point_compensation=work.black_point_compensation,
    ).pixels  # fmt: skip


def test_as_planned_looks_like_the_soft_proof():
    work = job(width_mm=300, ppi=150)
    strip = make_strip(work, [(0.25, 0.3), (0.7, 0.6)], crop_mm=(50, 50))
    proofs = patch_proofs(strip, 60)
    proof, scale = whole_proof(work), strip.layout.across.factor
    for crop in strip.crops:
        x, y, side = (round(v / scale) for v in (crop.x_px, crop.y_px, crop.width_px))
        found = proofs[crop.letter, strip.step("as planned")]
        assert found.shape == (60, 60, 3)
        assert lab(found) == pytest.approx(lab(proof[y : y + side, x : x + side]), abs=1.0)


def test_steps_look_lighter_and_warmer():
    strip = make_strip(job(width_mm=300, ppi=150), [(0.5, 0.5)], warmth_steps=(-3, 3))
    proofs = {s.label: lab(patch_proofs(strip, 60)["A", s]) for s in strip.steps}
    lightness = [proofs[s.label][0] for s in strip.steps[:5]]
    # the patch is middle grey on average, the paper's range is smaller than the picture's
    assert np.diff(lightness) == pytest.approx([3] * 4, abs=1.2)
    assert proofs["−3 cooler"][2] < proofs["as planned"][2] - 1.5
    assert proofs["+3 warmer"][2] > proofs["as planned"][2] + 1.5


def test_for_the_driver_the_picture_s_own_colours():
    white = as_picture(np.full((60, 90, 3), 65535, np.uint16))
    work = PrintJob(white, ppi=100, width_mm=100, converts="driver")
    strip = make_strip(work, [(0.5, 0.5)], (0,))
    (found,) = patch_proofs(strip, 30).values()
    assert (found >= 254).all()


def test_for_the_driver_a_chosen_paper_is_seen_all_the_same():
    seen = {}
    for converts in ("workbench", "driver"):
        work = job(width_mm=100, ppi=100, converts=converts)
        strip = make_strip(work, [(0.5, 0.5)], (0,))
        (piece,) = nest([work], "A4").pieces
        seen[converts] = *patch_proofs(strip, 40).values(), piece_proof(piece, 90)
    for over_paper, for_driver in zip(*seen.values(), strict=True):
        assert np.array_equal(over_paper, for_driver)


def test_grey_pictures_and_giving_up():
    grey = as_picture(scene()[..., 1])
    strip = make_strip(PrintJob(grey, matte_paper(), width_mm=200, ppi=100), [(0.5, 0.5)])
    assert len(patch_proofs(strip, 40)) == 5
    assert patch_proofs(strip, 40, cancelled=lambda: True) == {}


def test_bare_paper_is_the_screen_s_white():
    """As the drawing's sheet, whatever the paper's own white."""
    assert matte_paper().white_lab[0] < 97 and D50_XYZ[1] == 1
    work = job(np.full((60, 90, 3), 65535, np.uint16), width_mm=200)
    strip = make_strip(work, [(0.5, 0.5)], (0,))
    (found,) = patch_proofs(strip, 30).values()
    assert (found >= 254).all()


@pytest.mark.parametrize("adjustments", [None, {"lightness": 6}])
def test_a_print_with_borders(adjustments):
    work = job(width_mm=100, ppi=100, borders_mm=(10, 20, 30, 40), adjustments=adjustments)
    (piece,) = nest([work], "A3").pieces
    found = piece_proof(piece, 170)
    # 160 × 106.7 mm with borders
    assert found.shape[1] == 170 and found.shape[0] == pytest.approx(113, abs=1)
    per_mm = found.shape[1] / (piece.layout.width_px / 100 * 25.4)
    top, right, bottom, left = (round(mm * per_mm) for mm in (10, 20, 30, 40))
    inner = found[top + 1 : -bottom - 1, left + 1 : -right - 1]
    outer = found.copy()
    outer[top - 1 : -bottom + 1, left - 1 : -right + 1] = 255
    assert (outer == 255).all()
    wanted = lab(whole_proof(work)) + np.array([5 if adjustments else 0, 0, 0])
    assert lab(inner) == pytest.approx(wanted, abs=2.0)


def test_a_mirrored_bleed_is_filled():
    work = job(width_mm=100, ppi=100, bleed_mm=10)
    (piece,) = nest([work], "A3").pieces
    found = piece_proof(piece, 120)
    assert not (found == 255).all(axis=2).any()
    assert np.array_equal(found[:10], found[10:20][::-1])

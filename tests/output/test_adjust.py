"""Adjustments and what the proof suggests of them."""

from __future__ import annotations

import imagecodecs
import numpy as np
import pytest
import tifffile
from output.makers import SPACE, as_picture, job, matte_paper, scene

from workbench.colour.inkmodel import model_profile
from workbench.colour.lab import lab_to_xyz
from workbench.colour.spaces import standard_profile
from workbench.colour.trip import printed_lab
from workbench.errors import OutputError
from workbench.output.adjust import Adjustments, as_adjustments
from workbench.output.adjusted import adjusted
from workbench.output.light import light_of, light_of_lightness, lightness_of_light
from workbench.output.print_file import write_print_file
from workbench.output.suggest import accepted, suggest_adjustments
from workbench.paper import open_paper

PROFILE = standard_profile(SPACE)
STRONGEST = [
    Adjustments(shadow_lift=8),
    Adjustments(contrast=0.4),
    Adjustments(contrast=-0.4),
    Adjustments(warmth=8),
    Adjustments(warmth=-8),
    Adjustments(8, 0.4, 8),
    Adjustments(8, -0.4, -8),
    Adjustments(lightness=12),
    Adjustments(lightness=-12),
    Adjustments(8, 0.4, 8, 12),
    Adjustments(8, -0.4, -8, -12),
]


@pytest.mark.parametrize("adjustments", STRONGEST, ids=str)
def test_curves_rise_and_leave_black_and_white(adjustments):
    for curve in adjustments.curves(PROFILE, points=2001):
        assert curve.lightness_out.shape == (3, 2001)
        assert (np.diff(curve.lightness_out, axis=1) > 0).all()
        assert curve.lightness_out[:, 0] == pytest.approx(0, abs=1e-9)
        assert curve.lightness_out[:, -1] == pytest.approx(100, abs=1e-9)


def test_amounts_are_what_they_say():
    at_12 = Adjustments(shadow_lift=5).curve(PROFILE, 3)(0, np.array([0.12, 0.5, 0.8])) * 100
    assert at_12 == pytest.approx([17, 50, 80], abs=0.4)
    steeper = Adjustments(contrast=0.2).curve(PROFILE, 3)
    slope = np.diff(steeper(1, np.array([0.499, 0.501])))[0] / 0.002
    assert slope == pytest.approx(1.2, abs=1e-3)
    assert steeper(1, np.array([0.5])) == pytest.approx(0.5)


@pytest.mark.parametrize("warmth", [-8, -2, 3, 8])
@pytest.mark.parametrize("space", [SPACE, "ROMM RGB", "sRGB"])
def test_warmth_is_the_b_of_a_middle_grey(warmth, space, tmp_path):
    grey = standard_grey(50, space)
    picture = as_picture(np.full((20, 30, 3), grey, np.uint16), space)
    work = job()
    work = type(work)(picture, ppi=100, converts="driver", adjustments={"warmth": warmth})
    write_print_file(work, tmp_path / "warm.tif")
    pixels = tifffile.imread(tmp_path / "warm.tif")
    lab = imagecodecs.cms_transform(
        pixels[:1, :1] / 65535,
        standard_profile(space),
        imagecodecs.cms_profile("lab4"),
        colorspace="rgb",
        outcolorspace="lab",
        intent=1,
    )[0, 0]
    assert lab == pytest.approx([50, 0, warmth], abs=0.03)


@pytest.mark.parametrize("step", [-12, -3, 3, 12])
@pytest.mark.parametrize("space", [SPACE, "ROMM RGB", "sRGB"])
@pytest.mark.parametrize("contrast", [0, 0.3])
def test_lightness_is_the_step_of_a_middle_grey(step, space, contrast, tmp_path):
    grey = standard_grey(50, space)
    picture = as_picture(np.full((20, 30, 3), grey, np.uint16), space)
    wanted = {"lightness": step, "contrast": contrast}
    work = type(job())(picture, ppi=100, converts="driver", adjustments=wanted)
    write_print_file(work, tmp_path / "step.tif")
    pixels = tifffile.imread(tmp_path / "step.tif")
    lab = imagecodecs.cms_transform(
        pixels[:1, :1] / 65535,
        standard_profile(space),
        imagecodecs.cms_profile("lab4"),
        colorspace="rgb",
        outcolorspace="lab",
        intent=1,
    )[0, 0]
    assert lab == pytest.approx([50 + step, 0, 0], abs=0.03)


def test_lightness_is_drawn_and_told():
    wanted = Adjustments(contrast=0.1, lightness=-4)
    assert [curve.kind for curve in wanted.curves(PROFILE)] == ["contrast", "lightness", "together"]
    assert wanted.curves(PROFILE)[1].amount == -4
    assert "Middle tones are 4 L* darker." in wanted.sentences()
    assert Adjustments(lightness=0.5) and not Adjustments(lightness=0)
    for wrong in (12.1, -13, "light", float("nan"), None):
        with pytest.raises(OutputError, match="“lightness”"):
            Adjustments(lightness=wrong)


def standard_grey(lightness, space):
    """The 16-bit code of a neutral in a standard space, from its published curve."""
    y = float(lab_to_xyz([lightness, 0, 0])[1])
    encoded = {
        SPACE: y ** (256 / 563),
        "ROMM RGB": y ** (1 / 1.8),
        "sRGB": 1.055 * y ** (1 / 2.4) - 0.055,
    }[space]
    return round(encoded * 65535)


def test_lightness_is_that_of_cie():
    # CIE 15: L* 50 is Y 0.18418651851244416
    assert lightness_of_light(0.18418651851244416) == pytest.approx(0.5, abs=1e-12)
    x = np.linspace(0, 1, 1001)
    assert light_of_lightness(lightness_of_light(x)) == pytest.approx(x, abs=1e-12)


def test_no_adjustment_changes_nothing(tmp_path):
    write_print_file(job(adjustments=None), tmp_path / "a.tif")
    write_print_file(job(adjustments=Adjustments()), tmp_path / "b.tif")
    assert (tmp_path / "a.tif").read_bytes() == (tmp_path / "b.tif").read_bytes()


def test_the_written_file_follows_the_curve(tmp_path):
    ramp = np.repeat(np.linspace(0, 65535, 500).astype(np.uint16)[None], 4, axis=0)
    picture = as_picture(np.repeat(ramp[..., None], 3, axis=2))
    wanted = Adjustments(shadow_lift=6, contrast=0.2)
    work = type(job())(picture, ppi=100, converts="driver", adjustments=wanted)
    write_print_file(work, tmp_path / "ramp.tif")
    out = tifffile.imread(tmp_path / "ramp.tif")[0, :, 1] / 65535
    curve = wanted.curves(PROFILE)[-1]
    assert curve.kind == "together"
    before = 100 * lightness_of_light((ramp[0] / 65535) ** (563 / 256))
    after = 100 * lightness_of_light(out ** (563 / 256))
    expected = np.interp(before, curve.lightness_in, curve.lightness_out[1])
    # the curve for drawing has 101 points
    assert after == pytest.approx(expected, abs=0.02)


@pytest.mark.parametrize(
    "wrong", [{"shadow_lift": -1}, {"contrast": 1}, {"warmth": 20}, {"warmth": "x"}, {"hue": 1}, 3]
)
def test_wrong_adjustments_are_refused(wrong):
    with pytest.raises(OutputError):
        as_adjustments(wrong)


def test_grey_pictures_have_no_warmth(tmp_path):
    picture = as_picture(scene()[..., 1])
    plain = type(job())(picture, ppi=100, converts="driver")
    warm = type(job())(picture, ppi=100, converts="driver", adjustments={"warmth": 5})
    written = [
        tifffile.imread(write_print_file(w, tmp_path / f"{n}.tif").path)
        for n, w in enumerate((plain, warm))
    ]
    assert np.abs(np.subtract(*(w.astype(int) for w in written))).max() <= 1


# --- suggestions -------------------------------------------------------------------


def dark_scene():
    return as_picture((scene(240, 160) * 0.45).astype(np.uint16))


def test_a_matte_paper_suggests_a_lift_that_wins_shadows_back():
    found = {s.kind: s for s in suggest_adjustments(dark_scene(), matte_paper())}
    lift = found["shadow lift"]
    assert 0.5 <= lift.amount <= 4
    assert lift.adjustments.shadow_lift == lift.amount
    assert lift.curve.lightness_out[0, 12] == pytest.approx(12 + lift.amount, abs=0.1)
    assert "deep shadow" in lift.sentence


def test_a_paper_that_holds_everything_suggests_nothing():
    deep = open_paper(
        model_profile((96.0, 0.0, 0.0), 2.4, finish="gloss", name="Invented deep"), finish="gloss"
    )
    light = as_picture(np.clip(scene(240, 160), 20000, 60000).astype(np.uint16))
    assert suggest_adjustments(light, deep) == ()


def test_more_contrast_is_suggested_where_it_wins_range():
    y, x = np.mgrid[0:160, 0:240]
    tones = 0.12 + 0.5 * x / 240 + 0.15 * np.sin(y / 11)
    picture = as_picture(np.rint(np.repeat(tones[..., None], 3, -1) * 65535).astype(np.uint16))
    paper = matte_paper()
    found = {s.kind: s for s in suggest_adjustments(picture, paper)}
    contrast = found["contrast"]
    assert 0 < contrast.amount <= 0.2
    light = light_of(PROFILE, 3, contrast.adjustments.curve(PROFILE, 3))
    plain = picture.pixels().astype(float) / 65535
    steeper = np.stack(
        [light.encode(light.decode(picture.pixels()[..., c], c), c) for c in range(3)], -1
    )
    spans = []
    for pixels in (plain, steeper.astype(float)):
        lightness = printed_lab(pixels, PROFILE, paper.profile, "relative", True)[..., 0]
        spans.append(np.subtract(*np.percentile(lightness, (90, 10))))
    assert spans[1] > spans[0] + 0.3


def test_a_warm_paper_suggests_cooler_and_a_cool_one_warmer():
    shifts = []
    for b in (6.0, -7.0):
        profile = model_profile((95.0, 0.3, b), 1.7, finish="matte", name="Invented tinted")
        paper = open_paper(profile, finish="matte")
        assert paper.white_lab[2] == pytest.approx(b, abs=0.5)
        (one,) = [s for s in suggest_adjustments(dark_scene(), paper) if s.kind == "warmth"]
        shifts.append(one.amount)
    assert -4 <= shifts[0] < 0 < shifts[1] <= 4


def test_only_what_is_accepted_counts():
    found = suggest_adjustments(dark_scene(), matte_paper())
    assert len(found) >= 1
    assert accepted() == Adjustments()
    merged = accepted(*found)
    for one in found:
        assert getattr(merged, one.kind.replace(" ", "_")) == one.amount


def test_pixels_are_adjusted_as_the_print_file_is(tmp_path):
    # nothing resampled, sharpened or converted, so the file holds the adjusted pixels
    own = job(
        width_mm=None, converts="driver", sharpening=None, adjustments={"lightness": 4, "warmth": 2}
    )
    written = write_print_file(own, tmp_path / "a.tif")
    pixels = own.picture.pixels()
    made = adjusted(pixels, own.picture.profile, as_adjustments(own.adjustments))
    assert np.abs(made.astype(int) - tifffile.imread(written.path)).max() <= 1
    assert np.abs(made.astype(int) - pixels).max() > 500
    assert adjusted(pixels, own.picture.profile, Adjustments()) is pixels

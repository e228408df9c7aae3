"""Adjustments, black and white, and the curve that the proof suggests."""

from __future__ import annotations

import colour
import imagecodecs
import numpy as np
import pytest
import tifffile
from hypothesis import given
from hypothesis import strategies as st
from output.makers import SPACE, as_picture, job, matte_paper, scene
from scipy.optimize import minimize

import workbench as wb
from workbench.colour.chroma import with_chroma
from workbench.colour.engine import transform
from workbench.colour.inkmodel import model_profile
from workbench.colour.lab import lab_to_xyz
from workbench.colour.spaces import standard_profile
from workbench.colour.trip import printed_lab
from workbench.errors import OutputError
from workbench.output.adjust import KNOTS, TONES, Adjustments, as_adjustments, former_tones
from workbench.output.adjusted import adjusted, adjusted_colours, colourful
from workbench.output.light import light_of_lightness, lightness_of_light
from workbench.output.print_file import write_print_file
from workbench.output.suggest import least_squares_within, suggest_adjustments, tone_change
from workbench.paper import open_paper

PROFILE = standard_profile(SPACE)
X = np.linspace(0, 1, 2001)


@pytest.mark.parametrize(
    "made",
    [
        Adjustments(deep_shadows=-4.7, shadows=8, warmth=8),
        Adjustments(mid_tones=20, dark_tones=20, warmth=-8),
        Adjustments(highlights=9, light_tones=-14),
        Adjustments(**former_tones(8, -0.4, -12), warmth=-8),
    ],
    ids=str,
)
def test_the_curve_rises_and_leaves_black_and_white(made):
    for channel in range(3):
        after = made.curve(PROFILE, 3)(channel, X)
        assert (np.diff(after) > 0).all()
        assert after[[0, -1]] == pytest.approx([0, 1], abs=1e-9)


@given(moves=st.lists(st.floats(-12, 12), min_size=6, max_size=6))
def test_a_curve_goes_through_its_handles_or_is_refused(moves):
    wanted = KNOTS + np.array([0, *moves, 0]) / 100
    try:
        made = Adjustments().moved(moves)
    except OutputError as problem:
        assert "would not rise" in str(problem) and np.diff(wanted).min() < 0.0021
        return
    assert made.tone(KNOTS) == pytest.approx(wanted, abs=1e-7)
    assert (np.diff(made.tone(X)) >= 0).all()


# earlier plans: their three curves one after another, as the formulas stood
def former_curve(x, lift=0.0, contrast=0.0, lightness=0.0):
    y = x + lift / 100 * (x / 0.12) * ((1 - x) / 0.88) ** (0.88 / 0.12)
    y = y - contrast * np.sin(2 * np.pi * y) / (2 * np.pi)
    return y + lightness / 100 * 4 * y * (1 - y)


@given(st.floats(0, 8), st.floats(-0.4, 0.4), st.floats(-12, 12), st.sampled_from([0.5, 1.0]))
def test_what_earlier_plans_held_prints_nearly_the_same(lift, contrast, lightness, part):
    former = [part * each for each in (lift, contrast, lightness)]
    names = ("shadow_lift", "contrast", "lightness")
    now = as_adjustments(dict(zip(names, former, strict=True)))
    off = 100 * np.abs(now.tone(X) - former_curve(X, *former))
    assert off.max() < (0.6 if part == 0.5 else 1.2)
    at = np.array([*TONES.values()]) / 100
    assert now.tone(at) == pytest.approx(former_curve(at, *former), abs=1e-6)


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
def test_mid_tones_are_the_step_of_a_middle_grey(step, space, tmp_path):
    grey = standard_grey(50, space)
    picture = as_picture(np.full((20, 30, 3), grey, np.uint16), space)
    wanted = {"mid_tones": step}
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


@pytest.mark.parametrize("space", ["sRGB", "ROMM RGB"])
def test_chroma_is_multiplied_and_hue_and_lightness_stay(space, tmp_path):
    """Of the written file, read by Little CMS, against CIELCh of the picture (CIE 015:2018)."""
    rng = np.random.default_rng(3)
    picture = as_picture(rng.integers(0, 65536, (40, 50, 3)).astype(np.uint16), space)
    work = type(job())(picture, ppi=100, converts="driver", adjustments={"chroma_gain": 1.3},
                       sharpening=None)  # fmt: skip
    write_print_file(work, tmp_path / "more.tif")
    before, after = (
        imagecodecs.cms_transform(
            pixels / 65535, standard_profile(space), imagecodecs.cms_profile("lab4"),
            colorspace="rgb", outcolorspace="lab", intent=1,
        )
        for pixels in (picture.pixels(), tifffile.imread(tmp_path / "more.tif"))
    )  # fmt: skip
    lch = colour.models.Lab_to_LCHab
    (l0, c0, h0), (l1, c1, h1) = (np.moveaxis(lch(each), -1, 0) for each in (before, after))
    far = c0 > 5
    grown, off = (c1 / c0)[far], np.deg2rad(np.abs((h1 - h0 + 180) % 360 - 180))[far] * c1[far]
    inside = np.abs(grown - 1.3) < 0.01
    # random colours lie close to the edges, where there is no room
    assert inside.mean() > 0.25
    assert np.percentile(grown, 1) > 0.98 and np.percentile(grown, 99) < 1.32
    # the table's own error, largest at the edges of the space
    assert (np.percentile(np.abs(l1 - l0), [50, 99]) < [0.05, 0.6]).all()
    assert (np.percentile(off, [50, 99]) < [0.1, 1.5]).all()


@pytest.mark.parametrize("space", ["sRGB", "ROMM RGB"])
def test_chroma_goes_as_far_as_the_space_and_no_further(space):
    values = np.random.default_rng(4).random((3000, 3))
    profile = standard_profile(space)
    made = with_chroma(values, profile, 1.5)
    lch = colour.models.Lab_to_LCHab
    one, two = (np.moveaxis(lch(transform(each, profile, "lab")), -1, 0) for each in (values, made))
    grown, turned = two[1] / one[1], np.deg2rad(np.abs((two[2] - one[2] + 180) % 360 - 180))
    assert np.abs(two[0] - one[0]).max() < 0.35 and (turned * two[1]).max() < 0.5
    assert grown.min() > 0.99 and grown.max() < 1.51
    # whatever was held back stands at an edge: a little more would lie outside
    stuck = made[grown < 1.48]
    assert len(stuck) > 300
    assert ((stuck < 0.01) | (stuck > 0.99)).any(axis=-1).mean() > 0.98


def test_greys_stay_grey_and_warmth_stays_what_it_says_with_more_chroma():
    grey = np.full((1, 1, 3), standard_grey(50, "sRGB"), np.uint16)
    profile = standard_profile("sRGB")
    for gain in (0.6, 1.0, 1.8):
        made = adjusted_colours(grey[0], profile, Adjustments(warmth=4, chroma_gain=gain))
        lab = printed_lab(made, profile, profile, "relative", False)[0]
        assert lab == pytest.approx([50, 0, 4], abs=0.1)
    ramp = np.repeat(np.linspace(0, 65535, 300).astype(np.uint16)[None, :, None], 3, axis=2)
    planes = [ramp[..., 0] / np.float32(65535)] * 3
    table = colourful(planes, profile, Adjustments(chroma_gain=1.3))
    neutral = np.rint(65535 * np.stack(table, axis=-1)).astype(int)
    assert np.abs(neutral - ramp).max() <= 4


def test_what_is_made_for_a_place_says_so_as_long_as_it_does_something():
    made = Adjustments(mid_tones=2, chroma_gain=1.12, made_for="the wall at 150 lux")
    assert made.brief == "for the wall at 150 lux: middle tones +2.0 L*, chroma × 1.12"
    assert sum("150 lux" in each for each in made.sentences()) == 1
    assert made.plain == Adjustments() and not made.plain
    grey = as_adjustments({"chroma_gain": 1.2, "black_and_white": "lightness"})
    assert "chroma" not in grey.brief and grey.colour_gain == 1


def test_no_adjustment_changes_nothing(tmp_path):
    write_print_file(job(adjustments=None), tmp_path / "a.tif")
    write_print_file(job(adjustments=Adjustments()), tmp_path / "b.tif")
    assert (tmp_path / "a.tif").read_bytes() == (tmp_path / "b.tif").read_bytes()


def test_the_written_file_follows_the_curve(tmp_path):
    ramp = np.repeat(np.linspace(0, 65535, 500).astype(np.uint16)[None], 4, axis=0)
    picture = as_picture(np.repeat(ramp[..., None], 3, axis=2))
    wanted = Adjustments(shadows=6, mid_tones=-2)
    work = type(job())(picture, ppi=100, converts="driver", adjustments=wanted)
    write_print_file(work, tmp_path / "ramp.tif")
    out = tifffile.imread(tmp_path / "ramp.tif")[0, :, 1] / 65535
    before = lightness_of_light((ramp[0] / 65535) ** (563 / 256))
    after = lightness_of_light(out ** (563 / 256))
    assert 100 * after == pytest.approx(100 * wanted.tone(before), abs=0.02)


@pytest.mark.parametrize(
    "wrong",
    [{"shadow_lift": -1}, {"contrast": 1}, {"warmth": 20}, {"warmth": "x"}, {"hue": 1}, 3,
     {"shadows": 26}, {"shadows": float("nan")}, {"black_and_white": "sepia"},
     {"black_and_white": "mix", "mix_red": 0, "mix_green": 0, "mix_blue": 0}],
)  # fmt: skip
def test_wrong_adjustments_are_refused(wrong):
    with pytest.raises(OutputError):
        as_adjustments(wrong)


def test_what_is_done_is_told():
    wanted = Adjustments(shadows=2, mid_tones=-4, warmth=1.5)
    assert wanted.brief == "shadows +2.0 L*, middle tones −4.0 L*, 1.5 b* warmer"
    assert "middle tones −4.0 L*" in " ".join(wanted.sentences())
    toned = Adjustments(black_and_white="lightness", shadow_chroma=8, warmth=3)
    assert toned.brief == "toned black and white" and "warmer" not in " ".join(toned.sentences())
    assert Adjustments(mid_tones=0.5) and not Adjustments(shadow_chroma=5, mix_red=1)


def test_grey_pictures_have_no_warmth(tmp_path):
    picture = as_picture(scene()[..., 1])
    plain = type(job())(picture, ppi=100, converts="driver")
    warm = type(job())(picture, ppi=100, converts="driver", adjustments={"warmth": 5})
    written = [
        tifffile.imread(write_print_file(w, tmp_path / f"{n}.tif").path)
        for n, w in enumerate((plain, warm))
    ]
    assert np.abs(np.subtract(*(w.astype(int) for w in written))).max() <= 1


# --- black and white ---------------------------------------------------------------


def lab_of(pixels, space):
    lab4 = imagecodecs.cms_profile("lab4")
    return imagecodecs.cms_transform(
        pixels / 65535,
        standard_profile(space),
        lab4,
        colorspace="rgb",
        outcolorspace="lab",
        intent=1,
    )


@pytest.mark.parametrize("space", ["sRGB", "ROMM RGB"])
def test_black_and_white_keeps_the_luminance_of_every_colour(space):
    """Y of IEC 61966-2-1 and ISO 22028-2 as colour-science has them, adapted to D50."""
    pixels = np.random.default_rng(5).integers(0, 65536, (40, 50, 3)).astype(np.uint16)
    made = adjusted(pixels, standard_profile(space), Adjustments(black_and_white="lightness"))
    d50 = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D50"]
    xyz = colour.RGB_to_XYZ(
        pixels / 65535, space, illuminant=d50, chromatic_adaptation_transform="Bradford",
        apply_cctf_decoding=True,
    )  # fmt: skip
    lab = lab_of(made, space)
    assert lab[..., 0] == pytest.approx(100 * lightness_of_light(xyz[..., 1]), abs=0.1)
    assert np.abs(lab[..., 1:]).max() < 0.05


def test_a_mix_of_channels_is_of_their_light():
    pixels = np.random.default_rng(6).integers(0, 65536, (20, 30, 3)).astype(np.uint16)
    mix = Adjustments(black_and_white="mix", mix_red=0.9, mix_green=0.3, mix_blue=0)
    light = (pixels / 65535) ** (563 / 256) @ [0.75, 0.25, 0]
    found = (adjusted(pixels, PROFILE, mix) / 65535) ** (563 / 256)
    assert found == pytest.approx(np.repeat(light[..., None], 3, -1), abs=2e-4)
    # white stays white
    assert (adjusted(np.full((1, 1, 3), 65535, np.uint16), PROFILE, mix) == 65535).all()


@pytest.mark.parametrize("grey", [False, True])
def test_toning_is_the_hue_and_chroma_asked_for_by_tone(tmp_path, grey):
    lightness = np.array([20.0, 50.0, 80.0])
    tone = Adjustments(
        black_and_white="lightness", mid_tones=2, shadow_hue=260, shadow_chroma=12,
        highlight_hue=70, highlight_chroma=6,
    )  # fmt: skip
    codes = np.array([standard_grey(each, SPACE) for each in lightness])
    pixels = np.repeat(codes[None].repeat(8, 0).repeat(8, 1)[..., None], 3, -1).astype(np.uint16)
    if grey:
        flat = np.rint(65535 * light_of_lightness(lightness / 100) ** (1 / 2.2))
        picture = as_picture(flat[None].repeat(8, 0).repeat(8, 1).astype(np.uint16))
    else:
        picture = as_picture(pixels)
    own = type(job())(picture, ppi=100, converts="driver", adjustments=tone)
    written = tifffile.imread(write_print_file(own, tmp_path / "toned.tif").path)
    assert written.shape[-1] == 3
    lab = lab_of(written, SPACE)[4, 4::8]
    x = tone.tone(lightness / 100)
    assert lab[:, 0] == pytest.approx(100 * x, abs=0.06)
    mixed = (1 - x) * 12 * np.exp(1j * np.deg2rad(260)) + x * 6 * np.exp(1j * np.deg2rad(70))
    fade = 1 - (2 * x - 1) ** 8
    assert lab[:, 1] == pytest.approx((mixed * fade).real, abs=0.1)
    assert lab[:, 2] == pytest.approx((mixed * fade).imag, abs=0.1)


# --- the suggestion ----------------------------------------------------------------


def dark_scene():
    return as_picture((scene(240, 160) * 0.45).astype(np.uint16))


def printed(paper, lightness, intent="relative", compensate=True, space=SPACE):
    """Printed L* of neutrals, by the proof's own path and from the space's published curve."""
    codes = np.array([standard_grey(each, space) for each in lightness]) / 65535
    device = np.repeat(codes[:, None], 3, -1)
    return printed_lab(device, standard_profile(space), paper.profile, intent, compensate)[:, 0]


def apart(paper, low, high, tone) -> float:
    x = 100 * tone(np.array([low, high]) / 100)
    return float(np.diff(printed(paper, x))[0])


def former_suggestions(paper, lightness):
    """The single suggestions that were made before there was one curve, by their rules."""
    found = []
    if np.mean(lightness < 20) >= 0.01 and apart(paper, 2, 12, lambda x: x) < 8:
        for lift in np.arange(0.5, 4.01, 0.5):
            tone = lambda x, lift=lift: former_curve(x, lift)  # noqa: E731
            if apart(paper, 2, 12, tone) >= 8:
                break
        found.append(tone)
    low, high = np.percentile(lightness, (10, 90))
    best = apart(paper, low, high, lambda x: x)
    if best < 0.95 * (high - low):
        steeper = None
        for contrast in np.arange(0.02, 0.201, 0.02):
            tone = lambda x, contrast=contrast: former_curve(x, 0, contrast)  # noqa: E731
            if (now := apart(paper, low, high, tone)) <= best:
                break
            best, steeper = now, tone
            if best >= 0.95 * (high - low):
                break
        if steeper is not None:
            found.append(steeper)
    return found


def test_the_curve_wins_the_shadows_more_than_any_single_suggestion_did():
    picture = wb.demo_picture()
    pixels = picture.preview(400)
    lab4 = imagecodecs.cms_profile("lab4")
    lightness = imagecodecs.cms_transform(
        pixels / np.iinfo(pixels.dtype).max, picture.profile, lab4, colorspace="rgb",
        outcolorspace="lab", intent=1,
    )[..., 0]  # fmt: skip
    matte = 0
    for paper in wb.demo_papers():
        found = suggest_adjustments(picture, paper)
        low, high = found.change.shadows
        for former in former_suggestions(paper, lightness):
            for end in ((low, high), (2, 12)):
                assert apart(paper, *end, found.adjustments.tone) >= apart(paper, *end, former)
        if found:
            # what it says of itself is so, and highlights and mid-grey are kept
            assert found.change.shadow_separation == pytest.approx(
                [
                    apart(paper, low, high, lambda x: x),
                    apart(paper, low, high, found.adjustments.tone),
                ],
                abs=0.1,
            )
            assert found.change.shadow_separation[1] > found.change.shadow_separation[0]
            was, now = found.change.highlight_separation
            assert now > 0.96 * was
            assert np.ptp(found.change.mid_tone) < 1
            assert found.change.clipped[1] <= found.change.clipped[0]
        # no cap is hit, on matte papers least of all
        assert max(map(abs, found.adjustments.tones)) < 12
        matte += bool(found)
    assert matte >= 4


def test_papers_ask_for_curves_of_their_own():
    found = {
        suggest_adjustments(wb.demo_picture(), paper).adjustments for paper in wb.demo_papers()
    }
    assert len(found) == len(wb.demo_papers())


def test_a_paper_that_holds_everything_asks_for_none():
    deep = open_paper(
        model_profile((96.0, 0.0, 0.0), 2.4, finish="gloss", name="Invented deep"), finish="gloss"
    )
    light = as_picture(np.clip(scene(240, 160), 20000, 60000).astype(np.uint16))
    found = suggest_adjustments(light, deep)
    assert not found and found.adjustments == Adjustments() and found.sentence.endswith(".")


@pytest.mark.parametrize("b", [6.0, -7.0])
def test_nothing_is_suggested_against_the_paper_s_own_white(b):
    profile = model_profile((95.0, 0.3, b), 1.7, finish="matte", name="Invented tinted")
    found = suggest_adjustments(dark_scene(), open_paper(profile, finish="matte"))
    assert found.adjustments.warmth == 0 and found.adjustments.black_and_white == "off"


@pytest.mark.parametrize("how", [("relative", False), ("absolute", False), ("perceptual", True)])
def test_other_renderings_have_their_own_curve(how):
    found = suggest_adjustments(
        dark_scene(), matte_paper(), intent=how[0], black_point_compensation=how[1]
    )
    assert found.change.shadow_separation[1] > found.change.shadow_separation[0]
    again = tone_change(
        dark_scene(),
        matte_paper(),
        found.adjustments,
        intent=how[0],
        black_point_compensation=how[1],
    )
    assert again.shadow_separation == found.change.shadow_separation


def test_least_squares_within_limits_is_that_of_a_general_solver():
    rng = np.random.default_rng(8)
    for _ in range(20):
        goals, wanted = rng.normal(size=(8, 4)), rng.normal(size=8)
        limits = rng.normal(size=(5, 4))
        least = limits @ rng.normal(size=4) - rng.random(5)  # some point keeps within
        x = least_squares_within(goals, wanted, limits, least)
        assert (limits @ x >= least - 1e-7).all()
        theirs = minimize(
            lambda v, a=goals, b=wanted: np.sum((a @ v - b) ** 2), np.zeros(4), method="SLSQP",
            constraints={"type": "ineq", "fun": lambda v, a=limits, b=least: a @ v - b},
            options={"ftol": 1e-14, "maxiter": 500},
        )  # fmt: skip
        assert np.sum((goals @ x - wanted) ** 2) <= theirs.fun + 1e-6
    with pytest.raises(ValueError, match="limits"):
        least_squares_within(np.eye(1), [0], [[1], [-1]], [1, 1])


def test_pixels_are_adjusted_as_the_print_file_is(tmp_path):
    # nothing resampled, sharpened or converted, so the file holds the adjusted pixels
    own = job(
        width_mm=None, converts="driver", sharpening=None, adjustments={"mid_tones": 4, "warmth": 2}
    )
    written = write_print_file(own, tmp_path / "a.tif")
    pixels = own.picture.pixels()
    made = adjusted(pixels, own.picture.profile, as_adjustments(own.adjustments))
    assert np.abs(made.astype(int) - tifffile.imread(written.path)).max() <= 1
    assert np.abs(made.astype(int) - pixels).max() > 500
    assert adjusted(pixels, own.picture.profile, Adjustments()) is pixels

"""Appearance and printing for a place, held against the model's examples and open observations."""

import math
from dataclasses import replace

import numpy as np
import pytest

import workbench as wb
from workbench.analysis.appearance import Conditions, appearance, in_light, xyz_appearing
from workbench.analysis.exposure import illuminance_by_card
from workbench.analysis.glass import SURFACE_MIRROR
from workbench.analysis.place import JUDGED, Hanging
from workbench.colour.trip import white_xyz
from workbench.errors import WorkbenchError
from workbench.output.adjust import Adjustments

DIM = wb.Place("2700 K", 60, wall_reflectance=0.8, glass="plain", veil_share=0.4)


@pytest.fixture(scope="module")
def paper():
    return wb.demo_papers()[2]


@pytest.fixture(scope="module")
def dim(paper):
    return wb.print_for_place(wb.demo_picture(), paper, DIM, long_side_px=120)


# the model -------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("xyz", "white", "luminance", "j", "m", "h", "q"),
    [
        # worked examples of CIECAM16 as published with colour-science's XYZ_to_CAM16
        ((19.01, 20.00, 21.78), (95.05, 100, 108.88), 318.31, 41.7312079, 0.1074367, 217.0679597, 195.3717089),
        ((57.06, 43.06, 31.96), (95.05, 100, 108.88), 31.83, 65.42828069, 42.62473321, 17.48659243, 152.06985268),
    ],
)  # fmt: skip
def test_worked_examples_of_the_model(xyz, white, luminance, j, m, h, q):
    here = Conditions(tuple(np.array(white) / 100), luminance, 0.2)
    seen = appearance(np.array(xyz) / 100, here)
    assert [float(each) for each in (seen.J, seen.M, seen.h, seen.Q)] == pytest.approx(
        [j, m, h, q], rel=1e-5
    )
    assert xyz_appearing(seen.J, seen.M, seen.h, here) == pytest.approx(
        np.array(xyz) / 100, rel=1e-6
    )


def _xyz(uv):
    u, v = uv
    x, y = 9 * u / (6 * u - 16 * v + 12), 4 * v / (6 * u - 16 * v + 12)
    return np.array([x / y, 1.0, (1 - x - y) / y])


@pytest.mark.parametrize("experiment", [1, 2, 3, 4, 6, 8, 11, 12])
def test_corresponding_colours_of_breneman(experiment):
    """Breneman 1987, complex fields: mean u′v′ error no worse than CMCCAT2000's by 0.003.

    Data and that model's predictions come from colour-science; observers themselves spread by
    several thousandths.
    """
    from colour import corresponding_chromaticities_prediction
    from colour.corresponding.datasets.breneman1987 import (
        BRENEMAN_EXPERIMENT_PRIMARIES_CHROMATICITIES as FIELDS,
    )
    from colour.corresponding.datasets.breneman1987 import BRENEMAN_EXPERIMENTS

    (white, *pairs) = BRENEMAN_EXPERIMENTS[experiment]
    luminance = float(np.atleast_1d(FIELDS[experiment].Y)[0])
    one, two = (
        Conditions(tuple(_xyz(each)), 0.2 * luminance, 0.2) for each in (white.uv_t, white.uv_m)
    )
    errors = []
    for pair in pairs:
        seen = appearance(0.3 * _xyz(pair.uv_t), one)
        x, y, z = xyz_appearing(seen.J, seen.M, seen.h, two)
        below = x + 15 * y + 3 * z
        errors.append(math.dist((4 * x / below, 9 * y / below), pair.uv_m))
    published = np.mean(
        [
            math.dist(each.uv_p, each.uv_m)
            for each in corresponding_chromaticities_prediction(experiment, model="CMCCAT2000")
        ]
    )
    assert np.mean(errors) < published + 0.003


def test_surfaces_in_another_light_keep_white_white():
    white = np.array([1.0985, 1.0, 0.3558])
    d50 = np.array([0.9642, 1.0, 0.8249])
    assert in_light(d50, white) == pytest.approx(white, rel=1e-9)
    assert in_light(0.2 * d50, d50) == pytest.approx(0.2 * d50, rel=1e-12)


# a print in its place --------------------------------------------------------------


def test_nothing_changes_where_wall_and_proofing_light_agree(paper):
    same = wb.print_for_place(wb.demo_picture(), paper, JUDGED, long_side_px=120)
    assert (same.brightness_share, same.lightness_share, same.colourfulness_share) == (1, 1, 1)
    assert same.chroma_gain == 1.0 and not same.changes
    assert np.abs(same.tone_out - same.tone_in).max() == 0
    assert np.abs(same.hung.astype(int) - same.judged).max() <= 1
    assert np.array_equal(same.proposed, same.hung)


def test_a_dim_room_behind_glass_takes_and_the_proposal_gives_back(dim):
    assert dim.brightness_share < 0.8 and dim.colourfulness_share < 0.9
    assert dim.lightness_share < 0.95
    assert dim.changes and dim.chroma_gain > 1.05
    assert dim.colourfulness_share < dim.colourfulness_after <= 1.02
    assert 0 < dim.share_beyond < 0.3
    assert dim.sentence.endswith(".") and "×" in dim.proposal
    far = [np.abs(each.astype(float) - dim.judged).mean() for each in (dim.hung, dim.proposed)]
    assert far[1] < far[0]


def test_the_proposal_shown_is_what_its_print_file_holds(dim, paper, tmp_path):
    """The print file's own colours hang as told: read back, printed and seen by other hands."""
    import tifffile

    from workbench.colour.trip import printed_lab

    picture = wb.demo_picture()
    plan = wb.Plan(picture=picture, paper=paper, size_from="size", long_side_mm=60,
                   printer_ppi=72, sharpening=None, bit_depth=16, adjustments=dim.adjustments)  # fmt: skip
    wb.write_print_file(plan, tmp_path / "print.tif")
    file = tifffile.imread(tmp_path / "print.tif")
    printed = printed_lab(file / 65535, paper.profile, paper.profile, "relative", False)
    white = white_xyz(paper.profile)
    mirror = SURFACE_MIRROR.get(paper.finish or "", 0.0)
    seen = Hanging(DIM, white, mirror).appearance(printed.reshape(-1, 3))
    judged = printed_lab(
        picture.preview(160) / 65535, picture.profile, paper.profile, "relative", True
    )
    before = Hanging(JUDGED, white, mirror).appearance(judged.reshape(-1, 3))
    assert seen.M.mean() / before.M.mean() == pytest.approx(dim.colourfulness_after, abs=0.01)
    assert dim.adjustments.made_for == DIM.words


def test_a_curve_that_is_not_worth_it_is_not_told(dim):
    gain = replace(dim, adjustments=Adjustments(chroma_gain=1.2, made_for=DIM.words))
    assert gain.middle_lift == 0 and gain.proposal.startswith("Middle greys as they are, ")


def test_the_curve_rises_throughout_and_keeps_white_and_black(dim, paper):
    assert (np.diff(dim.tone_out) > 0).all()
    assert dim.tone_out[-1] == 100
    black = paper.black_lab[0]
    assert np.abs((dim.tone_out - dim.tone_in)[dim.tone_in < black - 2]).max() == 0


def test_the_pictures_own_curve_prints_as_proposed(dim, paper):
    from workbench.colour.engine import transform
    from workbench.colour.trip import printed_lab

    profile = wb.demo_picture().profile

    def printed(lightness):
        grey = transform(np.stack([lightness, 0 * lightness, 0 * lightness], 1), "lab", profile)
        return printed_lab(grey, profile, paper.profile, "relative", True)[:, 0]

    steps = dim.tone_in[60:190]
    wanted = np.interp(printed(steps), dim.tone_in, dim.tone_out)
    assert np.abs(printed(dim.picture_tone_out[60:190]) - wanted).max() < 0.5


def test_the_curve_gives_every_grey_its_place_between_black_and_white(dim, paper):
    """What the curve is for: lightness differences all shrink by one factor."""
    white = white_xyz(paper.profile)
    before, after = Hanging(JUDGED, white), Hanging(DIM, white)

    def lightness(hanging, tones):
        return hanging.appearance(np.stack([tones, 0 * tones, 0 * tones], axis=1)).J

    inside = dim.tone_in > 35
    steps = [
        np.diff(lightness(*each))
        for each in ((before, dim.tone_in[inside]), (after, dim.tone_out[inside]))
    ]
    assert steps[1] / steps[0] == pytest.approx(dim.lightness_share, rel=0.02)


def test_light_glass_and_wall_work_the_way_they_should(paper):
    picture = wb.demo_picture()

    def at(**how):
        return wb.print_for_place(picture, paper, wb.Place("D50", **how), long_side_px=60)

    plain = at(illuminance_lux=200)
    assert at(illuminance_lux=50).colourfulness_share < plain.colourfulness_share
    assert at(illuminance_lux=2000).colourfulness_share > 1 > plain.colourfulness_share
    veiled = at(illuminance_lux=200, glass="plain", veil_share=0.6)
    coated = at(illuminance_lux=200, glass="anti-reflection", veil_share=0.6)
    assert veiled.lightness_share < coated.lightness_share < plain.lightness_share
    white_wall, dark_wall = (at(illuminance_lux=200, wall_reflectance=r) for r in (0.9, 0.05))
    assert white_wall.middle_shift < dark_wall.middle_shift


def test_a_plan_is_taken_whole(paper):
    picture = wb.demo_picture()
    plan = wb.Plan(picture=picture, paper=paper, intent="perceptual")
    one = wb.print_for_place(plan, place="museum", long_side_px=60)
    two = wb.print_for_place(picture, paper, "museum", intent="perceptual",
                             black_point_compensation=plan.black_point_compensation, long_side_px=60)  # fmt: skip
    assert one.colourfulness_share == two.colourfulness_share
    assert np.array_equal(one.proposed, two.proposed)


@pytest.mark.parametrize(
    "wrong",
    [
        {"light": "moon"}, {"light": "D50"}, {"illuminance_lux": 0}, {"wall_reflectance": 2},
        {"mount_reflectance": 1.5}, {"glass": "ice"}, {"veil_share": -1}, {"distance_mm": 1},
    ],
)  # fmt: skip
def test_places_that_cannot_be(wrong):
    with pytest.raises(WorkbenchError):
        wb.Place(**wrong)


# the camera as a meter -------------------------------------------------------------


def test_a_cards_exposure_tells_the_illuminance():
    """Luminance at exposure value 0 for ISO 100 is K/S = 0.125 cd/m² (ISO 2720 with K = 12.5)."""
    told = illuminance_by_card(1.0, 1.0, 100, card_reflectance=0.9)
    assert told.illuminance_lux == pytest.approx(math.pi * 0.125 / 0.9, rel=1e-9)
    assert illuminance_by_card(2.0, 1.0, 100).illuminance_lux == pytest.approx(
        4 * told.illuminance_lux
    )
    assert told.high_lux / told.illuminance_lux == pytest.approx(2 ** (1 / 3))
    # on an 18 % card it comes near an incident-light meter's C = 250 lx·s (ISO 2720)
    lit = math.pi * 12.5 * 16**2 / (1 / 100 * 100) / 0.18
    assert lit == pytest.approx(250 * 16**2 / (1 / 100 * 100), rel=0.2)
    with pytest.raises(WorkbenchError):
        illuminance_by_card(0, 1, 100)

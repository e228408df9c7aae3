"""Soft proofs against Little CMS, and their end points."""

import io

import numpy as np
import pytest
from displays import all_grey, no_way_back, stuck, table_display
from helpers import coated_profile, demo_paper
from pictures import colourful, patches, picture_of

import workbench as wb
from workbench.analysis.adaptation import REFERENCE_WHITES
from workbench.analysis.proof import picture_grid, proof_grid
from workbench.analysis.viewing import find_display, viewing
from workbench.colour.black import destination_black
from workbench.colour.difference import delta_e_2000
from workbench.colour.engine import INTENTS, transform
from workbench.colour.lab import lab_to_xyz, xyz_to_lab
from workbench.colour.spaces import RGB_SPACES, standard_profile
from workbench.colour.trip import white_xyz
from workbench.errors import Cancelled, ProfileError, UntaggedPictureError, WorkbenchError
from workbench.plan import Plan

BESIDE = {"reference": "perfect diffuser"}


@pytest.fixture(scope="module")
def paper():
    return wb.open_paper(coated_profile())


def little_cms_proof(pixels, source, paper, display, number, compensate, adapted, flags):
    """Pillow's own proofing transform of (h, w, 3) uint8."""
    from PIL import Image, ImageCms

    change = ImageCms.buildProofTransform(
        io.BytesIO(source),
        io.BytesIO(display),
        io.BytesIO(paper.profile),
        "RGB",
        "RGB",
        number,
        1 if adapted else 3,
        flags | SOFT_PROOFING | (COMPENSATION if compensate else 0),
    )
    return np.asarray(ImageCms.applyTransform(Image.fromarray(pixels), change))


# lcms2.h
SOFT_PROOFING, COMPENSATION, NO_TABLES = 0x4000, 0x2000, 0x0100


def thousand(seed: int = 4) -> np.ndarray:
    """A thousand random colours, among them black and white."""
    pixels = np.random.default_rng(seed).integers(0, 256, (25, 40, 3), dtype=np.uint8)
    pixels[0, :2] = [[0, 0, 0], [255, 255, 255]]
    return pixels


@pytest.mark.parametrize("kind", ["press", "model"])
@pytest.mark.parametrize("adapted", [True, False])
@pytest.mark.parametrize("compensate", [False, True])
@pytest.mark.parametrize("number, intent", list(enumerate(INTENTS)))
def test_little_cms_proofs_the_same(paper, kind, adapted, compensate, number, intent):
    # Little CMS by its own proofing transform, as Pillow binds it, without the tables that
    # it would interpolate in; ours goes another way, through Lab and numpy
    target = paper if kind == "press" else demo_paper("matte")
    pixels = thousand()
    for space, display in (("sRGB", "Display P3"), ("ROMM RGB", table_display())):
        profile = standard_profile(display) if isinstance(display, str) else display
        theirs = little_cms_proof(
            pixels, standard_profile(space), target, profile, number, compensate, adapted, NO_TABLES
        )
        ours = wb.soft_proof(
            picture_of(pixels, space),
            target,
            intent=intent,
            black_point_compensation=compensate,
            adaptation=1.0 if adapted else 0.0,
            **BESIDE,
            display=display,
        )
        assert ours.exact
        assert np.abs(ours.pixels.astype(int) - theirs).max() <= 1


def test_little_cms_quick_proof_is_near(paper):
    # with its own tables of 33 nodes Little CMS is as far from the truth as they are
    pixels = thousand()
    source, display = standard_profile("opRGB"), standard_profile("sRGB")
    theirs = little_cms_proof(pixels, source, paper, display, 1, True, True, 0)
    ours = wb.soft_proof(
        picture_of(pixels, "opRGB"), paper, adaptation=1.0, black_point_compensation=True
    ).pixels
    assert np.abs(ours.astype(int) - theirs).mean() < 0.6


def lab_of(proof) -> np.ndarray:
    return transform(proof.pixels / 65535, proof.display_profile, "lab")


def test_black_point_compensation_is_the_published_algorithm(paper):
    # ISO 18619: per channel XYZ' = a XYZ + b, a = (bp_out − W)/(bp_in − W),
    # b = −W (bp_out − bp_in)/(bp_in − W), written out here once more; the same colours
    # printed without compensation must come out alike
    pixels, source = thousand(9), standard_profile("sRGB")
    white = np.array([0.9642, 1.0, 0.8249])
    black_in = np.zeros(3)  # sRGB's own
    black_out = destination_black(paper.profile, "relative")
    a = (black_out - white) / (black_in - white)
    b = -white * (black_out - black_in) / (black_in - white)
    moved = xyz_to_lab(lab_to_xyz(transform(pixels / 255, source, "lab")) * a + b)
    printed = transform(transform(moved, "lab", paper.profile), paper.profile, "lab")
    by_hand = np.clip(transform(printed, "lab", source), 0, 1) * 255
    ours = wb.soft_proof(
        picture_of(pixels, "sRGB"), paper, adaptation=1.0, black_point_compensation=True
    )
    assert np.abs(ours.pixels - by_hand).max() <= 1
    assert 1.0 < xyz_to_lab(black_out)[0] < 20


def test_fully_adapted_is_media_relative_to_the_last_bit(paper):
    lab = np.random.default_rng(3).uniform([0, -80, -80], [100, 80, 80], (500, 3))
    white = lab_to_xyz(paper.white_lab)
    for reference in ("perfect diffuser", "brightened card"):
        assert np.array_equal(viewing(adaptation=1, reference=reference).seen(lab, white), lab)


def test_side_by_side_is_icc_absolute(paper):
    # Little CMS's own absolute colorimetry of the same inks
    device = np.random.default_rng(3).random((2000, 4)) * [0.9, 0.8, 0.8, 0.5]
    relative = transform(device, paper.profile, "lab")
    seen = viewing(adaptation=0, **BESIDE).seen(relative, white_xyz(paper.profile))
    assert np.abs(seen - transform(device, paper.profile, "lab", intent="absolute")).max() < 0.01


def test_in_between_the_eyes_white_lies_between(paper):
    lab = np.array([[100.0, 0, 0], [60, 20, -30]])
    white, office = lab_to_xyz(paper.white_lab), lab_to_xyz(REFERENCE_WHITES["brightened card"])
    eye = 0.3 * white + 0.7 * office
    by_hand = xyz_to_lab(lab_to_xyz(lab) * white / eye)
    seen = viewing(adaptation=0.3, reference="brightened card").seen(lab, white)
    assert np.abs(seen - by_hand).max() < 1e-9


def test_end_points_of_adaptation(paper):
    white = patches([1, 1, 1])
    adapted = wb.soft_proof(white, paper, adaptation=1.0).pixels
    assert np.all(adapted == 255)
    beside = wb.soft_proof(white, paper, **BESIDE, adaptation=0.0).pixels[0, 0] / 255
    seen = transform(beside[None], standard_profile("sRGB"), "lab")[0]
    # side by side with the perfect diffuser: the paper's absolute white
    assert np.abs(seen - paper.white_lab).max() < 0.3


def test_adaptation_moves_steadily_from_tint_to_white(paper):
    white = patches([1, 1, 1])
    steps = [
        wb.soft_proof(white, paper, **BESIDE, adaptation=a).pixels[0, 0].astype(int)
        for a in np.linspace(0, 1, 6)
    ]
    assert np.all(np.diff(steps, axis=0) >= 0)


def test_proofs_begin_as_the_desk_does(paper):
    plan, picture = Plan(), colourful()
    of_plan = wb.soft_proof(
        picture, paper, reference=plan.reference, adaptation=plan.adaptation, display=plan.display
    )
    found = wb.soft_proof(picture, paper)
    assert np.array_equal(found.pixels, of_plan.pixels)
    # the print alone: its white is the display's
    assert np.all(wb.soft_proof(patches([1, 1, 1]), paper).pixels == 255)
    quick = wb.soft_proof(picture, paper, exact=False).pixels
    grid = proof_grid(picture.profile, paper.profile)
    assert np.array_equal(grid.apply(picture.preview(1200)), quick)
    assert viewing() == viewing(
        reference=plan.reference, adaptation=plan.adaptation, display=plan.display
    )


def test_the_quick_grid_follows_the_exact_proof(paper):
    picture = colourful(200, 300)
    exact = wb.soft_proof(
        picture, paper, **BESIDE, adaptation=0.4, long_side_px=300, exact=True
    ).pixels
    eye = viewing(**BESIDE, adaptation=0.4).eye.white(lab_to_xyz(paper.white_lab))
    grid = proof_grid(picture.profile, paper.profile, reference_xyz=eye)
    quick = grid.apply(picture.preview(300))
    assert np.abs(quick.astype(int) - exact).mean() < 0.5


def test_sixteen_bits_and_other_displays(paper):
    picture = colourful()
    proof = wb.soft_proof(picture, paper, bit_depth=16, display="Display P3")
    assert proof.pixels.dtype == np.uint16
    assert proof.display_profile == standard_profile("Display P3")
    narrow = wb.soft_proof(picture, paper, bit_depth=16)
    assert np.abs(proof.pixels.astype(int) - narrow.pixels).max() > 500


def test_a_whiter_reference_makes_the_paper_darker(paper):
    white = patches([1, 1, 1])
    office, diffuser = (
        wb.soft_proof(white, paper, reference=name, adaptation=0).pixels[0, 0].astype(int)
        for name in ("brightened card", "perfect diffuser")
    )
    # beside a bluish sheet the paper loses its blue
    assert office[2] - office[0] < diffuser[2] - diffuser[0]


def test_picture_grid_is_a_plain_conversion():
    picture = colourful()
    quick = picture_grid(picture.profile).apply(picture.pixels())
    exact = transform(picture.pixels() / 65535, picture.profile, standard_profile("sRGB"))
    assert np.abs(quick - np.clip(exact, 0, 1) * 255).mean() < 0.7


def test_grey_pictures_are_proofed_too(paper):
    grey = picture_of(np.linspace(0, 1, 64)[None].repeat(8, 0), "Grey, power 2.2")
    proof = wb.soft_proof(grey, paper, adaptation=1.0).pixels
    assert proof.shape == (8, 64, 3) and np.ptp(proof[0, -1]) == 0


@pytest.mark.parametrize(
    "options, words",
    [
        ({"adaptation": 2, "reference": "brightened card"}, "between 0"),
        ({"display": "my screen"}, "(is not a|describes no) display"),
        ({"bit_depth": 12}, "8 or 16"),
        ({"reference": "snow"}, "not a white to compare"),
        ({"intent": "vivid"}, "not a rendering intent"),
    ],
)
def test_wrong_options(paper, options, words):
    with pytest.raises(WorkbenchError, match=words):
        wb.soft_proof(colourful(), paper, **options)


def test_an_untagged_picture_is_not_guessed_at(paper):
    import tifffile

    file = io.BytesIO()
    tifffile.imwrite(file, np.zeros((4, 4, 3), np.uint8), photometric="rgb")
    with pytest.raises(UntaggedPictureError, match="no colour profile"):
        wb.soft_proof(wb.open_picture(file.getvalue(), name="old.tif"), paper)


def test_reference_white_xyz_scales_the_display(paper):
    grid = proof_grid(
        standard_profile("sRGB"), paper.profile, reference_xyz=lab_to_xyz(paper.white_lab)
    )
    assert np.all(grid.apply(np.full((1, 1, 3), 255, np.uint8)) >= 254)


def random_picture(height: int = 150, width: int = 200, depth=np.uint16):
    top = np.iinfo(depth).max
    pixels = np.random.default_rng(8).integers(0, top, (height, width, 3), depth, endpoint=True)
    return picture_of(pixels, "ROMM RGB")


@pytest.mark.parametrize("number", [0, 2])
def test_tables_lie_near_every_pixel_worked_out(number):
    paper, picture = wb.demo_papers()[number], random_picture()
    how = {
        **BESIDE,
        "adaptation": 0.4,
        "bit_depth": 16,
        "display": "Display P3",
        "intent": "relative",
    }
    exact = wb.soft_proof(picture, paper, **how, long_side_px=None, exact=True)
    quick = wb.soft_proof(picture, paper, **how, long_side_px=200, exact=False)
    fine = wb.soft_proof(picture, paper, **how, long_side_px=None, exact=False)
    assert (exact.exact, quick.exact, fine.exact) == (True, False, False)
    assert (exact.nodes, quick.nodes, fine.nodes) == (None, 33, 65)
    off_quick, off_fine = (delta_e_2000(lab_of(p), lab_of(exact)) for p in (quick, fine))
    # measured .06 and .02 on average, .4 and .16 for 99 % of random colours
    assert off_quick.mean() < 0.12 and np.percentile(off_quick, 99) < 0.8
    assert off_fine.mean() < 0.04 and np.percentile(off_fine, 99) < 0.3


def test_large_proofs_interpolate_and_small_ones_do_not(paper):
    picture = colourful(300, 600)
    assert not wb.soft_proof(picture, paper, long_side_px=600).exact
    assert wb.soft_proof(picture, paper, long_side_px=300).exact


@pytest.mark.parametrize("exact", [True, False])
def test_bands_leave_no_trace(paper, monkeypatch, exact):
    from workbench.analysis import proof as module

    picture = random_picture(60, 50)
    whole = wb.soft_proof(picture, paper, long_side_px=None, exact=exact).pixels
    monkeypatch.setattr(module, "_BAND_PIXELS", dict.fromkeys(module._BAND_PIXELS, 350))
    told = []
    banded = wb.soft_proof(picture, paper, long_side_px=None, exact=exact, progress=told.append)
    assert np.array_equal(banded.pixels, whole)
    assert told == sorted(told) and told[-1] == 1 and len(told) == 9


def test_cancelling_stops_between_bands(paper):
    with pytest.raises(Cancelled):
        wb.soft_proof(colourful(), paper, cancelled=lambda: True)


def test_pictures_on_their_side_and_of_eight_bits_proof_alike(paper):
    import tifffile

    pixels = thousand()
    file = io.BytesIO()
    tifffile.imwrite(
        file,
        pixels,
        photometric="rgb",
        iccprofile=standard_profile("sRGB"),
        extratags=[(274, "H", 1, 6, True)],
    )
    turned = wb.open_picture(file.getvalue(), name="turned.tif")
    upright = picture_of(np.rot90(pixels, -1).copy(), "sRGB")
    sixteen = picture_of(np.rot90(pixels, -1) * np.uint16(257), "sRGB")
    for exact in (True, False):
        first, *others = (
            wb.soft_proof(p, paper, long_side_px=None, exact=exact).pixels
            for p in (turned, upright, sixteen)
        )
        assert first.shape == (40, 25, 3)
        for other in others:
            assert np.array_equal(first, other)


@pytest.mark.parametrize("intent", INTENTS)
def test_absolute_knows_no_compensation(paper, intent):
    proof = wb.soft_proof(colourful(), paper, intent=intent, black_point_compensation=True)
    assert proof.black_point_compensation == (intent != "absolute")


def test_displays_by_name_bytes_and_path(tmp_path):
    file = tmp_path / "screen.icc"
    file.write_bytes(table_display())
    for display in (table_display(), file, str(file)):
        found = find_display(display)
        assert found.name == "Invented screen, measured" and found.kind == "tables"
        assert found.profile == table_display()
        # the black that the profile was made with, Y .004
        assert abs(found.black_lightness - xyz_to_lab(0.004 * lab_to_xyz([100, 0, 0]))[0]) < 0.1
        assert found.noise_floor < 1.5
    for name in RGB_SPACES:
        found = find_display(name)
        assert (found.name, found.kind) == (name, "matrix")
        assert found.profile == standard_profile(name) and found.noise_floor < 0.01
    assert find_display(found) is found


@pytest.mark.parametrize(
    "display, error, words",
    [
        (standard_profile("Grey, power 2.2"), ProfileError, "must be RGB"),
        (coated_profile(), ProfileError, "must be RGB"),
        (b"no profile", ProfileError, "not an ICC"),
        (table_display()[:5000], ProfileError, "cut short"),
        ("nowhere/screen.icc", ProfileError, "no file"),
        (no_way_back(), ProfileError, "how colours get onto"),
        (all_grey(), ProfileError, "describes no display"),
        (stuck(), ProfileError, "describes no display"),
        (7, WorkbenchError, "(is not a|describes no) display"),
        ("", WorkbenchError, "(is not a|describes no) display"),
    ],
)
def test_what_is_no_display(display, error, words):
    with pytest.raises(error, match=words):
        find_display(display)


def test_a_printers_profile_is_no_display():
    with pytest.raises(ProfileError, match="output profile, not a display"):
        find_display(wb.demo_papers()[0].profile)


def test_a_display_with_a_black_of_its_own_cannot_show_deeper_ones(paper):
    way = viewing(adaptation=1, display=table_display())
    deep, middle = way.beyond(np.array([[0.0, 0, 0], [50, 0, 0]]))
    assert deep > 1.5 and middle < way.display.noise_floor
    assert np.all(way.shown(np.array([[0.0, 0, 0]])) < 0.01)

"""The black of pictures whose profile is one table, against ISO 18619 and plain Little CMS."""

import numpy as np
import pytest
from helpers import coated_profile, pillow_convert, table_rgb_profile

from workbench.colour.black import compensate, destination_black, source_black
from workbench.colour.engine import transform
from workbench.colour.every_intent import with_every_intent
from workbench.colour.inkmodel import model_profile
from workbench.colour.lab import D50_XYZ, lab_to_xyz
from workbench.colour.profile import read_profile
from workbench.colour.spaces import standard_profile
from workbench.colour.trip import printed_lab, trip

BPC = 0x2000  # cmsFLAGS_BLACKPOINTCOMPENSATION, lcms2.h
INTENTS = ("perceptual", "relative", "saturation", "absolute")
EVERY = ("A2B0", "A2B1", "A2B2")


@pytest.fixture(scope="module", params=["coated press", "gloss model"])
def paper(request) -> bytes:
    if request.param == "coated press":
        return coated_profile()
    return model_profile((96, 0, 1), 2.35, finish="gloss", grid=33)


def older(profile: bytes) -> bytes:
    """The same as version 2, whose perceptual table has no black by agreement."""
    return profile[:8] + b"\2" + profile[9:]


@pytest.fixture(scope="module", params=["version 4", "version 2"])
def source(request) -> bytes:
    one = table_rgb_profile()
    return one if request.param == "version 4" else older(one)


def test_source_black_is_the_tables_own(source):
    # L* 3.1373 by construction; 0.0034731 of Y is the reference medium's (ICC.1:2022, 6.3.3)
    assert source_black(source, "relative")[1] == pytest.approx(0.0034731, abs=2e-5)


@pytest.mark.parametrize("dtype", [np.float64, np.uint8, np.uint16])
def test_compensated_black_obeys_the_published_scaling(source, paper, dtype):
    """ISO 18619: XYZ' = a XYZ + b with the blacks of both; every precision of the engine."""
    top = 1 if dtype is np.float64 else np.iinfo(dtype).max
    greys = (np.linspace(0, top, 64)[:, None] * np.ones(3)).astype(dtype)
    lab = transform(greys.astype(float) / top, source, "lab")
    black_in, black_out = source_black(source, "relative"), destination_black(paper, "relative")
    a = (black_out - D50_XYZ) / (black_in - D50_XYZ)
    b = -D50_XYZ * (black_out - black_in) / (black_in - D50_XYZ)
    wished = a * lab_to_xyz(lab) + b
    assert wished[0] == pytest.approx(black_out, abs=2e-5)
    ours = lab_to_xyz(compensate(lab, source, paper, "relative"))
    assert ours == pytest.approx(wished, abs=1e-6)
    ink = transform(compensate(lab, source, paper, "relative"), "lab", paper)
    expected = transform(ink, paper, "lab")
    printed = printed_lab(greys, source, paper, "relative", True)
    limit = 0.3 if dtype is np.float64 else 0.6
    assert np.linalg.norm(printed - expected, axis=1).max() < limit
    # and so it prints as black as that of a space whose black is zero
    plain = printed_lab(0 * greys[:1], standard_profile("ROMM RGB"), paper, "relative", True)
    assert printed[0, 0] == pytest.approx(plain[0, 0], abs=0.05)


@pytest.mark.parametrize("compensated", [False, True])
@pytest.mark.parametrize("intent", INTENTS)
def test_one_table_prints_as_the_same_table_under_three_names(paper, intent, compensated):
    """Bit for bit, against plain Little CMS where it finds the black itself."""
    pixels = np.random.default_rng(3).integers(0, 256, (40, 50, 3), dtype=np.uint8)
    pixels[0, 0] = 0
    three = table_rgb_profile(*EVERY)
    how = {"intent": intent, "black_point_compensation": compensated}
    ours = transform(pixels, table_rgb_profile(), paper, **how)
    assert np.array_equal(ours, transform(pixels, three, paper, **how))
    flags = BPC if compensated and intent != "absolute" else 0
    theirs = pillow_convert(pixels, three, paper, INTENTS.index(intent), flags)
    assert np.abs(ours.astype(int) - theirs.astype(int)).max() <= 1


def test_without_compensation_nothing_changes(source, paper):
    pixels = np.random.default_rng(4).integers(0, 256, (40, 50, 3), dtype=np.uint8)
    ours = transform(pixels, source, paper)
    theirs = pillow_convert(pixels, source, paper, INTENTS.index("relative"))
    assert np.abs(ours.astype(int) - theirs.astype(int)).max() <= 1


def test_plain_little_cms_leaves_this_black_grey(paper):
    """Why it is mended: should the engine one day find the black itself, this goes."""
    black = np.zeros((2, 2, 3), np.uint8)
    theirs = pillow_convert(black, table_rgb_profile(), paper, INTENTS.index("relative"), BPC)
    left = transform(theirs, paper, "lab", dtype=np.float64)[0, 0, 0]
    ours = printed_lab(np.zeros((1, 3)), table_rgb_profile(), paper, "relative", True)[0, 0]
    assert left > ours + 0.8


def test_profiles_that_lack_nothing_stay_as_they_are(paper):
    for profile in (paper, standard_profile("sRGB"), table_rgb_profile(*EVERY)):
        assert with_every_intent(profile) is read_profile(profile).data
    full = read_profile(with_every_intent(table_rgb_profile()))
    assert {full.tag(name) for name in EVERY} == {read_profile(table_rgb_profile()).tag("A2B0")}
    assert full.tag("wtpt") == read_profile(table_rgb_profile()).tag("wtpt")
    assert with_every_intent(full.data) is full.data


def test_what_a_paper_holds_does_not_change(source, paper):
    """Out of gamut is judged without compensation, so that the source's black plays no part."""
    pixels = np.random.default_rng(5).random((500, 3))
    one, other = (trip(pixels, source, paper, "relative", way) for way in (False, True))
    assert np.array_equal(one.held, other.held)

"""Black point compensation and transforms against Little CMS itself."""

import numpy as np
import pytest
from helpers import coated_profile, pillow_convert

from workbench.colour.black import compensate, destination_black, source_black
from workbench.colour.engine import transform
from workbench.colour.inkmodel import model_profile
from workbench.colour.lab import D50_XYZ, lab_to_xyz, xyz_to_lab
from workbench.colour.spaces import standard_profile
from workbench.colour.trip import noise_floor, printed_lab, trip

BPC = 0x2000  # cmsFLAGS_BLACKPOINTCOMPENSATION, lcms2.h


@pytest.fixture(scope="module", params=["coated press", "matte model", "gloss model"])
def paper(request) -> bytes:
    if request.param == "coated press":
        return coated_profile()
    finish = request.param.split()[0]
    return model_profile((96, 0, 1), 1.6 if finish == "matte" else 2.3, finish=finish, grid=17)


@pytest.mark.parametrize("space", ["sRGB", "ROMM RGB"])
def test_compensation_is_little_cms_own(paper, space):
    """Our compensation, then the paper's table, lands where Little CMS's compensated transform does."""
    source = standard_profile(space)
    pixels = np.random.default_rng(9).random((2000, 3))
    pixels[:64] = np.linspace(0, 1, 64)[:, None]
    theirs = printed_lab(pixels, source, paper, "relative", True)
    wished = compensate(transform(pixels, source, "lab"), source, paper, "relative")
    ours = transform(transform(wished, "lab", paper), paper, "lab")
    distance = np.linalg.norm(ours - theirs, axis=1)
    assert np.percentile(distance, 95) < 0.3 and distance[:64].max() < 0.3


def test_black_goes_to_black_and_white_stays(paper):
    source = standard_profile("sRGB")
    out = compensate(np.array([[0.0, 0, 0], [100, 0, 0]]), source, paper, "relative")
    assert np.allclose(lab_to_xyz(out[0]), destination_black(paper, "relative"), atol=1e-6)
    assert np.allclose(out[1], [100, 0, 0], atol=1e-6)
    assert np.allclose(source_black(source, "relative"), 0, atol=1e-6)


def test_published_form_of_the_scaling():
    # ISO 18619: XYZ' = a XYZ + b, written out for one grey by hand
    paper = model_profile((96, 0, 0), 1.6, finish="matte", grid=9)
    out = destination_black(paper, "relative")
    a = (out - D50_XYZ) / (0 - D50_XYZ)
    b = -D50_XYZ * (out - 0) / (0 - D50_XYZ)
    grey = np.array([40.0, 0, 0])
    expected = xyz_to_lab(a * lab_to_xyz(grey) + b)
    assert np.allclose(
        compensate(grey, standard_profile("sRGB"), paper, "relative"), expected, atol=1e-9
    )


@pytest.mark.parametrize("intent", [0, 1, 2, 3])
@pytest.mark.parametrize("flags", [0, BPC])
def test_engine_agrees_with_pillow(paper, intent, flags):
    names = ("perceptual", "relative", "saturation", "absolute")
    pixels = np.random.default_rng(10).integers(0, 256, (40, 50, 3), dtype=np.uint8)
    source = standard_profile("opRGB")
    theirs = pillow_convert(pixels, source, paper, intent, flags)
    ours = transform(
        pixels, source, paper, intent=names[intent], black_point_compensation=bool(flags)
    )
    assert np.abs(ours.astype(int) - theirs.astype(int)).max() <= 1


def test_fast_and_exact_trips_agree(paper):
    pixels = np.random.default_rng(11).integers(0, 65536, (20000, 3), dtype=np.uint16)
    source = standard_profile("sRGB")
    fast = trip(pixels, source, paper, "relative", True)
    exact = trip((pixels / 65535).astype(np.float32), source, paper, "relative", True)
    assert np.percentile(np.linalg.norm(fast.printed - exact.printed, axis=1), 95) < 0.5
    assert abs(np.mean(fast.beyond > 2) - np.mean(exact.beyond > 2)) < 0.01


def test_noise_floor_is_the_tables_own_error(paper):
    assert 0 < noise_floor(paper) < 3


def test_absolute_trip_keeps_paper_white():
    paper = model_profile((95, 1, 5), 1.6, finish="matte", grid=17)
    journey = trip(np.array([[0.5, 0.5, 0.5]]), standard_profile("sRGB"), paper, "absolute", False)
    # inside the gamut the absolute intent reproduces the colour itself
    assert np.linalg.norm(journey.printed - journey.source) < 1.0
    white = trip(np.array([[1.0, 1, 1]]), standard_profile("sRGB"), paper, "absolute", False)
    assert white.printed[0, 0] < 95.5

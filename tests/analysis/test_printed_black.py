"""The black of a picture in print: one on every path, and a warning with the reason where it misses."""

from __future__ import annotations

import io

import numpy as np
import pytest
import tifffile
from gang.makers import make_strip
from helpers import coated_profile, table_rgb_profile

import workbench as wb
from workbench.analysis.crops import printed_crop
from workbench.analysis.printed_black import MISSED_DENSITY, PICTURE_BLACK, printed_black
from workbench.analysis.proof_table import printed_nodes
from workbench.colour.black import compensate
from workbench.colour.engine import transform
from workbench.colour.inkmodel import model_profile
from workbench.colour.lab import density, lab_to_xyz, relative_to_absolute, xyz_to_lab
from workbench.colour.trip import white_xyz
from workbench.gang.writing import write_strip
from workbench.output.job import PrintJob
from workbench.output.print_file import write_print_file

BLACK_BOX = (0, 0, 30, 30)


@pytest.fixture(scope="module")
def gloss():
    # a common glossy paper's density (common practice, no source)
    return wb.open_paper(model_profile((96, 0, 1), 2.35, finish="gloss", grid=33), name="Gloss")


@pytest.fixture(scope="module")
def press():
    return wb.open_paper(coated_profile(), name="Press")


def picture_in(profile: bytes):
    """Black on the left, a ramp on the right."""
    pixels = np.zeros((90, 180, 3), np.uint16)
    pixels[:, 90:] = np.linspace(0, 65535, 90).astype(np.uint16)[None, :, None]
    stream = io.BytesIO()
    tifffile.imwrite(stream, pixels, photometric="rgb", iccprofile=profile)
    return wb.open_picture(stream.getvalue(), name="black.tif")


@pytest.fixture(scope="module")
def tabled():
    return picture_in(table_rgb_profile())


def dense(relative_lab, paper) -> float:
    absolute = relative_to_absolute(np.asarray(relative_lab, float), white_xyz(paper.profile))
    return float(density(absolute[..., 0]).max())


def by_the_formula(picture, paper) -> float:
    """ISO 18619's scaling in XYZ, then the paper's own tables: nothing is left to the engine."""
    source = picture.require_profile()
    black = transform(np.zeros((1, 3)), source, "lab")
    wished = compensate(black, source, paper.profile, "relative")
    return dense(transform(transform(wished, "lab", paper.profile), paper.profile, "lab"), paper)


def in_the_file(path, paper) -> float:
    """Of the dark colour that most pixels have: half the picture."""
    pixels = tifffile.imread(path)
    colours, counts = np.unique(pixels.reshape(-1, pixels.shape[-1]), axis=0, return_counts=True)
    lab = transform(colours, paper.profile, "lab", dtype=float)
    dark = lab[:, 0] < 50
    return dense(lab[dark][np.argmax(counts[dark])][None], paper)


@pytest.mark.parametrize("name", ["gloss", "press"])
def test_every_path_prints_the_same_black(name, tabled, tmp_path, request):
    paper = request.getfixturevalue(name)
    how = {"intent": "relative", "black_point_compensation": True}
    expected = by_the_formula(tabled, paper)
    job = PrintJob(tabled, paper=paper, ppi=100, sharpening=0.0, **how)
    write_print_file(job, tmp_path / "print.tif")
    write_strip(make_strip(job, [(0.25, 0.5)], (0,)), tmp_path / "strip.tif")
    crop = printed_crop(tabled, paper, BLACK_BOX, **how).xyz
    source, point = tabled.require_profile(), wb.black_point(paper, tabled, **how)
    found = {
        "function": point.black_density,
        "curve": float(density(point.curve.print_lab[0, 0])),
        "crop": dense(xyz_to_lab(crop.mean(axis=(0, 1))[None]), paper),
        "proof table": dense(printed_nodes(source, paper.profile, "relative", True)[:1], paper),
        "print file": in_the_file(tmp_path / "print.tif", paper),
        "strip": in_the_file(tmp_path / "strip.tif", paper),
        "comparison": wb.compare(tabled, [paper], **how).rows[0].black_density,
    }
    assert found == pytest.approx(dict.fromkeys(found, expected), abs=0.015)


def test_a_table_s_black_prints_as_deep_as_a_black_of_zero(gloss, press, tabled):
    for paper in (gloss, press):
        one, other = printed_black(paper, tabled), printed_black(paper)
        assert one.density == pytest.approx(other.density, abs=0.002)


def test_densities_follow_from_lab(gloss):
    # ISO 5: -log10 of the luminance factor, which CIE 15 has from L*
    black = printed_black(gloss)
    for dense_, lab in (
        (black.density, black.lab),
        (black.darkest_density, black.darkest_lab),
    ):
        assert dense_ == pytest.approx(-np.log10(lab_to_xyz(lab)[1]), abs=1e-3)
    assert black.missed_density == black.darkest_density - black.density


@pytest.mark.parametrize(
    ("lightness", "how", "word"),
    [
        (6.0, ("relative", False), "without black point compensation"),
        (6.0, ("absolute", True), "absolute intent keeps"),
        (6.0, ("perceptual", True), "above the L* 3.1"),
    ],
)
def test_a_black_that_misses_says_why(gloss, lightness, how, word):
    picture = picture_in(table_rgb_profile(black_lightness=lightness))
    intent, compensated = how
    black = printed_black(gloss, picture, intent=intent, black_point_compensation=compensated)
    assert black.missed_density > MISSED_DENSITY
    assert black.warning.startswith(PICTURE_BLACK) and word in black.warning
    assert (
        f"{black.density:.2f}" in black.warning and f"{black.darkest_density:.2f}" in black.warning
    )


def test_a_coarse_table_prints_black_too_light_and_is_named(monkeypatch):
    # its second plane far above black, as in tables of few nodes
    monkeypatch.setattr("workbench.colour.inkmodel._LEAST_BLACK", 30.0)
    coarse = wb.open_paper(model_profile((96, 0, 1), 2.35, grid=17), name="Coarse")
    black = printed_black(coarse)
    assert black.missed_density > MISSED_DENSITY and "table prints" in black.warning


def test_papers_of_our_own_reach_their_darkest_by_default():
    # common practice, no source: 0.02 in density is not seen
    for paper in wb.demo_papers():
        for intent in ("relative", "perceptual", "saturation"):
            assert printed_black(paper, intent=intent).missed_density < 0.02


def test_the_press_profile_s_perceptual_black_is_where_its_shadows_begin(press):
    black = printed_black(press, intent="perceptual")
    assert "shadows begin to separate" in black.warning


def test_a_black_that_reaches_the_darkest_is_not_warned_of(gloss, press):
    for paper in (gloss, press):
        black = printed_black(paper, black_point_compensation=False)
        assert black.warning is None and abs(black.missed_density) < 0.005

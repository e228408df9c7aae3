"""The invented papers against what published tests and the ICC specification say."""

from __future__ import annotations

import io
import struct

import numpy as np
import pytest
from helpers import demo_paper
from PIL import Image, ImageCms

import workbench as wb
from workbench.colour.difference import delta_e_2000
from workbench.colour.engine import INTENTS, transform
from workbench.colour.profile import read_profile
from workbench.colour.spaces import standard_profile
from workbench.demo.papers import nearest_demo_paper

PAPERS = wb.demo_papers()
GLOSSY = [p for p in PAPERS if p.finish != "matte"]
MATTE = [p for p in PAPERS if p.finish == "matte"]
CANVAS = demo_paper("canvas")

each_paper = pytest.mark.parametrize("paper", PAPERS, ids=[p.name for p in PAPERS])


def neutral_ramp(levels: int) -> np.ndarray:
    return np.repeat(np.linspace(0, 1, levels)[:, None], 3, axis=1)


def test_all_say_that_they_are_invented_and_no_two_share_a_name():
    assert len({p.name for p in PAPERS}) == len(PAPERS)
    for paper in PAPERS:
        assert "Invented" in paper.name
        assert "Invented" in paper.printer
        assert "Invented" in paper.icc.description
        assert paper.invented
    assert {p.finish for p in PAPERS} == {"gloss", "satin", "matte"}


def test_glossy_blacks_and_gamuts_lie_where_published_tests_put_them():
    # M. McNamee 2010, a published paper test: gloss, lustre and baryta Dmax 2.0 to 2.2 (up to
    # 2.6: common practice, no source), gamut volume 800 to 900 thousand
    assert len(GLOSSY) == 2
    for paper in GLOSSY:
        assert 2.0 <= paper.black_density + 0.005 and paper.black_density <= 2.6
        assert 800e3 <= paper.gamut_volume <= 900e3


def test_a_packet_says_weight_and_thickness_that_fit_each_other():
    # paper and canvas weigh 0.5 to 1.1 g/cm3: common practice, no source
    for paper in PAPERS:
        assert 0.5 <= paper.weight_g_m2 / 1000 / paper.thickness_mm <= 1.1
        assert {paper.base, paper.finish, paper.surface_texture}.isdisjoint({None})


def test_matte_blacks_and_gamuts_lie_where_published_tests_put_them():
    # M. McNamee 2010, a published paper test: art and matte Dmax 1.6 to 1.7, gamut volume of
    # fine art papers 500 to 600 thousand
    assert len(MATTE) > 3 and CANVAS in MATTE
    for paper in MATTE:
        if paper is CANVAS:
            # the same: canvas Dmax 1.4 to 1.5, gamut volume 400 to 500 thousand
            assert 1.395 <= paper.black_density <= 1.505
            assert 400e3 <= paper.gamut_volume <= 500e3
            continue
        assert 1.595 <= paper.black_density <= 1.705
        assert 500e3 <= paper.gamut_volume <= 600e3


def test_matte_blacks_are_shallower_and_their_ink_is_the_matte_one():
    # common practice, no source
    assert max(p.black_density for p in MATTE) < min(p.black_density for p in GLOSSY)
    assert max(p.contrast_ratio for p in MATTE) < min(p.contrast_ratio for p in GLOSSY)
    assert {p.black_ink for p in MATTE} == {"matte black"}
    assert {p.black_ink for p in GLOSSY} == {"photo black"}


def test_contrast_of_the_gloss_paper():
    # about 200:1 for a good glossy print: common practice, no source
    (gloss,) = [p for p in PAPERS if p.finish == "gloss"]
    assert 150 <= gloss.contrast_ratio <= 250


@each_paper
def test_whites(paper):
    # white L* 92 to 98: common practice, no source
    lightness, a, _ = paper.white_lab
    assert 92 <= lightness <= 98
    assert abs(a) <= 1.5
    assert paper.white_is_known
    assert paper.white_tag_lab == pytest.approx(paper.white_lab, abs=0.02)


def test_tints_of_the_whites():
    # cool papers' b* -3 to -12: M. McNamee 2010; warm ones' +1 to +4: common practice, no source
    blue_to_yellow = {p.name: p.white_lab[2] for p in PAPERS}
    assert -12 <= blue_to_yellow[demo_paper("satin", "resin-coated").name] <= -3
    assert -12 <= blue_to_yellow[demo_paper("matte", "cellulose").name] <= -3
    warmest = max(blue_to_yellow, key=blue_to_yellow.get)
    assert warmest == demo_paper("plant fibre").name and 1 <= blue_to_yellow[warmest] <= 4


def test_the_nearest_of_a_former_name():
    known = {"finish": "matte", "base": "cotton", "surface_texture": "heavy texture"}
    assert nearest_demo_paper("Invented Fen", **known) is demo_paper(*known.values())
    # the finish decides before anything else, and the name before all
    known["finish"] = "satin"
    assert nearest_demo_paper("Invented Fen", **known) is demo_paper("satin")
    assert nearest_demo_paper(CANVAS.name, **known) is CANVAS


@each_paper
def test_header_and_tags(paper):
    profile = read_profile(paper.profile)
    assert profile.version[0] == 4
    # ICC.1:2022 section 7.2: class at 12, device space at 16, connection space at 20
    assert paper.profile[12:24] == b"prtrRGB Lab "
    assert struct.unpack(">I", paper.profile[:4])[0] == len(paper.profile)
    for tag in ("A2B0", "A2B1", "A2B2", "B2A0", "B2A1", "B2A2", "wtpt", "bkpt", "desc", "cprt"):
        assert tag in profile.tags
    assert paper.intents == ("relative", "perceptual", "saturation")
    assert paper.shared_intents == ()


@each_paper
def test_little_cms_opens_it_as_an_output_profile(paper):
    opened = ImageCms.ImageCmsProfile(io.BytesIO(paper.profile))
    assert opened.profile.device_class == "prtr"
    assert opened.profile.xcolor_space.strip() == "RGB"
    assert opened.profile.profile_description == paper.name
    for intent in range(4):
        for direction in (ImageCms.Direction.INPUT, ImageCms.Direction.OUTPUT):
            assert ImageCms.isIntentSupported(opened, intent, direction) == 1


@each_paper
@pytest.mark.parametrize("number", range(4), ids=INTENTS)
def test_our_engine_and_pillows_little_cms_agree(paper, number):
    colours = np.random.default_rng(3).integers(0, 256, (40, 50, 3), dtype=np.uint8)
    source = standard_profile("sRGB")
    theirs = ImageCms.profileToProfile(
        Image.fromarray(colours),
        ImageCms.ImageCmsProfile(io.BytesIO(source)),
        ImageCms.ImageCmsProfile(io.BytesIO(paper.profile)),
        renderingIntent=number,
        outputMode="RGB",
    )
    ours = transform(colours, source, paper.profile, intent=INTENTS[number])
    gap = np.abs(ours.astype(int) - np.asarray(theirs).astype(int))
    assert gap.max() <= 1
    assert np.ptp(ours) > 200


@each_paper
def test_printable_colours_come_back(paper):
    device = np.random.default_rng(4).random((3000, 3))
    lab = transform(device, paper.profile, "lab")
    again = transform(transform(lab, "lab", paper.profile), paper.profile, "lab")
    shift = delta_e_2000(lab, again)
    # tables of 33 nodes a side: the colours between the nodes move a little
    assert np.median(shift) < 0.15
    assert np.percentile(shift, 95) < 0.5
    assert paper.noise_floor < 0.3


@each_paper
def test_grey_scale_is_neutral_and_rises(paper):
    lab = transform(neutral_ramp(256), paper.profile, "lab")
    assert np.all(np.diff(lab[:, 0]) > 0)
    assert lab[-1] == pytest.approx([100, 0, 0], abs=0.02)
    # on the line from the paper's black to its white; a tinted white makes a neutral black
    # look a little off in media-relative terms
    way = np.linspace(0, 1, 256)[:, None]
    np.testing.assert_allclose(lab, lab[0] + way * (lab[-1] - lab[0]), atol=0.05)
    assert np.hypot(*paper.black_lab[1:]) < 0.1
    assert paper.neutral_cast_chroma < 0.3


@pytest.mark.parametrize("paper", MATTE, ids=[p.name for p in MATTE])
def test_perceptual_keeps_shadows_that_relative_merges(paper):
    # from the perceptual reference medium's black (ICC.1:2022 section 6.3.3) upwards
    shadows = np.zeros((13, 3))
    shadows[:, 0] = np.linspace(3.5, 14, 13)
    span, least = {}, {}
    for intent in ("relative", "perceptual"):
        device = transform(shadows, "lab", paper.profile, intent=intent)
        lightness = transform(device, paper.profile, "lab")[:, 0]
        span[intent], least[intent] = np.ptp(lightness), np.diff(lightness).min()
    assert span["relative"] < 0.4
    assert span["perceptual"] > 2 and least["perceptual"] > 0.05


def test_they_are_made_once():
    assert wb.demo_papers() is PAPERS

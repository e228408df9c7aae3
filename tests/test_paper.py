"""Papers from profiles: measured facts against published data, details as typed."""

import numpy as np
import pytest
from helpers import solids

import workbench as wb
from workbench.colour.engine import transform
from workbench.colour.inkmodel import model_profile
from workbench.colour.spaces import standard_profile
from workbench.errors import PaperError, ProfileError


def test_white_and_volume_of_coated_press_paper(coated):
    # Fogra characterisation data FOGRA39L; volume computed on voxels, about 401,500
    published = solids("FOGRA39L")[0, 0, 0, 0]
    assert np.abs(np.array(coated.white_lab) - [published[k] for k in "Lab"]).max() < 0.1
    assert coated.gamut_volume == pytest.approx(401500, rel=0.02)


def test_black_and_contrast_of_coated_press_paper(coated):
    # darkest mixtures of up to 300 % ink reach a contrast of 101 in the FOGRA39 data
    assert 80 < coated.contrast_ratio < 110
    assert coated.black_density == pytest.approx(-np.log10(0.87 / coated.contrast_ratio), abs=0.02)
    # its darkest printable colour takes no more ink than offset on coated stock bears
    # (330 %, common practice, no source)
    ink = transform(np.zeros((1, 3)), "lab", coated.profile)
    assert 2.5 < ink.sum() <= 3.3


def test_what_the_profile_is(coated):
    icc = coated.icc
    assert (icc.description, icc.space, icc.version) == ("FOGRA39L Coated", "CMYK", (2, 2))
    # this profile stores one pair of tables for all three intents
    assert coated.intents == ("relative",)
    assert dict(coated.shared_intents) == {"perceptual": "relative", "saturation": "relative"}
    assert coated.white_is_known
    assert coated.neutral_cast_chroma < 1


def test_a_model_has_tables_of_its_own_for_all_three():
    paper = wb.open_paper(model_profile((96, 0, 1), 1.6, finish="matte", grid=9))
    assert set(paper.intents) == {"perceptual", "relative", "saturation"}
    assert paper.shared_intents == ()
    assert paper.black_density == pytest.approx(1.6, abs=0.02)


def test_a_white_that_is_not_stated_is_not_called_neutral():
    profile = bytearray(model_profile((96, 0, 1), 1.6, finish="matte", grid=9))
    from workbench.colour.profile import read_profile
    from workbench.colour.writer import xyz

    at, _ = read_profile(bytes(profile)).tags["wtpt"]
    profile[at : at + 20] = xyz([0.9642, 1, 0.8249])
    paper = wb.open_paper(bytes(profile))
    assert not paper.white_is_known
    assert "does not state" in wb.paper_white(paper).sentence


def test_details_and_the_black_ink_that_follows():
    profile = model_profile((96, 0, 1), 1.6, finish="matte", grid=9)
    # common practice, no source: matte black ink on matte papers, photo black on glossy ones
    assert wb.open_paper(profile, finish="matte").black_ink == "matte black"
    assert wb.open_paper(profile, finish="gloss").black_ink == "photo black"
    assert (
        wb.open_paper(profile, finish="matte", black_ink="photo black").black_ink == "photo black"
    )
    paper = wb.open_paper(profile, name="My rag", weight_g_m2="247", printer="Study")
    assert (paper.name, paper.weight_g_m2, paper.printer) == ("My rag", 247.0, "Study")
    assert paper.with_details(base="cotton").base == "cotton"


@pytest.mark.parametrize(
    "details, words",
    [
        ({"weight_g_m2": "heavy"}, "Weight.*takes a number"),
        ({"weight_g_m2": 5}, "Weight.*between 20 and 2000 g/m²"),
        ({"colour": "blue"}, "has no"),
    ],
)
def test_impossible_details(details, words):
    profile = model_profile((96, 0, 1), 1.6, finish="matte", grid=9)
    with pytest.raises(PaperError, match=words):
        wb.open_paper(profile, **details)


def test_wrong_profiles_and_files(tmp_path):
    with pytest.raises(PaperError, match="describes a screen"):
        wb.open_paper(standard_profile("sRGB"))
    with pytest.raises(ProfileError, match="no file"):
        wb.open_paper(tmp_path / "none.icc")


def test_names_hold_no_control_characters():
    profile = model_profile((96, 0, 1), 1.6, finish="matte", grid=9, name="<b>rag</b>\x07\n")
    assert wb.open_paper(profile).name == "<b>rag</b>"

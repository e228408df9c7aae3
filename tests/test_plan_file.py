"""A plan saved as text and opened again: nothing lost, nothing taken on trust."""

from __future__ import annotations

import hashlib
import io
import os
import re
import tomllib
from dataclasses import replace

import numpy as np
import pytest
import tifffile
from helpers import coated_profile, demo_paper
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from output.makers import matte_paper, save_picture, scene

import workbench as wb
from workbench.colour.spaces import standard_profile
from workbench.errors import OutputError, PlanError, WorkbenchError
from workbench.output.adjust import Adjustments, as_adjustments
from workbench.paper import Paper
from workbench.plan import Plan
from workbench.plan_file import open_plan, plan_text, read_plan, save_plan
from workbench.plan_file.fields import ADJUSTMENTS, FIELDS, NOT_SAVED, SECTIONS, TABLES
from workbench.plan_file.saving import VERSION


@pytest.fixture
def folder(tmp_path):
    """A picture with a profile, one without, and a paper's profile, in a folder."""
    pixels = scene(60, 40)
    save_picture(tmp_path, pixels)
    tifffile.imwrite(tmp_path / "plain.tif", pixels, photometric="rgb")
    return tmp_path


def plan_for(folder, **more) -> Plan:
    return Plan(
        picture=wb.open_picture(folder / "harbour.tif"),
        **{"paper": matte_paper(), "papers": (matte_paper(),), **more},
    )


def same_paper(one, other) -> bool:
    if not isinstance(one, Paper) or not isinstance(other, Paper):
        return one == other
    return vars(one) == vars(other)


def assert_same(one: Plan, other: Plan) -> None:
    """Every trait says the same; pictures and papers by what they are made of."""
    for name in one.class_trait_names():
        a, b = getattr(one, name), getattr(other, name)
        if name == "picture" and a is not None:
            assert np.array_equal(a.pixels(), b.pixels())
            assert (a.profile, a.profile_assumed) == (b.profile, b.profile_assumed)
        elif name == "papers":
            assert len(a) == len(b) and all(map(same_paper, a, b)), name
        elif name in ("paper", "other_paper", "reference"):
            assert same_paper(a, b), name
        elif name == "adjustments":
            assert as_adjustments(a) == as_adjustments(b)
        else:
            assert a == b and type(a) is type(b), (name, a, b)


# -- nothing is forgotten


def test_every_trait_of_the_plan_is_saved_or_said_not_to_be():
    traits = set(Plan.class_traits())
    saved = set(FIELDS) | set(TABLES)
    assert not set(FIELDS) & set(TABLES) and not saved & set(NOT_SAVED)
    assert traits - saved - set(NOT_SAVED) == set(), "decide whether these are saved"
    assert (saved | set(NOT_SAVED)) - traits == set(), "the plan has no such trait any more"
    assert all(len(reason) > 20 for reason in NOT_SAVED.values())
    assert set(ADJUSTMENTS) == set(Adjustments.__dataclass_fields__)


def test_keys_are_unique_in_their_sections_and_told_what_they_are():
    assert all(field.section in SECTIONS and field.comment for field in FIELDS.values())
    assert all("\n" not in field.comment for field in FIELDS.values())


def test_text_is_toml_with_a_version_and_comments(folder):
    text = plan_text(plan_for(folder), folder)
    data = tomllib.loads(text)
    assert data["workbench_plan"] == VERSION
    assert data["picture"]["file"] == "harbour.tif"
    checksum = hashlib.sha256((folder / "harbour.tif").read_bytes()).hexdigest()
    assert data["picture"]["sha256"] == checksum
    (paper,) = data["papers"]
    assert paper["print_on"] is True and paper["finish"] == "matte"
    assert paper["profile_sha256"] == hashlib.sha256(matte_paper().profile).hexdigest()
    for section in ("size", "colour", "file", "seeing", "light", "edition"):
        assert isinstance(data[section], dict)
    keys = [line for line in text.splitlines() if re.match(r"(ppi|intent|bit_depth) = ", line)]
    assert len(keys) == 3 and all("  # " in line for line in keys)


_words = st.text(st.characters(codec="utf-8", exclude_categories=["C", "Z"]), max_size=30)
_VALUES = {
    "size_from": st.sampled_from(["ppi", "size", "sheet", "opening", "viewing distance"]),
    "ppi": st.floats(0.01, 10_000),
    "long_side_mm": st.floats(0.01, 50_000),
    "sheet": _words,
    "viewing_distance_mm": st.floats(0, 1e6),
    "printer_ppi": st.floats(0.01, 10_000),
    "crop_ratio": _words,
    "crop_across": st.floats(0, 1),
    "crop_down": st.floats(0, 1),
    "border_mm": st.floats(0, 50_000),
    "unit": st.sampled_from(["cm", "mm", "in"]),
    "converts": st.sampled_from(["workbench", "driver"]),
    "intent": st.sampled_from(["relative", "perceptual", "saturation", "absolute"]),
    "black_point_compensation": st.booleans(),
    "threshold": st.floats(0.1, 50),
    "sharpening": st.one_of(st.none(), st.just("auto"), st.floats(0, 1)),
    "bit_depth": st.sampled_from([8, 16]),
    "compression": st.sampled_from([None, "deflate"]),
    "on_sheet": st.booleans(),
    "moved_right_mm": st.floats(-500, 500),
    "moved_down_mm": st.floats(-500, 500),
    "bottom_weight_mm": st.floats(0, 500),
    "mount_opening": _words,
    "mount_overlap_mm": st.floats(0, 500),
    "bar_depth_mm": st.floats(0, 500),
    "bleed_mm": st.floats(0, 500),
    "bleed": st.sampled_from(["mirrored", "stretched", "picture", "white"]),
    "description": _words,
    "region": st.sampled_from(["", "centimetres", "inches", "everything"]),
    "feed_path": st.sampled_from(["auto", "usual", "thick", "borderless"]),
    "printer_name": _words,
    "printer_width_mm": st.floats(0, 50_000),
    "printer_length_mm": st.floats(0, 50_000),
    "printer_rolls": st.sampled_from(["", "17 in", "17 in, 61 cm roll"]),
    **dict.fromkeys(
        [f"margin_{side}_mm" for side in ("left", "right", "leading", "trailing")],
        st.floats(0, 500),
    ),
    **dict.fromkeys(["thick_leading_mm", "thick_trailing_mm"], st.floats(0, 500)),
    **dict.fromkeys(["thick_from_mm", "thickest_mm"], st.floats(0, 20)),
    "adaptation": st.floats(0, 1),
    "screen_ppi": st.none() | st.floats(10, 2000),
    "highlight_lightness": st.floats(50, 99),
    "tolerance": st.floats(0.1, 5),
    "white_wish": st.sampled_from(["any", "neutral", "cool", "warm"]),
    "illuminance_lux": st.floats(1, 200_000),
    "light": _words,
    "glass": _words,
    "room_share": st.one_of(st.none(), st.floats(0, 5)),
    "wall_reflectance": st.floats(0.01, 0.95),
    "lamp_azimuth_deg": st.floats(0, 360),
    "lamp_elevation_deg": st.floats(1, 90),
    "lamp_size_cm": st.floats(0, 200),
    "lamp_distance_m": st.floats(0, 100),
    "even_light": st.floats(0, 1),
    "screen_luminance_cd_m2": st.floats(0, 10_000),
    "screen_contrast_ratio": st.floats(0, 1e6),
    "copies": st.integers(1, 1_000_000),
    "ink_ml_per_m2": st.one_of(st.none(), st.floats(0, 1000)),
    "ink_price_per_ml": st.one_of(st.none(), st.floats(0, 1000)),
    "test_strips": st.integers(0, 1000),
    "reject_share": st.floats(0, 0.9),
    "notes": st.lists(_words, max_size=4).map("\n".join),
    "reference": st.sampled_from([None, "brightened card", "perfect diffuser"]),
    "display": st.sampled_from(["sRGB", "Display P3"]),
    "adjustments": st.one_of(
        st.none(),
        st.builds(
            Adjustments,
            deep_shadows=st.floats(0, 5),
            shadows=st.floats(6, 10),
            dark_tones=st.floats(-1, 10),
            mid_tones=st.floats(-12, 12),
            highlights=st.floats(-9, 6),
            warmth=st.floats(-8, 8),
            chroma_gain=st.floats(0.5, 2),
            made_for=_words,
            black_and_white=st.sampled_from(["off", "lightness", "mix"]),
            mix_red=st.floats(0.1, 1),
            shadow_hue=st.floats(0, 360),
            shadow_chroma=st.floats(0, 40),
        ),
    ),
}


def test_the_values_tried_are_those_of_all_plain_fields():
    # or a new field would not be tried at all
    plain = set(FIELDS) | {"reference", "display", "adjustments"}
    assert set(_VALUES) == plain


@settings(max_examples=80, deadline=None, suppress_health_check=list(HealthCheck))
@given(values=st.fixed_dictionaries(_VALUES))
def test_what_is_saved_opens_as_the_same(values, tmp_path_factory):
    plan = Plan(**values)
    path = tmp_path_factory.mktemp("plan") / "plan.toml"
    assert save_plan(plan, path) == path
    opened = open_plan(path)
    assert_same(plan, opened)
    # and saying it again gives the same text
    assert plan_text(opened, path.parent) == path.read_text("utf-8")


# -- pictures


def test_picture_and_papers_survive_a_move_of_their_folder(folder, tmp_path_factory):
    plan = plan_for(folder)
    save_plan(plan, folder / "harbour.toml")
    elsewhere = tmp_path_factory.mktemp("moved") / "all"
    os.rename(folder, elsewhere)
    opened = open_plan(elsewhere / "harbour.toml")
    assert opened.picture.path == elsewhere / "harbour.tif"
    assert_same(replace_picture(plan, elsewhere), opened)


def replace_picture(plan, folder):
    plan.picture = wb.open_picture(folder / "harbour.tif")
    return plan


def test_picture_far_away_is_named_by_its_whole_path(folder, tmp_path):
    deep = tmp_path / "a" / "b" / "c" / "d"
    deep.mkdir(parents=True)
    text = plan_text(plan_for(folder), deep)
    assert tomllib.loads(text)["picture"]["file"] == str(folder / "harbour.tif")
    near = tmp_path / "plans"
    near.mkdir()
    assert tomllib.loads(plan_text(plan_for(folder), near))["picture"]["file"] == "../harbour.tif"


def test_folder_that_is_a_link_does_not_mislead(folder, tmp_path_factory):
    real = tmp_path_factory.mktemp("deep") / "one" / "two"
    real.mkdir(parents=True)
    (folder / "plans").symlink_to(real)
    # by its name the picture is at ../harbour.tif; the system goes up from the real folder
    path = save_plan(plan_for(folder), folder / "plans" / "one.toml")
    opened = open_plan(path)
    assert os.path.samefile(opened.picture.path, folder / "harbour.tif")


def test_a_link_to_a_plan_opens_the_plan_itself(folder, tmp_path_factory):
    path = save_plan(plan_for(folder), folder / "one.toml")
    link = tmp_path_factory.mktemp("elsewhere") / "link.toml"
    link.symlink_to(path)
    # the picture lies beside the plan, not beside the link
    assert os.path.samefile(open_plan(link).picture.path, folder / "harbour.tif")


def test_chosen_profile_of_a_picture_without_one_is_kept(folder):
    plain = wb.open_picture(folder / "plain.tif")
    plan = Plan(picture=plain.assume("Display P3"))
    path = save_plan(plan, folder / "one.toml")
    assert 'assumed_space = "Display P3"' in path.read_text()
    assert open_plan(path).picture.profile_name == "Display P3"
    assert_same(plan, open_plan(path))
    # a space of one's own comes along as a file
    own = Plan(picture=plain.assume(_renamed(standard_profile("sRGB"))))
    path = save_plan(own, folder / "two.toml")
    assert_same(own, open_plan(path))
    assert (folder / tomllib.loads(path.read_text())["picture"]["assumed_profile"]).is_file()
    # no choice stays none: a picture is never guessed at
    none = save_plan(Plan(picture=plain), folder / "three.toml")
    assert open_plan(none).picture.profile is None


def test_a_former_reference_is_read_as_the_nearest_of_todays(tmp_path):
    path = save_plan(Plan(reference="brightened card", adaptation=0.5), tmp_path / "plan.toml")
    former = path.read_text("utf-8").replace("brightened card", "office sheet")
    assert read_plan(former, tmp_path).reference == "brightened card"
    none = save_plan(Plan(), tmp_path / "none.toml")
    assert open_plan(none).reference is None and "reference =" not in none.read_text("utf-8")


@pytest.mark.parametrize(
    "former, name",
    [
        ("Adobe RGB (1998)", "opRGB"),
        ("ProPhoto RGB", "ROMM RGB"),
        ("Grey gamma 2.2", "Grey, power 2.2"),
        ("Grey gamma 1.8", "Grey, power 1.8"),
        ("Grey sRGB curve", "Grey, sRGB curve"),
    ],
)
def test_plans_of_the_first_version_open_though_spaces_have_other_names_now(former, name, tmp_path):
    grey = name.startswith("Grey")
    pixels = scene(30, 20)[..., 0] if grey else scene(30, 20)
    tifffile.imwrite(tmp_path / "plain.tif", pixels)
    plain = wb.open_picture(tmp_path / "plain.tif")
    path = save_plan(
        Plan(picture=plain.assume(name), display="sRGB" if grey else name), tmp_path / "plan.toml"
    )
    text = path.read_text(encoding="utf-8")
    assert f'assumed_space = "{name}"' in text
    path.write_text(text.replace(f'"{name}"', f'"{former}"'), encoding="utf-8")
    plan = open_plan(path)
    assert plan.picture.profile_name == name
    assert grey or plan.display == name
    assert former not in save_plan(plan, tmp_path / "again.toml").read_text(encoding="utf-8")


def _renamed(profile: bytes) -> bytes:
    """The same profile with another creation date, so that it is not a standard one (ICC.1, 7.2)."""
    return profile[:24] + bytes([7, 200]) + profile[26:]


@pytest.mark.parametrize("dtype", [np.uint8, np.uint16])
@pytest.mark.parametrize("grey", [False, True])
def test_picture_from_memory_is_put_beside_the_plan(dtype, grey, tmp_path):
    pixels = (scene(30, 20) // (257 if dtype == np.uint8 else 1)).astype(dtype)
    pixels = pixels[..., 0] if grey else pixels
    file = io.BytesIO()
    space = "Grey, power 2.2" if grey else "Display P3"
    tifffile.imwrite(
        file,
        pixels,
        photometric="minisblack" if grey else "rgb",
        iccprofile=standard_profile(space),
        resolution=(300, 300),
        resolutionunit="INCH",
    )
    picture = wb.open_picture(file.getvalue(), name="sent over.jpg")
    path = save_plan(Plan(picture=picture), tmp_path / "plan.toml")
    assert sorted(p.name for p in tmp_path.iterdir()) == ["plan.toml", "sent over.tif"]
    opened = open_plan(path).picture
    assert np.array_equal(opened.pixels(), picture.pixels())
    assert (opened.profile, opened.ppi_tag) == (picture.profile, picture.ppi_tag)
    # once more, and nothing is added: the same file is there already
    save_plan(Plan(picture=picture), path, overwrite=True)
    assert len(list(tmp_path.iterdir())) == 2


def test_invented_picture_and_papers_are_saved_by_name(tmp_path):
    first, second, third, *_ = papers = wb.demo_papers()
    plan = Plan(
        picture=wb.demo_picture(),
        papers=papers,
        paper=third,
        other_paper=first,
        reference=second,
    )
    path = save_plan(plan, tmp_path / "plan.toml")
    assert [p.name for p in tmp_path.iterdir()] == ["plan.toml"]
    opened = open_plan(path)
    # the very same objects, so that a choice survives
    assert opened.picture is plan.picture
    assert opened.papers == papers and opened.paper is third
    assert opened.other_paper is first and opened.reference is second
    changed = third.with_details(finish="satin")
    save_plan(Plan(paper=changed), path, overwrite=True)
    assert open_plan(path).paper.finish == "satin"
    assert open_plan(path).papers == ()


def test_an_invented_paper_of_a_former_version_is_replaced_by_the_one_most_like_it():
    table = (
        "workbench_plan = 1\n[[papers]]\nprint_on = true\ninvented = true\n"
        'name = "Invented Fen"\nfinish = "matte"\nbase = "canvas"\nweight_g_m2 = 260\n'
    )
    notices = []
    plan = read_plan(table, "/nowhere", notices=notices)
    assert plan.paper is demo_paper("canvas")
    (notice,) = notices
    assert "Invented Fen" in notice and plan.paper.name in notice and "Line" in notice
    # what the person holds of it is theirs, whatever it is called
    plan = read_plan(table + 'sheets = ["A4"]\n', "/nowhere")
    assert (plan.paper.name, plan.paper.sheets) == (demo_paper("canvas").name, ("A4",))
    assert plan.paper.weight_g_m2 == demo_paper("canvas").weight_g_m2


# -- papers


def test_profiles_lie_beside_the_plan_and_others_are_not_touched(folder):
    (folder / "Invented matte.icc").write_bytes(b"mine")
    path = save_plan(plan_for(folder), folder / "one.toml")
    assert (folder / "Invented matte.icc").read_bytes() == b"mine"
    assert (folder / "Invented matte-2.icc").read_bytes() == matte_paper().profile
    assert_same(plan_for(folder), open_plan(path))
    save_plan(plan_for(folder), folder / "two.toml")
    assert not (folder / "Invented matte-3.icc").exists()


def test_each_paper_is_saved_once_with_all_it_is_for(folder):
    press = wb.open_paper(coated_profile(), name="Press / sheet", finish="gloss", weight_g_m2=115.5)
    press = replace(
        press,
        sheets=("A4", "A3"),
        price_per_sheet=(("A4", 0.9), ("A3", 1.8)),
        price_per_metre=(("", 7.5),),
        currency="EUR",
        thickness_mm=0.12,
        notes="two\nlines",
    )
    plan = plan_for(folder, other_paper=press, reference=press)
    path = save_plan(plan, folder / "plan.toml")
    tables = tomllib.loads(path.read_text("utf-8"))["papers"]
    assert [table["name"] for table in tables] == ["Invented matte", "Press / sheet"]
    assert tables[1]["second_paper"] and tables[1]["reference"]
    assert tables[1]["at_hand"] is False
    opened = open_plan(path)
    assert opened.other_paper is opened.reference
    assert_same(plan, opened)
    former = path.read_text("utf-8").replace("second_paper", "hold_against")
    assert_same(plan, read_plan(former, folder))


def test_papers_given_as_path_or_bytes_are_opened_first(folder):
    (folder / "coated.icc").write_bytes(coated_profile())
    plan = Plan(other_paper=folder / "coated.icc", reference=coated_profile())
    opened = open_plan(save_plan(plan, folder / "plan.toml"))
    assert opened.other_paper.profile == coated_profile()
    assert opened.reference.profile == coated_profile()


def test_measured_paper_comes_back_with_its_readings(tmp_path):
    measured = wb.measured_paper(
        "Gallery wall", (95, 0.5, -2), (30, 0, 1), illuminant="D65", observer_deg=10, finish="matte"
    )
    opened = open_plan(save_plan(Plan(reference=measured), tmp_path / "plan.toml")).reference
    assert type(opened) is type(measured)
    assert (opened.white, opened.black, opened.finish) == (
        measured.white,
        measured.black,
        "matte",
    )
    white_only = wb.measured_paper("Wall", (95, 0, -2), illuminant="D50", observer_deg=2)
    path = save_plan(Plan(reference=white_only), tmp_path / "plan.toml", overwrite=True)
    assert open_plan(path).reference.black is None


def test_a_readings_words_are_cleaned(tmp_path):
    text = """workbench_plan = 1
[[papers]]
name = "Wall"
reference = true
white = { lab = [95, 0, -2], stated = "a\\u202elight\\n", estimated = true }
"""
    white = read_plan(text, tmp_path).reference.white
    assert white.stated == "a light" and white.patches == 1 and white.chosen_by == ""


def test_display_may_be_a_name_a_path_or_bytes(folder):
    own = _renamed(standard_profile("Display P3"))
    (folder / "screen.icc").write_bytes(own)
    for display in (folder / "screen.icc", str(folder / "screen.icc"), own, wb.find_display(own)):
        path = save_plan(Plan(display=display), folder / "plan.toml", overwrite=True)
        opened = open_plan(path)
        assert wb.find_display(opened.display).profile == own
    known = wb.find_display("Display P3")
    save_plan(Plan(display=known), folder / "plan.toml", overwrite=True)
    assert open_plan(folder / "plan.toml").display == "Display P3"


def test_measured_spectra_come_back_to_the_last_digit(tmp_path):
    from workbench.readings import spectral_reading

    bands = list(range(380, 740, 10))
    # a bluish white and a grey; the numbers are invented
    white = spectral_reading(bands, [0.8 + 0.001 * i % 0.13 for i in range(36)], condition="M1")
    black = spectral_reading(bands, [0.05 + 0.0001 / 3 * i for i in range(36)])
    plan = Plan(reference=wb.measured_paper("Rag", white, black))
    path = save_plan(plan, tmp_path / "plan.toml")
    opened = open_plan(path).reference
    assert opened.white == white and opened.black == black
    text = path.read_text("utf-8")
    assert "wavelengths_nm" in text
    assert "spectrum" in problem_of(text.replace("wavelengths_nm = [380", "wavelengths_nm = [nan"))


# -- what is missing or has changed


def test_picture_that_has_changed_is_told_and_can_be_accepted(folder):
    path = save_plan(plan_for(folder), folder / "plan.toml")
    tifffile.imwrite(
        folder / "harbour.tif", scene(50, 50, seed=9), photometric="rgb",
        iccprofile=standard_profile("sRGB"),
    )  # fmt: skip
    with pytest.raises(PlanError, match=r"\[picture\].*“harbour.tif” has changed"):
        open_plan(path)
    notices = []
    opened = open_plan(path, accept_changes=True, notices=notices)
    assert opened.picture.width_px == 50
    assert len(notices) == 1 and "harbour.tif" in notices[0]


def test_missing_picture_and_profile_are_both_told_with_their_lines(folder):
    path = save_plan(plan_for(folder), folder / "plan.toml")
    (folder / "harbour.tif").unlink()
    (folder / "Invented matte.icc").unlink()
    with pytest.raises(PlanError) as caught:
        open_plan(path)
    lines = path.read_text("utf-8").splitlines()
    assert len(caught.value.problems) == 2
    for problem, key in zip(caught.value.problems, ("file = ", "profile = "), strict=True):
        (number,) = re.findall(r"^Line (\d+)", problem)
        assert lines[int(number) - 1].startswith(key)
        assert "There is no file" in problem


def test_changed_profile_of_the_paper_is_an_error(folder):
    path = save_plan(plan_for(folder), folder / "plan.toml")
    (folder / "Invented matte.icc").write_bytes(coated_profile())
    with pytest.raises(PlanError, match="“Invented matte.icc” has changed"):
        open_plan(path)
    assert open_plan(path, accept_changes=True).paper.profile == coated_profile()


def test_idle_paper_whose_profile_is_gone_is_left_out_and_told(folder):
    press = wb.open_paper(coated_profile(), name="Press")
    path = save_plan(plan_for(folder, papers=(press, matte_paper())), folder / "plan.toml")
    (folder / "Press.icc").unlink()
    notices = []
    opened = open_plan(path, notices=notices)
    assert [paper.name for paper in opened.papers] == ["Invented matte"]
    assert len(notices) == 1 and "Press.icc" in notices[0] and "left out" in notices[0]


# -- saving whole or not at all


def test_saving_never_writes_over_anything_unasked(folder):
    path = save_plan(plan_for(folder), folder / "plan.toml")
    before = path.read_bytes()
    with pytest.raises(OutputError, match="already"):
        save_plan(plan_for(folder, ppi=200.0), path)
    assert path.read_bytes() == before
    save_plan(plan_for(folder, ppi=200.0), path, overwrite=True)
    assert open_plan(path).ppi == 200
    picture = (folder / "harbour.tif").read_bytes()
    with pytest.raises(OutputError, match="picture itself"):
        save_plan(plan_for(folder), folder / "harbour.tif", overwrite=True)
    assert (folder / "harbour.tif").read_bytes() == picture


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ({"reference": "the moon"}, "reference"),
        ({"display": "my screen"}, "display"),
        ({"paper": 3}, "paper"),
        ({"picture": "harbour.tif"}, "picture"),
        ({"adjustments": {"glow": 1}}, "adjustments"),
    ],
)
def test_plan_that_cannot_be_saved_is_told_and_leaves_nothing(values, said, tmp_path):
    plan = Plan(**{"paper": matte_paper(), **values})
    with pytest.raises(PlanError, match=f"“{said}”"):
        save_plan(plan, tmp_path / "plan.toml")
    assert list(tmp_path.iterdir()) == []


def test_failed_write_takes_the_profiles_back(folder, monkeypatch):
    from workbench.plan_file import saving

    def full(*args, **options):
        raise OutputError("The disk is full.")

    monkeypatch.setattr(saving.files, "write_whole", full)
    before = sorted(p.name for p in folder.iterdir())
    with pytest.raises(OutputError, match="full"):
        save_plan(plan_for(folder), folder / "plan.toml")
    assert sorted(p.name for p in folder.iterdir()) == before


# -- what anybody may have written


def problem_of(text: str, folder="/nowhere") -> str:
    with pytest.raises(PlanError) as caught:
        read_plan(text, folder)
    return str(caught.value)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "not a print plan"),
        ("ppi = 3", "not a print plan"),
        ('workbench_plan = "1"', "not a print plan"),
        ("workbench_plan = true", "not a print plan"),
        (f"workbench_plan = {VERSION + 1}", "newer workbench"),
        ("workbench_plan = 1\n[size", "not whole"),
        ("workbench_plan = 1\nnotes = 1" + "0" * 6000, "not whole"),
        ("workbench_plan = 1\nx = " + "[" * 100_000, "not whole"),
    ],
)
def test_text_that_is_no_plan_is_a_sentence(text, said):
    assert said in problem_of(text)


@pytest.mark.parametrize(
    ("section", "line", "said"),
    [
        ("size", "ppi = nan", "“ppi” lies above 0"),
        ("size", "ppi = inf", "“ppi” lies above 0"),
        ("size", "ppi = -3", "“ppi” lies above 0"),
        ("size", "ppi = 1e300", "“ppi” lies above 0"),
        ("size", f"ppi = 1{'0' * 18}", "“ppi” lies above 0"),
        ("size", 'ppi = "fine"', "“ppi” takes a number"),
        ("size", "ppi = true", "“ppi” takes a number"),
        ("size", "ppi = [1]", "“ppi” takes a number"),
        ("size", "ppi = 1979-05-27", "“ppi” takes a number"),
        ("size", 'size_from = "guess"', "“size_from” is one of"),
        ("size", "sheet = 4", "“sheet” takes text"),
        ("colour", 'intent = "vivid"', "“intent” is one of"),
        ("colour", 'black_point_compensation = "yes"', "true or false"),
        ("file", "bit_depth = 8.0", "“bit_depth” is one of"),
        ("file", "bit_depth = 12", "“bit_depth” is one of"),
        ("file", "sharpening = 2", "“sharpening” lies between"),
        ("file", 'sharpening = "much"', "“sharpening” is"),
        ("edition", "copies = 0", "“copies” lies between"),
        ("edition", "copies = 1.5", "“copies” takes a whole number"),
        ("edition", f"copies = 1{'0' * 18}", "“copies” lies between"),
        ("adjustments", "contrast = 9", "“contrast” lies between"),
        ("adjustments", "shadows = 26", "“shadows” lies between"),
        ("adjustments", "shadows = 25", "would not rise"),
        ("seeing", 'reference = "the moon"', "“reference” is one of"),
        ("seeing", "reference = 3", "“reference” takes text"),
        ("seeing", 'display = "tube"', "“display” is one of"),
        ("seeing", 'display_profile = "none.icc"', "There is no file"),
        ("picture", "file = 3", "“file” takes text"),
        ("picture", 'name = "a"', "has no “file”"),
        ("picture", 'file = "a\\u0000b"', "not a path"),
        ("picture", 'file = "/dev/zero"', "not an ordinary file"),
        ("picture", 'file = "/"', "is a folder"),
        ("picture", 'invented = true\nname = "Another"', "no invented picture"),
    ],
)
def test_wrong_values_are_named_by_key_and_line(section, line, said):
    problem = problem_of(f"# a comment\nworkbench_plan = {VERSION}\n\n[{section}]\n{line}\n")
    assert said in problem
    assert f"[{section}]" in problem
    number = int(re.match(r"Line (\d+)", problem)[1])
    # of the key, or of the section where a key is missing
    assert number in (4, 5, 6)


def test_numbers_that_the_first_form_took_are_brought_inside_and_told():
    notices = []
    text = "workbench_plan = 1\n[colour]\nthreshold = 80\n[seeing]\ntolerance = 0\n"
    plan = read_plan(text, ".", notices=notices)
    assert (plan.threshold, plan.tolerance) == (50, 0.1)
    assert [key for key in ("threshold", "tolerance") if key in " ".join(notices)] == [
        "threshold",
        "tolerance",
    ]


@pytest.mark.parametrize(
    ("tables", "said"),
    [
        ("papers = 3", "papers are tables"),
        ("[[papers]]\nprint_on = true", "has no name"),
        ('[[papers]]\nprint_on = true\nname = "Nobody\'s"', "names no profile"),
        ('[[papers]]\nprint_on = 3\nname = "X"', "true or false"),
        ('[[papers]]\nprint_on = true\nname = "X"\nweight_g_m2 = -3', "weight_g_m2"),
        ('[[papers]]\nprint_on = true\nname = "X"\nprofile = "none.icc"', "There is no file"),
        ('[[papers]]\nreference = true\nname = "X"\nwhite = { lab = [1, 2] }', "is a reading"),
        ('[[papers]]\nreference = true\nname = "X"\nwhite = { lab = [nan, 2, 3] }', "is a reading"),
        ('[[papers]]\nreference = true\nname = "X"\nwhite = { lab = [5, 2, 3] }', "not a paper"),
    ],
)
def test_wrong_papers_are_told(tables, said):
    assert said in problem_of(f"workbench_plan = 1\n{tables}\n")


def test_problem_of_a_later_paper_names_its_own_line(tmp_path):
    tables = '[[papers]]\nname = "A"\ninvented = true\n\n' * 2
    last = '[[papers]]\nname = "B"\nprint_on = true\nprofile = "no.icc"\n'
    text = f"workbench_plan = 1\n{tables}{last}"
    problem = problem_of(text, tmp_path)
    line = text.splitlines().index('profile = "no.icc"') + 1
    assert problem.startswith(f"Line {line},")


def test_two_papers_to_print_on_are_one_too_many():
    name = wb.demo_papers()[0].name
    table = f'[[papers]]\nprint_on = true\ninvented = true\nname = "{name}"\n'
    assert "two papers" in problem_of(f"workbench_plan = 1\n{table}{table}")


def test_profile_that_is_no_paper_is_told(tmp_path):
    (tmp_path / "p.icc").write_bytes(standard_profile("sRGB"))
    text = 'workbench_plan = 1\n[[papers]]\nprint_on = true\nname = "X"\nprofile = "p.icc"\n'
    assert "not a paper" in problem_of(text, tmp_path)
    (tmp_path / "p.icc").write_bytes(b"nothing of the kind")
    assert "not an ICC" in problem_of(text, tmp_path)


def test_unknown_keys_are_told_and_stop_nothing():
    text = """workbench_plan = 1
mood = "calm"
[size]
ppi = 200
depth = 3
[frame]
wood = "oak"
[adjustments]
glow = 1
"""
    notices = []
    plan = read_plan(text, "/nowhere", notices=notices)
    assert plan.ppi == 200
    for word in ("mood", "depth", "frame", "glow"):
        assert any(f"“{word}”" in notice and "passed over" in notice for notice in notices)
    assert len(notices) == 4


def test_the_curves_of_an_earlier_plan_become_the_one_there_is():
    text = """workbench_plan = 2
[adjustments]
shadow_lift = 2.0
contrast = 0.0
warmth = -1.5
lightness = 3.0
"""
    notices = []
    held = as_adjustments(read_plan(text, "/nowhere", notices=notices).adjustments)
    assert notices == [] and held.warmth == -1.5
    # L* 50 by 3, L* 12 by 2 and then by 4 · 0.14 · 0.86 of 3, as the former formulas say
    assert held.mid_tones == pytest.approx(3.13, abs=0.01)
    assert held.shadows == pytest.approx(2 + 3 * 4 * 0.14 * 0.86, abs=0.001)


def test_keys_left_out_take_a_new_plans_values():
    assert_same(Plan(), read_plan("workbench_plan = 1", "/nowhere"))


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"\xff\xfe\x00", "not text"),
        (b"workbench_plan = 1\n" + b"#" * (5 * 2**20), "larger than"),
    ],
)
def test_file_that_is_no_text_or_too_large_is_told(data, said, tmp_path):
    (tmp_path / "plan.toml").write_bytes(data)
    with pytest.raises(PlanError, match=said):
        open_plan(tmp_path / "plan.toml")


@pytest.mark.parametrize("path", ["/nowhere/plan.toml", "/dev/null", "/", "a\0b", 3, None])
def test_path_that_is_no_plan_is_told(path):
    with pytest.raises(PlanError):
        open_plan(path)


def test_byte_order_mark_and_windows_lines_are_read(tmp_path):
    text = plan_text(Plan(ppi=123.0)).replace("\n", "\r\n")
    (tmp_path / "plan.toml").write_bytes(b"\xef\xbb\xbf" + text.encode())
    assert open_plan(tmp_path / "plan.toml").ppi == 123


@pytest.fixture(scope="module")
def good_text(tmp_path_factory):
    folder = tmp_path_factory.mktemp("good")
    plan = Plan(
        picture=wb.demo_picture(),
        paper=wb.demo_papers()[0],
        papers=wb.demo_papers(),
        adjustments=Adjustments(shadows=1.0, mid_tones=3.0, warmth=-2.0),
        notes="one\ntwo",
    )
    return plan_text(plan, folder)


_JUNK = ["nan", "-1", "1e400", '"x"', "[]", "{}", "true", "0x10", "'''", "\0", "=", "[[", "]"]


@settings(max_examples=150, deadline=None, suppress_health_check=list(HealthCheck))
@given(
    cuts=st.lists(st.tuples(st.floats(0, 1), st.integers(0, 30), st.sampled_from(["", *_JUNK]))),
    line=st.integers(0, 200),
    value=st.sampled_from(_JUNK),
)
def test_damaged_text_gives_a_plan_or_a_sentence_never_a_traceback(good_text, cuts, line, value):
    text = good_text
    for place, length, junk in cuts[:4]:
        at = int(place * len(text))
        text = text[:at] + junk + text[at + length :]
    lines = text.splitlines()
    if line < len(lines) and " = " in lines[line]:
        lines[line] = f"{lines[line].split(' = ')[0]} = {value}"
    try:
        plan = read_plan("\n".join(lines), "/nowhere")
    except PlanError as problem:
        assert problem.problems and all(each.strip() for each in problem.problems)
        assert "Traceback" not in str(problem)
    else:
        assert isinstance(plan, Plan)


def test_plan_error_is_one_of_ours():
    assert issubclass(PlanError, WorkbenchError)
    assert PlanError("One.", "Two.").problems == ("One.", "Two.")
    assert str(PlanError("One.", "Two.")) == "One. Two."


def test_paths_are_not_read_as_someones_home(tmp_path):
    text = 'workbench_plan = 1\n[picture]\nfile = "~/harbour.tif"\n'
    assert f"“harbour.tif” in “{tmp_path / '~'}”" in problem_of(text, tmp_path)

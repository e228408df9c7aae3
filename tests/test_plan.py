"""The plan: what it takes, what it starts from, and the size that follows from it."""

from __future__ import annotations

import gc
import math
import weakref
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
import traitlets

from workbench.analysis.seen import seen_detail
from workbench.demo import demo_papers, demo_picture
from workbench.errors import PlanError, SizeError
from workbench.picture import from_pixels
from workbench.plan import Plan

PICTURE = SimpleNamespace(width_px=5400, height_px=3600)


@pytest.fixture
def plan():
    return Plan(picture=PICTURE)


def test_it_starts_from_what_is_usual():
    plan = Plan()
    assert plan.picture is None and plan.paper is None and plan.papers == ()
    assert (plan.size_from, plan.ppi, plan.printer_ppi) == ("ppi", 360.0, 360.0)
    assert (plan.sheet, plan.crop_ratio, plan.border_mm) == ("", "", 0.0)
    assert plan.viewing_distance_mm == 2000.0
    assert plan.unit == "cm"
    # the trade's usual way to print a photograph (common practice, no source)
    assert plan.rendering.way == {"intent": "relative", "black_point_compensation": True}
    assert (plan.reference, plan.adaptation) == (None, 1.0)
    assert plan.other_paper is None


@pytest.mark.parametrize(
    ("trait", "value"),
    [
        ("size_from", "guess"),
        ("unit", "furlong"),
        ("intent", "vivid"),
        ("ppi", "fine"),
        ("long_side_mm", None),
        ("papers", 3),
        ("sheet", 4),
        ("black_point_compensation", "yes"),
        ("adaptation", "full"),
        ("adaptation", 1.01),
        ("ppi", 0),
        ("ppi", math.nan),
        ("long_side_mm", -1),
        ("printer_ppi", 1e6),
        ("border_mm", -2),
        ("threshold", 0.05),
        ("tolerance", 6),
        ("copies", 0),
        ("copies", 1.5),
        ("room_share", 10**400),
    ],
)
def test_what_makes_no_sense_is_refused_and_changes_nothing(plan, trait, value):
    before = getattr(plan, trait)
    with pytest.raises((PlanError, traitlets.TraitError), match=trait):
        setattr(plan, trait, value)
    assert getattr(plan, trait) == before


def test_whole_numbers_are_taken_for_lengths(plan):
    plan.long_side_mm = 300
    assert plan.long_side_mm == 300.0


def test_changes_are_told_and_settings_that_stay_are_not(plan):
    told = []
    plan.observe(lambda change: told.append((change["name"], change["new"])), ["ppi", "intent"])
    plan.ppi = 300
    plan.ppi = 300
    plan.intent = "perceptual"
    assert told == [("ppi", 300.0), ("intent", "perceptual")]
    assert plan.rendering.intent == "perceptual"


def test_two_plans_share_nothing():
    one, other = Plan(), Plan()
    one.papers, one.ppi = ("a",), 200
    assert other.papers == () and other.ppi == 360.0


# -- the size that follows; 25.4 mm to the inch (international inch, 1959)


def test_the_resolution_decides(plan):
    plan.ppi = 300
    size = plan.print_size()
    assert size.decided_by == "ppi"
    assert (size.width_mm, size.height_mm) == pytest.approx((5400 / 300 * 25.4, 3600 / 300 * 25.4))


def test_the_long_side_decides(plan):
    plan.size_from, plan.long_side_mm = "size", 540
    size = plan.print_size()
    assert size.decided_by == "size"
    assert (size.width_mm, size.height_mm) == pytest.approx((540, 360))
    assert size.ppi == pytest.approx(5400 / (540 / 25.4))


def test_the_sheet_is_filled_inside_its_borders(plan):
    plan.size_from, plan.sheet, plan.border_mm = "sheet", "A3", 10
    size = plan.print_size()
    assert size.decided_by == "sheet"
    # A3 is 297 x 420 mm (ISO 216); 2:3 in 277 x 400 is as wide as the sheet allows
    assert size.width_mm == pytest.approx(400)
    assert size.chosen.name == "A3"


def test_the_viewing_distance_decides(plan):
    plan.size_from, plan.viewing_distance_mm = "viewing distance", 1000
    size = plan.print_size()
    # two pixels for each of the finest cycles, of which a degree (17.45 mm at a metre) holds 39.5
    ppi = 2 * 39.5 / (2 * 1000 * math.tan(math.radians(0.5))) * 25.4
    assert size.ppi == pytest.approx(ppi, rel=2e-3)
    assert size.width_mm == pytest.approx(5400 / ppi * 25.4, rel=2e-3)


def test_a_chosen_sheet_does_not_take_over_from_the_distance(plan):
    plan.size_from, plan.viewing_distance_mm = "viewing distance", 1000
    alone = plan.print_size()
    plan.sheet = "A4"
    size = plan.print_size()
    assert (size.width_mm, size.ppi) == (alone.width_mm, alone.ppi)
    assert size.chosen.name == "A4" and not size.chosen.fits


def test_other_wishes_ride_along(plan):
    plan.crop_ratio, plan.printer_ppi, plan.border_mm = "1:1", 720, 5
    plan.sheet, plan.viewing_distance_mm = "A2", 800
    size = plan.print_size()
    assert size.decided_by == "ppi"
    assert (size.width_px, size.height_px) == (3600, 3600)
    assert size.resampling.factor == pytest.approx(2)
    assert size.chosen.name == "A2"
    assert size.borders.left_mm == 5


def test_what_is_seen_follows_the_plan():
    plan = Plan(picture=demo_picture(), size_from="viewing distance", viewing_distance_mm=900)
    seen = plan.seen_detail()
    assert seen == seen_detail(plan.picture, ppi=plan.print_size().ppi, viewing_distance_mm=900)
    # as large as stays sharp from there, and no larger
    assert seen.places[2].pixels_suffice and not seen.places[1].pixels_suffice
    plan.printer_ppi = 60
    assert not plan.seen_detail().places[2].pixels_suffice


def test_no_viewing_distance_is_the_usual_one(plan):
    # as plan files of before had it
    plan.viewing_distance_mm = 0
    assert plan.viewing_distance_mm == Plan().viewing_distance_mm > 0


@pytest.mark.parametrize(
    ("settings", "said"),
    [
        ({"ppi": 0.001}, "more than 50 m"),
        ({"sheet": "A99"}, "no sheet called 'A99'"),
        ({"crop_ratio": "wide"}, "not a ratio"),
        ({"crop_ratio": "sheet"}, "choose a sheet"),
    ],
)
def test_numbers_that_do_not_add_up_are_a_sentence(plan, settings, said):
    for trait, value in settings.items():
        setattr(plan, trait, value)
    with pytest.raises(SizeError, match=said):
        plan.print_size()


def test_a_copy_holds_the_same_and_moves_alone(plan):
    paper = object()
    plan.paper, plan.ppi, plan.notes = paper, 300.0, "for the hall"
    copy = plan.copy(notes="for the stairs")
    for name in Plan.class_trait_names():
        if name != "notes":
            assert getattr(copy, name) == getattr(plan, name), name
    assert (copy.notes, plan.notes) == ("for the stairs", "for the hall")
    copy.ppi = 200.0
    assert plan.ppi == 300.0


def test_a_copy_takes_what_a_plan_takes(plan):
    copy = plan.copy(paper=object())
    assert copy.paper is not plan.paper
    with pytest.raises(traitlets.TraitError, match="colour"):
        plan.copy(colour="red")


def test_a_paper_takes_another_s_place_in_every_role_and_leaves_all():
    one, two, three = object(), object(), object()
    plan = Plan(papers=(one, two), paper=one, other_paper=one, reference=one)
    plan.swap(one, three)
    assert plan.papers == (three, two)
    assert (plan.paper, plan.other_paper, plan.reference) == (three, three, three)
    plan.choose(one)
    assert plan.papers == (three, two, one) and plan.paper is one
    plan.choose(two)
    assert plan.papers == (three, two, one)
    plan.take_away(two, three)
    assert (plan.papers, plan.paper) == ((three, one), three)
    plan.take_away(three)
    assert (plan.papers, plan.paper, plan.other_paper, plan.reference) == ((one,), None, None, None)


def test_choosing_a_sheet_that_is_at_hand_does_not_double_it():
    fen = demo_papers()[0]
    plan = Plan(papers=(fen,))
    assert plan.choose(replace(fen)) is fen and plan.papers == (fen,)


def test_a_shelfs_papers_take_the_place_of_its_former_ones():
    fen, moor, mere, by_hand = demo_papers()[:4]
    plan = Plan(papers=(fen, moor, by_hand), paper=fen, other_paper=moor, reference=fen)
    # the same sheet, of which more is known now
    better = replace(fen, notes="heavy")
    assert plan.bring_in([fen, moor], [better, replace(moor)]) == [better, moor]
    assert plan.papers == (better, moor, by_hand)
    assert (plan.paper, plan.other_paper, plan.reference) == (better, moor, better)
    # under another name
    renamed = replace(better, name="Fen of mine")
    plan.bring_in([better, moor], [renamed, moor], {id(better): renamed})
    assert plan.papers == (renamed, moor, by_hand) and plan.paper is renamed
    # the one printed on is gone, and so is the one compared with it
    plan.bring_in([renamed, moor], [mere])
    assert plan.papers == (mere, by_hand) and plan.paper is mere
    assert plan.other_paper is None and plan.reference is None
    # an empty shelf leaves what is printed on
    plan.bring_in([mere], [])
    assert plan.papers == (by_hand, mere) and plan.paper is mere


def test_taking_over_keeps_papers_at_hand_readings_and_the_printer_s_ink():
    fen, moor = demo_papers()[:2]
    plan = Plan(papers=(fen,), measured_paper="readings", ink_ml_per_m2=9.0, copies=3)
    twin = replace(moor)
    other = Plan(papers=(replace(fen), twin), paper=replace(fen), other_paper=twin, ppi=200)
    plan.take_over(other)
    # the same sheet is not put at hand twice
    assert plan.papers == (fen, twin) and plan.paper is fen and plan.other_paper is twin
    assert (plan.ppi, plan.copies, plan.ink_ml_per_m2) == (200, 1, 9.0)
    assert plan.measured_paper == "readings"
    picture = plan.picture = SimpleNamespace(width_px=10, height_px=10)
    plan.take_over(Plan(reference="D50"), files=("reference",))
    assert (plan.picture, plan.paper, plan.reference) == (picture, fen, "D50")


def test_a_size_that_was_kept_is_that_of_a_plan_that_kept_none(picture, papers):
    plan = Plan(picture=picture, paper=papers[0], papers=papers, sheet="A3", crop_ratio="1:1")
    changes = {
        "ppi": 211.0, "size_from": "size", "long_side_mm": 333.0, "crop_ratio": "5:4",
        "crop_across": 0.2, "crop_down": 0.9, "border_mm": 7.0, "bottom_weight_mm": 4.0,
        "moved_right_mm": 11.0, "moved_down_mm": -3.0, "bleed_mm": 2.0, "bleed": "stretched", "bar_depth_mm": 20.0, "sheet": "",
        "region": "inches", "printer_ppi": 300.0, "margin_left_mm": 9.0, "margin_trailing_mm": 30.0,
        "printer_width_mm": 420.0, "thick_from_mm": 0.1, "feed_path": "thick",
        "mount_overlap_mm": 3.0, "mount_opening": "20 x 30 cm", "paper": papers[1],
    }  # fmt: skip
    assert plan.print_size() is plan.print_size()
    for name, value in changes.items():
        setattr(plan, name, value)
        assert plan.print_size() == plan.copy().print_size(), name
    plan.size_from = "opening"
    assert plan.print_size() == plan.copy().print_size()
    assert plan.print_size(papers[0]) == plan.copy(paper=papers[0]).print_size()


def test_a_size_that_is_kept_holds_no_picture_that_left():
    plan = Plan(picture=from_pixels(np.zeros((20, 30, 3), np.uint8), "sRGB"))
    plan.print_size()
    gone = weakref.ref(plan.picture)
    plan.picture = None
    gc.collect()
    assert gone() is None

"""The whole desk, driven without a browser."""

from __future__ import annotations

import html
import io
import re
import threading

import ipywidgets as widgets
import numpy as np
import pytest
from helpers import DATA
from panel_helpers import choose, open_typed
from picture.makers import tiff_bytes
from PIL import Image

import workbench as wb
from workbench.analysis.words import percent
from workbench.colour.inkmodel import model_profile
from workbench.colour.spaces import standard_profile
from workbench.demo import demo_papers, demo_picture
from workbench.files import session
from workbench.files.session import Named
from workbench.output.adjust import Adjustments
from workbench.panels.desk import Desk
from workbench.panels.parts import help_front, scheduler
from workbench.panels.parts.counting import EVERY_PIXEL
from workbench.paper import open_paper
from workbench.picture import from_pixels, open_picture
from workbench.plan import Plan

FOUR = ("size", "gamut", "white", "black")
EVIL = "<img src=x onerror=alert(1)>\x07\u202e"


@pytest.fixture
def command_line(monkeypatch, tmp_path):
    """A function that names files as on the command line of this kernel's session."""

    def name(picture=None, papers=()):
        folder = tmp_path / "session"
        folder.mkdir()
        Named(picture, tuple(papers)).write(folder)
        # loading a kernel's own package would change how this process's widgets talk
        monkeypatch.setattr(session, "_connection_file", lambda: str(folder / "kernel.json"))

    return name


def picture_with_everything(name="fields.tif", seed=5):
    """Saturated colours, deep shadows and highlights, without an edge."""
    red, green = np.meshgrid(np.linspace(0, 1, 600) ** 2, np.linspace(0, 1, 400) ** 2)
    blue = np.abs(np.sin(6 * red + seed)) * green
    pixels = np.round(np.stack([red, green, blue], -1) * 65535).astype(np.uint16)
    return from_pixels(pixels, "ROMM RGB", name=name)


@pytest.fixture(scope="module")
def picture():
    return picture_with_everything()


def rest(desk):
    assert desk.front.scheduler.wait_until_idle(30)
    assert desk.picture_view.flat.wait_until_settled()


@pytest.fixture(scope="module")
def used_desk(picture, papers):
    """One desk for most tests, whose first four panels have all been in view."""
    made = Desk(picture, papers)
    for panel in reversed(FOUR):
        turn_to(made, panel)
    rest(made)
    yield made
    made.front.scheduler.close()


@pytest.fixture
def desk(used_desk):
    used_desk.plan.reference, used_desk.plan.adaptation = "brightened card", 0.0
    settings = used_desk.plan.trait_values()
    yield used_desk
    for name, value in settings.items():
        setattr(used_desk.plan, name, value)
    for tick in (used_desk.without_paper, used_desk.large):
        tick.field.set_state({"value": False})
    turn_to(used_desk, "size")
    rest(used_desk)


def turn_to(desk, name):
    desk.go_to(name)


def shown(desk):
    """What is always in view, once it rests."""
    rest(desk)
    found = {name: (answer.text, answer.mark) for name, answer in desk.answers.items()}
    return {**found, "picture": desk.picture_view.image.value}


def changed(before, desk):
    after = shown(desk)
    return {name for name in before if before[name] != after[name]}


def every_widget(desk):
    stack, found = [desk.widget], []
    while stack:
        widget = stack.pop()
        found.append(widget)
        stack += getattr(widget, "children", ())
    return found


# -- opening


def test_it_opens_on_invented_things_and_says_so():
    desk = Desk()
    assert desk.plan.picture is demo_picture()
    assert [p.name for p in desk.plan.papers] == [p.name for p in demo_papers()]
    assert all(p.invented for p in desk.plan.papers)
    assert desk.plan.paper is desk.plan.papers[0]
    assert len(desk.paper.field.options) == len(desk.plan.papers) == len(demo_papers())
    assert desk.paper.field.label == f"1. {desk.plan.paper.name}"
    for name, start in {
        "size": "At 360 ppi this prints 38.1 × 25.4 cm",
        "white": "white: beside",
        "black": "The shadows",
    }.items():
        assert start in desk.answers[name].text
    assert "of the picture is out of this paper's gamut" in desk.answers["gamut"].text
    assert "Invented" in desk.picture_view.alt
    assert "invented: a model, not a product" in desk.sources.papers.facts.value
    view = "application/vnd.jupyter.widget-view+json"
    bundle = desk._repr_mimebundle_()
    assert view in (bundle[0] if isinstance(bundle, tuple) else bundle)
    assert desk.front in desk.widget.children
    desk.front.scheduler.close()


def test_files_of_the_command_line(command_line, tmp_path):
    image = tmp_path / "own.tif"
    image.write_bytes(
        tiff_bytes(np.full((20, 30, 3), 90, np.uint8), iccprofile=standard_profile("sRGB"))
    )
    command_line(str(image), [str(DATA / "FOGRA39L_coated.icc")])
    desk = wb.desk()
    rest(desk)
    assert desk.plan.picture.path == image
    assert [paper.name for paper in desk.plan.papers] == ["FOGRA39L Coated"]
    assert desk.picture_view.alt.startswith("own.tif on FOGRA39L Coated")
    assert desk.status.text == ""
    desk.front.scheduler.close()


def test_what_is_handed_in_comes_before_the_command_line(command_line, picture, papers):
    command_line("/no/such/picture.tif", ["/no/such/paper.icc"])
    desk = wb.desk(picture, papers)
    assert desk.plan.picture is picture
    assert desk.plan.papers == papers
    rest(desk)
    assert desk.status.text == ""
    desk.front.scheduler.close()


def test_a_wrong_picture_on_the_command_line_still_opens_the_desk(command_line, papers):
    command_line("/no/such/picture.tif")
    desk = wb.desk(papers=papers)
    assert desk.plan.picture is demo_picture()
    assert desk.answers["size"].text.startswith("At 360 ppi")
    rest(desk)
    # counting every pixel has not wiped it away
    assert desk.status.kind == "problem"
    assert "There is no file “picture.tif”" in desk.status.text
    desk.front.scheduler.close()


def test_a_wrong_paper_among_good_ones_leaves_the_good_ones(picture, papers, tmp_path):
    bad = tmp_path / "bad.icc"
    bad.write_bytes(b"no profile " * 20)
    desk = Desk(picture, [papers[1], bad])
    assert desk.plan.papers == (papers[1],)
    rest(desk)
    assert "not an ICC colour profile" in desk.status.text
    desk.front.scheduler.close()


def test_an_untagged_picture_is_asked_about_and_the_answer_goes_on(papers):
    pixels = np.random.default_rng(1).integers(0, 255, (30, 40, 3), np.uint8)
    desk = Desk(open_picture(tiff_bytes(pixels), name="old scan.tif"), papers)
    assert desk.plan.picture is None
    assert desk.page == "file"  # the question is in view
    assert desk.sources.question.layout.display == ""
    images = [w for w in every_widget(desk) if "wb-assumption" in w._dom_classes]
    assert len({image.value for image in images}) == 5
    assert {answer.text for answer in desk.answers.values()} == {"Waiting for a picture"}
    assert desk.picture_view.image.value == b""
    button = next(w for w in every_widget(desk) if getattr(w, "description", "") == "eciRGB v2")
    button.click()
    rest(desk)
    assert desk.plan.picture.profile_name == "eciRGB v2"
    assert desk.picture_view.alt.startswith("old scan.tif on Gloss")
    assert desk.answers["size"].text.startswith("At 360 ppi this prints 0.3 × 0.2 cm")
    assert "Waiting" not in "".join(answer.text for answer in desk.answers.values())
    assert "eciRGB v2, chosen by you" in desk.sources.facts.value
    desk.front.scheduler.close()


def test_a_plan_handed_in_is_used(picture, papers):
    plan = Plan(picture=picture, papers=papers, paper=papers[1], intent="perceptual", unit="mm")
    desk = Desk(plan=plan)
    assert desk.plan is plan
    assert (plan.picture, plan.papers, plan.paper) == (picture, papers, papers[1])
    assert desk.paper.field.label == "2. Rag"
    assert desk.intent.value == "perceptual"
    assert " mm;" in desk.answers["size"].text
    rest(desk)
    assert desk.picture_view.alt.startswith("fields.tif on Rag")
    desk.front.scheduler.close()


def test_a_plans_own_things_stay(command_line, picture, papers):
    command_line("/no/such/picture.tif", ["/no/such/paper.icc"])
    plan = Plan(picture=picture, paper=papers[1], ppi=240)
    desk = wb.desk(plan=plan)
    rest(desk)
    assert (plan.picture, plan.ppi, plan.paper) == (picture, 240, papers[1])
    assert plan.papers == (papers[1],)
    assert desk.paper.field.label == "1. Rag"
    assert desk.status.text == ""
    desk.front.scheduler.close()


def test_one_paper_needs_no_list(picture, papers):
    desk = wb.desk(picture, papers[1])
    assert desk.plan.papers == (papers[1],)
    assert desk.plan.paper is papers[1]
    desk.front.scheduler.close()


# -- each knob, and what it changes


def set_slider(control, value):
    control.slider.set_state({"value": value})


KNOBS = {
    "paper": (lambda d: choose(d.paper, "2. Rag"), {"gamut", "white", "black", "light", "picture"}),
    # with compensation, the other intents bring the invented papers' black to the same place
    "intent": (lambda d: choose(d.intent, "absolute colorimetric"), {"black", "picture"}),
    "compensation": (
        lambda d: d.compensation.field.set_state({"value": False}),
        {"black", "picture"},
    ),
    "without the paper": (
        lambda d: d.without_paper.field.set_state({"value": True}),
        {"picture"},
    ),
    "larger": (lambda d: d.large.field.set_state({"value": True}), {"picture"}),
    "picture resolution": (lambda d: set_slider(d.panels["size"].ppi, 200), {"size"}),
    "unit": (lambda d: choose(d.panels["size"].unit, "inches"), {"size"}),
    "border": (lambda d: set_slider(d.panels["size"].lengths["border_mm"], 4), {"size"}),
    "threshold": (lambda d: set_slider(d.panels["gamut"].controls.threshold, 6), {"gamut"}),
    "outline of another paper": (
        lambda d: choose(d.panels["gamut"].controls.other, "2. Rag"),
        set(),
    ),
    "slice": (lambda d: set_slider(d.panels["gamut"].controls.lightness, 30), set()),
    "adaptation": (lambda d: set_slider(d.panels["white"].adaptation, 60), {"white", "picture"}),
    "reference": (
        lambda d: choose(d.panels["white"].reference, "perfect diffuser"),
        {"white", "picture"},
    ),
    "highlights": (lambda d: set_slider(d.panels["white"].lightness, 80), set()),
    "tolerance": (lambda d: set_slider(d.panels["black"].tolerance, 2.5), {"black"}),
    "brighten": (lambda d: set_slider(d.panels["black"].lift, 2), set()),
}


@pytest.mark.parametrize("knob", KNOBS)
def test_a_knob_changes_what_it_should_and_nothing_else(desk, knob):
    turn, expected = KNOBS[knob]
    before = shown(desk)
    turn(desk)
    assert changed(before, desk) == expected
    assert desk.status.kind == ""


def test_the_answers_are_those_of_the_library(desk, picture, papers):
    how = {"intent": "relative", "black_point_compensation": True}
    assert desk.answers["size"].text == wb.print_size(picture, ppi=360).sentence()
    assert desk.answers["gamut"].text == wb.gamut_report(picture, papers[0]).sentence
    assert (
        desk.answers["white"].text
        == wb.paper_white(papers[0], reference="brightened card", adaptation=0).sentence
    )
    assert desk.answers["black"].text == wb.black_point(papers[0], picture, **how).sentence


def test_answers_on_the_file_say_so_where_the_plan_adjusts_it(desk):
    told = "as it is in its file, before the plan's adjustments"
    assert not any(told in line.text + line.detail for line in desk.answers.values())
    desk.plan.adjustments = Adjustments(chroma_gain=0.8)
    rest(desk)
    said = {name for name, line in desk.answers.items() if told in line.detail}
    assert said == {"gamut", "black"}


def test_a_quick_count_is_followed_by_every_pixel(monkeypatch, papers):
    gate = threading.Event()

    class Patient(scheduler.Scheduler):
        def submit(self, key, function, *others, **named):
            def once_open(cancelled, progress):
                gate.wait(60)
                return function(cancelled, progress)

            super().submit(key, once_open, *others, **named)

    monkeypatch.setattr(help_front, "Scheduler", Patient)
    picture = picture_with_everything("another.tif", seed=2)  # not counted by another test
    desk = Desk(picture, papers)
    for name in ("gamut", "black"):
        assert desk.answers[name].mark == "quick count"
    assert desk.answers["size"].mark == desk.answers["white"].mark == ""
    gate.set()
    rest(desk)
    for name in ("gamut", "black"):
        assert desk.answers[name].mark == EVERY_PIXEL
    # what has been counted need not be counted again
    gate.clear()
    choose(desk.paper, "2. Rag")
    assert desk.answers["gamut"].mark == "quick count"
    assert desk.answers["black"].mark == EVERY_PIXEL
    choose(desk.paper, "1. Gloss")
    assert desk.answers["gamut"].mark == EVERY_PIXEL
    gate.set()
    desk.front.scheduler.close()


def test_desk_and_panel_show_the_same_count_at_the_same_moment(papers):
    desk = Desk(picture_with_everything("a third.tif", seed=3), papers)
    gamut, seen = desk.panels["gamut"], []

    def look(change=None):
        desk_says, panel_says = desk.answers["gamut"], gamut.share
        assert (desk_says.text, desk_says.mark) == (panel_says.text, panel_says.mark)
        seen.append(panel_says.mark)

    with desk.front.turn:
        turn_to(desk, "gamut")
        look()
    desk.front.counting.listen(look)
    rest(desk)
    with desk.front.turn:
        set_slider(gamut.controls.threshold, 6)
        look()
    rest(desk)
    look()
    assert {"quick count", EVERY_PIXEL} == set(seen)
    assert seen[-1] == gamut.far.mark == EVERY_PIXEL
    desk.front.scheduler.close()


def test_the_picture_is_dimmed_where_its_white_would_clip(desk, papers):
    # a paper warmer than the brightened card beside it
    choose(desk.paper, "2. Rag")
    choose(desk.panels["white"].reference, "brightened card")
    assert re.search(r"all dimmed by \d+ %", desk.picture_view.alt)
    desk.plan.reference, desk.plan.adaptation = papers[1], 0.0
    assert "dimmed" not in desk.picture_view.alt


def test_accepted_adjustments_show_in_the_picture_on_paper(desk):
    before = bytes(desk.picture_view.image.value)
    desk.plan.adjustments = Adjustments(mid_tones=6)
    assert desk.picture_view.alt.startswith("fields.tif on Gloss, with your adjustments")
    assert desk.picture_view.flat.wait_until_settled()
    lighter = bytes(desk.picture_view.image.value)
    means = [np.asarray(Image.open(io.BytesIO(data))).mean() for data in (before, lighter)]
    # 6 L* of a middle grey, and less towards both ends, where most of this picture lies
    assert means[1] > means[0] + 2
    desk.plan.adjustments = None
    assert "adjustments" not in desk.picture_view.alt


def test_without_the_paper_and_larger(desk):
    assert desk.picture_view.alt.startswith("fields.tif on Gloss")
    desk.without_paper.field.set_state({"value": True})
    assert desk.picture_view.alt == "fields.tif, without any paper"
    width = float(desk.picture_view.image.width)
    desk.large.field.set_state({"value": True})
    rest(desk)
    # the picture has 600 pixels across, and never more are shown
    assert width == 412 and float(desk.picture_view.image.width) == 600


def test_finer_screens_get_more_pixels_for_the_same_space(desk):
    desk.front.pixel_ratio = 1.25
    rest(desk)
    assert float(desk.picture_view.image.width) == 412
    image = Image.open(io.BytesIO(bytes(desk.picture_view.image.value)))
    assert image.size == (515, 343)
    desk.front.pixel_ratio = 1.0


def test_a_paper_can_be_chosen_from_anywhere(desk, papers):
    choose(desk.paper, "2. Rag")
    assert desk.plan.paper is papers[1]
    desk.plan.paper = papers[0]
    assert desk.paper.field.label == "1. Gloss"
    desk.plan.papers = (papers[1], papers[0])
    assert desk.paper.field.label == "2. Gloss"
    assert desk.plan.paper is papers[0]


# -- panels out of view


def test_a_panel_out_of_view_does_no_work_until_it_is_shown(picture, papers):
    desk = Desk(picture, papers)
    gamut, white = desk.panels["gamut"], desk.panels["white"]
    assert gamut.share.text == "" and gamut.picture.image.value == b""
    turn_to(desk, "gamut")
    assert gamut.share.text == desk.answers["gamut"].text
    assert gamut.picture.image.value != b""
    assert white.answer.text == ""
    turn_to(desk, "size")
    rest(desk)
    told = gamut.share.text, gamut.distribution.image.value
    choose(desk.paper, "2. Rag")
    rest(desk)
    assert (gamut.share.text, gamut.distribution.image.value) == told
    turn_to(desk, "gamut")
    rest(desk)
    assert gamut.share.text == desk.answers["gamut"].text != told[0]
    assert white.answer.text == ""
    desk.front.scheduler.close()


def test_shown_again_without_a_change_nothing_is_done_again(desk, monkeypatch):
    panel = desk.panels["white"]
    turn_to(desk, "white")
    turn_to(desk, "size")
    followed = []
    monkeypatch.setattr(panel, "follow", lambda: followed.append(1))
    turn_to(desk, "white")
    assert followed == []
    desk.plan.adaptation = 0.3
    assert followed == [1]


# -- bad input


def test_a_bad_path_leaves_plan_and_picture_and_is_told_beside_the_field(desk, tmp_path):
    before, plan = shown(desk), (desk.plan.picture, desk.plan.paper, desk.plan.papers)
    open_typed(desk.sources.picture, tmp_path / "missing.tif")
    open_typed(desk.sources.papers.chooser, tmp_path / "missing.icc")
    assert "There is no file “missing.tif”" in desk.sources.picture.status.text
    assert "There is no file “missing.icc”" in desk.sources.papers.chooser.status.text
    assert (desk.plan.picture, desk.plan.paper, desk.plan.papers) == plan
    assert changed(before, desk) == set()
    assert desk.status.text == ""


def test_a_file_that_is_opened_is_on_the_whole_desk(desk, tmp_path):
    desk.plan.paper = desk.plan.papers[1]
    before = shown(desk)
    image = tmp_path / "own.tif"
    fields = np.random.default_rng(3).integers(0, 255, (40, 60, 3), np.uint8)
    image.write_bytes(tiff_bytes(fields, iccprofile=standard_profile("ROMM RGB")))
    open_typed(desk.sources.picture, image)
    open_typed(desk.sources.papers.chooser, DATA / "FOGRA39L_coated.icc")
    assert changed(before, desk) == {"size", "gamut", "white", "black", "light", "picture"}
    assert desk.picture_view.alt.startswith("own.tif on FOGRA39L Coated")
    assert desk.paper.field.label == "3. FOGRA39L Coated"
    assert desk.answers["gamut"].mark == EVERY_PIXEL


def test_a_size_that_cannot_be_is_told_on_the_desk(desk):
    desk.plan.ppi = 0.01
    assert "more than 50 m" in desk.status.text
    assert "more than 50 m" in desk.panels["size"].status.text
    assert desk.answers["size"].text == "…"  # and no answer that no longer holds
    desk.plan.ppi = 300
    assert desk.status.text == ""
    assert desk.answers["size"].text.startswith("At 300 ppi")


def test_names_from_files_never_reach_the_page_unescaped(papers, tmp_path):
    data = model_profile((96, 0, -4), 2.0, finish="gloss", grid=9, name=EVIL)
    pixels = np.random.default_rng(3).integers(0, 255, (40, 60, 3), np.uint8)
    tagged = tiff_bytes(pixels, iccprofile=standard_profile("sRGB"))
    desk = Desk(open_picture(tagged, name=EVIL), [open_paper(data), papers[1]])
    folder = tmp_path / "<b>folder<"
    folder.mkdir()
    (folder / "<i>inside<.tif").write_bytes(tagged)
    desk.sources.picture.browse(str(folder))
    assert desk.sources.picture.wait_until_listed()
    for name in (*FOUR, "file"):
        turn_to(desk, name)
    desk.plan.other_paper = desk.plan.reference = desk.plan.papers[0]
    open_typed(desk.sources.picture, folder / "<i>gone<.tif")
    desk.plan.sheet = "<u>A2</u>"
    rest(desk)

    # buttons have their words as text, see the options below
    seen = [w.value for w in every_widget(desk) if isinstance(w, widgets.HTML)]
    assert sum("&lt;img src=x" in value for value in seen) >= 4  # sentences, captions, facts
    assert any("&lt;b&gt;folder&lt;" in value for value in seen)
    assert any("&lt;i&gt;gone&lt;.tif" in value for value in seen)
    assert any("&lt;u&gt;A2&lt;/u&gt;" in value for value in seen)
    for value in seen:
        assert not re.search(r"<img src=x|<b>folder|<i>(inside|gone)|<u>A2", value)
        assert not {"\x07", "\u202e"} & set(html.unescape(value))
    # options and alternative texts are set as text by the page; no control characters there
    labels = [label for label, _ in desk.paper.field.options]
    assert labels == ["1. <img src=x onerror=alert(1)>", "2. Rag"]
    assert "\x07" not in desk.picture_view.alt and "\u202e" not in desk.picture_view.alt
    desk.front.scheduler.close()


# -- several desks, and the end of one


def test_two_desks_do_not_disturb_one_another(desk, picture, papers):
    other = Desk(picture, papers[::-1])
    rest(other)
    before = shown(desk)
    choose(other.intent, "absolute colorimetric")
    set_slider(other.panels["size"].ppi, 150)
    rest(other)
    assert changed(before, desk) == set()
    assert (desk.plan.intent, desk.plan.ppi) == ("relative", 360)
    assert other.plan.paper is papers[1]
    assert other.answers["size"].text.startswith("At 150 ppi")
    tags = [
        {c for w in every_widget(d) for c in w._dom_classes if c.startswith("wb-id-")}
        for d in (desk, other)
    ]
    assert tags[0] and not tags[0] & tags[1]
    other.front.scheduler.close()
    choose(desk.paper, "2. Rag")
    assert changed(before, desk) == {"gamut", "white", "black", "light", "picture"}


def test_a_closed_worker_leaves_quick_answers(papers):
    desk = Desk(picture_with_everything("third.tif", seed=8), papers)
    desk.front.scheduler.close()
    choose(desk.paper, "2. Rag")
    assert desk.answers["gamut"].mark == "quick count"
    assert "Rag" in desk.picture_view.alt
    assert desk.status.kind != "problem"


# -- manners


def test_every_knob_of_the_desk_has_a_name_and_help(desk):
    for control in (desk.paper, desk.intent, desk.compensation, desk.without_paper, desk.large):
        assert control.label
        assert len(control.help) > 10
        assert desk.front.attributes(control.field)["title"] == control.help


def test_no_label_is_given_twice_in_one_panel(desk):
    for panel in desk.panels.values():
        stack, labels = [panel.body], []
        while stack:
            widget = stack.pop()
            stack += getattr(widget, "children", ())
            label = desk.front.attributes(widget).get("aria-label")
            if label and not type(widget).__name__.endswith("Slider"):
                labels.append(label)  # a slider and its field go by one name
        assert len(labels) == len(set(labels)) > 0


# -- stages


def enter(desk, stage):
    """Choose a stage as the page tells it."""
    desk.stages._handle_custom_msg({"chosen": stage}, [])


def test_stages_read_as_the_plan(desk, picture, papers):
    said = {name: figures for name, _, figures, _ in desk.stages.tabs}
    assert list(said) == ["picture", "paper", "proof", "print", "keep"]
    size = wb.print_size(picture, ppi=360)
    assert (
        said["picture"].startswith("600 × 400, ") and f"{size.width_mm / 10:.1f}" in said["picture"]
    )
    share = wb.gamut_report(picture, papers[0]).share_outside
    assert said["paper"].startswith(f"{percent(share)} out of gamut") and "Gloss" in said["paper"]
    assert "500 lux" in said["proof"] and "360 ppi" in said["print"]
    desk.plan.illuminance_lux, desk.plan.printer_ppi = 80, 300
    rest(desk)
    said = {name: figures for name, _, figures, _ in desk.stages.tabs}
    assert "80 lux" in said["proof"] and "300 ppi" in said["print"]
    assert "80 lux" in desk.answers["light"].text


def test_a_panel_is_not_made_for_one_who_passes_through(picture, papers):
    desk = Desk(picture, papers)
    with desk.front.turn:
        for stage in ("paper", "proof", "keep"):
            enter(desk, stage)
            assert desk.stages.chosen == stage
    rest(desk)
    assert set(desk.panels.made) == {"size", "judge"}
    desk.go_to("target")
    enter(desk, "print")
    enter(desk, "keep")
    assert desk.page == "target"  # where one was last
    desk.front.scheduler.close()


def test_an_answer_opens_to_its_mark_and_leads_to_its_reason(desk):
    answer = desk.answers["gamut"]
    assert not answer.opened and answer._more.value == ""
    answer.line.click()
    assert answer.opened and EVERY_PIXEL in answer._more.value
    assert desk.front.attributes(answer.line)["aria-expanded"] == "true"
    answer.why.click()
    assert desk.page == "gamut"
    answer.line.click()
    assert not answer.opened


def test_who_begins_without_a_file_is_shown_the_way(papers, picture):
    desk = Desk(papers=papers)
    assert desk.page == "file" and desk.way.layout.display == ""
    desk.plan.picture = picture
    assert desk.way.layout.display == "none"
    desk.front.scheduler.close()


def lines(desk) -> dict:
    return {
        name: answer.line.description.replace("\u00a0", " ")
        for name, answer in desk.answers.items()
    }


def test_the_short_size_says_what_the_sentence_does(desk, picture):
    desk.plan.ppi = 57.5
    rest(desk)
    answer = desk.answers["size"]
    assert "57.5 ppi" in lines(desk)["size"] and "57.5 ppi" in answer.text
    # a sheet that is large enough, and wider than the printer takes
    desk.plan.ppi, desk.plan.sheet, desk.plan.printer_width_mm = 360, "A3", 210
    rest(desk)
    assert "wider than the printer takes" in answer.text
    assert lines(desk)["size"].endswith("; the printer does not take A3")


def test_answers_are_short_until_they_are_opened(desk, picture, papers):
    line = lines(desk)
    report, white = wb.gamut_report(picture, papers[0]), papers[0].white_lab
    assert line["gamut"].startswith(f"{percent(report.share_outside)} out, above all ")
    assert f"L* {white[0]:.0f}" in line["white"]
    assert all("(absolute)" in line[name] for name in ("white", "black"))
    assert f"{wb.black_point(papers[0], picture).black_density:.2f}" in line["black"]
    assert "360" in line["size"] and "cd/m²" in line["light"]
    assert all(len(text) < 56 for text in line.values())
    for answer in desk.answers.values():
        answer.line.click()
    assert lines(desk) == {name: answer.text for name, answer in desk.answers.items()}
    for answer in desk.answers.values():
        answer.line.click()
    assert lines(desk) == line

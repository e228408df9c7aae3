"""The screen panel without a browser: knobs set the plan, the plan shows in words and pictures."""

import math
import re
from html import unescape

import numpy as np
import pytest
from helpers import model_paper
from panel_helpers import shown

from workbench.analysis.light import ILLUMINANTS, PLACES, ROOM_SHARE
from workbench.analysis.screen import screen_match
from workbench.analysis.targets import TARGETS
from workbench.errors import OutputError
from workbench.figures.screen_sheet import NEAR_BLACK
from workbench.panels import parts
from workbench.panels.answers import short_light
from workbench.panels.parts.log_slider import LogNumber, two_digits
from workbench.panels.screen.controls import OWN, light_options, place_of, places
from workbench.panels.screen.panel import ScreenPanel
from workbench.panels.screen.sheet import write_check_sheet
from workbench.picture.opening import from_pixels
from workbench.plan import Plan


@pytest.fixture(scope="module")
def papers():
    return model_paper("Shiny <b>", (96, 0, -5), 2.3, "gloss"), model_paper(
        "Rag", (94, 0, 4), 1.6, "matte"
    )


@pytest.fixture
def picture():
    rng = np.random.default_rng(5)
    return from_pixels(rng.integers(0, 256, (60, 90, 3), dtype=np.uint8), "sRGB", name="fields")


@pytest.fixture
def plan(papers, picture):
    return Plan(papers=papers, paper=papers[0], picture=picture, screen_luminance_cd_m2=120)


@pytest.fixture
def panel(plan, open_panel):
    return open_panel(ScreenPanel, plan)


def cell(panel, label) -> str:
    return (
        re.search(rf"{label}.*?<td>(.*?)</td>", panel.facts.value).group(1).replace("\u00a0", " ")
    )


def halves(panel):
    pixels = shown(panel.view)
    return pixels[:, : pixels.shape[1] // 2], pixels[:, pixels.shape[1] // 2 :]


# answers ------------------------------------------------------------------------------


def test_answers_are_the_analysis(panel, plan, papers):
    found = screen_match(
        papers[0], illuminance_lux=500, light="D50", screen_luminance_cd_m2=120,
        screen_contrast_ratio=1000,
    )  # fmt: skip
    assert panel.answer.text == found.sentence and panel.answer.mark == "absolute"
    assert panel.contrast_said.text == found.contrast_sentence
    assert panel.white.text == found.white_sentence
    assert panel.caution.text == found.caution and "conservator" in panel.caution.text
    assert cell(panel, "Light for a screen") == f"{found.matching_illuminance_lux:,.0f} lux"
    for target in TARGETS:
        assert target.name in unescape(panel.targets.value)
        assert target.purpose in unescape(panel.targets.value)
    assert "practice" not in panel.targets.value
    assert "<b>" not in panel.facts.value + panel.targets.value + panel.notes.value
    for note in found.notes:
        assert note in unescape(panel.notes.value)


def test_the_desk_s_short_line_names_the_luminance_of_its_sentence(panel, plan):
    white = panel.match().screen_white_luminance_cd_m2
    for stops in (-0.08, 0.0, 0.08, 0.5):
        plan.screen_luminance_cd_m2 = round(white * 2**stops)
        short, cd = short_light(panel.match()), f"{plan.screen_luminance_cd_m2:.0f} cd/m²"
        assert cd in panel.answer.text
        assert (f"screen at {cd}" in short) == (abs(stops) < 0.1)
    plan.screen_luminance_cd_m2 = 0
    assert f"{panel.match().advised_cd_m2:.0f} cd/m²" in short_light(panel.match())


def test_a_bright_place_tells_the_blacks_light_in_plain_numbers(panel, plan):
    plan.illuminance_lux, plan.glass, plan.room_share = 5000.0, "plain", 1.0
    black = panel.match().hung.black_luminance_cd_m2
    assert black > 100 and cell(panel, "darkest").endswith(f", {black:.0f} cd/m²")


def test_dim_light_needs_no_care_and_a_warning_comes_with_bright_light(panel):
    panel.lux.field.value = 150
    assert panel.caution.widget.layout.display == "none"
    panel.lux.field.value = 2000
    assert panel.caution.widget.layout.display == "" and "2,000 lux" in panel.caution.text


def test_twice_the_light_moves_figures_pictures_and_words(panel, plan):
    panel.lux.field.value = 100
    ladder, dark = panel.ladder.image.value, halves(panel)
    stops = panel.match().stops_too_dark
    panel.lux.field.value = 200
    assert plan.illuminance_lux == 200
    assert panel.match().stops_too_dark == pytest.approx(stops - 1)
    assert f"{stops - 1:.1f} stops darker" in panel.answer.text
    assert panel.ladder.image.value != ladder
    light = halves(panel)
    assert light[0].mean() > dark[0].mean() + 5
    assert np.array_equal(light[1][:, 20:], dark[1][:, 20:])  # the screen stays
    assert "200" in panel.answer.text and "darker" in panel.ladder.alt


def test_glass_and_a_light_room_lower_the_contrast_as_hung(panel, plan):
    before = panel.contrasts.image.value
    assert panel.match().hung_contrast_ratio == pytest.approx(panel.match().print_contrast_ratio)
    panel.glass.field.value = "plain"
    assert panel.room.value == 100 * ROOM_SHARE  # nothing is known of the room
    first = panel.match().hung_contrast_ratio
    assert first < panel.match().print_contrast_ratio and panel.contrasts.image.value != before
    panel.room.slider.value = 80
    second = panel.match().hung_contrast_ratio
    assert plan.room_share == 0.8 and second < first
    assert f"{math.log2(panel.match().hung_contrast_ratio):.1f} stops" in cell(
        panel, "Contrast in its place"
    )
    panel.glass.field.value = "anti-reflection"
    assert panel.match().hung_contrast_ratio > second
    assert "behind anti-reflection glass" in panel.contrast_said.text


def test_uv_glass_says_what_it_does_to_a_brightened_paper(panel):
    assert "optical brighteners" not in panel.notes.value
    panel.glass.field.value = "UV-filtering acrylic"
    assert "optical brighteners" in panel.notes.value


# places and light ----------------------------------------------------------------------


def test_a_place_sets_light_level_and_room(panel, plan):
    panel.place.field.value = "gallery"
    assert (plan.illuminance_lux, plan.light) == (200, "3000 K")
    assert plan.room_share == PLACES["gallery"].room_share
    assert (panel.lux.value, panel.light.value, panel.room.value) == (200, "3000 K", 15)
    panel.lux.field.value = 150
    assert panel.place.value == OWN and plan.room_share == 0.15
    plan.illuminance_lux = 200.0
    assert panel.place.value == "gallery"


def test_every_place_is_found_again_and_its_light_is_among_the_choices(plan):
    offered = {value for _, value in light_options()}
    for name, traits in places().items():
        for trait, value in traits.items():
            setattr(plan, trait, value)
        assert place_of(plan) == name
        assert traits["light"] in offered
    assert set(ILLUMINANTS) <= offered
    assert {"museum", "gallery", "living room", "office", "daylight", "ISO 3664 P2"} <= set(
        places()
    )


def test_a_typed_temperature_counts_and_a_wrong_one_is_told(panel, plan):
    own = panel.light.choice.field.options[-1][1]
    panel.light.choice.field.value = own
    panel.light.typed.field.value = "3210"
    assert plan.light == "3210" and "3210 K light" in panel.answer.text
    panel.light.typed.field.value = "moon"
    assert plan.light == "3210" and panel.status.kind == "problem"
    assert "moon" in panel.status.text
    panel.light.typed.field.value = "5600 K"
    assert plan.light == "5600 K" and panel.status.kind == ""


def test_an_unknown_screen_is_told_its_setting_only(panel, plan):
    assert panel.ask.widget.layout.display == "none"
    panel.screen.field.value = 0
    assert plan.screen_luminance_cd_m2 == 0
    assert panel.ask.widget.layout.display == "" and "not known" in panel.ask.text
    assert panel.answer.text.startswith("In 500 lux of D50 light, set the screen's white to")
    assert "Light for a screen" not in panel.facts.value
    panel.screen.field.value = 90
    assert plan.screen_luminance_cd_m2 == 90 and "Light for a screen" in panel.facts.value
    assert panel.ask.widget.layout.display == "none"
    panel.contrast.field.value = 0
    assert panel.match().screen_contrast_ratio is None
    assert cell(panel, "Contrast of your screen") == "not known"


def test_a_screen_is_not_known_at_first(papers, picture):
    panel = ScreenPanel(Plan(papers=papers, paper=papers[0], picture=picture))
    assert panel.screen.value == 0 and panel.match().screen_luminance_cd_m2 is None
    assert panel.ask.widget.layout.display == "" and "not known" in panel.ask.text
    assert panel.status.kind != "problem" and shown(panel.view).std() > 5
    # the slider rests at its lower end, and moving it makes the screen known
    panel.screen.slider.value = 10**2.2
    assert panel.plan.screen_luminance_cd_m2 == 158
    assert panel.ask.widget.layout.display == "none"
    panel.front.scheduler.close()


def test_a_screen_set_as_advised_leaves_no_stops(panel):
    advised = panel.match().screen_white_luminance_cd_m2
    panel.screen.field.value = advised
    assert panel.match().stops_too_dark == pytest.approx(0, abs=1e-9)
    assert panel.match().matching_illuminance_lux == pytest.approx(500)
    assert "as bright as" in panel.answer.text


def test_the_wall_that_outshines_the_screen_is_no_light_to_find(panel, plan):
    plan.room_share = 5.0
    panel.glass.field.value = "plain"
    assert panel.status.kind != "problem" and "stops" in panel.contrast_said.text


def test_another_paper_changes_the_answer(panel, plan, papers):
    before = panel.answer.text
    panel.paper.field.value = 1
    assert plan.paper is papers[1] and panel.answer.text != before
    assert "Rag" in panel.view.alt


# the slider in equal shares --------------------------------------------------------------


@pytest.fixture
def light():
    return LogNumber(
        parts.Front(), "Light", value=500, min=20, max=5000, typed=(1, 200_000), unit="lux"
    )


def test_the_slider_gives_round_numbers_and_the_field_keeps_what_is_typed(light):
    told = []
    light.on_change(told.append)
    light.slider.value = 10**2.16
    light.field.value = 123.4
    light.field.value = 90_000
    assert told == [145, 123.4, 90_000]
    assert light.slider.value == pytest.approx(5000)  # rests at its end
    light.value = 80
    assert told == [145, 123.4, 90_000] and light.field.value == light.slider.value == 80


def test_a_page_that_snaps_the_slider_changes_nothing(light):
    told = []
    light.on_change(told.append)
    light.value = 120
    light.slider.set_state({"value": 10**2.08})  # the nearest step to 120, sent back
    assert told == [] and light.value == 120
    light.slider.set_state({"value": 10**2.1})  # the next one
    assert told == [126]
    assert (two_digits(4712), two_digits(1.2345), two_digits(98.7)) == (4700, 1.23, 99)


def test_controls_are_named_and_explained(light, panel):
    assert light.name == "Light (lux)"
    assert light._front.attributes(light.slider)["aria-label"] == "Light (lux)"
    for control in (panel.lux, panel.room, panel.screen, panel.contrast, panel.glass, panel.place):
        named = panel.front.attributes(control.field)
        assert named["aria-label"] == control.name and len(named["title"]) > 20


# the check sheet ---------------------------------------------------------------------------


def test_the_check_sheet_is_shown_on_request(panel, plan):
    assert panel.sheet_parts.layout.display == "none" and not panel.sheet.image.value
    panel.sheet_shown.field.value = True
    assert panel.sheet_parts.layout.display == "" and panel.sheet.settled
    first = shown(panel.sheet)
    assert set(NEAR_BLACK) <= set(np.unique(first[round(0.39 * len(first)), :300]))
    plan.paper = plan.papers[1]
    assert not np.array_equal(shown(panel.sheet), first)
    panel.sheet_shown.field.value = False
    assert panel.sheet_parts.layout.display == "none"


def test_the_check_sheet_is_written_and_never_over_another(panel, tmp_path):
    panel.saving.folder.field.value = str(tmp_path)
    for _ in range(2):
        panel.saving.buttons["sheet"].click()
        assert panel.front.scheduler.wait_until_idle()
    written = sorted(path.name for path in tmp_path.iterdir())
    assert written == ["screen-check-Shiny-b-2.html", "screen-check-Shiny-b.html"]
    assert panel.saving.said.kind == "remark" and str(tmp_path) in panel.saving.said.text
    assert "Shiny &lt;b&gt;" in (tmp_path / written[1]).read_text(encoding="utf-8")


def test_a_folder_that_is_none_is_told(panel, tmp_path):
    panel.saving.buttons["sheet"].click()
    assert panel.saving.said.kind == "problem" and "Type the folder" in panel.saving.said.text
    panel.saving.folder.field.value = str(tmp_path / "nowhere")
    panel.saving.buttons["sheet"].click()
    assert panel.front.scheduler.wait_until_idle() and "does not exist" in panel.saving.said.text
    with pytest.raises(OutputError, match="does not exist"):
        write_check_sheet(tmp_path / "nowhere", (95, 0, 0))


# on a desk ----------------------------------------------------------------------------------


def test_hidden_it_does_no_work_and_shown_it_has_no_knobs_of_the_desks(plan):
    front = parts.Front()
    worker = front.scheduler
    panel = ScreenPanel(plan, front)
    assert panel.answer.text == "" and not hasattr(panel, "paper")
    panel.show(True)
    assert "500 lux" in panel.answer.text
    panel.show(False)
    plan.illuminance_lux = 50.0
    assert "500 lux" in panel.answer.text
    panel.show(True)
    assert "50 lux" in panel.answer.text
    worker.close()


def test_nothing_is_drawn_twice(panel):
    panel.glass.field.value = "plain"
    panel.lux.field.value = 300
    contrasts, draws = panel.contrasts.image.number, panel.ladder.figure.still_draws
    panel.lux.field.value = 310
    assert panel.contrasts.image.number == contrasts  # a share of the same light
    assert panel.ladder.figure.still_draws == draws

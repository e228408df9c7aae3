"""The what-if panel, driven without a browser."""

import io
import time
from types import SimpleNamespace

import numpy as np
import pytest
from helpers import model_paper
from panel_helpers import settle, slide
from picture.makers import tiff_bytes
from PIL import Image

from workbench.analysis.what_if import (
    GRID_MOVING,
    GRID_RESTING,
    NAME,
    Settings,
    changes_words,
    compared,
    settings_of,
)
from workbench.analysis.words import lab_text
from workbench.errors import Cancelled, PaperError
from workbench.panels.what_if.panel import WhatIfPanel
from workbench.paper_readings import measured_paper
from workbench.picture import open_picture
from workbench.plan import Plan


@pytest.fixture(scope="module")
def papers():
    return (
        model_paper("Invented Gloss", (96.0, 0.2, -6.0), 2.3, "gloss", grid=9),
        model_paper("Invented Rag", (94.6, 0.6, 4.0), 1.6, "matte", grid=9),
    )


@pytest.fixture
def plan(papers):
    return Plan(papers=papers, paper=papers[1])


@pytest.fixture
def panel(plan, open_panel):
    return open_panel(WhatIfPanel, plan)


# -- the paper itself


@pytest.mark.parametrize("grid", [GRID_MOVING, GRID_RESTING])
def test_the_paper_measures_as_it_was_set(grid):
    settings = Settings(95.0, 0.5, 3.0, 1.7, -1.0, 1.5, 1.1, "matte")
    paper = settings.paper(grid)
    np.testing.assert_allclose(paper.white_lab, (95.0, 0.5, 3.0), atol=0.05)
    assert paper.black_density == pytest.approx(1.7, abs=0.02)
    np.testing.assert_allclose(paper.black_lab[1:], (-1.0, 1.5), atol=0.3)
    assert paper.contrast_ratio == pytest.approx(settings.contrast_ratio, rel=0.03)


def test_it_says_wherever_it_goes_that_it_is_a_model():
    paper = Settings().paper(GRID_MOVING)
    assert paper.invented and paper.name == NAME == paper.icc.description and "model" in NAME
    assert paper.notes.startswith("A model, not a measurement: white L* 96.0, a* 0.0, b* 0.0;")
    assert (paper.finish, paper.black_ink) == ("gloss", "photo black")
    assert Settings(finish="matte").paper(GRID_MOVING).black_ink == "matte black"


def test_density_and_lightness_of_black_are_two_scales_of_one_thing(panel):
    # CIE 15: L* = 116 (Y/Yn)^(1/3) - 16; Y is 0.1 at density 1, 0.01 at density 2
    for density, lightness in ((1.0, 116 * 0.1 ** (1 / 3) - 16), (2.0, 116 * 0.01 ** (1 / 3) - 16)):
        slide(panel.knobs.black_density, density)
        assert panel.knobs.black_lightness.value == pytest.approx(lightness, abs=1e-6)
        assert panel.knobs.settings.black_lab[0] == pytest.approx(lightness, abs=1e-6)
    slide(panel.knobs.black_lightness, 20.0)
    assert panel.knobs.black_density.value == pytest.approx(-np.log10(((20 + 16) / 116) ** 3))


def test_saturation_alone_changes_the_volume_and_nothing_else():
    grey, usual, strong = (Settings(saturation=s).paper(GRID_MOVING) for s in (0.6, 1.0, 1.3))
    assert grey.gamut_volume < usual.gamut_volume < strong.gamut_volume
    assert grey.white_lab == pytest.approx(strong.white_lab, abs=0.01)
    assert grey.black_density == pytest.approx(strong.black_density, abs=0.01)


def test_starting_points_come_from_any_paper_with_a_white_and_a_black(papers):
    start = settings_of(papers[1], Settings(saturation=1.2))
    assert start == Settings(94.6, 0.6, 4.0, 1.6, 0.0, 0.0, 1.2, "matte")
    read = measured_paper(
        "Read", (93.2, 0.4, 2.5), (17.3, 0.6, -1.1), illuminant="D50", observer_deg=2
    )
    start = settings_of(read, Settings(finish="satin"))
    assert start.white_lab == (93.2, 0.4, 2.5) and (start.black_a, start.black_b) == (0.6, -1.1)
    assert start.black_lab[0] == pytest.approx(17.3, abs=0.2) and start.finish == "satin"
    assert compared(read, start, None)[-1] == ("Gamut volume (absolute)", "–", "–")
    with pytest.raises(PaperError, match="white only"):
        settings_of(measured_paper("W", (93, 0, 2), illuminant="D50", observer_deg=2))


def test_the_start_has_the_figures_that_it_has_elsewhere():
    read = measured_paper(
        "Read", (93.24, 0.44, 2.5), (4.26, 0.6, -1.1), illuminant="D50", observer_deg=2
    )  # its density, 2.326, is 2.33 to the knob
    rows = {name: value for name, value, _ in compared(read, settings_of(read), None)}
    black, contrast = (
        next(rows[name] for name in rows if words in name) for words in ("colour (", "Contrast")
    )
    assert black == lab_text(read.black_lab)
    assert contrast == f"{read.contrast_ratio:.0f}:1" != f"{settings_of(read).contrast_ratio:.0f}:1"


def test_the_sentence_names_what_differs():
    start = Settings()
    words = changes_words(start, start, "A")
    assert words.startswith("As “A” in white and black")
    words = changes_words(start, Settings(white_b=-3.0), "A")
    assert words == "One property alone differs from “A”: the white's b* (−3.0)."
    words = changes_words(start, Settings(black_density=1.6, saturation=0.9, finish="matte"), "A")
    assert words == (
        "Differs from “A” in the density of its darkest printable colour (−0.60), the saturation (−10 %) and the finish "
        "(matte instead of gloss)."
    )


# -- the panel


def test_the_knobs_start_at_the_chosen_paper_and_leave_the_plan_alone(panel, plan, papers):
    assert panel.knobs.settings == settings_of(papers[1])
    slide(panel.knobs.white_b, -2.0)
    assert plan.papers == papers and plan.paper is papers[1]
    assert "One property alone" in panel.answer.widget.value
    assert "Not in use" in panel.answer.widget.value and panel.answer.mark == "a model"
    # another start
    panel.start.field.value = 0
    assert panel.knobs.settings == settings_of(papers[0])
    slide(panel.knobs.saturation, 70)
    panel.back.click()
    assert panel.knobs.settings == settings_of(papers[0])


def test_ticked_it_is_the_plans_paper_and_unticked_the_former_returns(panel, plan, papers):
    panel.use.field.value = True
    settle(panel)
    assert plan.paper.name == NAME and plan.papers == (*papers, plan.paper)
    np.testing.assert_allclose(plan.paper.white_lab, papers[1].white_lab, atol=0.1)
    first, plan.reference = plan.paper, plan.paper
    slide(panel.knobs.white_b, -8.0)
    settle(panel)
    assert plan.paper is not first and plan.papers == (*papers, plan.paper)
    assert plan.paper.white_lab[2] == pytest.approx(-8.0, abs=0.05)
    assert plan.reference is plan.paper
    # its volume is known now
    assert f"{round(plan.paper.gamut_volume, -3):,.0f}".replace(",", "\u2009") in panel.table.value
    panel.use.field.value = False
    assert plan.paper is papers[1] and plan.papers == papers
    assert plan.reference is None
    slide(panel.knobs.white_b, 2.0)
    settle(panel)
    assert plan.paper is papers[1]


def test_a_move_is_followed_at_once_and_closely_when_it_rests(panel, plan):
    panel.use.field.value = True
    settle(panel)
    built = []
    plan.observe(lambda change: built.append(change["new"]), names=["paper"])
    closely = len(Settings().paper(GRID_RESTING).profile)
    for value in (1.2, 1.7, 2.35):
        slide(panel.knobs.black_density, value)
        assert plan.paper.black_density == pytest.approx(value, abs=0.02)
        assert len(plan.paper.profile) < closely
    settle(panel)
    assert len(plan.paper.profile) == closely and plan.paper is built[-1]
    assert plan.paper.black_density == pytest.approx(2.35, abs=0.02)
    assert 4 <= len(built) <= 6 and all(paper.name == NAME for paper in built)
    # at rest nothing more is built
    panel.follow()
    settle(panel)
    assert plan.paper is built[-1]


def test_pixels_are_counted_for_the_paper_at_rest_only(panel, plan):
    counted = []

    def count(paper, exact=True, cancelled=None, progress=None):
        end = time.monotonic() + 0.5  # a busy machine is slow, too
        while exact and time.monotonic() < end:
            if cancelled():
                raise Cancelled
            time.sleep(0.01)
        if exact:
            counted.append(paper)
        return SimpleNamespace(exact=exact)

    plan.observe(lambda change: panel.front.counting.of(count, change["new"]), names=["paper"])
    panel.use.field.value = True
    for value in (-2.0, -4.0, -6.0):
        slide(panel.knobs.white_b, value)
    settle(panel)
    assert counted == [plan.paper]
    assert len(plan.paper.profile) == len(Settings().paper(GRID_RESTING).profile)


def test_choosing_another_paper_ends_its_use(panel, plan, papers):
    panel.use.field.value = True
    settle(panel)
    plan.paper = papers[0]
    assert panel.use.value is False and plan.papers == papers and plan.paper is papers[0]
    slide(panel.knobs.white_b, 5.0)
    settle(panel)
    assert plan.paper is papers[0]


def test_the_former_paper_returns_in_its_present_form(panel, plan, papers):
    panel.use.field.value = True
    settle(panel)
    heavier = papers[1].with_details(weight_g_m2=340)
    plan.swap(papers[1], heavier)
    panel.use.field.value = False
    assert plan.paper is heavier


def test_impossible_knobs_are_explained_and_the_last_paper_stays(panel, plan):
    panel.use.field.value = True
    settle(panel)
    panel.knobs.lightness.field.value = 62.0
    panel.knobs.black_density.field.value = 0.5
    settle(panel)
    assert panel.status.kind == "problem" and "20 L* below the white" in panel.status.text
    assert plan.paper.black_density == pytest.approx(1.6, abs=0.01)
    panel.knobs.black_density.field.value = 1.5
    settle(panel)
    assert panel.status.kind != "problem" and plan.paper.white_lab[0] == pytest.approx(62, abs=0.1)


def test_every_knob_has_its_unit_and_an_explanation(panel):
    knobs = panel.knobs
    for knob, name in (
        (knobs.lightness, "White: lightness (L*, absolute)"),
        (knobs.white_a, "White: green to pink (a*, absolute)"),
        (knobs.white_b, "White: blue to yellow (b*, absolute)"),
        (knobs.black_density, "Darkest printable colour: density (D, absolute)"),
        (knobs.black_lightness, "Darkest printable colour: lightness (L*, absolute)"),
        (knobs.saturation, "Saturation of the inks (%)"),
    ):
        marks = panel.front.attributes(knob.slider)
        assert marks["aria-label"] == name and len(marks["title"]) > 12


def test_alone_it_shows_the_picture_on_the_paper(papers):
    pixels = np.full((40, 60, 3), 200, np.uint8)
    pixels[:, :30] = (30, 90, 160)
    picture = open_picture(tiff_bytes(pixels), "sRGB", name="field.tif")
    plan = Plan(picture=picture, papers=papers, paper=papers[1])
    plan.reference, plan.adaptation = "brightened card", 0.0
    panel = WhatIfPanel(plan)

    def grey():
        image = Image.open(io.BytesIO(bytes(panel.picture.image.value))).convert("RGB")
        return np.asarray(image, float)[20, 50]

    before = grey()
    panel.use.field.value = True
    slide(panel.knobs.white_b, -10.0)
    settle(panel)
    after = grey()
    # a bluer paper: blue gains on red
    assert after[2] - after[0] > before[2] - before[0] + 10
    assert NAME in panel.front.attributes(panel.picture.image)["alt"]
    panel.front.scheduler.close()

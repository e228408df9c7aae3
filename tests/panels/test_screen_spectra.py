"""The fold of other lights: shown where spectra are, and how to get there where they are not."""

import re

import numpy as np
import pytest
from spectra import BLACK, WHITE, bright_file, invented_white, spectral_file, with_readings

from workbench.analysis.illuminants import USUAL_LIGHTS, tint_under_lights
from workbench.analysis.words import signed
from workbench.colour.inkmodel import model_profile
from workbench.panels.screen.panel import ScreenPanel
from workbench.panels.screen.spectra import NO_SPECTRA, paper_with_spectra
from workbench.paper import Paper
from workbench.paper_readings import open_measured_paper
from workbench.picture.opening import from_pixels
from workbench.plan import Plan


@pytest.fixture(scope="module")
def papers():
    plain = model_profile((96, 1.4, -3.5), 2.0, grid=9)
    return Paper("Plain <b>", plain), Paper("Kept", with_readings(plain, bright_file()))


@pytest.fixture(scope="module")
def measured():
    return open_measured_paper(bright_file(), "Invented <i>Bright", invented=True)


@pytest.fixture
def plan(papers):
    rng = np.random.default_rng(5)
    picture = from_pixels(rng.integers(0, 256, (60, 90, 3), dtype=np.uint8), "sRGB", name="x")
    return Plan(papers=papers, paper=papers[0], picture=picture)


@pytest.fixture
def panel(plan):
    made = ScreenPanel(plan)
    yield made
    made.front.scheduler.close()


def opened(panel):
    panel.spectra.fold.button.click()
    assert panel.front.scheduler.wait_until_idle()
    return panel.spectra


def test_closed_it_works_nothing_out(panel, plan, papers):
    plan.paper = papers[1]
    assert panel.front.scheduler.wait_until_idle()
    assert panel.spectra.result is None and not panel.spectra.plot.image.value


def test_without_spectra_it_says_how_to_get_them(panel):
    fold = opened(panel)
    assert fold.none.layout.display == "" and fold.found.layout.display == "none"
    assert NO_SPECTRA in fold.none.value and fold.result is None


def test_a_profile_with_its_readings_is_enough(panel, plan, papers):
    fold = opened(panel)
    plan.paper = papers[1]
    assert panel.front.scheduler.wait_until_idle()
    assert fold.none.layout.display == "none" and fold.found.layout.display == ""
    found = tint_under_lights(papers[1])
    assert fold.result == found and fold.answer.text == found.sentence
    assert fold.answer.mark == "spectra" and found.caveat in fold.caveat.value
    assert "this paper&#x27;s profile was made from" in fold.answer.widget.value
    assert fold.plot.image.value and fold.plot.alt == fold.plot.figure.alt_text(found)
    rows = re.findall(r'<tr><th scope="row">(.*?)</th>', fold.table.value)
    assert rows == list(USUAL_LIGHTS)
    plan.paper = papers[0]
    assert panel.front.scheduler.wait_until_idle()
    assert fold.found.layout.display == "none"


def test_readings_that_were_opened_stand_in_and_say_whose_they_are(panel, plan, measured):
    plan.measured_paper = measured
    fold = opened(panel)
    said = fold.answer.widget.value
    assert fold.result == tint_under_lights(measured)
    assert "whose white is that of Plain &lt;b&gt; to 0." in said and "<i>Bright" not in said
    duller = 0.8 * invented_white()
    plan.measured_paper = open_measured_paper(
        spectral_file((WHITE, duller), (BLACK, 0 * duller + 0.01)), "Other"
    )
    assert panel.front.scheduler.wait_until_idle()
    assert re.search(r"Their white lies \d\.\d CIEDE2000 from that of", fold.answer.widget.value)


def test_the_chosen_papers_own_spectrum_goes_first(papers, measured):
    assert paper_with_spectra(papers[1], measured) is papers[1]
    assert paper_with_spectra(papers[0], measured) is measured
    assert paper_with_spectra(papers[0], None) is None


def test_the_other_observer_gives_other_tints(panel, plan, measured):
    plan.measured_paper = measured
    fold = opened(panel)
    table, plot = fold.table.value, fold.plot.image.value
    fold.observer.field.value = 10
    assert panel.front.scheduler.wait_until_idle()
    assert fold.result == tint_under_lights(measured, observer=10)
    assert fold.table.value != table and fold.plot.image.value != plot


def test_nothing_is_worked_out_twice(panel, plan, measured, monkeypatch):
    plan.measured_paper = measured
    fold = opened(panel)
    first = fold.result
    plan.illuminance_lux = 120.0
    fold.fold.button.click()
    fold.fold.button.click()
    assert panel.front.scheduler.wait_until_idle() and fold.result is first


def test_controls_are_named_and_explained(panel):
    named = panel.front.attributes(panel.spectra.observer.field)
    assert named["aria-label"] == "Observer" and len(named["title"]) > 20
    assert panel.front.attributes(panel.spectra.fold.button)["aria-expanded"] == "false"


def test_every_row_says_its_figures(panel, plan, measured):
    plan.measured_paper = measured
    fold = opened(panel)
    for tint in fold.result.tints:
        row = re.search(rf'<th scope="row">{tint.name}</th>(.*?)</tr>', fold.table.value)[1]
        row = row.replace("\u00a0", " ")
        assert tint.tint in row and f"b* {signed(tint.lab[2])}" in row
        assert (f"<td>{tint.shift_ciede2000:.1f}</td>" in row) == (tint.name != "D50")

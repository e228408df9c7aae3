"""Readings without a profile, typed or from a file, in the panel."""

import pytest
from helpers import DATA

from workbench.panels import parts
from workbench.panels.sources.readings import Readings
from workbench.plan import Plan


@pytest.fixture
def readings():
    return Readings(parts.Front())


def test_typed_readings_of_a_press_sheet(readings):
    # FOGRA39 white 95 0 -2 and solid black 16 0 0: density 1.68, contrast 42 (Fogra)
    readings.white.field.value = "95, 0, -2"
    readings.black.field.value = "16 0 0"
    readings.work_out()
    shown = readings.facts.value.replace("\u00a0", " ")
    assert "1.68" in shown and "42 : 1" in shown and "slightly cool" in shown
    assert "need a profile" in readings.status.text


def test_decimal_commas_and_a_white_alone(readings):
    readings.white.field.value = "95,2 0,4 −3,1"
    readings.work_out()
    assert readings.paper.white_lab == pytest.approx((95.2, 0.4, -3.1), abs=0.01)
    assert "Density" not in readings.facts.value


def test_xyz_for_another_light_is_an_estimate(readings):
    readings.kind.field.value = "XYZ"
    readings.illuminant.field.value = "D65"
    readings.white.field.value = "84.0 88.0 95.0"
    readings.work_out()
    assert readings.paper.white.estimated


def test_a_measurement_file(readings):
    readings.file.open(str(DATA / "FOGRA47L_extract.txt"))
    # FOGRA47 uncoated: white 95 0 -2, solid black density 1.18 (Fogra)
    assert readings.paper.white_lab == pytest.approx((95, 0, -2), abs=0.3)
    assert readings.paper.black_density == pytest.approx(1.18, abs=0.02)


@pytest.mark.parametrize("typed", ["", "95 0", "paper", "1 2 3 4", "10 0 0"])
def test_nonsense_gets_a_sentence_and_keeps_what_was_shown(readings, typed):
    readings.white.field.value = "95 0 -2"
    readings.work_out()
    before = readings.facts.value
    readings.white.field.value = typed
    parts.guarded(readings.status)(readings.work_out)()
    assert readings.status.kind == "problem" and readings.status.text.endswith(".")
    assert readings.facts.value == before


def test_a_file_that_holds_no_measurements(readings, tmp_path):
    path = tmp_path / "notes.txt"
    path.write_text("only words")
    before = readings.facts.value
    parts.guarded(readings.file.status)(lambda: readings.file.open(str(path)))()
    assert readings.file.status.kind == "problem"
    assert readings.facts.value == before


def test_the_plan_gets_the_readings_for_what_needs_their_spectra():
    plan = Plan()
    readings = Readings(parts.Front(), plan)
    readings.white.field.value = "95 0 -2"
    readings.work_out()
    assert plan.measured_paper is readings.paper is not None

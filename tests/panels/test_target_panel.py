"""The target panel without a browser: it writes, reads, judges, and says what is wrong."""

from types import SimpleNamespace

import numpy as np
import pytest
import tifffile
from panel_helpers import settle
from target.makers import coated_paper, file_of, matte_paper, matte_target

from workbench.panels.outcome import Outcome
from workbench.panels.target.panel import TargetPanel
from workbench.paper_readings import measured_paper
from workbench.plan import Plan
from workbench.readings import reading
from workbench.target.draw import target_path, target_picture, write_target
from workbench.target.measured import read_measured
from workbench.target.patches import target_for
from workbench.target.tolerances import TOLERANCES
from workbench.target.verdict import verdict


@pytest.fixture
def plan():
    papers = matte_paper(), coated_paper()
    return Plan(papers=papers, paper=papers[0])


@pytest.fixture
def panel(plan, open_panel):
    return open_panel(TargetPanel, plan)


@pytest.fixture(scope="module")
def files(tmp_path_factory):
    """Measurement files: as expected, warmer, and one that ends too early."""
    folder = tmp_path_factory.mktemp("measured")
    target = matte_target()
    warm = target.reference_lab + np.where(target.neutrals[:, None], (0, 0, 2.5), 0)
    made = SimpleNamespace(folder=folder)
    for name, data in (
        ("right", file_of(target, target.reference_lab)),
        ("warm", file_of(target, warm)),
        ("short", file_of(target, warm)[:900]),
        ("silent", b"\n".join(
            s for s in file_of(target, warm).split(b"\n") if b"degree" not in s and b"D50" not in s
        )),
    ):  # fmt: skip
        path = folder / f"{name}.txt"
        path.write_bytes(data)
        setattr(made, name, str(path))
    return made


def opened(panel, chooser, path) -> None:
    chooser.open(path)
    settle(panel)


def shown(part) -> bool:
    return part.layout.display != "none"


def test_it_waits_for_a_paper_with_a_profile(panel, plan):
    plan.paper = None
    assert panel.status.text.startswith("Choose a paper")
    white = reading(lab=(95, 0, 0), illuminant="D50", observer_deg=2)
    plan.paper = measured_paper("Only read", white)
    assert "needs a profile" in panel.status.text
    panel.saving.buttons["target"].click()
    settle(panel)
    assert "folder" in panel.saving.said.text or "needs a profile" in panel.saving.said.text


def test_the_page_is_shown_as_it_will_be(panel):
    assert panel.page.image.value and "About 17 × 13 cm" in panel.page._caption.value.replace(
        "\u00a0", " "
    )
    panel.patch.field.value = 18
    assert "34 × 27 cm" in panel.page._caption.value.replace("\u00a0", " ")


def test_it_writes_the_target_and_its_reference(panel, plan, tmp_path):
    plan.printer_ppi = 150.0
    panel.saving.folder.field.value = str(tmp_path)
    panel.saving.buttons["target"].click()
    settle(panel)
    assert panel.saving.said.text == f"Written: {tmp_path / 'target Rag.tif'}"
    with tifffile.TiffFile(tmp_path / "target Rag.tif") as tiff:
        assert tiff.pages[0].bitspersample == 16
        assert tiff.pages[0].iccprofile == plan.paper.profile
    assert (tmp_path / "target Rag-reference.txt").exists()
    assert "own colour conversion off" in panel.saving.notes.value
    panel.saving.buttons["target"].click()
    settle(panel)
    assert (tmp_path / "target Rag-2.tif").exists()


def test_the_target_dries_as_long_as_its_paper_does(panel, plan, tmp_path):
    assert "dry for a day" in panel.about.value
    old = plan.paper
    plan.swap(old, old.with_details(drying_hours=36))
    settle(panel)
    assert "dry for 36 hours" in panel.about.value
    for paper, time in ((plan.paper, "36 hours before"), (old, "a day before")):
        written = write_target(paper, tmp_path / f"{time}.tif", ppi=100)
        assert any(time in each for each in written.sentences)


def test_what_is_wrong_with_the_folder_stands_beside_it(panel, tmp_path):
    for typed, said in (("", "Type the folder"), (str(tmp_path / "no"), "does not exist")):
        panel.saving.folder.field.value = typed
        panel.saving.buttons["target"].click()
        settle(panel)
        assert panel.saving.said.kind == "problem" and said in panel.saving.said.text
    panel.plan.printer_ppi = 150.0
    panel.sheet.field.value = "A5"
    panel.patch.field.value = 40
    panel.saving.folder.field.value = str(tmp_path)
    panel.saving.buttons["target"].click()
    settle(panel)
    assert panel.saving.said.kind == "problem" and "larger sheet" in panel.saving.said.text
    assert list(tmp_path.iterdir()) == []


def test_measurements_get_the_verdict_of_the_functions(panel, files):
    assert not shown(panel.answers)
    opened(panel, panel.measured_file, files.warm)
    assert shown(panel.answers) and panel.answer.mark == "measured"
    found = verdict(panel.measured, matte_target())
    assert panel.answer.text == found.sentence and not found.passed
    assert "slightly too warm" in panel.said.value or "too warm" in panel.said.value
    assert "common practice, no source" in panel.limits_table.value
    assert panel.patches_table.value.count("<tr>") == 73
    for view in (panel.limits, panel.patches, panel.shifts):
        assert view.image.value and view.alt
    assert "Read from “warm”" in panel.how_read.value


def test_the_plan_holds_verdict_and_measurements_for_the_record(panel, plan, files):
    opened(panel, panel.measured_file, files.warm)
    assert Outcome.of(plan).verdict.sentence == panel.answer.text
    again = read_measured(Outcome.of(plan).measurements.encode(), matte_target())
    # the text has four decimals
    assert np.allclose(again.lab, panel.measured.lab, atol=1e-3)
    opened(panel, panel.measured_file, files.short)
    assert Outcome.of(plan).verdict is None and Outcome.of(plan).measurements == ""


def test_other_limits_judge_anew(panel, files):
    opened(panel, panel.measured_file, files.right)
    assert "keeps within all limits of “Careful home print”" in panel.answer.text
    panel.tolerances.field.value = TOLERANCES[1].name
    settle(panel)
    assert "ISO 12647-7" in panel.answer.text
    assert "a yardstick only" in panel.said.value
    assert "secondary sources" in panel.limits_table.value


def test_another_paper_reads_the_file_for_it(panel, plan, files):
    opened(panel, panel.measured_file, files.right)
    assert panel.judged.passed
    plan.paper = plan.papers[1]
    settle(panel)
    assert not panel.judged.passed and panel.measured.target.paper_name == "Coated"
    plan.paper = plan.papers[0]
    settle(panel)
    assert panel.judged.passed


def test_a_file_that_cannot_be_used_takes_the_verdict_away(panel, files):
    opened(panel, panel.measured_file, files.right)
    opened(panel, panel.measured_file, files.short)
    assert panel.status.kind == "problem" and "ends before" in panel.status.text
    assert not shown(panel.answers) and panel.judged is None


def test_light_that_the_file_does_not_state(panel, files):
    opened(panel, panel.measured_file, files.silent)
    assert "State the illuminant" in panel.status.text
    panel.take_d50.field.value = True
    settle(panel)
    assert panel.judged is not None and panel.status.kind != "problem"


def test_drift_against_an_earlier_file(panel, files):
    opened(panel, panel.before_file, files.right)
    assert "Open the new measurements" in panel.status.text
    opened(panel, panel.measured_file, files.warm)
    assert shown(panel.drift_part) and panel.moved.before_name == "right"
    assert panel.drift_answer.text == panel.moved.sentence
    assert "warmer" in panel.drift_said.value
    assert "before to now" in panel.drift_shifts.alt


def test_an_earlier_file_that_cannot_be_used_leaves_the_verdict(panel, files):
    opened(panel, panel.measured_file, files.right)
    opened(panel, panel.before_file, files.short)
    assert panel.status.kind == "problem" and "ends before" in panel.status.text
    assert panel.status.text.startswith("The earlier measurements are left out.")
    assert (
        shown(panel.answers)
        and panel.judged.passed
        and Outcome.of(panel.plan).verdict is panel.judged
    )
    assert not shown(panel.drift_part)
    opened(panel, panel.before_file, files.warm)
    assert panel.status.kind != "problem" and shown(panel.drift_part)


def test_a_sent_file_keeps_its_name_and_is_escaped(panel, files):
    with open(files.right, "rb") as stream:
        panel._choose(("<b>may.txt", stream.read()), "_now")
    settle(panel)
    assert panel.measured.name == "<b>may"
    assert "<b>" not in panel.how_read.value and "&lt;b&gt;may" in panel.how_read.value


def test_a_scan_is_judged_with_its_caveat(panel, tmp_path):
    written = write_target(matte_paper(), tmp_path / "t.tif", ppi=150)
    # a printer and a scanner without any fault: the file itself, with the paper's profile, is
    # no picture of a scanner's, so the page is drawn in the target's own space instead
    drawn = target_picture(written.target, ppi=100).picture
    path = tmp_path / "scan.tif"
    tifffile.imwrite(path, drawn.pixels(), photometric="rgb", iccprofile=drawn.profile)
    opened(panel, panel.scan_file, str(path))
    assert panel.answer.mark == "a scan, not a measurement"
    assert (
        Outcome.of(panel.plan).verdict is panel.judged and Outcome.of(panel.plan).measurements == ""
    )
    assert "is not a measurement" in panel.how_read.value
    plain = tmp_path / "plain.tif"
    tifffile.imwrite(plain, drawn.pixels(), photometric="rgb")
    opened(panel, panel.scan_file, str(plain))
    assert "has no colour profile" in panel.status.text
    panel.assume.field.value = "eciRGB v2"
    settle(panel)
    assert panel.judged is not None and "was assumed" in panel.how_read.value


def test_names_of_papers_make_safe_file_names(tmp_path):
    path = target_path(tmp_path, "../Rag <b>/ 247 g")
    assert path.parent == tmp_path and path.suffix == ".tif"


def test_alone_the_panel_has_its_own_knobs(panel, plan):
    assert panel.paper.field.options[1][0] == "2. Coated"
    panel.paper.field.value = 1
    assert plan.paper is plan.papers[1]
    panel.intent.field.value = "perceptual"
    assert plan.intent == "perceptual"


def test_hidden_it_does_nothing(plan, files):
    made = TargetPanel(plan)
    opened(made, made.measured_file, files.right)
    made.show(False)
    was = made.measured
    plan.paper = plan.papers[1]
    assert made.front.scheduler.wait_until_idle() and made.measured is was
    made.show(True)
    assert made.front.scheduler.wait_until_idle() and made.measured.target.paper_name == "Coated"
    made.front.scheduler.close()
    assert target_for(plan.paper).paper_name == "Coated"

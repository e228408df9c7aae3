"""From a plan file to a folder with print file and job sheet: exact, and whole or not at all."""

from __future__ import annotations

import hashlib
import os
import random
import shutil
import signal
import subprocess
import sys
import time
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import tifffile
from output.makers import facts, matte_paper, save_picture, scene

import workbench as wb
from workbench import run
from workbench.colour.spaces import standard_profile
from workbench.errors import Cancelled, OutputError, PlanError, SizeError
from workbench.output.print_file import write_print_file
from workbench.plan import Plan
from workbench.plan_file import open_plan, plan_text, save_plan
from workbench.run import run_plan, write_job_sheet

ROOT = Path(__file__).parents[1]
STEM = "harbour on Invented matte"
NAMES = [
    "Invented matte.icc",
    f"{STEM} job sheet.html",
    f"{STEM} job sheet.pdf",
    f"{STEM} plan.toml",
    f"{STEM}.tif",
]


@pytest.fixture
def plan(tmp_path):
    """A small picture on the matte paper; 180 x 120 pixels at 90 ppi, printed at 150."""
    return Plan(
        picture=save_picture(tmp_path, scene(180, 120)),
        paper=matte_paper(),
        papers=(matte_paper(),),
        ppi=90.0,
        printer_ppi=150.0,
        border_mm=5.0,
        notes="Try the gloss.",
    )


@pytest.fixture
def saved(plan, tmp_path):
    return save_plan(plan, tmp_path / "harbour.toml")


def names_in(folder) -> list[str]:
    return sorted(path.name for path in Path(folder).iterdir())


def digest(path) -> str:
    return hashlib.sha256(Path(path).read_bytes()).hexdigest()


def command(*arguments, folder=ROOT):
    return subprocess.run(
        [sys.executable, "-m", "workbench", "run", *map(str, arguments)],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        timeout=120,
    )


# -- what is written


def test_run_writes_what_the_plan_says(plan, saved, tmp_path):
    told = []
    result = run_plan(saved, tmp_path / "out", progress=told.append)
    assert names_in(tmp_path / "out") == NAMES
    assert sorted(path.name for path in result.paths) == NAMES[1:]
    assert told == sorted(told) and told[-1] == 1.0 and len(told) > 2
    direct = write_print_file(plan, tmp_path / "direct.tif")
    assert digest(result.written.path) == digest(tmp_path / "direct.tif") == direct.checksum
    # the sheet is that of this file
    html = result.html_path.read_text("utf-8")
    assert direct.checksum in html and "Try the gloss." in html
    assert html.count("data:image/png;base64,") == 1
    assert result.pdf_path.read_bytes().startswith(b"%PDF")
    assert any("job sheet" in sentence for sentence in result.sentences)
    assert all(s.endswith(".") for s in result.sentences)


def test_files_can_be_named(saved, tmp_path):
    result = run_plan(saved, tmp_path / "out", name="Hall / north")
    assert {path.name for path in result.paths} == {
        f"Hall north{end}" for end in (".tif", " job sheet.html", " job sheet.pdf", " plan.toml")
    }


def test_copy_of_the_plan_prints_the_same_again(saved, tmp_path):
    first = run_plan(saved, tmp_path / "out")
    again = run_plan(first.plan_path, tmp_path / "again")
    assert again.written.checksum == first.written.checksum
    for one, other in zip(first.paths[1:3], again.paths[1:3], strict=True):
        assert digest(one) == digest(other)
    # and in its own folder, where the plan is already
    before = digest(first.plan_path)
    run_plan(first.plan_path, tmp_path / "out", overwrite=True)
    assert digest(first.plan_path) == before and names_in(tmp_path / "out") == NAMES


def test_copy_names_only_papers_that_have_a_part(plan, tmp_path):
    other = wb.demo_papers()[0]
    plan.papers = (*wb.demo_papers(), matte_paper())
    plan.other_paper = other
    result = run_plan(plan, tmp_path / "out")
    kept = open_plan(result.plan_path)
    assert [paper.name for paper in kept.papers] == [other.name, "Invented matte"]
    assert kept.other_paper is other
    # the plan itself is as it was
    assert len(plan.papers) == len(wb.demo_papers()) + 1


def test_command_reproduces_the_pixels_and_the_size(plan, saved, tmp_path):
    done = command(saved, "--to", "out", folder=tmp_path)
    assert done.returncode == 0, done.stderr
    assert done.stderr == ""
    assert names_in(tmp_path / "out") == NAMES
    direct = write_print_file(plan, tmp_path / "direct.tif")
    ours, theirs = (
        tifffile.imread(path) for path in (tmp_path / "out" / NAMES[-1], tmp_path / "direct.tif")
    )
    assert ours.dtype == theirs.dtype and ours.tobytes() == theirs.tobytes()
    # read by exiftool where there is one: the plan's size to the pixel.  180 pixels at 90 ppi
    # are 2 in, 300 print pixels; 5 mm at 150 ppi are 29.5, so 30, on each side
    found = facts(tmp_path / "out" / NAMES[-1])
    assert found["size"] == (300 + 60, 200 + 60) == (direct.width_px, direct.height_px)
    assert found["ppi"] == pytest.approx(150)
    size = plan.print_size()
    assert size.width_mm == pytest.approx(50.8)
    # plain lines: tenths, then what was done
    lines = done.stdout.splitlines()
    tenths = [int(line.removesuffix(" %")) for line in lines if line.endswith(" %")]
    assert tenths == sorted(set(tenths)) and tenths[-1] == 100
    assert direct.sentences[1] in lines
    assert lines[-1] == f"All is in {tmp_path / 'out'}."


def test_command_needs_no_browser_and_no_notebook():
    code = (
        "import sys; import workbench.run; print([m for m in "
        "('ipywidgets', 'jupyterlab', 'IPython', 'notebook') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True)
    assert done.stdout.strip() == "[]", done.stderr


# -- what goes wrong


def test_files_that_are_there_are_not_replaced_unasked(saved, tmp_path):
    out = tmp_path / "out"
    first = run_plan(saved, out)
    before = {path.name: digest(path) for path in out.iterdir()}
    with pytest.raises(OutputError, match="already"):
        run_plan(saved, out)
    assert {path.name: digest(path) for path in out.iterdir()} == before
    # one of them is enough to write none
    first.written.path.unlink()
    with pytest.raises(OutputError, match="job sheet.html” already"):
        run_plan(saved, out)
    assert not first.written.path.exists()
    done = command(saved, "--to", out)
    assert done.returncode == 1 and done.stderr.count("\n") == 1
    assert "already" in done.stderr and "--overwrite" in done.stderr
    done = command(saved, "--to", out, "--overwrite")
    assert done.returncode == 0, done.stderr
    assert digest(first.written.path) == first.written.checksum


def test_picture_itself_is_never_written_over(plan, tmp_path):
    # a folder in which the print file would have the picture's own name
    name = f"{STEM}.tif"
    (tmp_path / "harbour.tif").rename(tmp_path / name)
    plan.picture = replace(wb.open_picture(tmp_path / name), name="harbour.tif")
    before = digest(tmp_path / name)
    with pytest.raises(OutputError, match="picture itself"):
        run_plan(plan, tmp_path, overwrite=True)
    assert digest(tmp_path / name) == before and names_in(tmp_path) == [name]


def test_changed_picture_stops_the_run_unless_it_is_accepted(saved, tmp_path):
    tifffile.imwrite(
        tmp_path / "harbour.tif", scene(90, 60), photometric="rgb",
        iccprofile=standard_profile("sRGB"),
    )  # fmt: skip
    done = command(saved, "--to", tmp_path / "out")
    assert done.returncode == 1 and "has changed" in done.stderr
    assert "--accept-changes" in done.stderr and "Traceback" not in done.stderr
    assert not (tmp_path / "out").exists()
    result = run_plan(saved, tmp_path / "out", accept_changes=True)
    assert "has changed" in result.sentences[0]
    assert result.written.width_px == 150 + 60


def test_unknown_keys_are_told_with_the_result(saved, tmp_path):
    saved.write_text(saved.read_text("utf-8") + '\n[frame]\nwood = "oak"\n', "utf-8")
    assert "“frame”" in run_plan(saved, tmp_path / "out").sentences[0]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("nothing", "not whole"),
        ("workbench_plan = 9", "newer workbench"),
        ("workbench_plan = 1", "no picture"),
        ("workbench_plan = 1\n[size]\nppi = nan", "“ppi”"),
    ],
)
def test_plan_that_cannot_be_run_is_one_sentence(text, said, tmp_path):
    (tmp_path / "plan.toml").write_text(text)
    with pytest.raises((PlanError, OutputError), match=said):
        run_plan(tmp_path / "plan.toml", tmp_path / "out")
    assert not (tmp_path / "out").exists()


def test_plan_that_does_not_add_up_leaves_no_folder(plan, tmp_path):
    plan.sheet, plan.size_from = "A99", "sheet"
    with pytest.raises(SizeError, match="A99"):
        run_plan(plan, tmp_path / "out")
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize("folder", ["harbour.tif", "a\0b", 3])
def test_folder_that_is_none_is_told(plan, folder, tmp_path):
    with pytest.raises(OutputError):
        run_plan(plan, folder if folder == 3 else tmp_path / folder)
    assert names_in(tmp_path) == ["harbour.tif"]


# -- half-way


def test_cancelled_at_any_step_it_leaves_nothing(plan, tmp_path):
    asked = [0]

    def never() -> bool:
        asked[0] += 1
        return False

    run_plan(plan, tmp_path / "whole", cancelled=never)
    # inside the print file, after it, and between the files of the sheet
    assert asked[0] >= 6
    for step in range(asked[0]):
        left = [step]

        def cancelled(left=left) -> bool:
            left[0] -= 1
            return left[0] < 0

        with pytest.raises(Cancelled):
            run_plan(plan, tmp_path / "out", cancelled=cancelled)
        assert names_in(tmp_path) == ["harbour.tif", "whole"]


@pytest.mark.parametrize("broken", ["job_sheet_pdf", "save_plan", "png_of"])
def test_failure_after_the_print_file_takes_it_back(plan, broken, tmp_path, monkeypatch):
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "mine.txt").write_text("mine")

    def fails(*args, **options):
        raise OutputError("The disk is full.")

    monkeypatch.setattr(run, broken, fails)
    with pytest.raises(OutputError, match="full"):
        run_plan(plan, tmp_path / "out")
    assert names_in(tmp_path / "out") == ["mine.txt"]


def test_failure_takes_every_folder_back_that_was_made(plan, tmp_path):
    with pytest.raises(Cancelled):
        run_plan(plan, tmp_path / "one" / "two" / "three", cancelled=lambda: True)
    assert names_in(tmp_path) == ["harbour.tif"]


def test_failure_does_not_take_away_what_it_replaced(plan, tmp_path, monkeypatch):
    result = run_plan(plan, tmp_path / "out")
    plan.intent = "perceptual"
    monkeypatch.setattr(run, "save_plan", lambda *a, **o: (_ for _ in ()).throw(OutputError("No.")))
    with pytest.raises(OutputError, match="No"):
        run_plan(plan, tmp_path / "out", overwrite=True)
    assert names_in(tmp_path / "out") == NAMES
    assert digest(result.written.path) != result.written.checksum


@pytest.mark.slow
@pytest.mark.skipif(not hasattr(os, "fork"), reason="this system cannot split a process")
def test_killed_at_any_moment_it_never_leaves_a_half_file(plan, tmp_path):
    """Kill the run 24 times; whatever stands under a final name is the whole file."""
    out, kills = tmp_path / "out", 24
    start = time.perf_counter()
    whole = {path.name: digest(path) for path in run_plan(plan, out).paths}
    run_plan(plan, out, overwrite=True)
    took = (time.perf_counter() - start) / 2
    moments, part, half = random.Random(5), 0, 0
    for _ in range(kills):
        shutil.rmtree(out)
        child = os.fork()
        if child == 0:
            try:
                run_plan(plan, out)
            finally:
                os._exit(0)
        time.sleep(moments.uniform(0, min(1.1 * took, 0.45)))
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        out.mkdir(exist_ok=True)
        names = [name for name in names_in(out) if not name.endswith(".unfinished")]
        half += len(names) < len(names_in(out))
        for name in names:
            if name in whole:
                assert digest(out / name) == whole[name]
            else:
                assert (out / name).read_bytes() == plan.paper.profile
        part += 0 < len(names) < len(NAMES)
    # the kills did fall into the writing
    assert half + part >= 3, (half, part, took)


# -- the job sheet alone


def test_job_sheet_alone_takes_a_free_name(plan, tmp_path):
    first = write_job_sheet(plan, tmp_path)
    assert [path.name for path in first] == NAMES[1:3]
    assert "not written yet" in first[0].read_text("utf-8")
    second = write_job_sheet(plan, tmp_path)
    assert [path.name for path in second] == [f"{STEM} job sheet-2.html", f"{STEM} job sheet-2.pdf"]
    assert digest(first[0]) == digest(second[0])
    written = write_print_file(plan, tmp_path / "mine.tif")
    named = write_job_sheet(plan, tmp_path, written)
    assert named[0].name == "mine job sheet.html"
    assert written.checksum in named[0].read_text("utf-8")


def test_job_sheet_is_written_as_two_files_or_none(plan, tmp_path, monkeypatch):
    real = run.save_new

    def fails(folder, stem, suffix, data):
        if suffix == ".pdf":
            raise OutputError("The disk is full.")
        return real(folder, stem, suffix, data)

    monkeypatch.setattr(run, "save_new", fails)
    with pytest.raises(OutputError, match="full"):
        write_job_sheet(plan, tmp_path)
    assert names_in(tmp_path) == ["harbour.tif"]
    with pytest.raises(OutputError, match="does not exist"):
        write_job_sheet(plan, tmp_path / "nowhere")


@pytest.mark.parametrize(
    ("picture", "paper"),
    [
        ("a" * 190 + ".tif", "b" * 190),
        ("漢字" * 60, "漢字" * 60),
        ("a/b:c*?.jpg", 'd"<>|\\e.'),
        (".tif", "..."),
        ("CON.tif", " "),
        ("", "\N{GRINNING FACE}" * 90),
    ],
)
def test_names_from_anywhere_make_files_that_any_system_takes(picture, paper, plan, tmp_path):
    plan.picture = replace(plan.picture, name=picture)
    plan.paper = replace(plan.paper, name=paper)
    out = tmp_path / "out"
    out.mkdir()
    paths = write_job_sheet(plan, out)
    for path in paths:
        assert path.parent == out and path.is_file()
        assert len(path.name.encode()) < 250
        assert not set('\\/:*?"<>|') & set(path.name)
        assert "job sheet" in path.name


def test_result_is_for_reading_only(plan, tmp_path):
    result = run_plan(plan, tmp_path / "out")
    with pytest.raises(AttributeError):
        result.sentences = ()
    pixels = tifffile.imread(result.written.path)
    # bare paper in the paper's own colours is white: 65535 each
    assert np.all(pixels[:20] == 65535)
    assert plan_text(plan) == plan_text(plan)

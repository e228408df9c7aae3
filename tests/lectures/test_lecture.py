"""Lectures: votes and hidden answers, knobs, projector, handouts and pages."""

import re

import numpy as np
import pytest

import workbench as wb
from workbench.errors import OutputError, SizeError, WorkbenchError
from workbench.lectures.page import lecture_page
from workbench.lectures.reading import read_lecture
from workbench.lectures.shown import MIME, said_shown, table_shown


@pytest.fixture(scope="module")
def lecture():
    return wb.lecture()


def test_a_projector_in_a_lit_room():
    # by hand: white 1 + 0.05, black 1/100 + 0.05, so 17.5:1; log10 of it is 1.243;
    # L* of Y = 1/17.5 is 116 × (1/17.5)^(1/3) − 16 = 28.7 (CIE 15)
    found = wb.on_projector([], 100, 0.05)
    assert found.contrast_ratio == pytest.approx(17.5)
    assert found.deepest_density == pytest.approx(1.243, abs=0.001)
    assert found.black_lightness == pytest.approx(28.7, abs=0.05)
    with pytest.raises(WorkbenchError):
        wb.on_projector([], 0.5, 0.05)


def test_a_dark_room_leaves_the_projector_its_own_contrast(lecture):
    assert wb.on_projector(lecture.papers, 2000, 0).contrast_ratio == pytest.approx(2000)
    assert not wb.on_projector(lecture.papers, 1e6, 0).densities


def test_own_files_come_first_and_invented_ones_are_there_to_compare(lecture):
    papers = wb.demo_papers()
    own = wb.lecture(papers=papers[4])
    assert own.paper is papers[4] and own.papers[0] is papers[4]
    assert len(own.papers) == len(papers) == len(set(own.papers))
    assert own.said != lecture.said
    ratios = [paper.contrast_ratio for paper in own.papers]
    assert own.deepest.contrast_ratio == max(ratios)
    assert own.shallowest.contrast_ratio == min(ratios)


def test_votes_are_counted_and_the_answer_waits(lecture):
    asked = lecture.guess("Which?", ["a", "b", "c"], "b", "Because it is.")
    assert (asked.right, asked.shown, asked.votes) == (1, False, [0, 0, 0])
    asked.set_state({"votes": [1, 4, 0], "shown": True})
    lecture.reset()
    assert (asked.shown, asked.votes) == (False, [0, 0, 0])
    for right in ("d", 3, -1):
        with pytest.raises(WorkbenchError, match="not one of"):
            lecture.guess("Which?", ["a", "b", "c"], right, "")


def test_a_knob_sets_the_plan_draws_each_stop_once_and_goes_back(lecture):
    drawn = []

    def draw(value):
        drawn.append((value, lecture.plan.threshold))
        return np.full((4, 6, 3), 10 * value, np.uint8), f"at {value}"

    knob = lecture.knob(draw, threshold=(1, 4, 8), start=1)
    for at in (2, 1, 2):
        knob.set_state({"at": at})
    assert drawn == [(4, 4.0), (8, 8.0)]
    assert (knob.drawn, knob.said, knob.stops[2]) == (2, "at 8", "8 CIEDE2000")
    lecture.reset()
    assert (knob.drawn, lecture.plan.threshold) == (1, wb.Plan().threshold)


def test_what_a_knob_cannot_draw_is_a_sentence(lecture):
    def draw(value):
        raise SizeError("That is too large.") if value else ValueError("a bug")

    knob = lecture.knob(draw, label="Size", size=(1, 0))
    assert knob.said == "That is too large." and not knob.png
    knob.set_state({"at": 1})
    assert "Something went wrong" in knob.said and "bug" not in knob.said


def made_up():
    def output(told):
        return [{"output_type": "display_data", "data": {MIME: told}}]

    asked = [
        {"kind": kind, "question": question, "right": 1, "answer": f"<b>{kind}</b> & so"}
        | ({"options": ["x", "y"]} if kind == "guess" else {})
        for kind, question in (("guess", "Why so?"), ("exercise", "How far?"))
    ]
    words = ["# What is <i>?", "## Your guess", "## Exercise"]
    parts = [said_shown(["5 < 6"]).told, asked[0], asked[1]]
    cells = []
    for said, told in zip(words, parts, strict=True):
        cells.append({"cell_type": "markdown", "source": said})
        cells.append({"cell_type": "code", "source": "", "outputs": output(told)})
    cells[4]["source"] += "\n\n<details><summary>Source</summary>\n\nISO 5-1.\n\n</details>"
    table = table_shown(["Paper", "b*"], [["<script>", "-3.1%"]]).told
    cells[5]["outputs"] += output(table)
    return {"cells": cells}


def test_a_page_is_escaped_and_runs_no_script():
    page = lecture_page(read_lecture(made_up()))
    assert "<script" not in page and "&lt;script&gt;" in page and "−3.1 %" in page
    assert "<b>" not in page and "What is &lt;i&gt;?" in page
    (policy,) = re.findall(r'Content-Security-Policy" content="([^"]*)"', page)
    assert "default-src 'none'" in policy and "script" not in policy
    assert not re.search(r"https?://", page)
    # hidden until asked for
    assert page.count("<details>") == 3 and "<details open" not in page


def test_handouts_hold_answers_only_when_asked(tmp_path):
    from pypdf import PdfReader

    def text(name, **how):
        path = wb.write_handout(made_up(), tmp_path / name, **how)
        return " ".join(page.extract_text() for page in PdfReader(path).pages)

    assert "& so" not in text("plain.pdf") and "ISO 5-1" in text("again.pdf")
    assert text("answers.pdf", answers=True).count("& so") == 2
    exercises = text("exercises.pdf", exercises_only=True)
    assert "How far?" in exercises and "ISO 5-1" not in exercises
    with pytest.raises(OutputError, match="A4"):
        wb.write_handout(made_up(), tmp_path / "x.pdf", sheet="A5")
    with pytest.raises(OutputError, match=r"\.pdf"):
        wb.write_handout(made_up(), tmp_path / "x.png")


def test_what_is_not_a_lecture_is_told(tmp_path):
    for broken in ("{}", '{"cells": [{"cell_type": "markdown"}]}'):
        (tmp_path / "x.ipynb").write_text(broken)
        with pytest.raises(WorkbenchError, match="not a notebook"):
            read_lecture(tmp_path / "x.ipynb")
    with pytest.raises(WorkbenchError, match="heading"):
        read_lecture({"cells": [{"cell_type": "markdown", "source": "Words", "outputs": [0]}]})

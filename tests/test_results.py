"""Answers show themselves in a notebook, and become dicts, tables and figures."""

from __future__ import annotations

import builtins
import re
from types import ModuleType

import pytest
from matplotlib.figure import Figure

import workbench as wb
from workbench.errors import WorkbenchError


@pytest.fixture(scope="module")
def answers():
    picture, papers = wb.demo_picture(), wb.demo_papers()
    plan = wb.Plan(picture=picture, paper=papers[0], papers=papers)
    return {
        "size": wb.print_size(picture, ppi=300),
        "gamut": wb.gamut_report(picture, papers[0]),
        "shift": wb.colour_shift(picture, papers[0], exact=False),
        "white": wb.paper_white(papers[0]),
        "black": wb.black_point(papers[0], picture),
        "compare": wb.compare(picture, papers[:2], exact=False),
        "screen": wb.screen_match(papers[0], illuminance_lux=500),
        "cost": plan.cost(),
        "character": wb.describe(picture),
    }


def test_dicts_hold_the_figures_as_they_are(answers):
    gamut, found = answers["gamut"], answers["gamut"].to_dict()
    for name in ("share_outside", "share_too_dark", "threshold", "noise_floor", "sentence"):
        assert found[name] == getattr(gamut, name)
    assert answers["white"].to_dict()["white_lab"] == answers["white"].white_lab
    assert answers["black"].to_dict()["black_density"] == answers["black"].black_density


def test_dicts_hold_nothing_but_plain_values(answers):
    import json

    for answer in answers.values():
        assert json.loads(json.dumps(answer.to_dict()))


def test_pages_show_sentence_and_figures_and_no_markup_of_others(answers):
    for name, answer in answers.items():
        html = answer._repr_html_()
        assert "<script" not in html and html.count("<table>") >= 1, name
    gamut = answers["gamut"]
    html = gamut._repr_html_()
    assert re.search(rf"Share outside</th><td[^>]*>{100 * gamut.share_outside:.1f} %", html)
    assert "data:image/png;base64," in html and "Share outside" in html
    named = wb.demo_papers()[0].with_details(name="<b>Sheet</b>")
    assert "<b>Sheet" not in wb.paper_white(named)._repr_html_()


def test_figures_can_be_saved_in_any_form(answers, tmp_path):
    for name in ("gamut", "black", "screen"):
        figure = answers[name].figure()
        assert isinstance(figure, Figure)
        for ending, start in (("png", b"\x89PNG"), ("pdf", b"%PDF"), ("svg", b"<?xml")):
            path = tmp_path / f"{name}.{ending}"
            figure.savefig(path)
            assert path.read_bytes().startswith(start)
    with pytest.raises(WorkbenchError, match="no plot"):
        answers["white"].figure()


def test_frames_are_made_where_pandas_is_there(answers, monkeypatch):
    class Frame:
        def __init__(self, rows):
            self.rows = rows

    pandas = ModuleType("pandas")
    pandas.DataFrame = Frame
    monkeypatch.setitem(__import__("sys").modules, "pandas", pandas)
    assert answers["compare"].to_frame().rows == answers["compare"].table()
    assert answers["size"].to_frame().rows == [answers["size"].to_dict()]


def test_without_pandas_it_says_what_to_do(answers, monkeypatch):
    honest = builtins.__import__

    def without(name, *rest):
        if name == "pandas":
            raise ImportError(name)
        return honest(name, *rest)

    monkeypatch.setattr(builtins, "__import__", without)
    with pytest.raises(WorkbenchError, match="pip install pandas"):
        answers["size"].to_frame()

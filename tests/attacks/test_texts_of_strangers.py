"""Whatever a file calls itself arrives as words: no markup, no controls, no formula, no flood."""

import csv
import io
import re
import unicodedata
from dataclasses import replace
from html.parser import HTMLParser

import numpy as np
import pytest

from workbench.analysis.compare import compare
from workbench.analysis.viewing import find_display
from workbench.colour.cgats import read_cgats
from workbench.colour.profile import read_profile
from workbench.colour.spaces import standard_profile
from workbench.demo import demo_papers, demo_picture
from workbench.errors import WorkbenchError
from workbench.files import clean_lines, clean_text
from workbench.library import open_shelf
from workbench.output.compare_file import comparison_csv
from workbench.output.job_sheet import job_sheet
from workbench.paper import open_paper
from workbench.picture import open_picture
from workbench.plan import Plan
from workbench.plan_file import plan_text, read_plan
from workbench.record import PrintNote, Record
from workbench.target.cgats_file import cgats_text

BIDI = "\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
HOSTILE = {
    "markup": '<script>alert(1)</script><img src=x onerror="alert(1)">&lt;b&gt;',
    "quotes": "'\"></td></table><a href=javascript:alert(1)>",
    "controls": "a\x00b\x07c\x1b[31md\x7fe\x85f\u2028g\r\nh",
    "direction": f"harbour{BIDI}fit.exe",
    "half letters": "a\ud800b\udfffc",
    "flood": "x" * 1_000_000,
    "formula": '=HYPERLINK("http://x","y")',
    "command": "@SUM(1+1)*cmd|' /C calc'!A0",
    "template": "{{7*7}} ${7*7} %s %n {0} \\$e=mc^2\\$ $\\frac{$",
}


def is_clean(text: str, most: int = 5000) -> bool:
    """No control, no turned direction, no half letter, no flood."""
    letters = set(text) - set("\n\t")
    bad = [c for c in letters if c in BIDI or unicodedata.category(c) in ("Cc", "Cs")]
    return not bad and len(text) <= most


class Elements(HTMLParser):
    """The elements and attributes of a page, and its words."""

    def __init__(self, page: str):
        super().__init__()
        self.found: list[tuple[str, tuple]] = []
        self.words: list[str] = []
        self.feed(page)

    def handle_starttag(self, tag, attrs):
        self.found.append((tag, tuple(name for name, _ in attrs)))

    def handle_data(self, data):
        self.words.append(data)


@pytest.fixture(scope="module")
def plan():
    paper = demo_papers()[0]
    return Plan(picture=demo_picture(), paper=paper, papers=(paper,), long_side_mm=60.0,
                size_from="size", printer_ppi=72.0)  # fmt: skip


def in_every_place(plan, text: str):
    """The plan with a text wherever a file could bring one; as its objects hold it, unchecked."""
    keys = "name finish base black_ink printer media_setting surface_texture notes".split()
    known = {each for each in keys if hasattr(plan.paper, each)}
    paper = replace(plan.paper, **dict.fromkeys(known, text))
    return plan.copy(picture=replace(plan.picture, name=text, profile_name=text), paper=paper)


@pytest.mark.parametrize("kind", HOSTILE)
def test_cleaning_leaves_nothing_that_acts(kind):
    assert is_clean(clean_text(HOSTILE[kind]), 200) and "\n" not in clean_text(HOSTILE[kind])
    assert is_clean(clean_lines(HOSTILE[kind]), 10**6)


@pytest.mark.parametrize("kind", HOSTILE)
def test_the_job_sheet_holds_words_only(kind, plan):
    page = job_sheet(in_every_place(plan, HOSTILE[kind])).html()
    plain = Elements(job_sheet(plan).html())
    strange = Elements(page)
    # the same elements with the same attributes, but for rows that are there or not
    assert {each[0] for each in strange.found} <= {each[0] for each in plain.found} | {"p", "label"}
    assert not [a for _, attrs in strange.found for a in attrs if a.startswith("on") or a == "href"]
    assert is_clean("".join(strange.words).replace("\xad", ""), 60_000)


@pytest.mark.parametrize("kind", HOSTILE)
def test_tables_run_no_formula(kind, plan, tmp_path):
    text = HOSTILE[kind]
    strange = in_every_place(plan, text)
    tables = [comparison_csv(compare(strange.picture, [strange.paper]))]
    record = Record(tmp_path / "prints.sqlite")
    record.add(PrintNote(**dict.fromkeys(
        "picture_name paper_name printer media_setting verdict change_next_time notes".split(), text
    )))  # fmt: skip
    tables.append(record.csv())
    assert record.count(clean_text(text)[:20].split()[0]) == 1
    for table in tables:
        for row in csv.reader(io.StringIO(table, newline="")):
            for cell in row:
                assert is_clean(cell, 32_767)
                assert not re.match(r"\s*[=+@＝＋－＠]", cell)
                assert not cell.startswith("-") or re.fullmatch(r"-\d+(\.\d+)?(e-?\d+)?", cell)


@pytest.mark.parametrize("kind", HOSTILE)
def test_names_that_files_bring_are_clean(kind, plan, tmp_path):
    text = HOSTILE[kind]
    data = demo_papers()[0].profile
    assert is_clean(open_paper(data, name=text).name, 200)
    assert is_clean(open_paper(data, name="A", printer=text, media_setting=text).printer or "", 200)
    escaped = "".join(f"\\u{ord(c):04x}" for c in text if not "\ud800" <= c <= "\udfff")[
        : 3 * 10**6
    ]
    (tmp_path / "shelf.toml").write_text(
        f'[[paper]]\nname = "{escaped}"\nnotes = "{escaped[:6000]}"\nprinter = "{escaped}"\n'
        f'"{escaped[:600]}" = 1\n'
    )
    shelf = open_shelf(tmp_path)
    for entry in shelf.entries:
        for each in (entry.name, entry.printer or "", entry.notes or ""):
            assert is_clean(each)
    assert shelf.problems and all(is_clean(str(each), 2000) for each in shelf.problems)
    notices = []
    try:
        read_plan(f'workbench_plan = 1\n"{escaped[:600]}" = 1\n[size]\nunit = "{escaped[:600]}"\n',
                  tmp_path, notices=notices)  # fmt: skip
    except WorkbenchError as problem:
        notices.append(str(problem))
    assert notices and all(is_clean(each, 2000) for each in notices)


@pytest.mark.parametrize("kind", HOSTILE)
def test_a_plan_comes_back_clean(kind, plan, tmp_path):
    strange = in_every_place(plan, clean_text(HOSTILE[kind])[:150])
    text = plan_text(strange.copy(papers=()), tmp_path)
    assert is_clean(text, 50_000)


@pytest.mark.parametrize("kind", HOSTILE)
def test_measurements_come_and_go_clean(kind):
    text = HOSTILE[kind]
    line = text.replace('"', "'").encode(errors="replace").decode()
    source = (
        f'CGATS.17\nDESCRIPTOR "{line}"\nBEGIN_DATA_FORMAT\nSAMPLE_ID LAB_L LAB_A LAB_B\n'
        f'END_DATA_FORMAT\nBEGIN_DATA\n"{line}" 50 0 0\nEND_DATA\n'
    )
    try:
        (table,) = read_cgats(source.encode())
        assert all(is_clean(value, 200) for _, value in table.keywords)
    except WorkbenchError as problem:
        assert is_clean(str(problem), 600)
    written = cgats_text([text], [text], lab=np.array([[50.0, 0, 0]]), descriptor=text,
                         keywords=[("MATERIAL", text)])  # fmt: skip
    assert written.isascii() and is_clean(written.replace("\r", ""), 2000)
    (table,) = read_cgats(written.encode())
    assert len(table.rows) == 1 and len(table.keywords) < 12


@pytest.mark.parametrize("kind", HOSTILE)
def test_profiles_call_themselves_what_they_like(kind):
    """A profile's description, as version 2 writes it (ICC.1:2001-04, 6.5.17)."""
    data = bytearray(standard_profile("sRGB"))
    text = HOSTILE[kind].encode("latin-1", "replace")[:4000] + b"\0"
    body = b"desc\0\0\0\0" + len(text).to_bytes(4, "big") + text + bytes(90)
    body += bytes(-len(body) % 4)
    for index in range(int.from_bytes(data[128:132], "big")):
        at = 132 + 12 * index
        if data[at : at + 4] == b"desc":
            data[at + 4 : at + 12] = len(data).to_bytes(4, "big") + len(body).to_bytes(4, "big")
    data += body
    data[:4] = len(data).to_bytes(4, "big")
    assert is_clean(read_profile(bytes(data)).description, 200)


@pytest.mark.parametrize("kind", HOSTILE)
def test_a_picture_may_be_called_anything(kind, tmp_path):
    with pytest.raises(WorkbenchError) as caught:
        open_picture(b"not a picture", name=HOSTILE[kind])
    assert is_clean(str(caught.value), 600)
    name = clean_text(HOSTILE[kind]).replace("/", "")[:100] + BIDI
    (tmp_path / name).write_bytes(b"not a picture")
    with pytest.raises(WorkbenchError) as caught:
        open_picture(tmp_path / name)
    assert is_clean(str(caught.value), 600)


@pytest.mark.parametrize("kind", HOSTILE)
def test_what_no_display_or_space_is_called_is_told_clean(kind):
    for ask in (find_display, demo_picture().assume, open_shelf, Record):
        with pytest.raises(WorkbenchError) as caught:
            ask(f"\0{HOSTILE[kind]}")
        assert is_clean(str(caught.value), 1500)

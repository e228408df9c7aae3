"""Plans and shelves that anybody may have written: sentences, at once, and nothing written astray."""

import hashlib
import os
import random
import time
from dataclasses import replace
from pathlib import Path

import pytest

from workbench.demo import demo_papers, demo_picture
from workbench.errors import Cancelled, OutputError, PlanError, WorkbenchError
from workbench.files import free_path
from workbench.files.toml_text import load
from workbench.library import open_shelf
from workbench.picture import open_picture
from workbench.plan import Plan
from workbench.plan_file import open_plan, plan_text, read_plan, save_plan
from workbench.run import names_for, run_plan, write_job_sheet

ROUNDS = int(os.environ.get("WORKBENCH_ATTACKS", "120"))
SECONDS = 10
KEY = ".".join(["a"] * 60_000)
# the place of the value, and what is wrong with it, in the words of its sentence
BEYOND = {
    "digits": (f"x = {'9' * 400}", "a whole number beyond 64 bits"),
    "more digits": (f"x = -{'9' * 5000}", "a whole number beyond 64 bits"),
    "hexadecimal": (f"x = 0x{'f' * 3000}", "a whole number beyond 64 bits"),
    "in a table": (f"x = {{ A4 = {'9' * 400} }}", "a whole number beyond 64 bits"),
    "a long key": (f"{KEY} = 1", "a key of more than 20 parts"),
    "a long key in quotes": (f"{KEY.replace('a', chr(34) + 'a' + chr(34))} = 1", "a key of more"),
    "a long header": (f"[{KEY}]", "a key of more than 20 parts"),
    "lists": (f"x = {'[' * 100_000}", "more than 20 lists or tables in one another"),
    "tables": (f"x = {'{a=' * 900}1{'}' * 900}", "more than 20 lists or tables in one another"),
}


@pytest.mark.parametrize("what", BEYOND)
def test_what_is_beyond_all_measure_is_told_with_its_line(what, tmp_path):
    line, said = BEYOND[what]
    begin = time.monotonic()
    with pytest.raises(PlanError) as caught:
        read_plan(f"workbench_plan = 1\n# ]\n[size]\n{line}\n", tmp_path)
    assert said[2:] in str(caught.value) and "(at line 4" in str(caught.value)
    good = '[[paper]]\nname = "Good"\n'
    (tmp_path / "shelf.toml").write_text(f'{good}\n[[paper]]\nname = "Bad"\n{line}\n')
    shelf = open_shelf(tmp_path)
    # the other entry is there
    assert "Good" in [each.name for each in shelf.entries]
    told = [each for each in shelf.problems if said in each.sentence]
    assert [each.line for each in told] == [6]
    assert time.monotonic() - begin < SECONDS


@pytest.mark.parametrize(
    "text",
    [
        "x = 1234567890123456789\ny = 0.12345678901234567890123456789\nz = 1e-300\n",
        'x = "99999999999999999999999999"\n# 99999999999999999999999999\n',
        f'sha = "{"9" * 64}"\n{"9" * 30} = 1\n',
        f"a.b.c.d = 1\nx = {'[' * 20}{']' * 20}\n",
        "\n".join(f"x{n} = 1.5" for n in range(2000)),
        f'x = """\n{"[" * 50}{"." * 50}"""\n',
    ],
)
def test_what_is_within_measure_is_read_as_the_standard_reader_does(text):
    import tomllib

    assert load(text) == tomllib.loads(text)


@pytest.mark.parametrize(
    "body",
    [
        "[size]\n" + "\n".join(f"k{n} = 1" for n in range(20_000)),
        "[size]\n" + "\n".join(f"a.b{n}.c = 1" for n in range(20_000)),
        "[[{table}]]\nname = 'a'\n" * 20_000,
        "[[{table}]]\nx = '''\n" * 20_000,
        "[[{table}]]\nx = [\n" * 20_000,
        'x = "' + '\\"' * 500_000,
    ],
)
def test_very_many_things_are_read_or_refused_soon(body, tmp_path):
    begin = time.monotonic()
    notices = []
    try:
        read_plan("workbench_plan = 1\n" + body.format(table="papers"), tmp_path, notices=notices)
    except PlanError:
        pass
    assert len(notices) <= 101
    (tmp_path / "shelf.toml").write_text(body.format(table="paper"))
    shelf = open_shelf(tmp_path)
    assert len(shelf.entries) <= 5000
    assert time.monotonic() - begin < 2 * SECONDS


@pytest.fixture(scope="module")
def plan():
    papers = demo_papers()
    return Plan(picture=demo_picture(), paper=papers[0], papers=papers[:2], long_side_mm=60.0,
                size_from="size", printer_ppi=72.0)  # fmt: skip


def test_plans_changed_at_random_end_in_sentences(plan, tmp_path):
    chance = random.Random(15)
    good = plan_text(plan)
    parts = [
        "9" * 400,
        "[" * 60,
        ".a" * 60,
        '"',
        "'''",
        "\\",
        "\u202e",
        "\0",
        "nan",
        "inf",
        "{",
        "=",
        "\n",
    ]
    opened = 0
    for _ in range(ROUNDS):
        text = good
        for _ in range(chance.choice((1, 2, 6))):
            at = chance.randrange(len(text))
            text = text[:at] + chance.choice(parts) + text[at + chance.choice((0, 1, 9)) :]
        try:
            read_plan(text, tmp_path)
            opened += 1
        except WorkbenchError as problem:
            assert len(str(problem)) < 50_000
    assert opened > 0


def test_shelves_changed_at_random_end_in_sentences(tmp_path):
    chance = random.Random(16)
    good = "".join(
        f'[[paper]]\nname = "P{n}"  # mine\nweight_g_m2 = 300\nprice_per_sheet = {{ A4 = 1 }}\n'
        f'sheets = ["A4"]\nnotes = """\na\n[b]"""\n\n'
        for n in range(6)
    )
    parts = [
        "9" * 400,
        "[" * 60,
        ".a" * 60,
        '"',
        "'''",
        "\\",
        "\udcff",
        "\0",
        "nan",
        "{",
        "=",
        "\n",
    ]
    for _ in range(ROUNDS):
        text = good
        for _ in range(chance.choice((1, 2, 6))):
            at = chance.randrange(len(text))
            text = text[:at] + chance.choice(parts) + text[at + chance.choice((0, 1, 9)) :]
        (tmp_path / "shelf.toml").write_bytes(text.encode(errors="surrogateescape"))
        shelf = open_shelf(tmp_path)
        shelf.opened()
        assert all(each.sentence for each in shelf.problems)


# -- what a run may write


def everything(folder: Path) -> dict:
    """Path -> checksum of every file below a folder."""
    return {
        str(path.relative_to(folder)): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in folder.rglob("*")
        if path.is_file()
    }


ASTRAY = [
    "../../owned", "/tmp/owned", "..", "a/../../b", "..\\..\\owned", "C:\\owned", "~/owned", "con",
    "\u202egnp.exe", "<b>x</b>", "=1+1", "a\nb", "x" * 100_000, ".", "", "\0", "-rf", "$(id)", "%0a",
]  # fmt: skip


def strange(plan, name: str):
    paper = replace(plan.paper, name=name or "A")
    return plan.copy(picture=replace(plan.picture, name=name), paper=paper)


@pytest.mark.parametrize("name", ASTRAY)
def test_names_in_a_plan_lead_nowhere_else(name, plan, tmp_path):
    path = free_path(tmp_path, f"{names_for(strange(plan, name))} job sheet", ".html")
    assert path.parent == tmp_path and path.name.endswith("job sheet.html")
    assert len(path.name) < 120 and path.name.isprintable() and path.name[0] not in ". "
    assert not set(path.name) & set('\\/:*?"<>|')
    path.write_bytes(b"")


def test_a_job_sheet_of_strange_names_stays_in_its_folder(plan, tmp_path):
    (tmp_path / "keep.txt").write_text("keep")
    before = everything(tmp_path)
    out = tmp_path / "mine" / "out"
    out.mkdir(parents=True)
    for path in write_job_sheet(strange(plan, "../../<b>=1+1\u202e"), out):
        assert path.parent == out
    assert {key: value for key, value in everything(tmp_path).items() if "out" not in key} == before


@pytest.fixture(scope="module")
def sent(plan, tmp_path_factory):
    """A plan as a stranger would send it."""
    return save_plan(plan, tmp_path_factory.mktemp("sent") / "plan.toml")


@pytest.fixture(scope="module")
def names(sent, tmp_path_factory):
    """What a run of it writes."""
    folder = tmp_path_factory.mktemp("first")
    before = everything(sent.parent)
    result = run_plan(sent, folder / "out")
    assert everything(sent.parent) == before
    written = sorted(path.relative_to(folder).as_posix() for path in folder.rglob("*.*"))
    assert {f"out/{path.name}" for path in result.paths} <= set(written)
    assert all(each.startswith("out/") for each in written)
    return [path.name for path in result.paths]


def test_a_second_run_finds_its_names_taken(sent, names, tmp_path):
    for name in names:
        (tmp_path / name).write_text("mine")
    before = everything(tmp_path)
    with pytest.raises(OutputError):
        run_plan(sent, tmp_path)
    assert everything(tmp_path) == before and len(before) == 4


@pytest.mark.parametrize("kind", ["file", "link", "dangling link", "folder"])
def test_a_run_never_writes_through_what_is_there(sent, names, tmp_path, kind):
    mine = tmp_path / "mine.txt"
    if kind != "dangling link":
        mine.write_text("mine")
    for number, name in enumerate(names):
        out = tmp_path / f"out {number}"
        out.mkdir()
        taken = out / name
        if kind == "file":
            taken.write_text("mine")
        elif kind == "folder":
            taken.mkdir()
        else:
            taken.symlink_to(mine)
        before = everything(tmp_path)
        with pytest.raises(OutputError):
            run_plan(sent, out)
        assert everything(tmp_path) == before and os.listdir(out) == [name]
    assert not mine.exists() if kind == "dangling link" else mine.read_text() == "mine"


def test_the_picture_and_its_plan_survive_a_run_that_may_overwrite(plan, tmp_path):
    import tifffile

    folder = tmp_path / "out"
    folder.mkdir()
    tifffile.imwrite(folder / "own on A.tif", plan.picture.preview(60)[..., :3], photometric="rgb",
                     iccprofile=plan.picture.profile)  # fmt: skip
    own = plan.copy(
        picture=open_picture(folder / "own on A.tif"), paper=replace(plan.paper, name="A")
    )
    before = everything(folder)
    with pytest.raises(OutputError, match="originals are never written over"):
        run_plan(own, folder, overwrite=True, name="own on A")
    assert everything(folder) == before


def test_a_large_file_in_a_plan_can_be_given_up(plan, tmp_path):
    path = tmp_path / "large.tif"
    with path.open("wb") as file:
        file.write(b"II*\0")
        file.truncate(2 * 2**30)
    text = f'workbench_plan = 1\n[picture]\nfile = "large.tif"\nsha256 = "{"0" * 64}"\n'
    (tmp_path / "plan.toml").write_text(text)
    told, begin = [], time.monotonic()
    with pytest.raises(Cancelled):
        open_plan(tmp_path / "plan.toml", progress=told.append, cancelled=lambda: len(told) > 2)
    assert 0 < told[-1] < 0.5 and time.monotonic() - begin < SECONDS

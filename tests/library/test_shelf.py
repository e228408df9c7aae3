"""Reading a shelf: what a person may write by hand, and what they may get wrong."""

import hashlib
import os
import tomllib

import pytest
from library.makers import VERSION_LINE, entry, paper_profile, put_profile, put_shelf

from workbench.demo.papers import demo_papers
from workbench.errors import LibraryError, PaperError, WorkbenchError
from workbench.library import FIELDS, open_shelf, user_shelf_folder
from workbench.paper import Paper, open_paper


@pytest.fixture
def folder(tmp_path):
    put_profile(tmp_path)
    return tmp_path


FULL = entry(
    "Invented Fen",
    """surface_texture = "smooth"
finish = "matte"
base = "cotton"
weight_g_m2 = 247
thickness_mm = 0.48
sheets = ["A4", "A3"]
rolls = ["24 in"]
price_per_sheet = { A4 = 0.9, A3 = 1.8 }
price_per_metre = 7.5
currency = "EUR"
printer = "Invented printer"
media_setting = "Fine art"
my_own = { drawer = 3 }
notes = '''
both
sides'''
""",
)


def test_all_of_an_entry_reaches_the_paper(folder):
    shelf = open_shelf(put_shelf(folder, VERSION_LINE + FULL))
    assert shelf.problems == () and shelf.locked is None and shelf.written
    (one,) = shelf.entries
    assert (one.name, one.line, one.unknown) == ("Invented Fen", 2, ("my_own",))
    (paper,) = shelf.papers()
    assert isinstance(paper, Paper) and paper.profile == paper_profile()
    assert (paper.weight_g_m2, paper.thickness_mm, paper.sheets) == (247, 0.48, ("A4", "A3"))
    assert (paper.sheet_price("a3"), paper.sheet_price("A2")) == (1.8, None)
    assert (paper.metre_price("24 in"), paper.metre_price()) == (7.5, 7.5)
    assert (paper.currency, paper.notes) == ("EUR", "both\nsides")
    # as for a paper opened singly: matte black follows from matte
    assert paper.black_ink == open_paper(paper_profile(), finish="matte").black_ink == "matte black"
    assert paper.black_density == pytest.approx(1.6, abs=0.02)
    # the same entry is the same paper, also in another reading
    assert open_shelf(folder).papers()[0] is paper


def test_the_invented_papers_are_the_default_and_nothing_is_written(tmp_path):
    shelf = open_shelf(tmp_path / "new", default=demo_papers)
    assert not shelf.written and not (tmp_path / "new").exists()
    assert [each.name for each in shelf.papers()] == [each.name for each in demo_papers()]
    assert all(each.invented for each in shelf.papers())
    assert [each.profile for each in shelf.papers()] == [each.profile for each in demo_papers()]
    assert shelf.problems == ()
    # the text that would be written says how each key is meant, and is valid
    read = tomllib.loads(shelf.text)
    assert read["version"] == 1 and len(read["paper"]) == len(demo_papers())
    head = shelf.text[: shelf.text.index("version")]
    assert all(f"#   {key} " in head for key in FIELDS)
    first = read["paper"][0]
    assert first["profile_sha256"] == hashlib.sha256(demo_papers()[0].profile).hexdigest()


def test_an_existing_shelf_is_not_given_the_default(folder):
    def default():
        raise AssertionError("asked for without need")

    assert len(open_shelf(put_shelf(folder, FULL), default=default).entries) == 1


def test_the_person_s_own_folder(tmp_path, monkeypatch):
    monkeypatch.setattr("platformdirs.user_data_path", lambda *a, **k: tmp_path / "data")
    assert user_shelf_folder() == tmp_path / "data" / "shelf"
    assert open_shelf().path == tmp_path / "data" / "shelf" / "shelf.toml"


BROKEN = {
    "no quotes": "finish = matte\n",
    "no equals sign": "finish\n",
    "a quote too few": 'printer = "Invented\n',
    "a bracket too few": 'sheets = ["A4",\n',
    "text never closed": 'notes = """never closed\n',
    "literal text never closed": "notes = '''never closed\n",
    "twice": 'finish = "gloss"\nfinish = "matte"\n',
    "a number that is none": "weight_g_m2 = 3oo\n",
    "a strange escape": 'printer = "a\\q"\n',
    "too deep": "x = " + "[" * 5000 + "]" * 5000 + "\n",
    "a header half closed": "[paper.more\n",
}


@pytest.mark.parametrize("kind", BROKEN)
def test_a_broken_entry_hides_no_other(folder, kind):
    text = (
        VERSION_LINE
        + entry("First", "# mine\n")
        + entry("Bad", BROKEN[kind])
        + entry("Third", 'notes = """\nlong\n[[paper]]\ntext"""\n')
        + "[settings]\nx = 1\n"
        + entry("Fourth", 'sheets = [\n"A4"\n]\n')
    )
    shelf = open_shelf(put_shelf(folder, text))
    assert [each.name for each in shelf.entries] == ["First", "Third", "Fourth"]
    assert [each.name for each in shelf.papers()] == ["First", "Third", "Fourth"]
    assert shelf.entry("Third").notes == "long\n[[paper]]\ntext"
    (problem,) = shelf.problems
    # the entry begins in line 6, and its fault stands in line 9 or 10
    assert problem.name == "Bad" and problem.line in (6, 9, 10), str(problem)
    assert str(problem).startswith(f"Line {problem.line}: ") and "mend it" in str(problem)
    if kind not in ("too deep",):
        fault = text.split("\n")[problem.line - 1]
        assert BROKEN[kind].split("\n")[-2][:5] in fault


@pytest.mark.parametrize(
    "line, words",
    [
        ('weight_g_m2 = "heavy"', "takes a number"),
        ("weight_g_m2 = 3", "between 20 and 2000"),
        ("weight_g_m2 = true", "takes a number"),
        ("thickness_mm = nan", "takes a number"),
        ("thickness_mm = 300", "between"),
        ("finish = 3", "takes text"),
        ("sheets = [3]", "list of sizes"),
        ("price_per_sheet = -1", "between 0"),
        ('price_per_metre = { "24 in" = "dear" }', "takes a number"),
        ("invented = 1", "true or false"),
        ('profile_sha256 = "abc"', "SHA-256"),
        ('notes = ["x"]', "takes text"),
    ],
)
def test_a_value_that_makes_no_sense_is_named_by_its_line(folder, line, words):
    shelf = open_shelf(put_shelf(folder, VERSION_LINE + entry("One", f"# a\n{line}\n")))
    (problem,) = shelf.problems
    assert (problem.line, problem.name) == (6, "One") and words in problem.sentence
    # the paper itself is there
    assert [each.name for each in shelf.papers()] == ["One"]
    assert shelf.entries[0].problems == shelf.problems


def test_control_characters_never_reach_a_name(folder):
    shelf = open_shelf(put_shelf(folder, entry("a\\u001b[31m\\u202eb")))
    assert shelf.entries[0].name == "a [31m b"


def test_missing_names_namesakes_and_single_brackets(folder):
    text = (
        '[[paper]]\nprofile = "paper.icc"\n'
        + entry("Two")
        + entry("Two")
        + '[paper]\nname = "Single"\n'
    )
    shelf = open_shelf(put_shelf(folder, text))
    assert [each.name for each in shelf.entries] == ["Unnamed (line 1)", "Two", "Two"]
    said = {problem.line: problem.sentence for problem in shelf.problems}
    assert "no name" in said[1] and "line 3" in said[6] and "[[paper]]" in said[9]
    with pytest.raises(LibraryError, match="lines 3, 6"):
        shelf.entry("Two")
    with pytest.raises(LibraryError, match="no “Three”"):
        shelf.entry("Three")


def test_profiles_that_are_missing_changed_or_wrong(folder):
    noted = f'profile_sha256 = "{hashlib.sha256(paper_profile()).hexdigest()}"\n'
    from workbench.colour.spaces import standard_profile

    (folder / "screen.icc").write_bytes(standard_profile("sRGB"))
    (folder / "junk.icc").write_bytes(b"junk")
    text = (
        entry("Sound", noted)
        + entry("Gone", profile="gone.icc")
        + entry("Screen", profile="screen.icc")
        + entry("Junk", profile="junk.icc")
        + entry("Folder", profile=".")
        + entry("Odd", profile="~nobody-of-that-name/x.icc")
        + '[[paper]]\nname = "None"\n'
    )
    shelf = open_shelf(put_shelf(folder, text))
    assert [each.name for each in shelf.papers()] == ["Sound"]
    said = {problem.name: problem.sentence for problem in shelf.problems}
    assert "There is no file" in said["Gone"] and "names no profile" in said["None"]
    assert "describes a screen" in said["Screen"] and "not an ICC" in said["Junk"]
    assert "is a folder" in said["Folder"] and "There is no file" in said["Odd"]
    with pytest.raises(WorkbenchError):
        shelf.entry("Screen").paper()
    assert not shelf.entry("Gone").usable and shelf.entry("Sound").usable

    put_profile(folder, number=1)
    changed = open_shelf(folder).entry("Sound")
    assert changed.profile_changed
    assert "has changed since you put it on the shelf" in changed.problems[0].sentence
    # it can be used all the same, as it is now
    assert changed.paper().profile == paper_profile(1)


def test_a_profile_that_only_measuring_finds_out_is_left_out_with_a_reason(folder, monkeypatch):
    shelf = open_shelf(put_shelf(folder, entry("One") + entry("Two", 'finish = "gloss"\n')))

    def refuse(data, **details):
        if details.get("finish") == "gloss":
            raise PaperError("describes no paper")
        return open_paper(data, **details)

    monkeypatch.setattr("workbench.library.entry.open_paper", refuse)
    papers, problems = shelf.opened()
    assert [each.name for each in papers] == ["One"]
    assert [(each.name, each.line) for each in problems] == [("Two", 4)]


def test_versions(folder):
    newer = open_shelf(put_shelf(folder, "# mine\nversion = 2\n" + entry("One")))
    assert [each.name for each in newer.papers()] == ["One"]
    assert newer.problems[0].line == 2 and "newer workbench" in newer.locked
    assert open_shelf(put_shelf(folder, entry("One"))).problems == ()
    odd = open_shelf(put_shelf(folder, 'version = "1"\n' + entry("One")))
    assert "the number 1" in odd.locked


def test_other_ways_of_saving_text(folder):
    text = VERSION_LINE + entry("One", "# é\n") + entry("Two")
    windows = put_shelf(folder, "\ufeff" + text.replace("\n", "\r\n"))
    assert [each.line for each in open_shelf(windows).entries] == [2, 6]
    assert open_shelf(windows).problems == ()
    # begins at once with a paper, after a byte order mark
    assert len(open_shelf(put_shelf(folder, "\ufeff" + entry("One"))).entries) == 1

    (folder / "shelf.toml").write_bytes(text.encode("latin-1"))
    latin = open_shelf(folder)
    assert [each.name for each in latin.entries] == ["One", "Two"]
    assert [problem.line for problem in latin.problems] == [5]

    (folder / "shelf.toml").write_bytes(text.encode("utf-16"))
    wide = open_shelf(folder)
    assert wide.entries == () and "UTF-8" in wide.locked


def test_papers_in_one_long_list_are_not_read_and_not_touched(folder):
    shelf = open_shelf(put_shelf(folder, 'paper = [{ name = "One", profile = "paper.icc" }]\n'))
    assert shelf.entries == () and "[[paper]]" in shelf.locked


def test_files_that_are_no_shelf(tmp_path):
    assert open_shelf(tmp_path / "none").entries == ()
    (tmp_path / "a" / "shelf.toml").mkdir(parents=True)
    os.mkfifo(tmp_path / "shelf.toml")
    (tmp_path / "big").mkdir()
    with (tmp_path / "big" / "shelf.toml").open("wb") as file:
        file.truncate(2**30)
    (tmp_path / "file").write_text("")
    for where, words in (
        ("a", "is a folder"),
        (".", "a device or a pipe"),
        ("big", "larger than"),
        ("file", "not a folder"),
        ("x\0y", "is not a path"),
    ):
        with pytest.raises(LibraryError, match=words):
            open_shelf(f"{tmp_path}/{where}")
    with pytest.raises(LibraryError, match="is not a path"):
        open_shelf(3)


def test_an_empty_file_and_a_thousand_papers(folder):
    assert open_shelf(put_shelf(folder, "")).entries == ()
    many = "".join(entry(f"Paper {n}", "# c\n") for n in range(1000))
    shelf = open_shelf(put_shelf(folder, many))
    assert len(shelf.entries) == 1000 and shelf.entries[-1].line == 1 + 999 * 4

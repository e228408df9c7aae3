"""Adding, changing and removing entries, also in a damaged file and beside another window."""

import hashlib
import os
import stat
import threading
import tomllib

import pytest
from library.makers import VERSION_LINE, entry, paper_profile, put_profile, put_shelf

from workbench.errors import LibraryError, PaperError, ProfileError
from workbench.library import add_entry, edit_entry, open_shelf, remove_entry
from workbench.library.edits import FORMER_NAME, REMOVED_NAME
from workbench.paper import Paper, open_paper


@pytest.fixture
def folder(tmp_path):
    put_profile(tmp_path / "shelf")
    return tmp_path / "shelf"


HAND_MADE = (
    "# my shelf\n"
    + VERSION_LINE
    + "mine = 1 # kept\n\n# --- matte ---\n"
    + entry("First", "odd_key = [1, # one\n 2]\nweight_g_m2 = 300 # weighed\n")
    + "# after the first\n\n# --- gloss ---\n\n"
    + entry("Second", 'finish = "gloss"\n')
    + "# last words\n\n[settings] # of another program\nx = 1\n"
)


def text_of(folder):
    return (folder / "shelf.toml").read_text()


def papers_of(folder):
    """As the standard library reads them."""
    return tomllib.loads(text_of(folder))["paper"]


def leftovers(folder):
    return [path.name for path in folder.iterdir() if path.name.endswith("part")]


def test_a_change_alters_its_lines_and_keeps_the_former_file(folder):
    shelf = open_shelf(put_shelf(folder, HAND_MADE))
    shelf = edit_entry(shelf, "First", weight_g_m2=247, notes="soft", finish="matte")
    expected = HAND_MADE.replace("= 300 # weighed\n", "= 247 # weighed\n", 1).replace(
        "# weighed\n", '# weighed\nfinish = "matte"\nnotes = "soft"\n', 1
    )
    assert text_of(folder) == expected
    assert (folder / FORMER_NAME).read_text() == HAND_MADE
    assert shelf.entry("First").weight_g_m2 == 247 and shelf.text == expected
    assert leftovers(folder) == []


def test_taking_a_field_out_keeps_its_comment(folder):
    shelf = open_shelf(put_shelf(folder, HAND_MADE))
    edit_entry(shelf, "First", weight_g_m2=None)
    assert "# weight_g_m2 = 300 # weighed\n" in text_of(folder)
    assert "weight_g_m2" not in papers_of(folder)[0]


def test_nothing_changed_writes_nothing(folder):
    shelf = open_shelf(put_shelf(folder, HAND_MADE))
    before = (folder / "shelf.toml").stat()
    again = edit_entry(shelf, "First", weight_g_m2=300, base=None)
    assert (folder / "shelf.toml").stat() == before and not (folder / FORMER_NAME).exists()
    assert again.text == shelf.text


def test_adding_puts_the_profile_beside_the_shelf(folder, tmp_path):
    path = put_profile(tmp_path / "elsewhere", "CONnew.icm", 1)
    shelf = add_entry(
        open_shelf(put_shelf(folder, HAND_MADE)),
        path,
        "Third",
        sheets=["A4", "A3"],
        price_per_sheet={"A4": 1},
        price_per_metre=2.5,
        notes='"""quoted"""\n\\ back',
    )
    assert text_of(folder).startswith(HAND_MADE)
    third = papers_of(folder)[2]
    assert third == {
        "name": "Third",
        "profile": "profiles/CONnew.icm",
        "profile_sha256": hashlib.sha256(paper_profile(1)).hexdigest(),
        "sheets": ["A4", "A3"],
        "price_per_sheet": {"A4": 1},
        "price_per_metre": 2.5,
        "notes": '"""quoted"""\n\\ back',
    }
    assert (folder / "profiles" / "CONnew.icm").read_bytes() == paper_profile(1)
    assert shelf.entry("Third").paper().sheet_price("A4") == 1
    assert shelf.problems == ()


def test_adding_from_bytes_from_a_paper_and_where_it_lies(folder, tmp_path):
    path = put_profile(tmp_path / "elsewhere", "far.icc", 1)
    shelf = add_entry(open_shelf(folder), path, "Far", copy=False)
    shelf = add_entry(shelf, folder / "paper.icc", "Near", copy=True)
    shelf = add_entry(shelf, paper_profile(2))
    paper = open_paper(paper_profile(3), "As opened", finish="matte", weight_g_m2=200)
    shelf = add_entry(shelf, paper, base="cotton")
    shelf = add_entry(shelf, paper_profile(4), "Another", printer="P")
    assert [each["profile"] for each in papers_of(folder)] == [
        str(path),
        "paper.icc",
        "profiles/Invented test paper.icc",
        # another profile of the same description
        "profiles/Invented test paper-2.icc",
        "profiles/Invented test paper-3.icc",
    ]
    opened = shelf.entry("As opened").paper()
    assert (opened.finish, opened.base, opened.black_ink) == ("matte", "cotton", "matte black")
    assert shelf.entry("Invented test paper").paper().profile == paper_profile(2)
    # a new file begins with its own documentation
    assert text_of(folder).startswith("# The shelf: your papers")
    # where it lies, a change is noticed; chosen again, it is accepted and still lies there
    put_profile(tmp_path / "elsewhere", "far.icc", 9)
    shelf = open_shelf(folder)
    assert shelf.entry("Far").profile_changed
    shelf = edit_entry(shelf, "Far", profile=shelf.entry("Far").profile)
    assert not shelf.entry("Far").profile_changed and shelf.problems == ()
    assert papers_of(folder)[0]["profile"] == str(path)


def test_a_profile_of_the_same_bytes_is_not_stored_twice(folder):
    shelf = add_entry(open_shelf(folder), paper_profile(2), "One")
    shelf = add_entry(shelf, paper_profile(2), "Two")
    assert len(list((folder / "profiles").iterdir())) == 1
    assert [each.name for each in shelf.papers()] == ["One", "Two"]


def test_the_first_change_writes_the_default_papers_too(folder):
    default = [open_paper(paper_profile(n), f"Invented {n}") for n in (1, 2)]
    taken = folder / "profiles" / "Invented 1.icc"
    put_profile(folder / "profiles", "Invented 1.icc", 7)
    shelf = open_shelf(folder, default=default)
    shelf = edit_entry(shelf, "Invented 2", base="cotton")
    assert shelf.written and [each["name"] for each in papers_of(folder)] == [
        "Invented 1",
        "Invented 2",
    ]
    # what lay there under that name is no one else's to write over
    assert taken.read_bytes() == paper_profile(7)
    assert [each.profile for each in open_shelf(folder).papers()] == [
        paper_profile(1),
        paper_profile(2),
    ]
    assert open_shelf(folder).problems == ()
    # a second window that began before joins in
    late = edit_entry(open_shelf(folder, default=default), "Invented 1", base="canvas")
    assert [each.base for each in late.entries] == ["canvas", "cotton"]


def test_removing_keeps_the_text_elsewhere_and_every_comment(folder):
    shelf = open_shelf(put_shelf(folder, HAND_MADE))
    shelf = remove_entry(shelf, "First")
    text = text_of(folder)
    assert [each.name for each in shelf.entries] == ["Second"]
    for comment in (
        "# my shelf",
        "# kept",
        "# --- matte ---",
        "# after the first",
        "# --- gloss ---",
        "# last words",
        "# of another program",
    ):
        assert comment in text
    # and says whose the comment above was
    assert "# (“First”, which stood here, was removed on " in text
    kept = tomllib.loads((folder / REMOVED_NAME).read_text())["paper"]
    assert kept == tomllib.loads(HAND_MADE)["paper"][:1]
    assert "# weighed" in (folder / REMOVED_NAME).read_text()
    remove_entry(shelf, "Second")
    assert len(tomllib.loads((folder / REMOVED_NAME).read_text())["paper"]) == 2
    assert tomllib.loads(text_of(folder)) == {"version": 1, "mine": 1, "settings": {"x": 1}}
    assert (folder / "paper.icc").exists()


def test_an_entry_taken_back_from_the_removed_ones(folder):
    shelf = open_shelf(put_shelf(folder, HAND_MADE))
    remove_entry(shelf, "First")
    put_shelf(folder, text_of(folder) + "\n" + (folder / REMOVED_NAME).read_text())
    assert sorted(each.name for each in open_shelf(folder).papers()) == ["First", "Second"]


def test_adding_and_removing_leaves_the_file_as_it_was(folder):
    shelf = open_shelf(put_shelf(folder, HAND_MADE))
    for _ in range(3):
        shelf = remove_entry(add_entry(shelf, paper_profile(1), "Short visit"), "Short visit")
    assert text_of(folder).rstrip("\n") == HAND_MADE.rstrip("\n")


@pytest.mark.parametrize("line_end", ["\n", "\r\n"])
@pytest.mark.parametrize("mark", ["", "\ufeff"])
def test_line_ends_and_byte_order_mark_stay(folder, line_end, mark):
    shelf = open_shelf(put_shelf(folder, mark + HAND_MADE.replace("\n", line_end)))
    shelf = edit_entry(shelf, "First", notes="a\nb", weight_g_m2=None)
    shelf = add_entry(shelf, paper_profile(1), "Third", notes="c\nd")
    shelf = remove_entry(shelf, "Second")
    raw = (folder / "shelf.toml").read_bytes()
    assert raw.count(b"\r\n") == (raw.count(b"\n") if line_end == "\r\n" else 0)
    assert raw.startswith(mark.encode()) and shelf.problems == ()
    assert [each.notes for each in shelf.entries] == ["a\nb", "c\nd"]


def test_letters_that_are_not_utf8_stay_byte_for_byte(folder):
    put_shelf(folder, "")
    (folder / "shelf.toml").write_bytes((HAND_MADE + "# gr\u00fcn\n").encode("latin-1"))
    edit_entry(open_shelf(folder), "First", weight_g_m2=None)
    assert "# gr\u00fcn\n".encode("latin-1") in (folder / "shelf.toml").read_bytes()


BROKEN = [
    entry("Bad", "finish = matte\n# mine in the bad one\n"),
    entry("Bad", 'notes = """never closed\n# mine in the bad one\n'),
    entry("Bad", 'sheets = ["A4",\n# mine in the bad one\n'),
    '[paper]\nname = "Bad"\n# mine in the bad one\n',
    "[settings]\nx = \n# mine in the bad one\n",
]


@pytest.mark.parametrize("where", [0, 1, 2])
@pytest.mark.parametrize("bad", BROKEN)
def test_sound_entries_of_a_broken_file_can_be_changed(folder, bad, where):
    parts = [entry("First", "# a\n"), "# above\n" + entry("Second", 'notes = """\nx\n"""\n')]
    parts.insert(where, bad)
    shelf = open_shelf(put_shelf(folder, VERSION_LINE + "".join(parts)))
    shelf = edit_entry(shelf, "First", notes="with\nlines", base="cotton")
    shelf = add_entry(shelf, paper_profile(1), "Third", notes="more\nlines")
    shelf = remove_entry(shelf, "Second")
    assert [each.name for each in shelf.entries] == ["First", "Third"]
    assert [each.notes for each in shelf.entries] == ["with\nlines", "more\nlines"]
    assert bad in text_of(folder) and "# above" in text_of(folder)
    assert len(shelf.problems) == 1
    # mended by hand, all are there
    mended = text_of(folder).replace(bad, entry("Good"))
    assert sorted(each.name for each in open_shelf(put_shelf(folder, mended)).papers()) == [
        "First",
        "Good",
        "Third",
    ]


def test_a_file_that_is_not_understood_is_not_changed(folder):
    for text in (
        "version = 2\n" + entry("First"),
        'paper = [{name="First", profile="p"}]\n',
        entry("First") + "[settings]\n[paper.more]\nx = 1\n",
    ):
        shelf = open_shelf(put_shelf(folder, text))
        with pytest.raises(LibraryError, match="not changed"):
            add_entry(shelf, paper_profile(1), "Second")
        assert text_of(folder) == text


def test_wishes_that_make_no_sense_change_nothing(folder, tmp_path):
    shelf = open_shelf(put_shelf(folder, HAND_MADE))
    (tmp_path / "junk.icc").write_bytes(b"junk")
    cases = [
        (LibraryError, lambda: edit_entry(shelf, "First", weight_g_m2="heavy")),
        (LibraryError, lambda: edit_entry(shelf, "First", colour="red")),
        (LibraryError, lambda: edit_entry(shelf, "First", name="Second")),
        (LibraryError, lambda: edit_entry(shelf, "First", name="  ")),
        (LibraryError, lambda: edit_entry(shelf, "First", profile_sha256="0" * 64)),
        (LibraryError, lambda: edit_entry(shelf, "First", notes="x" * 20_000)),
        (LibraryError, lambda: edit_entry(shelf, "Nowhere", base="cotton")),
        (LibraryError, lambda: edit_entry(shelf, "First", profile=tmp_path / "gone.icc")),
        (ProfileError, lambda: edit_entry(shelf, "First", profile=tmp_path / "junk.icc")),
        (ProfileError, lambda: add_entry(shelf, b"junk", "Third")),
        (LibraryError, lambda: add_entry(shelf, paper_profile(1), "First")),
        (LibraryError, lambda: add_entry(shelf, 3, "Third")),
        (PaperError, lambda: add_entry(shelf, screen(), "Third")),
    ]
    for kind, wish in cases:
        with pytest.raises(kind):
            wish()
    assert text_of(folder) == HAND_MADE and not (folder / "profiles").exists()


def screen():
    from workbench.colour.spaces import standard_profile

    return standard_profile("sRGB")


# two windows


def test_both_windows_changes_are_kept(folder):
    here = there = open_shelf(put_shelf(folder, HAND_MADE))
    there = edit_entry(there, "First", base="cotton")
    there = add_entry(there, paper_profile(1), "Third")
    there = remove_entry(there, "Second")
    here = edit_entry(here, "First", finish="matte")
    assert [each.name for each in here.entries] == ["First", "Third"]
    first = here.entry("First")
    assert (first.base, first.finish) == ("cotton", "matte")


def test_the_same_field_in_both_windows_is_refused(folder):
    here = there = open_shelf(put_shelf(folder, HAND_MADE))
    edit_entry(there, "First", weight_g_m2=247)
    with pytest.raises(LibraryError, match="“weight_g_m2” of “First” was changed in another"):
        edit_entry(here, "First", weight_g_m2=320, finish="matte")
    with pytest.raises(LibraryError, match="changed in another window"):
        remove_entry(here, "First")
    # the same change twice is not a conflict
    assert edit_entry(here, "First", weight_g_m2=247).entry("First").weight_g_m2 == 247
    remove_entry(there, "Second")
    with pytest.raises(LibraryError, match="no longer on the shelf"):
        edit_entry(here, "Second", base="cotton")
    with pytest.raises(LibraryError, match="no longer on the shelf"):
        remove_entry(here, "Second")
    add_entry(there, paper_profile(1), "Third")
    with pytest.raises(LibraryError, match="already"):
        add_entry(here, paper_profile(1), "Third")


def test_a_hand_edit_meanwhile_is_kept(folder):
    shelf = open_shelf(put_shelf(folder, HAND_MADE))
    put_shelf(folder, "# new at the top\n" + HAND_MADE.replace('"gloss"', '"satin" # really'))
    shelf = edit_entry(shelf, "First", base="cotton")
    assert text_of(folder).startswith("# new at the top") and "# really" in text_of(folder)
    assert shelf.entry("Second").finish == "satin"


def test_a_hand_edit_at_the_last_moment_is_not_written_over(folder, monkeypatch):
    from workbench.library import edits

    shelf = open_shelf(put_shelf(folder, HAND_MADE))
    safe, times = edits._require_safe, []

    def slow(*args):
        if not times:
            put_shelf(folder, HAND_MADE + "# in between\n")
        times.append(1)
        safe(*args)

    monkeypatch.setattr(edits, "_require_safe", slow)
    edit_entry(shelf, "First", base="cotton")
    assert "# in between" in text_of(folder) and papers_of(folder)[0]["base"] == "cotton"
    assert len(times) == 2


def test_copies_of_one_entry_are_told_apart_by_their_order(folder):
    text = entry("Twin") + entry("Twin") + entry("Twin")
    shelf = open_shelf(put_shelf(folder, text))
    shelf = edit_entry(shelf, shelf.entries[1], name="Middle")
    assert [each.name for each in shelf.entries] == ["Twin", "Middle", "Twin"]


def test_a_shelf_that_was_taken_away_is_not_made_anew(folder):
    shelf = open_shelf(put_shelf(folder, HAND_MADE))
    (folder / "shelf.toml").unlink()
    with pytest.raises(LibraryError, match="no longer there"):
        edit_entry(shelf, "First", base="cotton")
    assert not (folder / "shelf.toml").exists()


def test_threads_take_turns(folder):
    put_shelf(folder, VERSION_LINE)
    trouble = []

    def add(first):
        try:
            for number in range(first, first + 5):
                add_entry(open_shelf(folder), folder / "paper.icc", f"Paper {number}")
        except Exception as problem:
            trouble.append(problem)

    threads = [threading.Thread(target=add, args=(n * 5,)) for n in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert trouble == []
    assert sorted(each.name for each in open_shelf(folder).entries) == sorted(
        f"Paper {n}" for n in range(20)
    )


# where it is written


def test_a_link_stays_a_link_and_rights_stay(folder, tmp_path):
    put_shelf(tmp_path / "real", HAND_MADE)
    (tmp_path / "real" / "shelf.toml").chmod(0o640)
    (folder / "shelf.toml").symlink_to(tmp_path / "real" / "shelf.toml")
    edit_entry(open_shelf(folder), "First", base="cotton")
    assert (folder / "shelf.toml").is_symlink()
    real = tmp_path / "real" / "shelf.toml"
    assert 'base = "cotton"' in real.read_text()
    assert stat.S_IMODE(real.stat().st_mode) == 0o640


@pytest.mark.parametrize("call", ["fsync", "replace"])
def test_a_disk_that_fails_leaves_the_old_file(folder, monkeypatch, call):
    shelf = open_shelf(put_shelf(folder, HAND_MADE))

    def fail(*args):
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr(os, call, fail)
        with pytest.raises(LibraryError, match="disk is full"):
            edit_entry(shelf, "First", base="cotton")
    assert text_of(folder) == HAND_MADE and leftovers(folder) == []
    assert edit_entry(shelf, "First", base="cotton").entry("First").base == "cotton"


def test_a_folder_that_cannot_be_is_reported(tmp_path):
    (tmp_path / "file").write_text("")
    with pytest.raises(LibraryError, match="cannot be read"):
        open_shelf(tmp_path / "file" / "shelf")
    shelf = open_shelf(tmp_path / "shelf")
    (tmp_path / "shelf").write_text("")
    with pytest.raises(LibraryError, match="cannot be"):
        add_entry(shelf, paper_profile(1), "One")


def test_another_writer_that_does_not_finish(folder, monkeypatch):
    from workbench import files
    from workbench.files import shared

    shelf = open_shelf(put_shelf(folder, HAND_MADE))
    monkeypatch.setattr(shared, "_WAIT_S", 0.05)
    with files.sole_writer(folder), pytest.raises(LibraryError, match="Another window"):
        edit_entry(shelf, "First", base="cotton")
    assert isinstance(edit_entry(shelf, "First", base="cotton").papers()[0], Paper)

"""Profiles found on the computer: the list in the shelf panel, driven without a browser."""

import dataclasses
import datetime as dt
import hashlib
import time
from pathlib import Path

import pytest
from helpers import coated_profile
from library.makers import paper_profile, put_profile

from workbench.colour.spaces import standard_profile
from workbench.errors import Cancelled, LibraryError
from workbench.library import FoundProfile, scan_profiles
from workbench.panels import parts
from workbench.panels.shelf import found as found_profiles
from workbench.panels.shelf.found import FoundProfiles
from workbench.panels.shelf.found_words import cells, count_words, found_facts
from workbench.paper import open_paper


@pytest.fixture
def system(tmp_path, monkeypatch):
    """A system folder with a paper, its copy, a screen's profile and a broken file."""
    folder = tmp_path / "system"
    put_profile(folder, "a.icc", 0)
    put_profile(folder, "b.icc", 0)
    (folder / "screen.icc").write_bytes(standard_profile("sRGB"))
    (folder / "broken.icc").write_bytes(b"nothing of a profile " * 20)
    monkeypatch.setattr(found_profiles, "system_profile_folders", lambda: (folder,))
    return folder


@pytest.fixture
def found(system, tmp_path):
    used, added = [], []
    made = FoundProfiles(
        parts.Front(),
        used.append,
        added.append,
        cache=tmp_path / "cache",
        profile_folder=tmp_path / "own profiles",
    )
    made.used, made.added = used, added
    yield made
    made.scanner.close()


def scanned(found, folders=""):
    found.scan(folders)
    assert found.scanner.wait_until_idle(60)
    return rows(found)


def rows(found) -> list[str]:
    return [label.replace("\u00a0", " ") for label, _ in found.table.list.options]


def pick(found, index):
    found.table.list.set_state({"index": index})


def test_profiles_are_listed_with_their_facts_and_marks(found, system):
    first, second = scanned(found)
    paper = open_paper(paper_profile())
    white = f"{paper.white_lab[0]:.1f}"
    for row in (first, second):
        assert "Invented test paper" in row and white in row
        assert f"{paper.black_density:.2f}" in row and "2020-01-01" in row
        assert f"{paper.gamut_volume / 1000:.0f} k" in row
    assert first.endswith("new") and second.endswith("same as 1")
    assert "2 output profiles, 1 of the same bytes as another; 1 for screens" in found.count.value
    assert "broken.icc" in found.problems.value and "not an ICC profile" in found.problems.value
    assert found.said.text == "" and found.stop_button.layout.display == "none"


def test_the_list_comes_before_the_measurements(found, monkeypatch):
    seen = []
    measure = found_profiles.measure_found

    def slow(report, **options):
        seen.append(rows(found))
        return measure(report, **options)

    monkeypatch.setattr(found_profiles, "measure_found", slow)
    after = scanned(found)
    assert len(seen[0]) == len(after) == 2
    density = f"{open_paper(paper_profile()).black_density:.2f}"
    assert density not in seen[0][0] and density in after[0]


def test_looking_again_tells_what_is_new_changed_and_gone(found, system, tmp_path):
    scanned(found)
    more = tmp_path / "my own"
    put_profile(more, "c.icc", 2)
    put_profile(system, "a.icc", 1)
    (system / "b.icc").unlink()
    marks = [row.rsplit(maxsplit=1)[-1] for row in scanned(found, f"  {more} ; ")]
    assert sorted(marks) == ["changed", "new"]
    assert "1 new since the last time, 1 changed since the last time" in found.count.value
    assert "1 listed earlier is gone" in found.count.value
    # and once more: both are known now
    assert not any(row.endswith(("new", "changed")) for row in scanned(found, str(more)))


def test_a_folder_that_is_none_is_told(found, tmp_path):
    scanned(found, str(tmp_path / "nowhere"))
    assert "nowhere” is not there; name a folder" in found.problems.value
    assert found.troubles.widget.layout.display == ""


def test_words_narrow_the_list_and_the_choice_stays(found, system, tmp_path):
    (system / "press.icc").write_bytes(coated_profile())
    assert len(scanned(found)) == 3
    pick(found, 1)
    chosen = found.chosen.path
    found.filter.field.value = "INVENTED"
    assert len(rows(found)) == 2 and found.chosen.path == chosen
    found.filter.field.value = "press"
    (row,) = rows(found)
    assert "FOGRA39L" in row
    # what is chosen, and not shown, is not used
    found.use_button.click()
    assert found.used == [] and "Choose a profile in the list first" in found.done.text
    pick(found, 0)
    found.use_button.click()
    assert found.used == [system / "press.icc"]


def test_the_chosen_profile_is_used_added_and_copied(found, system, tmp_path):
    scanned(found)
    found.use_button.click()
    assert (found.done.kind, found.used) == ("problem", [])
    pick(found, 0)
    assert found.one.layout.display == "" and str(system / "a.icc") in found.facts.value
    found.use_button.click()
    found.add_button.click()
    assert found.used == found.added == [system / "a.icc"]
    found.copy_button.click()
    assert "It is sound" in found.done.text
    assert (tmp_path / "own profiles" / "a.icc").read_bytes() == paper_profile()
    # what is not a paper is not copied
    (system / "a.icc").write_bytes(standard_profile("sRGB"))
    found.copy_button.click()
    assert found.done.kind == "problem"
    assert [path.name for path in (tmp_path / "own profiles").iterdir()] == ["a.icc"]


def test_a_scan_can_be_stopped(found, monkeypatch):
    def endless(folders, *, cancelled, **options):
        while not cancelled():
            time.sleep(0.01)
        raise Cancelled

    monkeypatch.setattr(found_profiles, "scan_profiles", endless)
    found.scan("")
    assert found.stop_button.layout.display == "" and found.said.kind == "work"
    found.stop_button.click()
    assert found.scanner.wait_until_idle(5)
    assert found.said.text.startswith("Stopped") and found.report is None
    assert found.stop_button.layout.display == "none"


def test_what_goes_wrong_is_said(found, monkeypatch):
    def failing(folders, **options):
        raise LibraryError("The cupboard is locked; open it.")

    monkeypatch.setattr(found_profiles, "scan_profiles", failing)
    found.scan("")
    assert found.scanner.wait_until_idle(5)
    assert (found.said.kind, found.said.text) == ("problem", "The cupboard is locked; open it.")


def one(**changes) -> FoundProfile:
    day = dt.datetime(2024, 5, 1, tzinfo=dt.UTC)
    base = FoundProfile(
        Path("x.icc"), "Cotton <b>", "output", "RGB", (4, 3),
        hashlib.sha256(b"x").hexdigest(), 1_500_000, day,
    )  # fmt: skip
    return dataclasses.replace(base, **changes)


def test_words_for_what_is_unusual():
    numbers = {Path("x.icc"): 7}
    assert cells(one(note="It describes a screen."), numbers)[2] == "no paper"
    assert ("Cannot be used as a paper", "It describes a screen.") in found_facts(
        one(note="It describes a screen.")
    )
    facts = open_paper(paper_profile()).facts
    unknown = dataclasses.replace(facts, white_is_known=False, white_lab=(97.0, -0.04, 0.0))
    assert cells(one(facts=unknown), numbers)[2] == "not stated"
    assert ("White (absolute)", "not stated by the profile") in found_facts(one(facts=unknown))
    plain = dataclasses.replace(facts, white_lab=(97.0, -0.04, 2.0))
    assert cells(one(facts=plain), numbers)[2].split() == ["97.0", "0.0", "+2.0"]
    assert cells(one(), numbers)[5] == "2024-05-01"
    changed = found_facts(one(status="changed", duplicate_of=Path("y.icc")))
    assert ("The same bytes as", "y.icc") in changed and any("changed" in row[1] for row in changed)


def test_an_incomplete_scan_says_so(system, tmp_path):
    report = scan_profiles([system], cache=tmp_path / "cache", measure=False, most_entries=2)
    assert "Not everything was looked at" in count_words(report)

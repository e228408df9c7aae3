"""Files that never take another's name."""

import pytest

from workbench.errors import OutputError
from workbench.files import file_stem, free_path, save_new
from workbench.files import names as new_file


def test_free_names_leave_alone_what_goes_with_them(tmp_path):
    def beside(path):
        return path.with_suffix(".txt")

    assert free_path(tmp_path, "a/b: c", ".tif", beside).name == "a b c.tif"
    (tmp_path / "a b c.txt").touch()
    assert free_path(tmp_path, "a/b: c", ".tif").name == "a b c.tif"
    assert free_path(tmp_path, "a/b: c", ".tif", beside).name == "a b c-2.tif"
    assert not (tmp_path / "a b c-2.tif").exists()


def test_no_name_free_is_a_sentence(tmp_path, monkeypatch):
    monkeypatch.setattr(new_file, "MOST_NAMES", 2)
    for name in ("a.tif", "a-2.tif"):
        (tmp_path / name).touch()
    for take in (lambda: free_path(tmp_path, "a", ".tif"),
                 lambda: save_new(tmp_path, "a", ".tif", b"")):  # fmt: skip
        with pytest.raises(OutputError, match="2 files named “a” already; choose another folder"):
            take()


def test_a_name_that_is_taken_is_left_alone(tmp_path):
    first = save_new(tmp_path, "view", ".png", b"one")
    second = save_new(tmp_path, "view", ".png", b"two")
    third = save_new(str(tmp_path), "view", ".png", b"three")
    assert [p.name for p in (first, second, third)] == ["view.png", "view-2.png", "view-3.png"]
    assert [p.read_bytes() for p in (first, second, third)] == [b"one", b"two", b"three"]
    assert len(list(tmp_path.iterdir())) == 3  # nothing half done is left


def test_a_dangling_link_counts_as_taken(tmp_path):
    (tmp_path / "view.png").symlink_to(tmp_path / "gone.png")
    assert save_new(tmp_path, "view", ".png", b"one").name == "view-2.png"
    assert not (tmp_path / "gone.png").exists()


def test_a_name_taken_meanwhile_is_passed_over(tmp_path, monkeypatch):
    write = new_file.write_whole

    def taken_before(target, data):
        if target.name == "view.png":
            target.write_bytes(b"theirs")
        return write(target, data)

    monkeypatch.setattr(new_file, "write_whole", taken_before)
    assert save_new(tmp_path, "view", ".png", b"ours").name == "view-2.png"
    assert (tmp_path / "view.png").read_bytes() == b"theirs"


def test_a_folder_that_is_none_gets_a_sentence(tmp_path):
    with pytest.raises(OutputError, match="does not exist; make the folder or choose another"):
        save_new(tmp_path / "nowhere", "view", ".png", b"")
    (tmp_path / "file").write_text("")
    with pytest.raises(OutputError, match="is a file, not a folder"):
        save_new(tmp_path / "file", "view", ".png", b"")


@pytest.mark.parametrize(
    "name, stem",
    [
        ("harbour", "harbour"),
        ("a/b\\c:d*?", "a b c d"),
        ("..", "comparison"),
        ("", "comparison"),
        ("x" * 500, "x" * 80),
        ("two\nlines", "two lines"),
    ],
)
def test_file_names_hold_nothing_that_a_system_refuses(name, stem):
    assert file_stem(name) == stem

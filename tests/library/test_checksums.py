"""Checksums of files: right, remembered, and never those of a file that was there before."""

import hashlib
import os

import pytest

from workbench.errors import Cancelled, FileError
from workbench.files import checksums as profiles
from workbench.files import file_checksum
from workbench.picture import open_picture
from workbench.plan import Plan
from workbench.plan_file import plan_text
from workbench.record import note_of

MOST = 1000


@pytest.fixture
def reads(monkeypatch):
    """How often a file was read through; one written just now counts as settled."""
    monkeypatch.setattr(profiles, "SETTLED_NS", 0)
    real, count = profiles.open_regular, []

    def counted(path, *more):
        count.append(path)
        return real(path, *more)

    monkeypatch.setattr(profiles, "open_regular", counted)
    return count


def test_it_is_that_of_the_bytes(tmp_path):
    (tmp_path / "abc").write_bytes(b"abc")
    # FIPS 180-2, appendix B.1
    assert file_checksum(tmp_path / "abc", MOST) == (
        "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    )


def test_a_file_is_read_once_until_it_changes(tmp_path, reads):
    path = tmp_path / "file"
    path.write_bytes(b"one")
    first = file_checksum(path, MOST)
    assert file_checksum(str(path), MOST) == first and len(reads) == 1
    path.write_bytes(b"two")
    os.utime(path, ns=(1, 1))
    assert file_checksum(path, MOST) == hashlib.sha256(b"two").hexdigest() and len(reads) == 2


def test_a_file_written_just_now_is_read_again(tmp_path):
    path = tmp_path / "file"
    for data in (b"one", b"two"):
        path.write_bytes(data)
        # as on a system whose clock ticks slowly
        os.utime(path, ns=(1, 1))
        assert file_checksum(path, MOST) == hashlib.sha256(data).hexdigest()


def test_saving_and_noting_a_plan_read_its_picture_once(tmp_path, reads):
    from picture.makers import tiff_bytes

    from workbench.demo import demo_picture

    path = tmp_path / "quay.tif"
    path.write_bytes(tiff_bytes((demo_picture().preview(60)[..., :3] / 257).astype("uint8")))
    plan = Plan(picture=open_picture(path, "sRGB"))
    checksum = hashlib.sha256(path.read_bytes()).hexdigest()
    assert checksum in plan_text(plan) and note_of(plan).picture_sha256 == checksum
    assert [str(each) for each in reads] == [str(path)]


def test_what_is_no_file_is_never_waited_for(tmp_path):
    (tmp_path / "large").write_bytes(bytes(11))
    os.mkfifo(tmp_path / "pipe")
    for path, said in (
        (tmp_path, "is a folder"),
        (tmp_path / "nowhere", "no file “nowhere”"),
        ("a\0b", "is not a path"),
        (tmp_path / "pipe", "device or a pipe"),
        (tmp_path / "large", "larger than"),
    ):
        with pytest.raises(FileError, match=said):
            file_checksum(path, 10)


def test_it_tells_how_far_it_is_and_can_be_given_up(tmp_path, monkeypatch):
    monkeypatch.setattr(profiles, "_PIECE", 10)
    (tmp_path / "file").write_bytes(bytes(40))
    done = []
    file_checksum(tmp_path / "file", MOST, progress=done.append)
    assert done == [0.25, 0.5, 0.75, 1.0]
    with pytest.raises(Cancelled):
        file_checksum(tmp_path / "file", MOST, cancelled=lambda: True)

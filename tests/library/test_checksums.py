"""Checksums of files: right, remembered, and never those of a file that was there before."""

import hashlib
import os

import pytest

from workbench.errors import LibraryError
from workbench.library import profiles
from workbench.library.checksums import file_checksum
from workbench.picture import open_picture
from workbench.plan import Plan
from workbench.plan_file import plan_text
from workbench.record import note_of


@pytest.fixture
def reads(monkeypatch):
    """How often a file was read through; one written just now counts as settled."""
    monkeypatch.setattr(profiles, "_SETTLED_NS", 0)
    real, count = hashlib.file_digest, []

    def counted(stream, name):
        count.append(stream.name)
        return real(stream, name)

    monkeypatch.setattr(hashlib, "file_digest", counted)
    return count


def test_it_is_that_of_the_bytes(tmp_path):
    (tmp_path / "abc").write_bytes(b"abc")
    # FIPS 180-2, appendix B.1
    assert file_checksum(tmp_path / "abc") == (
        "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    )


def test_a_file_is_read_once_until_it_changes(tmp_path, reads):
    path = tmp_path / "file"
    path.write_bytes(b"one")
    first = file_checksum(path)
    assert file_checksum(str(path)) == first and len(reads) == 1
    path.write_bytes(b"two")
    os.utime(path, ns=(1, 1))
    assert file_checksum(path) == hashlib.sha256(b"two").hexdigest() and len(reads) == 2


def test_a_file_written_just_now_is_read_again(tmp_path):
    path = tmp_path / "file"
    for data in (b"one", b"two"):
        path.write_bytes(data)
        # as on a system whose clock ticks slowly
        os.utime(path, ns=(1, 1))
        assert file_checksum(path) == hashlib.sha256(data).hexdigest()


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
    with pytest.raises(LibraryError, match="is a folder"):
        file_checksum(tmp_path)
    with pytest.raises(FileNotFoundError):
        file_checksum(tmp_path / "nowhere")
    with pytest.raises(ValueError):
        file_checksum("a\0b")
    if hasattr(os, "mkfifo"):
        os.mkfifo(tmp_path / "pipe")
        with pytest.raises(LibraryError, match="device or a pipe"):
            file_checksum(tmp_path / "pipe")

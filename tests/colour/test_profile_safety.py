"""Hostile and damaged profiles end in a sentence of ours, never in a crash.

``WORKBENCH_ATTACKS=3000`` makes the run by hand longer; it is seeded either way.
"""

import hashlib
import os
import struct

import numpy as np
import pytest
from helpers import coated_profile

from workbench.colour.engine import transform
from workbench.colour.inkmodel import model_profile
from workbench.colour.profile import read_profile
from workbench.colour.spaces import standard_profile
from workbench.colour.writer import assemble, xyz
from workbench.errors import PaperError, ProfileError, WorkbenchError
from workbench.files.text import clean_text
from workbench.paper import open_paper

ROUNDS = int(os.environ.get("WORKBENCH_ATTACKS", "240"))


@pytest.fixture(scope="module")
def model() -> bytes:
    return model_profile((96, 0, 1), 1.6, finish="matte", grid=9)


def test_sound_profiles_pass(model):
    coated = read_profile(coated_profile())
    assert coated.description == "FOGRA39L Coated"
    assert (coated.device_class, coated.space, coated.pcs, coated.version[0]) == (
        "output",
        "CMYK",
        "LAB",
        2,
    )
    assert read_profile(model).version[0] == 4
    assert len(read_profile(model).checksum) == 64


def test_the_press_profile_has_its_tables_as_published_and_nothing_of_its_makers():
    coated = read_profile(coated_profile())
    measured = {"A2B0", "A2B1", "A2B2", "B2A0", "B2A1", "B2A2", "gamt", "wtpt", "bkpt", "clrt"}
    assert set(coated.tags) == {"desc", "cprt", *measured}
    # checksums of the tables, taken before the other tags were removed
    for tag, checksum in (("A2B1", "174ab1d8493f1b66"), ("B2A1", "8b8926e09ac1b3df")):
        assert hashlib.sha256(coated.tag(tag)).hexdigest().startswith(checksum)
    # ICC.1:2022, table 17: preferred CMM, platform, manufacturer, model, creator, profile ID
    for start, end in ((4, 8), (40, 44), (48, 56), (80, 100)):
        assert not any(coated.data[start:end])


def test_a_text_file_called_icc(tmp_path):
    path = tmp_path / "paper.icc"
    path.write_text("not a profile at all, " * 40)
    with pytest.raises(ProfileError, match="not an ICC colour profile"):
        open_paper(path)


def test_empty_missing_and_folder(tmp_path):
    (tmp_path / "empty.icc").write_bytes(b"")
    for path, words in (
        (tmp_path / "empty.icc", "not an ICC"),
        (tmp_path / "gone.icc", "no file"),
        (tmp_path, "folder"),
    ):
        with pytest.raises(ProfileError, match=words):
            open_paper(path)


def test_unreadable_path():
    with pytest.raises(ProfileError):
        open_paper("bad\0name.icc")


def test_a_huge_file_is_refused_unread(tmp_path):
    path = tmp_path / "huge.icc"
    with path.open("wb") as file:
        file.truncate(2**31)
    with pytest.raises(ProfileError, match="larger than 64 MB"):
        read_profile(path)


def test_every_cut_of_a_profile_is_refused(model):
    random = np.random.default_rng(7)
    for data in (coated_profile(), model):
        for cut in {0, 4, 127, 128, 131, 132, 140, *random.integers(0, len(data) - 1, 300)}:
            with pytest.raises(ProfileError):
                read_profile(data[: int(cut)])


def _use(data: bytes) -> str:
    """Open as paper and send colours through; name what happened."""
    try:
        paper = open_paper(data)
        ink = transform(np.random.default_rng(0).random((50, 3)), standard_profile("sRGB"), data)
        lab = transform(ink, paper.profile, "lab")
        assert np.isfinite(lab).all() and np.isfinite(paper.white_lab).all()
        return "used"
    except WorkbenchError as problem:
        assert str(problem)[-1] == "." and len(str(problem)) > 20
        return "refused"


@pytest.mark.slow
@pytest.mark.parametrize("which", ["coated", "model", "space"])
def test_flipped_bytes(which, model):
    """Profiles with flipped bytes, most of them in header and tag table; more by hand."""
    original = {
        "coated": coated_profile(),
        "model": model,
        "space": standard_profile("Display P3"),
    }[which]
    random = np.random.default_rng(8)
    outcomes = {"used": 0, "refused": 0}
    for round_ in range(ROUNDS):
        data = bytearray(original)
        end = (132 + 12 * 20, 2000, len(data))[round_ % 3]
        for place in random.integers(0, min(end, len(data)), random.integers(1, 9)):
            data[place] = random.integers(0, 256)
        outcomes[_use(bytes(data))] += 1
    assert outcomes["refused"] > ROUNDS / 12
    if which != "space":
        assert outcomes["used"] > ROUNDS / 12


def test_tag_sizes_past_the_end(model):
    data = bytearray(model)
    for index in range(struct.unpack_from(">I", data, 128)[0]):
        broken = bytearray(data)
        struct.pack_into(">I", broken, 132 + 12 * index + 8, 0xFFFFFFF0)
        with pytest.raises(ProfileError, match="lies outside the file"):
            read_profile(bytes(broken))
        broken = bytearray(data)
        struct.pack_into(">I", broken, 132 + 12 * index + 4, len(data) - 4)
        with pytest.raises(ProfileError):
            read_profile(bytes(broken))


def test_a_table_larger_than_its_tag(model):
    profile = read_profile(model)
    offset, _ = profile.tags["A2B1"]
    (table,) = struct.unpack_from(">I", model, offset + 24)
    broken = bytearray(model)
    broken[offset + table : offset + table + 3] = bytes([200, 200, 200])
    with pytest.raises(ProfileError, match="A2B1"):
        read_profile(bytes(broken))


def test_descriptions_are_cleaned():
    tags = {"wtpt": xyz([0.9642, 1, 0.8249])}
    data = assemble("display", "RGB", "XYZ", "Nice\x00\x1b[31m\nname\u202e <b>bold</b>", tags)
    assert read_profile(data).description == "Nice [31m name <b>bold</b>"
    assert clean_text("x" * 999) == "x" * 200
    assert len(read_profile(assemble("display", "RGB", "XYZ", "y" * 5000, tags)).description) == 200


@pytest.mark.parametrize(
    "signature, words",
    [
        (b"mntr", "describes a screen"),
        (b"scnr", "camera or scanner"),
        (b"link", "device link"),
        (b"nmcl", "named colours"),
        (b"spac", "colour space"),
        (b"abst", "effect"),
    ],
)
def test_other_classes_are_no_papers(model, signature, words):
    data = model[:12] + signature + model[16:]
    with pytest.raises(PaperError, match=words):
        open_paper(data)


def test_output_profile_without_tables():
    matrix = standard_profile("sRGB")
    with pytest.raises(PaperError, match="no tables"):
        open_paper(matrix[:12] + b"prtr" + matrix[16:])


def test_grey_printer():
    grey = standard_profile("Grey, power 2.2")
    with pytest.raises(PaperError, match="GRAY printer"):
        open_paper(grey[:12] + b"prtr" + grey[16:])


def test_unknown_version():
    data = bytearray(standard_profile("sRGB"))
    data[8] = 9
    with pytest.raises(ProfileError, match="version 9"):
        read_profile(bytes(data))

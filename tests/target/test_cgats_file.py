"""Files that we write are read by others, and published ones by us.

Others are Little CMS's own reader of such files (its cmsIT8 functions, in the library that
Pillow brings), and a reader of ten lines written here from the format's description.
"""

import csv
import ctypes
import ctypes.util
import re
import sys
from pathlib import Path

import numpy as np
import PIL
import pytest
from helpers import DATA
from target.makers import matte_target

from workbench.colour.cgats import read_cgats
from workbench.errors import TargetError
from workbench.readings import read_patches
from workbench.target.cgats_file import cgats_text, plain_text, reference_text


def plain_reader(text: str) -> list[dict[str, str]]:
    fields = text.split("BEGIN_DATA_FORMAT")[1].split("END_DATA_FORMAT")[0].split()
    data = text.split("\nBEGIN_DATA\n")[1].split("\nEND_DATA\n")[0]
    promised = int(re.search(r"^NUMBER_OF_SETS (\d+)$", text, re.MULTILINE)[1])
    assert int(re.search(r"^NUMBER_OF_FIELDS (\d+)$", text, re.MULTILINE)[1]) == len(fields)
    rows = [re.findall(r'"([^"]*)"|(\S+)', line) for line in data.splitlines()]
    rows = [[quoted or bare for quoted, bare in row] for row in rows]
    assert len(rows) == promised and {len(row) for row in rows} == {len(fields)}
    return [dict(zip(fields, row, strict=True)) for row in rows]


def little_cms():
    """Little CMS as a C library, or None."""
    site = Path(PIL.__file__).parent
    # in Pillow's wheels for Linux and macOS, and in conda's environments
    for folder in (site.parent / "pillow.libs", site / ".dylibs", Path(sys.prefix, "lib")):
        for path in sorted(folder.glob("*lcms2*.[sd]*")):
            return ctypes.CDLL(str(path))
    found = ctypes.util.find_library("lcms2")
    return ctypes.CDLL(found) if found else None


def test_little_cms_reads_what_we_write():
    library = little_cms()
    if library is None and sys.platform == "win32":
        pytest.skip("Pillow's wheels for Windows hold Little CMS inside themselves")
    assert library, "Little CMS is not found"
    target = matte_target()
    data = reference_text(target).encode()
    library.cmsIT8LoadFromMem.restype = ctypes.c_void_p
    library.cmsIT8LoadFromMem.argtypes = [ctypes.c_void_p, ctypes.c_char_p, ctypes.c_uint32]
    library.cmsIT8GetDataDbl.restype = ctypes.c_double
    library.cmsIT8GetDataDbl.argtypes = [ctypes.c_void_p, ctypes.c_char_p, ctypes.c_char_p]
    library.cmsIT8GetProperty.restype = ctypes.c_char_p
    library.cmsIT8GetProperty.argtypes = [ctypes.c_void_p, ctypes.c_char_p]
    library.cmsIT8GetSheetType.restype = ctypes.c_char_p
    library.cmsIT8GetSheetType.argtypes = [ctypes.c_void_p]
    library.cmsIT8Free.argtypes = [ctypes.c_void_p]
    table = library.cmsIT8LoadFromMem(None, data, len(data))
    assert table, "Little CMS refuses the file"
    try:
        assert library.cmsIT8GetSheetType(table) == b"CGATS.17"
        assert library.cmsIT8GetProperty(table, b"MATERIAL") == b"Rag"
        theirs = np.array(
            [
                [library.cmsIT8GetDataDbl(table, patch.encode(), f) for f in
                 (b"LAB_L", b"LAB_A", b"LAB_B", b"RGB_R", b"RGB_G", b"RGB_B")]
                for patch in target.ids
            ]
        )  # fmt: skip
    finally:
        library.cmsIT8Free(table)
    assert np.abs(theirs[:, :3] - target.reference_lab).max() < 1e-4
    assert np.abs(theirs[:, 3:] - 255 * target.rgb).max() < 1e-4


def test_a_plain_reader_reads_what_we_write():
    target = matte_target()
    rows = plain_reader(reference_text(target))
    assert [row["SAMPLE_ID"] for row in rows] == list(target.ids)
    assert [row["SAMPLE_NAME"] for row in rows] == list(target.names)
    lab = np.array([[float(row[f"LAB_{c}"]) for c in "LAB"] for row in rows])
    assert np.abs(lab - target.reference_lab).max() <= 5.1e-5


def test_our_own_reader_reads_what_we_write():
    target = matte_target()
    (table,) = read_cgats(reference_text(target).encode())
    assert table.identifier == "CGATS.17"
    assert (table.illuminant, table.observer_deg) == ("D50", 2)
    assert np.abs(table.numbers("RGB_R", "RGB_G", "RGB_B") - 255 * target.rgb).max() < 1e-4
    assert table.text("SAMPLE_NAME") == target.names


def test_text_is_plain_whatever_names_hold():
    name = 'Bütten “Größe” "3" − naïve\n\tEND_DATA'
    text = cgats_text(
        ["1", "2"], [name, "#2 x"], lab=[[50, 0, -0.00001], [1, 2, 3]], descriptor=name,
        keywords=[("Own word", name), ("own word", "b")], created="2024-02-03",
    )  # fmt: skip
    assert plain_text(name).startswith("Butten 'Grosse'")
    assert text.isascii() and "-0.0000" not in text
    assert text.count('KEYWORD "OWN_WORD"') == 1 and 'CREATED "2024-02-03"' in text
    rows = plain_reader(text)
    assert rows[0]["SAMPLE_NAME"] == plain_text(name) and rows[1]["SAMPLE_NAME"] == "#2 x"
    (table,) = read_cgats(text.encode())
    assert table.text("SAMPLE_NAME") == (plain_text(name), "#2 x")


@pytest.mark.parametrize(
    ("ids", "names", "lab"),
    [
        ([], [], np.zeros((0, 3))),
        (["a", "a"], ["x", "y"], np.zeros((2, 3))),
        (["a", "b"], ["x"], np.zeros((2, 3))),
        (["a"], ["x"], [[np.nan, 0, 0]]),
        (["a"], ["x"], [[0, 0]]),
    ],
)
def test_what_is_no_table_is_refused(ids, names, lab):
    with pytest.raises(TargetError):
        cgats_text(ids, names, lab=lab)


def test_a_whole_published_file_is_read():
    """Newsprint, 928 patches: WAN-IFRA 2004 (data CC0, see tests/data/README.md)."""
    patches = read_patches(DATA / "IFRA26S_newsprint.txt")
    assert len(patches.xyz) == 928 and not patches.estimated
    with (DATA / "IFRA26S_solids.csv").open() as file:
        for row in csv.DictReader(file):
            ink = [float(row[c]) for c in ("cyan", "magenta", "yellow", "black")]
            here = (patches.device == ink).all(axis=1)
            # published in both columns, rounded to two decimals
            assert here.any()
            found = patches.xyz[here].mean(axis=0) * 100
            assert found == pytest.approx([float(row[c]) for c in "XYZ"], abs=0.15)

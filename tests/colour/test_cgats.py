"""Measurement files: the forms they come in, and what is refused."""

import numpy as np
import pytest
from helpers import DATA, solids
from hypothesis import given, settings
from hypothesis import strategies as st

from workbench.colour.cgats import read_cgats
from workbench.errors import PaperError

LAB_FILE = """CGATS.17
ORIGINATOR "a test"   # who wrote it
KEYWORD "OWN_WORD"
OWN_WORD "two words"
NUMBER_OF_FIELDS 5
BEGIN_DATA_FORMAT
SAMPLE_ID SAMPLE_NAME LAB_L LAB_A LAB_B
END_DATA_FORMAT
NUMBER_OF_SETS 2
BEGIN_DATA
1 "bare paper" 95.00 0.00 -2.00
2 black 16.00 0.00 0.00
END_DATA
"""


def read(text: str):
    (table,) = read_cgats(text.encode())
    return table


def with_keywords(*lines: str):
    return read(LAB_FILE.replace("CGATS.17\n", "CGATS.17\n" + "\n".join(lines) + "\n"))


def spectral(fields, rows, *keywords):
    listed = "\n".join(" ".join(map(str, row)) for row in rows)
    return read(
        "ISO28178\n" + "\n".join(keywords) + f"\nBEGIN_DATA_FORMAT\n{' '.join(fields)}\n"
        f"END_DATA_FORMAT\nBEGIN_DATA\n{listed}\nEND_DATA\n"
    )


# -- what is in a file


def test_a_published_file():
    (table,) = read_cgats(DATA / "FOGRA47L_extract.txt")
    assert table.values("DESCRIPTOR") == ("FOGRA47L",)
    # INSTRUMENTATION says "D50, 2 degree, geometry 45/0, …"
    assert (table.illuminant, table.observer_deg) == ("D50", 2)
    inks = table.numbers("CMYK_C", "CMYK_M", "CMYK_Y", "CMYK_K")
    labs = table.numbers("LAB_L", "LAB_A", "LAB_B")
    published = solids("FOGRA47L")
    seen = 0
    for ink, lab in zip(inks, labs, strict=True):
        if tuple(ink.astype(int)) in published:
            solid = published[tuple(ink.astype(int))]
            assert lab == pytest.approx([solid[k] for k in "Lab"], abs=0.005)
            seen += 1
    assert seen >= 6


def test_keywords_names_and_numbers():
    table = read(LAB_FILE)
    assert table.identifier == "CGATS.17"
    assert table.values("ORIGINATOR") == ("a test",)
    assert table.values("OWN_WORD") == ("two words",)
    assert table.text("SAMPLE_NAME") == ("bare paper", "black")
    assert table.numbers("LAB_L", "LAB_B").tolist() == [[95, -2], [16, 0]]
    assert table.has("LAB_L", "LAB_A") and not table.has("XYZ_X")


@pytest.mark.parametrize(
    "change",
    [
        lambda t: t.replace("\n", "\r\n").encode(),
        lambda t: t.replace("\n", "\r").encode(),
        lambda t: b"\xef\xbb\xbf" + t.encode(),
        lambda t: t.encode("utf-16"),
        lambda t: t.replace(".", ",").encode(),
        lambda t: t.replace("SAMPLE_ID", "SampleID").replace("LAB_A", "LAB_a").encode(),
        lambda t: t.replace(" 16.00", "\n 16.00").encode(),
        lambda t: t.replace("95.00", "9.5E+1").encode(),
    ],
    ids=["CRLF", "CR", "mark", "UTF-16", "commas", "SampleID", "wrapped", "exponent"],
)
def test_forms_that_files_come_in(change):
    (table,) = read_cgats(change(LAB_FILE))
    assert table.numbers("LAB_L", "LAB_A", "LAB_B").tolist() == [[95, 0, -2], [16, 0, 0]]
    assert table.has("SAMPLE_ID")


def test_names_with_blanks_between_tabulators():
    rows = 'BEGIN_DATA\n1\tbare paper\t95\t0\t-2\n2\t"black"\t16\t0\t0\nEND_DATA\n'
    table = read(LAB_FILE[: LAB_FILE.index("BEGIN_DATA\n")] + rows)
    assert table.text("SAMPLE_NAME") == ("bare paper", "black")


def test_a_hash_in_a_name_is_no_comment():
    table = read(
        LAB_FILE.replace("black", "P#3").replace("2 P#3 16.00 0.00 0.00", "2 P#3 16 0 0 # x")
    )
    assert table.text("SAMPLE_NAME")[1] == "P#3"


def test_several_tables():
    first, second = read_cgats((LAB_FILE + LAB_FILE.replace("95.00", "90.00")).encode())
    assert first.numbers("LAB_L")[0] == 95
    assert second.numbers("LAB_L")[0] == 90


@given(st.lists(st.tuples(*[st.floats(-150, 150)] * 3), min_size=1, max_size=20))
@settings(max_examples=40, deadline=None)
def test_numbers_come_back(labs):
    rows = "\n".join(f"{i} x {a!r} {b!r} {c!r}" for i, (a, b, c) in enumerate(labs))
    text = LAB_FILE[: LAB_FILE.index("NUMBER_OF_SETS")] + f"BEGIN_DATA\n{rows}\nEND_DATA"
    assert read(text).numbers("LAB_L", "LAB_A", "LAB_B").tolist() == [list(lab) for lab in labs]


# -- light and observer


@pytest.mark.parametrize(
    ("lines", "expected"),
    [
        ([], (None, None)),
        (['WEIGHTING_FUNCTION "ILLUMINANT,D50"', 'WEIGHTING_FUNCTION "OBSERVER,2 degree"'], ("D50", 2)),
        (['WEIGHTING_FUNCTION "ILLUMINANT, D65"', 'WEIGHTING_FUNCTION "OBSERVER, 10 degree"'], ("D65", 10)),
        # whatever keyword says it, and however it is put together
        (['OWN_ILLUMINANT "A"', 'OWN_OBSERVER "2"'], ("A", 2)),
        (['OWN_WORDS "illuminant=D50 observer=2 base=absolute"'], ("D50", 2)),
        (['OWN_WORDS "illuminant: F11; observer angle 10"'], ("F11", 10)),
        (['PRINT_CONDITIONS "read for D50"', 'OWN_WORDS "CIE 1931 2°"'], ("D50", 2)),
        (['DESCRIPTOR "Run F2, sheet A, at 10 °C"'], (None, None)),
        # two lights named, and no word which one counts
        (['DESCRIPTOR "D50 and D65"', 'OWN_WORDS "2 degree or 10 degree"'], (None, None)),
        # by itself this is the lamp of the instrument
        (['MEASUREMENT_SOURCE "A"'], (None, None)),
        (['MEASUREMENT_SOURCE "D65"', 'FILTER "D65"'], (None, None)),
        (['OWN_ILLUMINANT "Emission"', 'OWN_OBSERVER "N.A."'], (None, None)),
        (['INSTRUMENTATION "F11, 10 degree, geometry 45/0"'], ("F11", 10)),
        # the weighting says what the numbers are for, whatever else is named
        (['WEIGHTING_FUNCTION "ILLUMINANT, D50"', 'OWN_ILLUMINANT "A"'], ("D50", None)),
        (['OWN_ILLUMINANT "A"', 'WEIGHTING_FUNCTION "ILLUMINANT, D50"'], ("D50", None)),
    ],
)  # fmt: skip
def test_stated_light_and_observer(lines, expected):
    table = with_keywords(*lines)
    assert (table.illuminant, table.observer_deg) == expected


def test_condition_and_base():
    table = with_keywords('MEASUREMENT_SOURCE "M1, white base = paper"', 'DESCRIPTOR "Run M0"')
    assert table.condition == "M1"
    assert table.relative_to_paper
    assert with_keywords('OWN_WORDS "values are relative to the paper"').relative_to_paper
    assert with_keywords('INSTRUMENTATION "geometry 45/0, M2"').condition == "M2"
    assert not with_keywords('PRINT_CONDITIONS "white paper, 115 g/m2"').relative_to_paper
    assert read(LAB_FILE).condition is None
    assert not read(LAB_FILE).relative_to_paper


# -- spectra

BANDS = range(380, 731, 10)


@pytest.mark.parametrize(
    "name", ["NM{}", "SPECTRAL_NM{}", "SPECTRAL_NM_{}", "Spectral_{}.0", "own_word_{}", "{}_NM", "{}"]
)  # fmt: skip
@pytest.mark.parametrize("full", [1.0, 100.0])
def test_spectra_one_column_a_wavelength(name, full):
    share = [0.5 + 0.001 * (b - 380) for b in BANDS]
    fields = ["SAMPLE_ID", *(name.format(b) for b in BANDS)]
    table = spectral(fields, [[1, *(full * s for s in share)], [2, *(full * s / 2 for s in share)]])
    wavelengths, values = table.spectra()
    assert wavelengths.tolist() == list(BANDS)
    assert values[0] == pytest.approx(share)
    assert values[1] == pytest.approx([s / 2 for s in share])


@pytest.mark.parametrize(("kind", "full"), [("SPECTRAL_PCT", 100), ("SPECTRAL_DEC", 1)])
def test_spectra_as_pairs(kind, full):
    fields = ["SAMPLE_ID", *("SPECTRAL_NM", kind) * len(BANDS)]
    # all below 2, so that only the field's name can tell percent from shares
    row = [v for b in BANDS for v in (b, full * 0.01)]
    wavelengths, values = spectral(fields, [[1, *row]]).spectra()
    assert wavelengths.tolist() == list(BANDS)
    assert values == pytest.approx(0.01)


def test_a_stated_full_scale_goes_first():
    fields = [f"SPECTRAL_{b}" for b in BANDS]
    table = spectral(fields, [[1.5] * len(BANDS)], 'SPECTRAL_FULL_SCALE "100.0"')
    assert table.spectra()[1] == pytest.approx(0.015)


def test_wavelengths_in_any_order():
    fields = [f"NM{b}" for b in reversed(BANDS)]
    wavelengths, values = spectral(fields, [[b / 1000 for b in reversed(BANDS)]]).spectra()
    assert values[0] == pytest.approx(wavelengths / 1000)


def test_a_column_that_only_looks_like_a_band_is_left_out():
    fields = ["PASS_400", *(f"NM{b}" for b in BANDS)]
    wavelengths, values = spectral(fields, [[99.0] + [0.5] * len(BANDS)]).spectra()
    assert wavelengths.tolist() == list(BANDS) and (values == 0.5).all()


def test_no_spectra():
    assert read(LAB_FILE).spectra() is None


@pytest.mark.parametrize(
    "bands", [range(420, 731, 10), range(380, 651, 10), [380, 390, 410], [550]]
)
def test_spectra_that_do_not_cover_the_visible(bands):
    table = spectral([f"NM{b}" for b in bands], [[0.5] * len(list(bands))])
    with pytest.raises(PaperError, match="from 400 nm or less to 700"):
        table.spectra()


# -- what is refused


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        (b"", "not a measurement file"),
        (b"A letter\nto somebody.\n", "not a measurement file"),
        (b"II*\0\x10\0\0\0", "not a text file"),
        (LAB_FILE.removesuffix("END_DATA\n").encode(), "cut short"),
        (LAB_FILE.replace("SETS 2", "SETS 3").encode(), "promises 3 samples and holds 2"),
        (LAB_FILE.replace("16.00 0.00 0.00", "16.00 0.00").encode(), "Line 12 .* has 4 values where 5"),
        (LAB_FILE.replace("BEGIN_DATA_FORMAT", "X").replace("END_DATA_FORMAT", "Y").encode(),
         "BEGIN_DATA_FORMAT is missing"),
        ("no such file.txt", "There is no file"),
        (17, "is not a path"),
    ],
)  # fmt: skip
def test_what_is_no_measurement_file(data, sentence):
    with pytest.raises(PaperError, match=sentence):
        read_cgats(data)


@pytest.mark.parametrize("value", ["nan", "inf", "n/a", "1_0", "9" * 60, "1.2.3"])
def test_what_is_no_number(value):
    table = read(LAB_FILE.replace("16.00", value))
    with pytest.raises(PaperError, match="sample 2 has .* as LAB_L, which is not a number"):
        table.numbers("LAB_L")


def test_a_missing_column_names_those_there_are():
    with pytest.raises(PaperError, match="no column “XYZ_X”; it has SAMPLE_ID, SAMPLE_NAME, LAB_L"):
        read(LAB_FILE).numbers("XYZ_X")


@given(st.binary(max_size=300))
@settings(max_examples=150, deadline=None)
def test_any_bytes_end_in_tables_or_a_sentence(junk):
    for data in (junk, LAB_FILE.encode()[:150] + junk, junk + LAB_FILE.encode()):
        try:
            tables = read_cgats(data)
        except PaperError as problem:
            assert str(problem).endswith((".", ")."))
        else:
            assert all(len(row) == len(t.fields) for t in tables for row in t.rows)


def test_large_files_are_read_quickly_and_huge_ones_refused(tmp_path):
    import time

    rows = "\n".join(f"{i} x {i % 100} 0 0" for i in range(20_000))
    text = LAB_FILE[: LAB_FILE.index("NUMBER_OF_SETS")] + f"BEGIN_DATA\n{rows}\nEND_DATA"
    start = time.perf_counter()
    assert len(read(text).numbers("LAB_L")) == 20_000
    assert time.perf_counter() - start < 3
    huge = tmp_path / "huge.txt"
    with huge.open("wb") as file:
        file.truncate(60_000_000)
    with pytest.raises(PaperError, match="larger than 48 MB"):
        read_cgats(huge)
    assert np.isfinite(read(text).numbers("LAB_L")).all()

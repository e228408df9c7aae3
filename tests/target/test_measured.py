"""Measurements are put to the right patches, or it is said why not."""

import numpy as np
import pytest
from target.makers import file_of, matte_target, read_measured

from workbench.errors import PaperError, TargetError
from workbench.target.cgats_file import cgats_text


@pytest.fixture(scope="module")
def target():
    return matte_target()


@pytest.fixture(scope="module")
def lab(target):
    return target.reference_lab + np.random.default_rng(3).normal(0, 0.5, (len(target), 3))


def written(ids, names, lab) -> bytes:
    return cgats_text(ids, names, lab=lab).encode()


def test_rows_are_matched_by_id_in_any_order(target, lab):
    turned = np.random.default_rng(1).permutation(len(target))
    data = written([target.ids[i] for i in turned], ["x"] * len(target), lab[turned])
    found = read_measured(data, target)
    assert found.matched_by == "SAMPLE_ID" and found.notes == ()
    assert np.abs(found.lab - lab).max() < 1e-4


def test_ids_may_be_written_otherwise(target, lab):
    ids = [f"{i[0].lower()}{int(i[1:]):02d}" for i in target.ids]
    assert np.abs(read_measured(written(ids, ids, lab), target).lab - lab).max() < 1e-4


def test_rows_are_matched_by_name_where_ids_are_numbers(target, lab):
    count = len(target)
    data = written([str(i + 1) for i in range(count)][::-1], target.names[::-1], lab[::-1])
    found = read_measured(data, target)
    assert found.matched_by == "SAMPLE_NAME"
    assert np.abs(found.lab - lab).max() < 1e-4


def test_rows_without_names_are_taken_in_order_and_it_says_so(target, lab):
    count = len(target)
    data = written([str(i + 1) for i in range(count)], ["-"] * count, lab)
    found = read_measured(data, target)
    assert found.matched_by == "order" and "in order" in found.notes[0] and len(found.notes) == 1
    assert np.abs(found.lab - lab).max() < 1e-4


def test_rows_measured_down_the_columns_are_noticed(target, lab):
    down = np.arange(72).reshape(6, 12).T.ravel()
    data = written([str(i + 1) for i in range(72)], ["-"] * 72, lab[down])
    found = read_measured(data, target)
    assert "column by column" in found.notes[1]
    assert np.abs(found.lab - lab).max() < 1e-4


def test_numbers_go_before_the_order_of_the_rows(target, lab):
    # as when the file was sorted, or strips were measured in another order
    count, mixed = len(target), np.random.default_rng(5).permutation(len(target))
    numbers = [str(i + 1) for i in mixed]
    found = read_measured(written(numbers, ["-"] * count, lab[mixed]), target)
    assert found.matched_by == "order" and np.abs(found.lab - lab).max() < 1e-4
    assert any("order of their numbers" in note for note in found.notes)
    # two sheets, numbered on or anew; the same colour twice is one reading's mean
    for second in (numbers, [str(int(n) + count) for n in numbers]):
        data = table(numbers + second, np.concatenate([lab[mixed], lab[mixed]]))
        found = read_measured(data, target)
        assert found.readings == 2 and np.abs(found.lab - lab).max() < 1e-4


def table(ids, lab) -> bytes:
    """A bare table, which may hold one id twice."""
    rows = [f"{i}\t{v[0]:.4f}\t{v[1]:.4f}\t{v[2]:.4f}" for i, v in zip(ids, lab, strict=True)]
    head = ["CGATS.17", 'WEIGHTING_FUNCTION "ILLUMINANT, D50"',
            'WEIGHTING_FUNCTION "OBSERVER, 2 degree"', "BEGIN_DATA_FORMAT",
            "SAMPLE_ID LAB_L LAB_A LAB_B", "END_DATA_FORMAT", "BEGIN_DATA"]  # fmt: skip
    return "\n".join([*head, *rows, "END_DATA", ""]).encode()


def test_rows_that_fit_no_order_are_doubted(target, lab):
    data = written([str(i + 1) for i in range(72)], ["-"] * 72, lab[::-1])
    assert "check that they were measured row by row" in read_measured(data, target).notes[-1]


def test_repeats_are_averaged_as_light(target, lab):
    away = np.array([6.0, 0, 0])
    lines = file_of(target, lab - away).decode().splitlines()
    more = file_of(target, lab + away).decode().splitlines()
    first = lines.index("BEGIN_DATA") + 1
    lines = [line.replace("SETS 72", "SETS 144") for line in lines]
    data = "\n".join([*lines[:-1], *more[first:-1], "END_DATA"]).encode()
    found = read_measured(data, target)
    assert found.readings == 2
    # mean of Y of L* ± 6, by the definition of L* (CIE 15)
    above_black = lab[:, 0] > 30
    y = np.mean([((lab[:, 0] + d + 16) / 116) ** 3 for d in (-6, 6)], axis=0)
    assert found.lab[above_black, 0] == pytest.approx(
        (116 * np.cbrt(y) - 16)[above_black], abs=2e-3
    )
    assert 3 < found.scatter < 8 and found.largest_scatter >= found.scatter


def test_spectra_become_lab_for_d50(target):
    # flat reflectance r has Y = r, so L* = 116 r^(1/3) - 16 and no colour (CIE 15)
    r = np.linspace(0.02, 0.95, 72)
    bands = range(380, 731, 10)
    head = "SAMPLE_ID " + " ".join(f"SPECTRAL_NM{b}" for b in bands)
    rows = "\n".join(
        f"{patch} " + " ".join(f"{v:.6f}" for _ in bands)
        for patch, v in zip(target.ids, r, strict=True)
    )
    data = (
        f"CGATS.17\nBEGIN_DATA_FORMAT\n{head}\nEND_DATA_FORMAT\n"
        f"NUMBER_OF_SETS 72\nBEGIN_DATA\n{rows}\nEND_DATA\n"
    )
    found = read_measured(data.encode(), target)
    assert found.stated == "spectra"
    assert found.lab[:, 0] == pytest.approx(116 * np.cbrt(r) - 16, abs=1e-3)
    assert np.abs(found.lab[:, 1:]).max() < 1e-3


def test_missing_patches_are_named(target, lab):
    data = written(target.ids[:-3], target.names[:-3], lab[:-3])
    with pytest.raises(TargetError, match="lack 3 of the target's 72 patches: F10, F11, F12"):
        read_measured(data, target)


def test_a_wrong_number_of_unnamed_rows_is_refused(target, lab):
    data = written([f"{i + 1}" for i in range(70)], ["-"] * 70, lab[:70])
    with pytest.raises(TargetError, match="70 rows where the target has 72"):
        read_measured(data, target)


def test_rows_that_are_no_patches_are_left_out_and_counted(target, lab):
    data = written([*target.ids, "Z9"], [*target.names, "mine"], [*lab, [50, 0, 0]])
    found = read_measured(data, target)
    assert "1 row of the file" in found.notes[0] and np.abs(found.lab - lab).max() < 1e-4


def test_another_light_is_refused(target, lab):
    text = file_of(target, lab).decode()
    with pytest.raises(TargetError, match="D65.*export them for D50"):
        read_measured(text.replace("D50", "D65").encode(), target)
    with pytest.raises(TargetError, match="10°"):
        read_measured(
            text.replace("OBSERVER, 2", "OBSERVER, 10").replace("2 degree", "10 degree").encode(),
            target,
        )


def test_a_file_that_does_not_say_its_light_needs_to_be_told(target, lab):
    lines = file_of(target, lab).decode().splitlines()
    silent = "\n".join(s for s in lines if "degree" not in s and "D50" not in s).encode()
    with pytest.raises(PaperError, match="State the illuminant"):
        read_measured(silent, target)
    told = read_measured(silent, target, illuminant="D50", observer_deg=2)
    assert np.abs(told.lab - lab).max() < 1e-4


def test_no_measurement_file(target, tmp_path):
    with pytest.raises(PaperError):
        read_measured(tmp_path / "none.txt", target)
    with pytest.raises(PaperError):
        read_measured(b"hello", target)


def test_the_file_gives_the_name(target, lab, tmp_path):
    path = tmp_path / "monday.txt"
    path.write_bytes(file_of(target, lab))
    assert read_measured(path, target).name == "monday"
    assert read_measured(file_of(target, lab), target, name="sent").name == "sent"

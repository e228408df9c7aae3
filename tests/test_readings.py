"""Papers from readings: published numbers, other lights, spectra, and what is refused."""

import numpy as np
import pytest
from helpers import DATA, solids
from hypothesis import given, settings
from hypothesis import strategies as st

import workbench as wb
from workbench.colour.difference import delta_e_2000
from workbench.colour.lab import lab_to_xyz
from workbench.errors import PaperError
from workbench.paper_readings import measured_paper, open_measured_paper
from workbench.readings import ILLUMINANTS, Reading, reading, spectra_to_xyz, white_of

D50 = {"illuminant": "D50", "observer_deg": 2}
BANDS = np.arange(380, 731, 10)


def press(name: str):
    data = solids(name)
    return measured_paper(
        name,
        [data[0, 0, 0, 0][k] for k in "Lab"],
        [data[0, 0, 0, 100][k] for k in "Lab"],
        **D50,
    )


def lab_file(*rows, head=""):
    listed = "\n".join(" ".join(map(str, row)) for row in rows)
    text = f"CGATS.17\n{head}\nBEGIN_DATA_FORMAT\nSAMPLE_ID LAB_L LAB_A LAB_B\nEND_DATA_FORMAT\n"
    return f"{text}BEGIN_DATA\n{listed}\nEND_DATA\n".encode()


# -- a paper without a profile


@pytest.mark.parametrize(
    ("name", "white", "density", "contrast"),
    [
        # Fogra characterisation data; density and contrast of solid black are arithmetic on them
        ("FOGRA39L", (95, 0, -2), 1.68, 42),
        ("FOGRA47L", (95, 0, -2), 1.18, 13.2),
        # WAN-IFRA, newsprint on white backing: white 85 1 5, solid black 37 1 4
        ("IFRA26S", (85, 1, 5), 1.03, 7.1),
    ],
)
def test_published_white_density_and_contrast(name, white, density, contrast):
    paper = press(name)
    assert paper.white_lab == pytest.approx(white, abs=0.5)
    assert paper.black_density == pytest.approx(density, abs=0.01)
    assert paper.contrast_ratio == pytest.approx(contrast, rel=0.01)
    assert paper.stops == pytest.approx(np.log2(contrast), abs=0.02)
    assert paper.white_is_known


def test_its_tint_is_told_and_the_rest_asks_for_a_profile():
    from pictures import colourful

    paper = press("IFRA26S")
    assert wb.paper_white(paper).tint == "clearly warm"
    picture = colourful()
    for ask in (
        lambda: paper.gamut_volume,
        lambda: paper.profile,
        lambda: paper.noise_floor,
        lambda: wb.gamut_report(picture, paper),
        lambda: wb.black_point(paper, picture),
        lambda: wb.soft_proof(picture, paper),
    ):
        with pytest.raises(PaperError, match="needs a profile"):
            ask()
    with pytest.raises(AttributeError):
        paper.nonsense  # noqa: B018


def test_without_a_black_its_depth_is_not_known():
    paper = measured_paper("White only", (95, 0, -2), **D50)
    assert paper.white_lab == (95, 0, -2)
    for ask in (lambda: paper.black_density, lambda: paper.contrast_ratio, lambda: paper.black_lab):
        with pytest.raises(PaperError, match="reading of its white only"):
            ask()


def test_what_the_person_knows_of_it():
    paper = measured_paper("Rag", (95, 0, 2), finish="matte", weight_g_m2="247", **D50)
    assert (paper.finish, paper.weight_g_m2) == ("matte", 247)
    with pytest.raises(PaperError, match="A paper has no “glitter”"):
        measured_paper("Rag", (95, 0, 2), glitter=True, **D50)


# -- typed readings


def test_xyz_and_lab_of_a_published_patch_agree():
    for patch in solids("FOGRA39L").values():
        from_xyz = reading(xyz=[patch[k] for k in "XYZ"], **D50)
        # both are published to two decimals
        assert np.abs(np.array(from_xyz.lab) - [patch[k] for k in "Lab"]).max() < 0.15
        assert not from_xyz.estimated


def test_bradford_as_published():
    # sRGB's red in XYZ for D65, and adapted to D50 (B. Lindbloom, RGB working space matrices)
    red = reading(xyz=(41.24564, 21.26729, 1.93339), illuminant="D65", observer_deg=2)
    assert 100 * lab_to_xyz(red.lab) == pytest.approx((43.60747, 22.25045, 1.39322), abs=0.02)
    assert red.estimated
    assert red.sentence.endswith("estimated from XYZ, D65, 2°.")


@settings(deadline=None)
@given(
    st.sampled_from(sorted(ILLUMINANTS)),
    st.sampled_from([2, 10]),
    st.tuples(st.floats(5, 100), st.floats(-30, 30), st.floats(-30, 30)),
)
def test_adaptation_agrees_with_colour_science(illuminant, observer, lab):
    import colour

    white = white_of(illuminant, observer)
    xyz = colour.Lab_to_XYZ(np.array(lab), colour.XYZ_to_xy(white))
    d50 = white_of("D50", 2)
    adapted = colour.chromatic_adaptation(xyz, white, d50, transform="Bradford")
    expected = colour.XYZ_to_Lab(adapted, colour.XYZ_to_xy(d50))
    ours = reading(lab=lab, illuminant=illuminant, observer_deg=observer)
    assert ours.lab == pytest.approx(expected, abs=0.02)
    assert ours.estimated == ((illuminant, observer) != ("D50", 2))


def test_illuminants_are_those_of_the_cie_tables():
    from colour import CCS_ILLUMINANTS

    for name, pair in ILLUMINANTS.items():
        for degrees, xy in zip(("1931 2", "1964 10"), pair, strict=True):
            key = name if name[0] != "F" else f"FL{name[1:]}"
            table = CCS_ILLUMINANTS[f"CIE {degrees} Degree Standard Observer"]
            assert xy == pytest.approx(table[key], abs=6e-5), name


def test_any_white_reads_as_white():
    for name in ILLUMINANTS:
        for observer in (2, 10):
            white = 100 * white_of(name, observer)
            read = reading(xyz=white, illuminant=name, observer_deg=observer)
            assert read.lab == pytest.approx((100, 0, 0), abs=1e-3)


def test_several_readings_are_averaged_with_their_scatter():
    labs = [(95, 0, -2), (95.4, 0.2, -2.4), (94.6, -0.2, -1.6)]
    read = reading(lab=labs, **D50)
    assert read.patches == 3
    assert read.lab == pytest.approx((95, 0, -2), abs=0.02)
    away = delta_e_2000(np.array(labs), np.array(read.lab))
    assert read.scatter == pytest.approx(away.mean(), abs=1e-6)
    assert read.largest_scatter == pytest.approx(away.max(), abs=1e-6)
    assert "mean of 3 patches that scatter by 0.4 CIEDE2000 (at most 0.5)" in read.sentence
    assert "(absolute), the mean" in read.sentence
    # in light, not in Lab: half black and half white reflects half
    half = reading(lab=[(100, 0, 0), (0, 0, 0)], **D50)
    assert lab_to_xyz(half.lab)[1] == pytest.approx(0.5, abs=1e-6)


@pytest.mark.parametrize(
    ("given_values", "sentence"),
    [
        ({"lab": (95, 0, 0)}, "State the illuminant and the observer"),
        ({"lab": (95, 0, 0), "illuminant": "D50"}, "State the illuminant and the observer"),
        ({"lab": (95, 0, 0), "illuminant": "D93", "observer_deg": 2}, "not an illuminant .* D50, D55, D65"),
        ({"lab": (95, 0, 0), "illuminant": "D50", "observer_deg": 4}, "of 2 or of 10 degrees, not 4"),
        ({"lab": (95, 0), **D50}, "three numbers"),
        ({"lab": "white", **D50}, "three numbers"),
        ({"lab": (95, float("nan"), 0), **D50}, "three numbers"),
        ({"lab": (950, 0, 0), **D50}, "No paper reads Lab 950 0 0; L. lies between 0 and 120"),
        ({"xyz": (-3, 0, 0), **D50}, "No paper reads XYZ -3 0 0"),
        ({"lab": (95, 0, 0), "xyz": (80, 80, 80), **D50}, "as Lab or as XYZ"),
        (D50, "as Lab or as XYZ"),
    ],
)  # fmt: skip
def test_readings_that_are_none(given_values, sentence):
    with pytest.raises(PaperError, match=sentence):
        reading(**given_values)


@pytest.mark.parametrize(
    ("white", "black", "sentence"),
    [
        # XYZ on a scale of 1 instead of 100
        (
            lambda: reading(xyz=(0.84, 0.87, 0.74), **D50),
            None,
            "XYZ are on the scale where Y is 100",
        ),
        (lambda: (100, 0, 0), None, "relative to the paper"),
        (lambda: (16, 0, 0), (95, 0, -2), "is not a paper"),
        (lambda: (60, 0, 0), (55, 0, 0), "not at least 10 below"),
        (lambda: None, (16, 0, 0), "needs a reading of its white"),
    ],
)
def test_pairs_that_are_no_paper(white, black, sentence):
    with pytest.raises(PaperError, match=sentence):
        measured_paper("x", white(), black, **D50)


# -- spectra


def test_spectra_agree_with_colour_science_and_with_themselves():
    import colour

    # a warm white with a fall to the violet, and a bluish grey
    shares = np.stack([0.9 / (1 + np.exp((415 - BANDS) / 12)), 0.3 + 0.0002 * (560 - BANDS)])
    observer = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"]
    light = colour.SDS_ILLUMINANTS["D50"]
    ours = spectra_to_xyz(BANDS, shares)
    for row, xyz in zip(shares, ours, strict=True):
        # summed over every nanometre of the interpolated spectrum: another road
        sd = colour.SpectralDistribution(row, BANDS).interpolate(colour.SpectralShape(380, 730, 1))
        direct = colour.sd_to_XYZ(sd, observer, light, method="Integration") / 100
        assert xyz == pytest.approx(direct, abs=2e-3)
    every_other = spectra_to_xyz(BANDS[1::2], shares[:, 1::2])
    assert every_other == pytest.approx(ours, abs=2e-3)


def test_a_flat_spectrum_is_its_own_luminance_factor():
    for share in (0.02, 0.18, 0.89):
        xyz = spectra_to_xyz(BANDS, np.full((1, len(BANDS)), share))[0]
        assert xyz == pytest.approx(share * white_of("D50", 2), abs=1e-9)


def test_a_file_of_spectra_needs_no_light_stated():
    fields = " ".join(f"SPECTRAL_NM{b}" for b in BANDS)
    rows = [" ".join(["1 255 255 255"] + ["0.8500"] * len(BANDS))] * 3
    rows += [" ".join(["2 0 0 0"] + ["0.0100"] * len(BANDS))] * 2
    rows += [" ".join(["3 128 128 128"] + ["0.2000"] * len(BANDS))]
    text = (
        'ISO28178\nMEASUREMENT_CONDITION "M1"\nBEGIN_DATA_FORMAT\nSAMPLE_ID RGB_R RGB_G RGB_B '
        f"{fields}\nEND_DATA_FORMAT\nBEGIN_DATA\n" + "\n".join(rows) + "\nEND_DATA\n"
    )
    paper = open_measured_paper(text.encode(), "Spectral")
    assert (paper.white.patches, paper.black.patches) == (3, 2)
    assert paper.black_density == pytest.approx(2.0, abs=1e-6)
    assert paper.contrast_ratio == pytest.approx(85, rel=1e-6)
    assert not paper.white.estimated
    assert paper.white.scatter == pytest.approx(0, abs=1e-6)


@pytest.mark.parametrize("step", [7, 15])
def test_steps_that_have_no_weights(step):
    bands = np.arange(380, 740, step)
    with pytest.raises(PaperError, match=f"steps of {step} nm"):
        spectra_to_xyz(bands, np.ones((1, len(bands))))


# -- files


def test_a_published_file_finds_its_own_white_and_black():
    paper = open_measured_paper(DATA / "FOGRA47L_extract.txt")
    assert paper.name == "FOGRA47L_extract"
    assert paper.white_lab == pytest.approx((95, 0, -2), abs=1e-3)
    assert paper.black_lab == pytest.approx((31, 1, 1), abs=1e-3)
    assert (paper.white.patches, paper.black.patches) == (2, 2)
    assert paper.white.chosen_by == "bare paper"
    assert paper.black.chosen_by == "black ink alone at full"
    # all inks at full: published L* 23.46
    deepest = open_measured_paper(DATA / "FOGRA47L_extract.txt", black=(100, 100, 100, 100))
    assert deepest.black_lab[0] == pytest.approx(23.46, abs=1e-3)
    named = open_measured_paper(DATA / "FOGRA47L_extract.txt", black=["1260"])
    assert named.black.patches == 1


def test_the_lightest_and_the_darkest_where_nothing_names_them():
    data = lab_file((1, 95, 0, -2), (2, 95.5, 0, -2.2), (3, 16, 0, 0), (4, 60, 30, 0))
    paper = open_measured_paper(data, **D50)
    assert paper.white.patches == 2
    assert paper.white.chosen_by == "the lightest of the file and those like it"
    assert paper.black_lab == pytest.approx((16, 0, 0))


def test_a_file_of_white_patches_only_has_no_black():
    paper = open_measured_paper(lab_file((1, 95, 0, -2), (2, 95.5, 0, -2.2)), **D50)
    assert paper.black is None


def test_light_stated_in_the_file_goes_first():
    head = 'ILLUMINATION_NAME "D65"\nOBSERVER_ANGLE "10"'
    paper = open_measured_paper(lab_file((1, 95, 0, -2), (2, 16, 0, 0), head=head), **D50)
    assert paper.white.stated == "Lab, D65, 10°"
    assert paper.white.estimated


@pytest.mark.parametrize(
    ("data", "options", "sentence"),
    [
        (lab_file((1, 95, 0, -2)), {}, "State the illuminant and the observer"),
        (lab_file((1, 95, 0, -2), head='MEASUREMENT_SOURCE "D50, relative to the paper"'), D50, "relative to the paper"),
        (lab_file((1, 95, 0, -2)).replace(b"LAB", b"ABC"), D50, "no colours that can be used"),
        (lab_file((1, 95, 0, -2)), {**D50, "white": "7"}, "no sample “7”; it has 1"),
        (lab_file((1, 95, 0, -2)), {**D50, "white": (0, 0, 0)}, "no device values; name the samples"),
        (lab_file((1, 950, 0, -2)), D50, "No paper reads Lab 950"),
    ],
)  # fmt: skip
def test_files_that_tell_no_paper(data, options, sentence):
    with pytest.raises(PaperError, match=sentence):
        open_measured_paper(data, **options)


@pytest.mark.parametrize(
    ("black", "sentence"),
    [((1, 2, 3, 4), "no sample with CMYK_C"), ((0, 0), "one number each"), (("0", 1, "x", 2), "one number each")],
)  # fmt: skip
def test_device_values_that_are_not_there(black, sentence):
    with pytest.raises(PaperError, match=sentence):
        open_measured_paper(DATA / "FOGRA47L_extract.txt", black=black)


def test_readings_are_plain_values():
    read = reading(lab=(16, 0, 0), **D50)
    assert read == Reading((16, 0, 0), 1, 0.0, 0.0, False, "Lab, D50, 2°")
    assert read.density == pytest.approx(1.678, abs=1e-3)
    assert reading(lab=(0, 0, 0), **D50).density == 5

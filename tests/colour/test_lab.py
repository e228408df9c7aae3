"""Lab arithmetic against colour-science and the definition of density."""

import colour
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from workbench.colour import lab

D50_XY = np.array([0.9642, 1.0]) / (0.9642 + 1.0 + 0.8249)


def colours(n=500):
    return np.random.default_rng(1).random((n, 3)) * [100, 160, 160] - [0, 80, 80]


def test_lab_and_xyz_agree_with_colour_science():
    values = colours()
    theirs = colour.Lab_to_XYZ(values, D50_XY)
    assert np.allclose(lab.lab_to_xyz(values), theirs, atol=1e-6)
    assert np.allclose(
        lab.xyz_to_lab(np.maximum(theirs, 0.001)),
        colour.XYZ_to_Lab(np.maximum(theirs, 0.001), D50_XY),
        atol=1e-4,
    )


def test_lab_round_trip_also_outside_real_colours():
    values = colours()
    assert np.allclose(lab.xyz_to_lab(lab.lab_to_xyz(values)), values, atol=1e-9)


# densities of L*: arithmetic of D = -log10 Y, ISO 5-1
@pytest.mark.parametrize(
    "lightness, density",
    [(16, 1.678), (18, 1.599), (20, 1.524), (17.97, 1.6), (5.70, 2.2), (2.27, 2.6)],
)
def test_density_of_lightness(lightness, density):
    assert lab.density(lightness) == pytest.approx(density, abs=1e-3)


@given(st.floats(0.02, 4))
def test_density_and_lightness_are_inverse(density):
    assert float(lab.density(lab.lightness_of_density(density))) == pytest.approx(density, abs=1e-9)


def test_absolute_and_relative_are_inverse_and_put_white_on_white():
    white = lab.lab_to_xyz([95.0, 0.5, -4.0])
    assert np.allclose(lab.relative_to_absolute([100, 0, 0], white), [95.0, 0.5, -4.0])
    values = colours()
    back = lab.absolute_to_relative(lab.relative_to_absolute(values, white), white)
    assert np.allclose(back, values, atol=1e-9)


def test_hue_runs_from_0_to_360():
    assert lab.hue_deg([50, 0, -10]) == pytest.approx(270)
    assert lab.hue_deg([50, 10, 0]) == pytest.approx(0)

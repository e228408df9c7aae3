"""The gamut's shell against closed forms and measured press data."""

import numpy as np
import pytest
from helpers import coated_profile, solids

from workbench.colour.difference import delta_e_2000
from workbench.colour.engine import transform
from workbench.colour.shell import face_grids, gamut_shell, shell_of_faces


def test_a_ball_has_a_balls_volume():
    faces = face_grids(3, 65) * 2 - 1
    ball = faces / np.linalg.norm(faces, axis=-1, keepdims=True) * 30 + [50, 5, -5]
    shell = shell_of_faces(ball, (20, 5, -5), (80, 5, -5))
    assert shell.volume == pytest.approx(4 / 3 * np.pi * 30**3, rel=0.01)
    ring = shell.outline(50)
    assert np.allclose(np.hypot(ring[:, 0] - 5, ring[:, 1] + 5), 30, atol=0.2)


def test_a_box_has_a_boxs_volume():
    box = face_grids(3, 33) * [60, 40, 50] + [20, -20, -25]
    assert shell_of_faces(box, (20, 0, 0), (80, 0, 0)).volume == pytest.approx(120000, rel=0.01)


def test_coated_press_volume():
    # computed on voxels with Little CMS: about 401,500 cubic Lab units, absolute
    assert gamut_shell(coated_profile(), absolute=True).volume == pytest.approx(401500, rel=0.02)


def test_faces_of_rgb_and_cmyk():
    assert face_grids(3, 5).shape == (6, 5, 5, 3)
    assert face_grids(4, 5).shape == (24, 5, 5, 4)


def test_reach_agrees_with_the_outline():
    shell = gamut_shell(coated_profile())
    ring = shell.outline(50.5)
    index = 50
    assert shell.reach_at(50.5, 90.0) == pytest.approx(
        np.hypot(*(ring[30] - shell.axis[index])), abs=1e-9
    )


@pytest.mark.parametrize(
    "ink",
    [
        (100, 0, 0, 0),
        (0, 100, 0, 0),
        (0, 0, 100, 0),
        (0, 0, 0, 0),
        (0, 0, 0, 100),
        (0, 100, 100, 0),
    ],
)
def test_profile_prints_the_published_solids(ink):
    # Fogra characterisation data FOGRA39L, absolute Lab
    published = solids("FOGRA39L")[ink]
    lab = transform(np.array([ink]) / 100, coated_profile(), "lab", intent="absolute")[0]
    assert delta_e_2000(lab, np.array([published[k] for k in "Lab"])) < 0.6

"""The picture on its paper shows the light that the print sends back, and says how it is dimmed."""

from __future__ import annotations

import re

import numpy as np
import pytest
from helpers import model_paper
from pictures import patches

from workbench.colour.lab import D50_XYZ, lab_to_xyz
from workbench.colour.trip import printed_lab
from workbench.figures.on_paper import OnPaper

COLOURS = ((0.46, 0.46, 0.46), (1, 1, 1), (0.78, 0.24, 0.24), (0, 0, 0), (0.12, 0.47, 0.78))
# XYZ (D50) to linear sRGB: Bruce Lindbloom's Bradford-adapted matrix, from memory
TO_SRGB = np.array([
    (3.1338561, -1.6168667, -0.4906146),
    (-0.9787684, 1.9161415, 0.0334540),
    (0.0719453, -0.2289914, 1.4052427),
])  # fmt: skip
PAPER, CARD = (96.0, 0.3, -6.0), (95.0, 1.5, -6.0)


def srgb(light):
    """(n, 3) codes 0..255 of linear light, IEC 61966-2-1."""
    light = np.clip(light, 0, 1)
    return 255 * np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)


@pytest.mark.parametrize(
    ("intent", "compensate", "reference", "adaptation"),
    [
        ("relative", True, None, 1.0),
        ("relative", False, "untinted cotton", 0.0),
        ("perceptual", True, "untinted cotton", 0.5),
        ("absolute", True, "brightened card", 0.0),
    ],
)
def test_the_picture_on_paper_is_the_prints_light_over_the_eyes_white(
    intent, compensate, reference, adaptation
):
    paper, picture = model_paper("Cold", PAPER, 2.1, "satin"), patches(*COLOURS)
    pixels, caption = OnPaper(
        picture, paper, intent, compensate, reference, adaptation, None, 100
    ).seen()
    way = picture.require_profile(), paper.profile, intent, compensate and intent != "absolute"
    white = lab_to_xyz(paper.white_lab)
    # ICC.1:2022, 6.3.2: media-relative times the paper's white, and back by the eye's
    print_xyz = lab_to_xyz(printed_lab(np.array(COLOURS, float), *way)) * white / D50_XYZ
    beside = {None: PAPER, "untinted cotton": (96, 0, 2), "brightened card": CARD}[reference]
    eye = (1 - adaptation) * lab_to_xyz(beside) + adaptation * white
    brightest = (white / eye * D50_XYZ @ TO_SRGB.T).max()
    dim = max(1, brightest)
    wanted = srgb(print_xyz / eye * D50_XYZ @ TO_SRGB.T / dim)
    assert np.abs(pixels[4, 4::8] - wanted).max() < 1.2
    said = re.search(r"dimmed by (\d+)", caption)
    assert bool(said) == (dim > 1.005)
    assert said is None or int(said[1]) == round(100 - 100 / dim)


def test_without_a_paper_it_is_the_file():
    picture = patches(*COLOURS)
    pixels, caption = OnPaper(picture, None, "relative", True, None, 1.0, None, 100).seen()
    assert np.abs(pixels[4, 4::8] - 255 * np.array(COLOURS)).max() < 1.2
    assert "without any paper" in caption

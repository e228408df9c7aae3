"""What a place of a picture is told to be: by hand-worked colours, and by the count."""

from __future__ import annotations

import numpy as np
import pytest

from workbench.analysis.colour_at import colour_at
from workbench.analysis.gamut import gamut_report
from workbench.analysis.proof import soft_proof
from workbench.colour.engine import transform
from workbench.colour.inkmodel import model_profile
from workbench.errors import WorkbenchError
from workbench.paper import open_paper
from workbench.picture import from_pixels


@pytest.fixture(scope="module")
def paper():
    return open_paper(model_profile((96, 0, 3), 1.6, finish="matte", grid=17), name="Matte")


@pytest.fixture(scope="module")
def picture():
    """White, black, mid grey and full blue, side by side."""
    row = np.array([[255] * 3, [0] * 3, [119] * 3, [0, 0, 255]], np.uint8)
    return from_pixels(np.repeat(row[None], 6, axis=0), "sRGB", name="four")


def test_whites_blacks_and_greys_by_hand(picture, paper):
    white = colour_at(picture, paper, 0.1, 0.5)
    assert white.code == (255, 255, 255) and white.lab == pytest.approx((100, 0, 0), abs=0.01)
    # the picture's white is bare paper, whose own Lab the profile states
    assert white.printed_lab == pytest.approx((100, 0, 0), abs=0.5) and not white.reason
    assert white.absolute_lab == pytest.approx(paper.white_lab, abs=0.5)
    black = colour_at(picture, paper, 0.3, 0.5, black_point_compensation=False)
    assert black.reason == "too dark" and black.absolute_lab[0] == pytest.approx(
        paper.black_lab[0], abs=1
    )
    # IEC 61966-2-1: code 119 is 18.4 % of the light, and that is L* 50 (CIE 15)
    grey = colour_at(picture, paper, 0.6, 0)
    assert grey.lab == pytest.approx((50.0, 0, 0), abs=0.1)
    assert grey.name == "mid greys" and (grey.x_px, grey.y_px) == (2, 0)
    blue = colour_at(picture, paper, 1, 1)
    # sRGB's blue in Lab (D50): 29.6, 68.3, -112.0 (from memory, to a unit)
    assert blue.lab == pytest.approx((29.6, 68.3, -112), abs=0.7)
    assert blue.reason == "too saturated" and f"{blue.beyond:.1f}" in blue.sentence


def test_it_says_what_the_count_and_the_proof_say(picture, paper):
    report = gamut_report(picture, paper, threshold=3.0)
    places = [colour_at(picture, paper, (i + 0.5) / 4, 0.5, threshold=3.0) for i in range(4)]
    for reason, share in report.reasons.items():
        assert share == pytest.approx(sum(p.reason == reason for p in places) / 4)
    proof = soft_proof(picture, paper, intent="perceptual", long_side_px=None, bit_depth=16)
    shown = transform(proof.pixels[0] / 65535, proof.display_profile, "lab")
    there = [colour_at(picture, paper, (i + 0.5) / 4, 0, intent="perceptual") for i in range(3)]
    assert np.abs(shown[:3] - [place.printed_lab for place in there]).max() < 0.5


def test_a_place_outside_is_refused(picture, paper):
    with pytest.raises(WorkbenchError, match="between 0 and 1"):
        colour_at(picture, paper, 1.2, 0)

"""Telling parts of a picture made for it: each kind lies in a corner of its own."""

from __future__ import annotations

import numpy as np
import pytest
from output.makers import as_picture, matte_paper

import workbench as wb
from workbench.colour.engine import transform
from workbench.colour.spaces import standard_profile
from workbench.errors import OutputError
from workbench.gang.telling import at, telling_crops
from workbench.output.job import PrintJob
from workbench.output.solved import solve

SPACE = "sRGB"
SIDE = 200
# where each kind lies: the middle of its 200 × 200 pixels in a picture of 1000 × 600
PLACES = {
    "highlights": (0.1, 1 / 6),
    "shadows": (0.9, 1 / 6),
    "colour": (0.1, 5 / 6),
    "middle tones": (0.9, 5 / 6),
    "fine detail": (0.5, 5 / 6),
}


def corners() -> np.ndarray:
    """A flat grey picture with highlights, shadows, blue, middle tones and fine lines."""
    noise = np.random.default_rng(4).normal(0, 1, (SIDE, SIDE))
    lab = np.zeros((600, 1000, 3))
    lab[..., 0] = 25
    kinds = {
        "highlights": np.stack([93 + noise, 0 * noise, 0 * noise], -1),
        "shadows": np.stack([8 + noise, 0 * noise, 0 * noise], -1),
        "colour": np.stack([30 + 0 * noise, 60 + 0 * noise, -90 + 0 * noise], -1),
        "middle tones": np.stack([52 + noise, 0 * noise, 9 + 0 * noise], -1),
    }
    lines = 25 + 18 * (np.arange(SIDE) // 6 % 2)
    kinds["fine detail"] = np.stack([np.tile(lines, (SIDE, 1)), 0 * noise, 0 * noise], -1)
    for name, patch in kinds.items():
        x, y = round(PLACES[name][0] * 1000) - 100, round(PLACES[name][1] * 600) - 100
        lab[y : y + SIDE, x : x + SIDE] = patch
    device = transform(lab, "lab", standard_profile(SPACE))
    return np.rint(np.clip(device, 0, 1) * 65535).astype(np.uint16)


@pytest.fixture(scope="module")
def picture():
    return as_picture(corners(), SPACE)


def print_of(picture, **details):
    return PrintJob(picture, **{"paper": matte_paper(), "width_mm": 250, "ppi": 100, **details})


def parts_of(job, *asked):
    solved = solve(job)
    return telling_crops(solved.job, solved.layout, *asked)


@pytest.mark.parametrize("converts", ["workbench", "driver"])
def test_each_kind_is_found_where_it_lies(picture, converts):
    paper = matte_paper() if converts == "workbench" else None
    found = parts_of(print_of(picture, converts=converts, paper=paper), (40, 40))
    colour = "colours out of gamut" if paper else "saturated colour"
    names = ["highlights", "shadows", colour, "middle tones", "fine detail"]
    assert [telling.name for telling in found] == names
    for telling, (x, y) in zip(found, PLACES.values(), strict=True):
        # the middle of the part lies in the corner of its kind
        assert abs(telling.x - x) < 0.1 and abs(telling.y - y) < 1 / 6
        assert telling.reason.endswith(".")
    # what is measured is said: lightness and hue of the tones
    assert "L* 7 to 9 and are mostly greys" in found[1].reason
    assert "L* 51 to 53 and are mostly yellows" in found[3].reason


def test_a_paper_known_by_readings_only_misses_no_colours(picture):
    paper = wb.measured_paper("Read", (95, 0, 2), illuminant="D50", observer_deg=2)
    found = parts_of(print_of(picture, converts="driver", paper=paper), (40, 40))
    assert [telling.name for telling in found][2] == "saturated colour"


def test_only_what_is_printed_is_looked_at(picture):
    # the right half: shadows, middle tones and a part of the lines
    found = parts_of(print_of(picture, crop=(500, 0, 500, 600), width_mm=125), (40, 40))
    names = [telling.name for telling in found]
    assert "shadows" in names and "middle tones" in names
    assert "highlights" not in names and "colours out of gamut" not in names
    (shadows,) = (telling for telling in found if telling.name == "shadows")
    assert abs(shadows.x - 0.8) < 0.2


def test_as_many_as_are_wanted(picture):
    two = parts_of(print_of(picture), (40, 40), 2)
    assert [telling.name for telling in two] == ["highlights", "shadows"]


def test_a_flat_picture_still_has_a_part():
    flat = as_picture(np.full((300, 400, 3), 15000, np.uint16))
    (only,) = parts_of(print_of(flat), (20, 20), 1)
    assert 0 <= only.x <= 1


def test_parts_show_different_places(picture):
    found = parts_of(print_of(picture), (40, 40))
    for i, a in enumerate(found):
        for b in found[:i]:
            # windows are 16 % of the width and 27 % of the height
            assert abs(a.x - b.x) >= 0.7 * 0.16 - 0.01 or abs(a.y - b.y) >= 0.7 * 0.26 - 0.01


@pytest.mark.parametrize("place", [(-0.1, 0.5), (0.5, 1.1), ("left", 0), (None, None)])
def test_a_place_is_two_shares(place):
    with pytest.raises(OutputError, match="two shares from 0 to 1"):
        at(*place)

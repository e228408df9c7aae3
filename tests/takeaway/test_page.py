"""What a page to take away says, without a browser."""

import re

import numpy as np
import pytest

import workbench as wb
from workbench.colour.spaces import standard_profile
from workbench.picture.opening import from_pixels
from workbench.takeaway.page import page_bytes


@pytest.mark.parametrize("threshold", [0.5, 20.0])
def test_the_threshold_begins_where_the_counts_are_made(threshold):
    levels = np.linspace(0, 255, 12).astype(np.uint8)
    pixels = np.stack(np.meshgrid(levels, levels, indexing="ij"), -1)
    blues = np.concatenate([pixels, np.full((12, 12, 1), 255, np.uint8)], axis=-1)
    picture, paper = from_pixels(blues, standard_profile("sRGB")), wb.demo_papers()[0]
    said = page_bytes(picture, [paper], threshold=threshold).decode()
    slider = re.search(r'<input type="range" id="threshold"[^>]*>', said)[0]
    least, most, value = (
        float(re.search(rf'{name}="([\d.]+)"', slider)[1]) for name in ("min", "max", "value")
    )
    # a browser moves a value beyond its slider's ends to them
    assert least <= value <= most and value == threshold
    counted = wb.gamut_report(picture, paper, threshold=threshold).sentence
    assert re.search(
        rf"{re.escape(counted)}[^<]* {threshold:g} CIEDE2000", said.replace("&#x27;", "'")
    )

"""Raw files by the optional extra: a small DNG of our own comes back as the light it holds."""

import sys

import numpy as np
import pytest
import tifffile

from workbench.colour.spaces import standard_profile
from workbench.errors import PictureError
from workbench.picture.tone import to_light
from workbench.surface.photographs import open_photograph, read_shots

BLACK, WHITE = 256, 4095


def dng(path, light):
    """A DNG (tags of DNG 1.4) whose mosaic (red, green; green, blue) holds linear light 0..1."""
    codes = np.rint(BLACK + np.asarray(light) * (WHITE - BLACK)).astype(np.uint16)
    same = [(k % 4 == 0) * 1.0 for k in range(9)]  # a unit matrix
    rational = [n for value in same for n in (int(value), 1)]
    tifffile.imwrite(
        path, codes, photometric="cfa", subfiletype=0,
        extratags=[
            (33421, "H", 2, (2, 2), True), (33422, "B", 4, (0, 1, 1, 2), True),
            (50706, "B", 4, (1, 4, 0, 0), True), (50708, "s", 0, "Invented camera", True),
            (50714, "H", 1, BLACK, True), (50717, "H", 1, WHITE, True),
            (50721, "2i", 9, rational, True), (50728, "2I", 3, (1, 2, 1, 1, 1, 3), True),
            (50778, "H", 1, 21, True),
        ],
    )  # fmt: skip
    return path


def mosaic(red, green, blue, size=(64, 96)):
    light = np.empty(size)
    light[::2, ::2], light[1::2, 1::2] = red, blue
    light[::2, 1::2] = light[1::2, ::2] = green
    return light


def test_a_raw_file_is_linear_and_not_balanced(tmp_path):
    wanted = (0.2, 0.5, 0.1)
    picture = open_photograph(dng(tmp_path / "sheet.dng", mosaic(*wanted)))
    assert (picture.width_px, picture.height_px) == (96, 64) and picture.name == "sheet.dng"
    light = to_light(picture.pixels(), standard_profile("sRGB"))[8:-8, 8:-8]
    # as shot, the camera asked for twice the red and thrice the blue: neither is given
    assert light.mean(axis=(0, 1)) == pytest.approx(wanted, rel=0.01)
    half = open_photograph(dng(tmp_path / "half.DNG", 0.5 * mosaic(*wanted)))
    assert to_light(half.pixels(), standard_profile("sRGB"))[8:-8, 8:-8].mean() == pytest.approx(
        light.mean() / 2, rel=0.01
    )


def test_clipped_raw_files_are_told_as_such(tmp_path):
    light = mosaic(0.4, 0.4, 0.4)
    light[:32] = 1.0
    paths = [dng(tmp_path / f"{k}.dng", light) for k in range(4)]
    assert read_shots(paths).clipped == pytest.approx([0.5] * 4, abs=0.05)


def test_what_is_missing_or_damaged_is_said(tmp_path, monkeypatch):
    broken = tmp_path / "broken.dng"
    broken.write_bytes(b"II*\0" + bytes(500))
    with pytest.raises(PictureError, match="16-bit TIFF"):
        open_photograph(broken)
    monkeypatch.setitem(sys.modules, "rawpy", None)
    with pytest.raises(PictureError, match="pip install rawpy"):
        open_photograph(broken)

"""Small files with random damage: a picture or one of our own exceptions, nothing else."""

from __future__ import annotations

import functools
import random

import imagecodecs
import numpy as np
import pytest
from picture.makers import exif_block, noise, pillow_bytes, tiff_bytes
from PIL import Image

import workbench as wb
from workbench.colour.spaces import standard_profile
from workbench.errors import WorkbenchError

ROUNDS = 60


@functools.cache
def files() -> dict[str, bytes]:
    deep, flat = noise(24, 36), noise(24, 36, dtype=np.uint8)
    deep[8:16] = 12345
    flat[8:16] = 77
    image, icc = Image.fromarray(flat), standard_profile("sRGB")
    exif = exif_block(orientation=6, ppi=300, colour_space=1)
    planar = {"photometric": "rgb", "planarconfig": "separate", "byteorder": ">"}
    return {
        "tiff strips": tiff_bytes(deep, rowsperstrip=8, iccprofile=icc),
        "tiff deflate": tiff_bytes(deep, compression="zlib", predictor=True, rowsperstrip=8),
        "tiff lzw tiles": tiff_bytes(deep, compression="lzw", tile=(16, 16)),
        "tiff packbits": tiff_bytes(flat, compression="packbits"),
        "tiff jpeg": tiff_bytes(flat, photometric="ycbcr", compression="jpeg", tile=(16, 16)),
        "tiff floats": tiff_bytes(noise(24, 36, dtype=np.float32), compression="zlib"),
        "big tiff planar": tiff_bytes(np.moveaxis(deep, -1, 0), bigtiff=True, **planar),
        "tiff palette": pillow_bytes(image.quantize(16), "TIFF"),
        "png": pillow_bytes(image, "PNG", icc_profile=icc, exif=exif, dpi=(300, 300)),
        "png 16": imagecodecs.png_encode(deep),
        "png palette": pillow_bytes(image.quantize(16), "PNG", transparency=3),
        "jpeg": pillow_bytes(image, "JPEG", icc_profile=icc, exif=exif, dpi=(300, 300)),
        "jpeg progressive": pillow_bytes(image, "JPEG", progressive=True),
    }


def damaged(data: bytes, chance: random.Random) -> bytes:
    changed = bytearray(data)
    how = chance.randrange(5)
    if how == 0:
        return bytes(changed[: chance.randrange(len(changed))])
    if how == 1:
        for _ in range(chance.randrange(1, 4)):
            changed[chance.randrange(len(changed))] = chance.randrange(256)
    elif how == 2:
        # tags and headers are near the beginning
        for _ in range(chance.randrange(1, 4)):
            changed[chance.randrange(min(len(changed), 300))] ^= 1 << chance.randrange(8)
    elif how == 3:
        at = chance.randrange(len(changed))
        del changed[at : at + chance.randrange(1, 20)]
    else:
        at = chance.randrange(len(changed))
        changed[at:at] = bytes(chance.randrange(256) for _ in range(chance.randrange(1, 8)))
    return bytes(changed)


@pytest.mark.parametrize("what", sorted(files()))
def test_damage_never_escapes(what):
    chance = random.Random(what)
    opened = 0
    for _ in range(ROUNDS):
        data = damaged(files()[what], chance)
        try:
            picture = wb.open_picture(data)
            pixels = sum(strip.shape[0] * strip.shape[1] for strip in picture.strips())
            assert pixels == round(picture.megapixels * 1e6)
            picture.preview(16)
            opened += 1
        except WorkbenchError as problem:
            assert len(str(problem)) > 20
    # a file cut short is never a picture
    assert opened < ROUNDS

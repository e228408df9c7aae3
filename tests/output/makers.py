"""Pictures, papers and jobs for the tests of print files; everything is invented."""

from __future__ import annotations

import io
import json
import shutil
import subprocess
from contextlib import contextmanager
from functools import lru_cache

import numpy as np
import tifffile
from PIL import Image

import workbench as wb
from workbench.colour.inkmodel import model_profile
from workbench.colour.spaces import standard_profile
from workbench.output.job import PrintJob
from workbench.printer import BORDERLESS

SPACE = "opRGB"


@lru_cache(maxsize=1)
def matte_paper():
    profile = model_profile((96.4, 0.1, 0.9), 1.66, finish="matte", name="Invented matte")
    return wb.open_paper(profile, name="Invented matte", finish="matte")


def scene(width: int = 180, height: int = 120, seed: int = 3) -> np.ndarray:
    """Soft tones, texture, an edge and a little noise: (height, width, 3) uint16."""
    y, x = np.mgrid[0:height, 0:width] / height
    planes = [0.2 + 0.4 * x, 0.7 - 0.4 * y, 0.3 + 0.2 * np.sin(30 * x * (1 + y))]
    picture = np.stack(planes, -1) + 0.15 * (x + y > 1.2)[..., None]
    picture += np.random.default_rng(seed).normal(0, 0.01, picture.shape)
    return np.rint(np.clip(picture, 0, 1) * 65535).astype(np.uint16)


def as_picture(pixels: np.ndarray, space: str | None = None, **tags):
    """A Picture from pixels, through a TIFF in memory."""
    grey = pixels.ndim == 2
    file = io.BytesIO()
    tifffile.imwrite(
        file,
        pixels,
        photometric="minisblack" if grey else "rgb",
        iccprofile=standard_profile(space or ("Grey, power 2.2" if grey else SPACE)),
        **tags,
    )
    return wb.open_picture(file.getvalue(), name="scene.tif")


def save_picture(folder, pixels, name: str = "harbour.tif", space: str | None = SPACE):
    """The Picture of a TIFF file written to a folder; without a profile where ``space`` is None."""
    profile = None if space is None else standard_profile(space)
    tifffile.imwrite(folder / name, pixels, photometric="rgb", iccprofile=profile)
    return wb.open_picture(folder / name)


def job(pixels=None, **details) -> PrintJob:
    """A job for the scene at 100 ppi, converted to the matte paper, printed over the edge."""
    picture = as_picture(scene() if pixels is None else pixels)
    whole = {"paper": matte_paper(), "ppi": 100, "feed": BORDERLESS}
    return PrintJob(picture, **whole | details)


def facts(path) -> dict:
    """Width, height, ppi and bits by a reader that shares nothing with the workbench.

    That is exiftool where there is one, otherwise the tags as tifffile and Pillow read them.
    """
    if tool := shutil.which("exiftool"):
        done = subprocess.run([tool, "-j", "-n", str(path)], capture_output=True, check=True)
        (found,) = json.loads(done.stdout)
        # PNG counts pixels per metre
        unit = {1: 0.0254, 2: 1}[found.get("PixelUnits", found.get("ResolutionUnit"))]
        ppi = found.get("XResolution", found.get("PixelsPerUnitX"))
        return {
            "size": (found["ImageWidth"], found["ImageHeight"]),
            "ppi": float(ppi) * unit,
        }
    if path.suffix == ".tif":
        with tifffile.TiffFile(path) as tiff:
            tags = tiff.pages[0].tags
            above, below = tags["XResolution"].value
            assert tags["ResolutionUnit"].value == 2
            return {
                "size": (tags["ImageWidth"].value, tags["ImageLength"].value),
                "ppi": above / below,
            }
    with pillow_open(path) as image:
        return {"size": image.size, "ppi": float(image.info["dpi"][0])}


@contextmanager
def pillow_open(path):
    """A picture opened by Pillow, which refuses profiles over 1 MB in PNG unless told otherwise."""
    from PIL import PngImagePlugin

    before = PngImagePlugin.MAX_TEXT_CHUNK
    PngImagePlugin.MAX_TEXT_CHUNK = 2**26
    try:
        with Image.open(path) as image:
            yield image
    finally:
        PngImagePlugin.MAX_TEXT_CHUNK = before

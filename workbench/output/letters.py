"""The font of words that are drawn as pixels, on strips and targets."""

from __future__ import annotations

from functools import lru_cache
from importlib.metadata import distribution

from workbench.language import LANGUAGE

#: whether the font has few letters but those of English
FEW = LANGUAGE == "en"


@lru_cache(maxsize=32)
def letters(size_px: float):
    """The font at a size: Pillow's own, so that pages look alike on every computer.

    Other languages than English need letters that it lacks, and take the one that matplotlib
    brings along.
    """
    from PIL import ImageFont

    if FEW:
        return ImageFont.load_default(size_px)
    # found, not imported: this floor does without it
    font = distribution("matplotlib").locate_file("matplotlib/mpl-data/fonts/ttf/DejaVuSans.ttf")
    # smaller, as its accents reach higher over the letters
    return ImageFont.truetype(str(font), 0.95 * size_px)

"""The font of words that are drawn as pixels, on strips and targets."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

from workbench.language import LANGUAGE

#: whether the font has few letters but those of English
FEW = LANGUAGE == "en"
# DejaVu's accents reach higher over the letters
_SMALLER = 1.0 if FEW else 0.95


@lru_cache(maxsize=32)
def letters(size_px: float):
    """The font at a size: Pillow's own, so that pages look alike on every computer.

    Other languages than English need letters that it lacks, and take the one that matplotlib
    brings along.
    """
    from PIL import ImageFont

    if FEW:
        return ImageFont.load_default(size_px)
    import matplotlib

    font = Path(matplotlib.get_data_path(), "fonts/ttf/DejaVuSans.ttf")
    return ImageFont.truetype(font, size_px * _SMALLER)

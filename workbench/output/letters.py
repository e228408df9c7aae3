"""The font of words that are drawn as pixels, on strips and targets."""

from __future__ import annotations

from functools import lru_cache
from importlib.util import find_spec
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
    # found, not imported: this floor does without it
    spec = find_spec("matplotlib")
    font = (
        Path(spec.origin if spec and spec.origin else "").parent
        / "mpl-data/fonts/ttf/DejaVuSans.ttf"
    )
    return ImageFont.truetype(font, size_px * _SMALLER)

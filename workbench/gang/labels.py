"""Plain text and thin lines, at print pixels, as shares of ink."""

from __future__ import annotations

import unicodedata

import numpy as np

from workbench.output.letters import FEW, letters

# what the font for English lacks is written another way
_INSTEAD = str.maketrans({"−": "-", "–": "-", "—": "-", "×": "x", "\u00a0": " ", "’": "'"})
_ALSO = "“”·°…±"
# Latin-1, Latin Extended-A and quotation marks
_LETTERS = frozenset(map(chr, (*range(0xA1, 0x180), 0x201A, 0x201E)))


def plain(text: str) -> str:
    """The text in letters that the font has: accents are left out, others become “?”."""
    return "".join(_plain(letter) for letter in str(text).translate(_INSTEAD))


def _plain(letter: str) -> str:
    if " " <= letter <= "~" or letter in _ALSO or (not FEW and letter in _LETTERS):
        return letter
    apart = unicodedata.normalize("NFKD", letter)
    kept = [part for part in apart if not unicodedata.combining(part)]
    return "".join(part if " " <= part <= "~" else "?" for part in kept)


def text_mask(text: str, height_px: int, widest_px: int | None = None) -> np.ndarray:
    """A line of text.

    Parameters
    ----------
    text : in any letters, see `plain`.
    height_px : of the line, from above the tallest letter to below the lowest.
    widest_px : longer text is cut and ends in “…”.

    Returns
    -------
    (height_px, width) uint8: 0 is bare paper, 255 full ink.
    """
    from PIL import Image, ImageDraw

    font = _font(max(1, height_px))
    text = plain(text)
    if widest_px is not None and font.getlength(text) > widest_px:
        while text and font.getlength(f"{text}…") > widest_px:
            text = text[:-1].rstrip()
        text = f"{text}…" if text else ""
    width = max(1, int(np.ceil(font.getlength(text))))
    image = Image.new("L", (width, height_px), 0)
    # on one base line, whatever letters there are
    ImageDraw.Draw(image).text((0, round(0.78 * height_px)), text, fill=255, font=font, anchor="ls")
    return np.asarray(image)


def text_width(text: str, height_px: int) -> int:
    """Pixels that a line of text takes across."""
    return int(np.ceil(_font(max(1, height_px)).getlength(plain(text))))


def _font(height_px: int):
    # ascenders and descenders together take a little more than the font's size
    return letters(height_px * 0.84)


def cut_marks(width_px: int, height_px: int, gap_px: int, thickness_px: int):
    """Short lines at the corners of a piece, out in the gap, that say where to cut.

    Returns
    -------
    (x, y, width, height) of each in pixels from the piece's upper left corner, none of
    them within the piece or beyond half the gap.  No lines where the gap has no room.
    """
    away = max(1, gap_px // 8)
    long = gap_px // 2 - away
    if long < 2 or thickness_px > gap_px // 4:
        return []
    marks = []
    for x in (0, width_px - thickness_px):
        for y in (-away - long, height_px + away):
            marks.append((x, y, thickness_px, long))
    for y in (0, height_px - thickness_px):
        for x in (-away - long, width_px + away):
            marks.append((x, y, long, thickness_px))
    return marks

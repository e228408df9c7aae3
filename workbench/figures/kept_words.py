"""Words on a figure that are drawn over and over: each is set once and its glyphs are kept.

Setting a line of type takes about a millisecond, putting its glyphs down a tenth of that, and
of the dozen on a figure that follows a slider most stand as before or as they did lately.
Figures that count along with it are new words at every step, but of known glyphs: in our type
all digits are equally wide, so that a digit stands where another did.
"""

from __future__ import annotations

import math
from collections import OrderedDict
from contextlib import contextmanager

import numpy as np

_KEPT = 256
_KEPT_LAYOUTS = 32
_DIGITS = "0123456789"
_AS_NOUGHTS = str.maketrans(_DIGITS, "0" * 10)


def keep_layout(text):
    """Have a matplotlib Text remember how its words lie about its place; returns it.

    Otherwise they are laid out at every drawing, and twice where there is a ground behind them.
    Whatever its digits, they lie as if each was a nought.
    """
    lay_out = getattr(type(text), "_get_layout", None)
    if lay_out is None:  # another matplotlib: without what is kept
        return text
    kept: dict = {}

    def layout(renderer):
        if text.get_wrap():  # by the room there is
            return lay_out(text, renderer)
        said = text.get_text()
        pattern = said.translate(_AS_NOUGHTS)
        key = (
            pattern, text.get_rotation(), text.get_horizontalalignment(),
            text.get_verticalalignment(), hash(text.get_fontproperties()),
            text.get_figure(root=True).dpi, type(renderer),
        )  # fmt: skip
        if key not in kept:
            if len(kept) >= _KEPT_LAYOUTS:
                kept.clear()
            text.set_text(pattern)
            try:
                kept[key] = lay_out(text, renderer)
            finally:
                text.set_text(said)
        around, lines, *more = kept[key]
        placed = zip(said.split("\n"), lines, strict=True)
        return around, [(line, *rest) for line, (_, *rest) in placed], *more

    text._get_layout = layout
    return text


class KeptWords:
    """Glyphs of words, by all that decides them; the oldest are forgotten."""

    def __init__(self):
        self._kept: OrderedDict = OrderedDict()
        self._digits: dict = {}

    @contextmanager
    def on(self, renderer):
        """Let an Agg renderer take words from here meanwhile.

        They are put down at whole pixels, so that words that move stay the same words.
        """
        drawn, pen = renderer.draw_text, getattr(renderer, "_renderer", None)
        if pen is None or not hasattr(
            pen, "draw_text_image"
        ):  # another matplotlib: without what is kept
            yield
            return

        def draw_text(gc, x, y, s, prop, angle, ismath=False, mtext=None):
            x, y = math.floor(x + 0.5), math.floor(y + 0.5)
            if ismath:
                drawn(gc, x, y, s, prop, angle, ismath, mtext)
                return

            def set_words(words: str) -> list:
                renderer._renderer = noting = _Noting(pen)
                try:
                    drawn(gc, x, y, words, prop, angle, ismath, mtext)
                finally:
                    renderer._renderer = pen
                return [
                    (bitmap, left - x, low - y, turn) for bitmap, left, low, turn in noting.glyphs
                ]

            how = hash(prop), angle, renderer.dpi, gc.get_antialiased()
            for bitmap, left, low, turn in self._glyphs(s, how, set_words):
                pen.draw_text_image(bitmap, x + left, y + low, turn, gc)

        renderer.draw_text = draw_text
        try:
            yield
        finally:
            renderer.draw_text = drawn

    def _glyphs(self, s: str, how: tuple, set_words) -> list:
        """Glyphs of words and where they lie, taken together from known ones if that can be."""
        found = self._kept.get((s, how))
        if found is None:
            found = self._with_digits(s, how, set_words) or set_words(s)
            self._kept[s, how] = found
            while len(self._kept) > _KEPT:
                self._kept.popitem(last=False)
        self._kept.move_to_end((s, how))
        return found

    def _with_digits(self, s: str, how: tuple, set_words) -> list | None:
        """The glyphs of the same words with noughts for digits, and those digits instead."""
        pattern = s.translate(_AS_NOUGHTS)
        if pattern == s:
            return None
        glyphs = self._glyphs(pattern, how, set_words)
        if len(glyphs) != len(s):  # not one for each letter
            return None
        made = []
        for at, (letter, (bitmap, left, low, turn)) in enumerate(zip(s, glyphs, strict=True)):
            if letter != pattern[at]:
                digits = self._digits_like(bitmap, pattern[:at], how, set_words)
                if digits is None:
                    return None
                bitmap, right, up = digits[int(letter)]
                left, low = left + right, low + up
            made.append((bitmap, left, low, turn))
        return made

    def _digits_like(self, nought, before: str, how: tuple, set_words) -> list | None:
        """Each digit, and how far its glyph lies from that of a nought that it stands for.

        A nought is another picture at another part of a pixel: the digits are set behind the
        same words.  None if noughts behind each other are not alike, as where words are turned.
        """
        key = nought.shape, nought.tobytes(), how
        if key not in self._digits:
            if len(self._digits) >= _KEPT:
                self._digits.clear()
            row, wanted = set_words(before + "0" * 10)[-10:], set_words(before + _DIGITS)[-10:]
            alike = len(row) == 10 and all(np.array_equal(nought, bitmap) for bitmap, *_ in row)
            self._digits[key] = alike and [
                (bitmap, left - from_left, low - from_low)
                for (bitmap, left, low, _), (_, from_left, from_low, _) in zip(wanted, row, strict=True)
            ]  # fmt: skip
        return self._digits[key] or None


class _Noting:
    """Notes the glyphs that it is to draw."""

    def __init__(self, pen):
        self._pen = pen
        self.glyphs: list = []

    def draw_text_image(self, bitmap, x, y, turn, _gc) -> None:
        # a copy: some versions of matplotlib draw the next words into the same one
        self.glyphs.append((np.array(bitmap), x, y, turn))

    def __getattr__(self, name):
        return getattr(self._pen, name)

"""Words on a figure that are drawn over and over: each is set once and its glyphs are kept.

Setting a line of type takes about a millisecond, putting its glyphs down a tenth of that, and
of the dozen on a figure that follows a slider most stand as before or as they did lately.
"""

from __future__ import annotations

import math
from collections import OrderedDict
from contextlib import contextmanager

_KEPT = 256
_KEPT_LAYOUTS = 32


def keep_layout(text):
    """Have a matplotlib Text remember how its words lie about its place; returns it.

    Otherwise they are laid out at every drawing, and twice where there is a ground behind them.
    """
    lay_out = getattr(type(text), "_get_layout", None)
    if lay_out is None:  # another matplotlib: without what is kept
        return text
    kept: dict = {}

    def layout(renderer):
        if text.get_wrap():  # by the room there is
            return lay_out(text, renderer)
        key = (
            text.get_text(), text.get_rotation(), text.get_horizontalalignment(),
            text.get_verticalalignment(), hash(text.get_fontproperties()),
            text.get_figure(root=True).dpi, type(renderer),
        )  # fmt: skip
        if key not in kept:
            if len(kept) >= _KEPT_LAYOUTS:
                kept.clear()
            kept[key] = lay_out(text, renderer)
        return kept[key]

    text._get_layout = layout
    return text


class KeptWords:
    """Glyphs of words, by all that decides them; the oldest are forgotten."""

    def __init__(self):
        self._kept: OrderedDict = OrderedDict()

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
            at = x, y = math.floor(x + 0.5), math.floor(y + 0.5)
            key = (s, hash(prop), angle, ismath, renderer.dpi, gc.get_antialiased())
            glyphs = self._kept.get(key)
            if glyphs is not None:
                self._kept.move_to_end(key)
                for bitmap, left, low, turn in glyphs:
                    pen.draw_text_image(bitmap, at[0] + left, at[1] + low, turn, gc)
                return
            noting = _Noting(pen)
            renderer._renderer = noting
            try:
                drawn(gc, x, y, s, prop, angle, ismath, mtext)
            finally:
                renderer._renderer = pen
            if noting.glyphs_only:
                self._kept[key] = [
                    (bitmap, left - at[0], low - at[1], turn)
                    for bitmap, left, low, turn in noting.glyphs
                ]
                while len(self._kept) > _KEPT:
                    self._kept.popitem(last=False)

        renderer.draw_text = draw_text
        try:
            yield
        finally:
            renderer.draw_text = drawn


class _Noting:
    """Passes on what is drawn and notes it; of other things than glyphs only that there were some."""

    def __init__(self, pen):
        self._pen = pen
        self.glyphs: list = []
        self.glyphs_only = True

    def draw_text_image(self, bitmap, x, y, turn, gc) -> None:
        self.glyphs.append((bitmap, x, y, turn))
        self._pen.draw_text_image(bitmap, x, y, turn, gc)

    def __getattr__(self, name):
        self.glyphs_only = False
        return getattr(self._pen, name)

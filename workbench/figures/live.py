"""A plot that keeps its still parts and redraws only what moves.

Drawing axes, ticks and labels is most of the cost of a plot.  ``LiveFigure``
draws them once, keeps the pixels, and for each new state copies them back and
draws only the moving artists on top.
"""

from __future__ import annotations

import functools
import threading
from typing import Any

import numpy as np

from workbench.figures.kept_words import KeptWords
from workbench.figures.style import DPI, new_figure, place_again, repaint

# libpng's constants: run-length matching after the "up" filter.  For plots and
# photographs alike this was the fastest lossless setting measured (800x400 plot
# 1.6 ms against 5 for the defaults, 1200x800 photograph 20 ms against 52).
_PNG_RLE = 3
_PNG_FILTER_UP = 32


def png_bytes(pixels: np.ndarray) -> bytes:
    """Encode an (h, w, 3), (h, w, 4) or (h, w) uint8 array as PNG, quickly."""
    import imagecodecs

    pixels = np.ascontiguousarray(pixels)
    return bytes(imagecodecs.png_encode(pixels, level=1, strategy=_PNG_RLE, filter=_PNG_FILTER_UP))


class LiveFigure:
    """Base of figures that follow a slider.

    Subclasses build axes and artists in ``__init__``, hand the ones that change
    to ``moving`` and set their data in ``update``::

        class ToneFigure(LiveFigure):
            def __init__(self, width_px=800, height_px=400):
                super().__init__(width_px, height_px)
                axes = add_axes(self.figure, xlabel="in", ylabel="out")
                self.curve = self.moving(line(axes, [], [], "paper"))

            def update(self, result):
                self.curve.set_data(result.x, result.y)

        figure.update(result)
        image.value = figure.render()

    Moving artists lie above all still ones, in their own z-order; a still
    artist that must cover a moving one is handed to ``moving`` as well.  Change
    the data of the same artists rather than making new ones: adding or removing
    an artist redraws the still parts.  A change to a still artist (limits,
    ticks, titles) is noticed through matplotlib's own "stale" mark, so
    ``invalidate`` is needed only for what matplotlib cannot see.

    Thread-safe: one lock per figure, held by ``render`` and ``update``; take
    ``figure.lock`` around anything else that touches artists.
    """

    def __init_subclass__(cls, **options):
        super().__init_subclass__(**options)
        own = cls.__dict__.get("update")
        if own is not None:

            @functools.wraps(own)
            def locked(self, *args, **kwargs):
                with self.lock:
                    return own(self, *args, **kwargs)

            setattr(cls, "update", locked)  # noqa: B010 (mypy lets no method be assigned to)

    def __init__(self, width_px: int = 800, height_px: int = 400, scale: float = 1.0):
        self.lock = threading.RLock()
        self.figure = new_figure(width_px, height_px, scale=scale)
        self.still_draws = 0  # how often the still parts were drawn, for tests and tuning
        self._size_px = (int(width_px), int(height_px))
        self._scale = float(scale)
        self._dark = False
        self._moving: list[Any] = []
        self._still: np.ndarray | None = None
        self._kept_words = KeptWords()

    #: whether what it draws can be read off its axes: not drawings, nor bent or joined scales
    IN_UNITS = False

    def table(self) -> list[tuple] | None:
        """Its numbers as rows of `take.TITLES`, if it keeps them; None otherwise."""
        return None

    @classmethod
    def of(cls, result, width_px: int, height_px: int) -> LiveFigure:
        """One that shows a result by itself, without what a panel would put beside it."""
        drawn = cls()
        drawn.set_size(width_px, height_px)
        drawn.update(result)
        return drawn

    @property
    def size_px(self) -> tuple[int, int]:
        """Width and height in CSS pixels."""
        return self._size_px

    @property
    def scale(self) -> float:
        """Device pixels per CSS pixel in the rendered bytes."""
        return self._scale

    def set_scale(self, scale: float) -> None:
        """Render with ``scale`` device pixels per CSS pixel (1 to 4) from now on."""
        if not 1 <= scale <= 4:
            raise ValueError(f"a scale between 1 and 4 is needed, not {scale}")
        with self.lock:
            if scale != self._scale:
                self._scale = float(scale)
                self.figure.set_dpi(DPI * self._scale)
                self._still = None

    def set_dark(self, dark: bool) -> None:
        """Use the greys of a dark or a light page."""
        with self.lock:
            if bool(dark) != self._dark:
                self._dark = bool(dark)
                repaint(self.figure, self._dark)
                self._still = None

    def set_size(self, width_px: int, height_px: int | None = None) -> bool:
        """Another size in CSS pixels; type stays as large, margins as wide.

        True if that changed anything (then the still parts are drawn anew).
        """
        with self.lock:
            size = (int(width_px), int(height_px or self._size_px[1]))
            if size == self._size_px:
                return False
            self.figure.set_size_inches(size[0] / DPI, size[1] / DPI)
            place_again(self.figure)
            self._size_px = size
            self._still = None
            self._fit()
            return True

    def _fit(self) -> None:
        """Whatever else has to follow another size; called with the lock."""

    def moving(self, *artists):
        """Declare artists that change; returns the artist, or a tuple of several."""
        with self.lock:
            for artist in artists:
                artist.set_animated(True)
                if artist not in self._moving:
                    self._moving.append(artist)
            self._still = None
        return artists[0] if len(artists) == 1 else artists

    def still(self, *artists) -> None:
        """Take artists back among the still parts."""
        with self.lock:
            for artist in artists:
                artist.set_animated(False)
                self._moving = [other for other in self._moving if other is not artist]
            self._still = None

    def invalidate(self) -> None:
        """Have the still parts drawn anew at the next ``render``."""
        with self.lock:
            self._still = None

    def update(self, result) -> None:
        """Set the artists' data from a result; every subclass has its own."""
        raise NotImplementedError(f"{type(self).__name__} does not say how to show a result")

    def on_axes(self, axes, x: float, y: float) -> tuple[float, float] | None:
        """What stands at a share of the figure (from the top left) on axes; None outside them."""
        with self.lock:
            width, height = self.figure.bbox.size
            at = x * width, (1 - y) * height
            if not axes.bbox.contains(*at):
                return None
            across, up = axes.transData.inverted().transform(at)
            return float(across), float(up)

    def rgba(self) -> np.ndarray:
        """The plot as an (h, w, 4) uint8 array of sRGB values and full cover.

        It is the figure's own: take ``figure.lock`` until it is copied or done with.
        """
        with self.lock:
            canvas = self.figure.canvas
            renderer = canvas.get_renderer()
            # the still parts as well, so that words look alike whether they move or not
            with self._kept_words.on(renderer):
                if self._still is None or self.figure.stale:
                    if self._dark:
                        repaint(self.figure, True)  # artists made since
                    canvas.draw()  # leaves out whatever is animated
                    buffer = np.asarray(canvas.buffer_rgba())
                    self._still = buffer.copy()
                    self.still_draws += 1
                else:
                    buffer = np.asarray(canvas.buffer_rgba())
                    np.copyto(buffer, self._still)
                # a removed artist has no figure any more
                self._moving = [a for a in self._moving if a.get_figure() is not None]
                for artist in sorted(self._moving, key=lambda a: a.get_zorder()):
                    # axes that are hidden hide their still parts only
                    if artist.axes is None or artist.axes.get_visible():
                        artist.draw(renderer)
            return buffer

    def pixels(self) -> np.ndarray:
        """The plot as an (h, w, 3) uint8 array of sRGB values."""
        with self.lock:
            return np.ascontiguousarray(self.rgba()[..., :3])

    def render(self) -> bytes:
        """The plot as PNG bytes, ``scale`` times ``size_px`` pixels."""
        return png_bytes(self.pixels())

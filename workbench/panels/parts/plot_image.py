"""A plot's pixels on the page: after the first drawing only those that have changed are sent."""

from __future__ import annotations

from pathlib import Path

import anywidget
import numpy as np
import traitlets

from workbench.figures.live import png_bytes

_HERE = Path(__file__).parent
# unchanged pixels that cost less to send again than another run would
_GAP = 8
# where more has changed, a compressed picture is the shorter message
_MOST_CHANGED = 150_000


def changed_runs(changed: np.ndarray, now: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """What of a picture has changed, as runs of pixels in reading order.

    Parameters
    ----------
    changed : bool, for each pixel; at least one has.
    now : the picture, of the same shape; every element is a pixel.

    Returns
    -------
    (n, 2) uint32 of first pixel and length of each run, and the values of all runs, one
    behind the other.  Runs a few pixels apart are joined.

    Examples
    --------
    >>> now = np.arange(40, dtype="uint32") % 20
    >>> runs, values = changed_runs(now > 0, now)
    >>> runs.tolist(), len(values)
    ([[1, 39]], 39)
    """
    at, now = np.flatnonzero(changed), now.ravel()
    last = np.flatnonzero(np.diff(at) > _GAP)
    starts, ends = at[np.r_[0, last + 1]], at[np.r_[last, at.size - 1]] + 1
    lengths = ends - starts
    # of each pixel of each run, how far it stands from its place among all that are sent
    moved = np.repeat(starts - np.cumsum(lengths) + lengths, lengths)
    values = now[moved + np.arange(moved.size)]
    return np.stack([starts, lengths], axis=1).astype(np.uint32), values


class PlotImage(anywidget.AnyWidget):
    """A picture that follows a slider: ``show`` puts another state of it on the page."""

    _esm = (_HERE / "plot_image.js").read_text(encoding="utf-8")

    whole = traitlets.Dict(
        help="a picture as PNG data, its number, and its CSS width and height"
    ).tag(sync=True)

    def __init__(self, front, **options):
        super().__init__(**options)
        self._turn = front.turn
        self._pixels: np.ndarray | None = None
        self._size_px = (0, 0)
        self._number = 0  # of the state shown: so often there was another
        self.on_msg(self._heard)

    @property
    def shown(self) -> bool:
        """Whether there is anything to see."""
        return self._pixels is not None

    @property
    def value(self) -> bytes:
        """What is shown, as PNG; empty before anything is."""
        if self._pixels is None:
            return b""
        height, width = self._pixels.shape
        return png_bytes(self._pixels.view(np.uint8).reshape(height, width, 4)[..., :3])

    @property
    def number(self) -> int:
        """How often another state was shown."""
        return self._number

    @property
    def size_px(self) -> tuple[int, int]:
        """Its width and height on the page, in CSS pixels."""
        return self._size_px

    def show(self, rgba: np.ndarray, size_px: tuple[int, int]) -> None:
        """Show (h, w, 4) uint8 sRGB values, opaque, at a width and height in CSS pixels."""
        now = np.ascontiguousarray(rgba).view(np.uint32)[..., 0]
        with self._turn:
            shown = self._pixels
            if shown is None or shown.shape != now.shape or size_px != self._size_px:
                self._size_px = size_px
                self._show_whole(now)
                return
            changed = shown != now
            many = np.count_nonzero(changed)
            if many > _MOST_CHANGED:
                self._show_whole(now)
            elif many:
                np.copyto(shown, now, where=changed)
                runs, values = changed_runs(changed, now)
                self._number += 1
                self.send({"number": self._number}, [runs.tobytes(), values.tobytes()])

    def _show_whole(self, pixels: np.ndarray) -> None:
        self._pixels = pixels.copy()
        self._send_whole()

    def _send_whole(self) -> None:
        self._number += 1
        width, height = self._size_px
        self.whole = {
            "data": self.value, "number": self._number, "width": width, "height": height,
        }  # fmt: skip

    def _heard(self, _widget, content, _buffers) -> None:
        # a page that was made later, or missed something
        with self._turn:
            if self._pixels is not None and content.get("have") != self._number:
                self._send_whole()

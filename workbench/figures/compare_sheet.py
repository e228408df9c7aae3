"""Papers side by side on a sheet to take away, as a matplotlib figure, PNG or PDF."""

from __future__ import annotations

import io
import textwrap
from typing import Any

import numpy as np

from workbench.figures.style import add_axes, new_figure, shorter, words

_MARGIN_PX, _GAP_PX, _CAPTION_PX, _HEAD_PX, _FOOT_PX = 36, 24, 52, 78, 40


def sheet_figure(title: str, note: str, tiles, captions, wall, *, columns: int = 3):
    """A figure with tiles and captions in a grid on a wall; one tile pixel is one pixel of it.

    Parameters
    ----------
    tiles : (h, w, 3) uint8 sRGB, all of one size.
    captions : (name, remark) of each.
    wall : (3,) uint8 of what surrounds them.
    """
    from matplotlib.image import AxesImage

    height, width = tiles[0].shape[:2]
    columns = min(columns, len(tiles))
    rows = -(-len(tiles) // columns)
    across = max(2 * _MARGIN_PX + columns * width + (columns - 1) * _GAP_PX, 520)
    lines = textwrap.wrap(note, int((across - 2 * _MARGIN_PX) / 7.4))
    down = _HEAD_PX + rows * (height + _CAPTION_PX) + _FOOT_PX + 17 * (len(lines) - 1)
    figure = new_figure(across, down)
    ground = np.asarray(wall, float) / 255
    figure.set_facecolor(ground)
    ink = "#ffffff" if ground.mean() < 0.42 else "#111111"
    page = add_axes(figure, left_px=0, right_px=0, top_px=0, bottom_px=0)
    page.set_axis_off()
    page.set(xlim=(0, across), ylim=(down, 0))
    page.set_title("")
    room = int(width / 7.2)
    words(page, _MARGIN_PX, 34, title, size=14, va="center", color=ink)
    foot = "\n".join(lines)
    words(page, _MARGIN_PX, down - 14, foot, va="bottom", color=ink, linespacing=1.3)
    for place, (tile, (name, remark)) in enumerate(zip(tiles, captions, strict=True)):
        row, column = divmod(place, columns)
        x = _MARGIN_PX + column * (width + _GAP_PX)
        y = _HEAD_PX - 16 + row * (height + _CAPTION_PX)
        # "none" keeps the pixels as they are, in a PDF as well
        image = AxesImage(
            page, interpolation="none", origin="upper", extent=(x, x + width, y + height, y)
        )
        image.set_data(tile)
        page.add_image(image)
        middle = x + width / 2
        centred: dict[str, Any] = {"ha": "center", "va": "center", "color": ink}
        for below, said in ((14, name), (31, remark)):
            words(page, middle, y + height + below, shorter(said, room), **centred)
    return figure


def png_of(figure, profile: bytes) -> bytes:
    """The figure as PNG, tagged with the profile of its colours."""
    from PIL import Image

    figure.canvas.draw()
    pixels = np.asarray(figure.canvas.buffer_rgba())[..., :3]
    out = io.BytesIO()
    Image.fromarray(np.ascontiguousarray(pixels)).save(out, "PNG", icc_profile=profile)
    return out.getvalue()


def pdf_of(figure, title: str) -> bytes:
    """The figure as PDF: pictures as pixels, words as words."""
    out = io.BytesIO()
    figure.savefig(
        out, format="pdf", facecolor=figure.get_facecolor(), metadata={"Title": title}
    )  # fmt: skip
    return out.getvalue()

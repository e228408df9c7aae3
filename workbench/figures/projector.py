"""A page to judge a projector by: grey steps at both ends, and whether primaries are clipped."""

from __future__ import annotations

from workbench.figures.drawing import add_box
from workbench.figures.screen_sheet import NEAR_BLACK, NEAR_WHITE
from workbench.figures.style import SURROUND, new_figure, words
from workbench.language import tr

#: codes of 255 of one primary; where the last ones look alike, it is clipped
PRIMARY = (160, 180, 200, 215, 230, 240, 248, 255)
HOW_TO = (
    tr(
        "Near black and near white, the third square should just be seen. If only the last ones can, "
        "darken the room, or lower the projector's contrast."
    ),
    tr(
        "Steps of one colour that look alike are clipped: switch off “vivid” colours. What one ought "
        "to see is common practice, no source."
    ),
)
_ROWS = (
    (tr("near black"), 0, [(v, v, v) for v in NEAR_BLACK], NEAR_BLACK),
    (tr("near white"), 255, [(v, v, v) for v in NEAR_WHITE], NEAR_WHITE),
    (tr("red"), None, [(v, 0, 0) for v in PRIMARY], PRIMARY),
    (tr("green"), None, [(0, v, 0) for v in PRIMARY], PRIMARY),
    (tr("blue"), None, [(0, 0, v) for v in PRIMARY], PRIMARY),
)


def projector_figure(*, width_px: int = 800, height_px: int = 330, scale: float = 1.0):
    """The page as a matplotlib Figure, whose ``alt_text`` says what it shows.

    Greys lie on black and on white with the code of each beneath; steps of a primary touch.
    """
    figure = new_figure(width_px, height_px, scale=scale)
    figure.set_facecolor(SURROUND)
    axes = figure.add_axes((0, 0, 1, 1))
    axes.set_axis_off()
    axes.set(xlim=(0, width_px), ylim=(height_px, 0))
    left, tall = 100, (height_px - 10) / len(_ROWS)
    cell = (width_px - left - 12) / len(PRIMARY)

    def box(x, y, wide, high, code):
        add_box(axes, (x, y, wide, high), facecolor=tuple(c / 255 for c in code))

    for number, (name, ground, codes, told) in enumerate(_ROWS):
        y = 6 + number * tall
        words(axes, 10, y + tall / 2, name, size=11, va="center", color="white")
        if ground is not None:
            box(left, y, cell * len(codes), tall - 4, (ground,) * 3)
        for place, (code, value) in enumerate(zip(codes, told, strict=True)):
            x = left + place * cell
            inside = (0.22, 0.12, 0.56, 0.5) if ground is not None else (0, 0, 1, 1)
            high = tall - 4
            box(
                x + inside[0] * cell, y + inside[1] * high, inside[2] * cell, inside[3] * high, code
            )
            at = y + high * (0.82 if ground is not None else 0.5)
            words(axes, x + cell / 2, at, f"{value}", va="center", ha="center",
                  color="#8a8a8a" if ground is not None else "white")  # fmt: skip
    figure.alt_text = tr(
        "A page to judge a projector by: greys near black and near white, and steps of red, "
        "green and blue up to the full colour"
    )
    return figure

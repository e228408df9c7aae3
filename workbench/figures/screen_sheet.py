"""A sheet to judge a screen's setting by eye: ramp, near-black, near-white, the paper's white.

The same patches as pixels for a panel and as a page of its own to fill the screen with.
Which steps one ought to see is common practice, no source.
"""

from __future__ import annotations

from html import escape

import numpy as np

from workbench.analysis.crops import srgb_light
from workbench.colour.lab import lab_to_xyz, luminance_factor
from workbench.errors import WorkbenchError
from workbench.figures.screen_picture import light_to_srgb
from workbench.language import LANGUAGE, tr

#: sRGB values of 255, on 0 and on 255
NEAR_BLACK = (2, 4, 6, 8, 12, 16, 20, 26)
NEAR_WHITE = (254, 253, 251, 249, 246, 243, 239, 235)
RAMP_STEPS = 21
#: L* of neutral patches, over the paper's white
GREYS = (98, 95, 90, 80, 65, 50, 35, 20)
#: what to look for, one sentence a row
HOW_TO = (
    tr(
        "Fill the screen with this sheet, with the room lit as when you work, and let your eyes "
        "settle for a minute."
    ),
    tr(
        "Whites: hold the bare paper, in its own light, beside the screen. Turn the screen's "
        "brightness until the large white is as bright as the paper, then its white point until the "
        "tints agree."
    ),
    tr(
        "Near black: the second or third square from the left should just be seen. If only the last "
        "ones can, the room is too light or the screen's black too crushed."
    ),
    tr(
        "Near white: the second square from the left should just be seen. If not, the screen's "
        "contrast is set too high."
    ),
    tr("Ramp: even from black to white, without a tint or a step anywhere."),
    tr("What one ought to see is common practice, no source."),
)
_SMALLEST_PX = 160


def paper_codes(white_lab) -> np.ndarray:
    """(3,) uint8 sRGB of a paper's white, absolute Lab; the perfect diffuser is 255."""
    return grey_codes(white_lab, (100.0,))[0]


def grey_codes(white_lab, lightness=GREYS) -> np.ndarray:
    """(n, 3) uint8 sRGB of neutrals on a paper: L* over its white, in its white's tint.

    Whites lighter than the screen shows are brought inside with their tint kept.
    """
    paper = np.ravel(srgb_light(lab_to_xyz(np.asarray(white_lab, float))))
    paper = np.clip(paper, 0, None) / max(1.0, float(paper.max()))
    light = np.multiply.outer(luminance_factor(np.asarray(lightness, float)), paper)
    return np.round(255 * light_to_srgb(light)).astype(np.uint8)


def check_sheet(white_lab=(100.0, 0.0, 0.0), width_px: int = 960, height_px: int = 600):
    """The sheet as pixels.

    Parameters
    ----------
    white_lab : of the paper, absolute Lab (D50).
    width_px, height_px : 160 to 8000.

    Returns
    -------
    (height_px, width_px, 3) uint8, sRGB: from top to bottom a smooth ramp and one of
    `RAMP_STEPS` steps; `NEAR_BLACK` on black and `NEAR_WHITE` on white; the screen's white
    beside the paper's, with `GREYS` on it.

    Raises
    ------
    WorkbenchError
        for other sizes.
    """
    for size in (width_px, height_px):
        if not _SMALLEST_PX <= size <= 8000:
            raise WorkbenchError(
                tr(
                    "A check sheet of {width_px} × {height_px} pixels cannot be made; give "
                    "{smallest_px} to 8000 for each side.",
                    width_px=width_px,
                    height_px=height_px,
                    smallest_px=_SMALLEST_PX,
                )
            )
    sheet = np.zeros((height_px, width_px, 3), np.uint8)
    rows = [round(height_px * share) for share in (0, 0.11, 0.22, 0.56, 1)]
    across = np.linspace(0, 255, width_px)
    sheet[: rows[1]] = np.round(across)[None, :, None]
    steps = np.arange(width_px) * RAMP_STEPS // width_px
    sheet[rows[1] : rows[2]] = np.round(steps * 255 / (RAMP_STEPS - 1))[None, :, None]
    middle = width_px // 2
    near = sheet[rows[2] : rows[3]]
    near[:, middle:] = 255
    _squares(near[:, :middle], [(v, v, v) for v in NEAR_BLACK])
    _squares(near[:, middle:], [(v, v, v) for v in NEAR_WHITE])
    whites = sheet[rows[3] :]
    whites[:, :middle] = 255
    whites[:, middle:] = paper_codes(white_lab)
    _squares(whites[:, middle:], grey_codes(white_lab), rows=2)
    return sheet


def _squares(field: np.ndarray, codes, rows: int = 1) -> None:
    """Paint patches into a field, in rows, with a patch's half between them."""
    height, width = field.shape[:2]
    columns = len(codes) // rows
    for n, code in enumerate(codes):
        row, column = divmod(n, columns)
        y0, y1 = _span(height, rows, row)
        x0, x1 = _span(width, columns, column)
        field[y0:y1, x0:x1] = code


def _span(length: int, count: int, n: int) -> tuple[int, int]:
    cell = length / count
    return round((n + 0.2) * cell), round((n + 0.8) * cell)


def check_sheet_html(white_lab=(100.0, 0.0, 0.0), paper_name: str = "") -> str:
    """The sheet as a page of its own: one text of HTML that needs no other file."""
    name = paper_name or tr("a perfect white")
    ramp = "".join(
        f'<i style="background:{_grey(round(n * 255 / (RAMP_STEPS - 1)))}"></i>'
        for n in range(RAMP_STEPS)
    )
    whites = "".join(
        f'<i style="background:{_css(code)};color:{"#000" if grey > 55 else "#fff"}">L* {grey}</i>'
        for grey, code in zip(GREYS, grey_codes(white_lab), strict=True)
    )
    how = "".join(f"<li>{escape(sentence)}</li>" for sentence in HOW_TO)
    return _PAGE.format(
        language=LANGUAGE,
        title=escape(tr("Screen check for {name}", name=name)),
        screen_white=escape(tr("the screen's white, 255"), quote=False),
        first=escape(
            tr(
                "Press F11 to fill the screen, and again to leave. At the lower right: the white "
                "of {name},\nbeside a perfect white, with neutral greys on it.",
                name=name,
            )
        ),
        ramp=ramp,
        black=_levels(NEAR_BLACK, "#777"),
        white=_levels(NEAR_WHITE, "#777"),
        paper=_css(paper_codes(white_lab)),
        whites=whites,
        how=how,
    )


def _levels(levels, ink: str) -> str:
    return "".join(
        f'<span><i style="background:{_grey(v)}"></i><b style="color:{ink}">{v}</b></span>'
        for v in levels
    )


def _grey(value: int) -> str:
    return f"rgb({value},{value},{value})"


def _css(code) -> str:
    return "rgb({},{},{})".format(*(int(v) for v in code))


# the labels are small and grey, so that they neither blind nor tint
_PAGE = """<!DOCTYPE html>
<html lang="{language}"><head><meta charset="utf-8"><title>{title}</title>
<style>
html, body {{ margin: 0; background: #777; font: 13px/1.4 system-ui, sans-serif; color: #fff; }}
main {{ height: 100vh; display: grid; grid-template: 11fr 11fr 34fr 44fr / 1fr 1fr; }}
.smooth {{ grid-column: 1 / 3; background: linear-gradient(to right, #000, #fff); }}
.steps {{ grid-column: 1 / 3; display: flex; }}
.steps i {{ flex: 1; }}
.near {{ display: flex; padding: 3% 2%; gap: 3%; }}
.near span {{ flex: 1; display: flex; flex-direction: column; }}
.near i {{ flex: 1; }}
.near b {{ font-weight: normal; text-align: center; padding-top: 4px; }}
.whites {{ display: grid; grid-template: 1fr 1fr / repeat(4, 1fr); gap: 8%; padding: 4%; }}
.whites i {{ font-style: normal; padding: 4px; }}
.label {{ color: #777; padding: 8px; }}
ol {{ max-width: 60em; margin: 24px auto; }}
</style></head><body>
<main>
<div class="smooth"></div>
<div class="steps">{ramp}</div>
<div class="near" style="background:#000">{black}</div>
<div class="near" style="background:#fff">{white}</div>
<div class="label" style="background:#fff">{screen_white}</div>
<div class="whites" style="background:{paper}">{whites}</div>
</main>
<ol><li>{first}</li>{how}</ol>
</body></html>
"""

"""What a paper's white does to highlights: patches of them, and crops on their papers."""

from __future__ import annotations

import numpy as np

from workbench.analysis.crops import dimming
from workbench.analysis.white import NeutralSteps
from workbench.analysis.words import signed
from workbench.figures.live import LiveFigure
from workbench.figures.on_screen import screen_rgb
from workbench.figures.placed import PlacedPicture
from workbench.figures.plane import fit_page, new_page
from workbench.figures.style import SURROUND, colour, rgb_codes, shorter, words
from workbench.language import numeral, tr

REACH_COLOUR, BARE_COLOUR = colour("moved"), colour("chosen")  # sky blue and orange


class StepsFigure(LiveFigure):
    """Patches of neutral highlights: above on a purely white sheet, below as seen on the paper.

    Beside them a patch of the reference sheet, beneath them Lab as seen.
    ``update(NeutralSteps, dim)`` shows another state; all patches are dimmed by the same
    factor (see `dimming`), by default just enough for these.  Narrower figures show
    fewer steps.
    """

    _COLUMN_PX, _NAMES_PX, _BAND = 92, 106, (30, 176)

    def __init__(self, width_px: int = 1000, height_px: int = 226, scale: float = 1.0):
        from matplotlib.patches import Rectangle

        super().__init__(width_px, height_px, scale=scale)
        self._page = new_page(self)
        self._result: tuple[NeutralSteps, float | None] | None = None

        def patch():
            # a picture of one pixel, as no theme ever exchanges the colours of pictures
            made = PlacedPicture()
            made.set_zorder(2)
            self._page.add_artist(made)
            return self.moving(made)

        def text(moving=True, **options):
            made = words(self._page, 0, 0, "", zorder=3, **{"ha": "center", **options})
            return self.moving(made) if moving else made

        self._surround = Rectangle((0, 0), 1, 1, edgecolor="none", facecolor=SURROUND, zorder=1)
        self._page.add_patch(self._surround)
        columns = 8  # seven steps, and the reference
        self.before = [patch() for _ in range(columns - 1)]
        self.after = [patch() for _ in range(columns - 1)]
        self.reference = patch()
        self.heads = [text(moving=False, va="center") for _ in range(columns)]
        self.values = [text(va="top", linespacing=1.35) for _ in range(columns)]
        self._sides = [text(moving=False, ha="left", va="center") for _ in range(3)]
        for side, said in zip(
            self._sides, (tr("on a purely\nwhite sheet"), tr("on this paper,\nas seen"), "L*\na*, b*"),
            strict=True,
        ):  # fmt: skip
            side.set_text(said)
        self.shown_steps: tuple[int, ...] = ()
        self._lay_out()

    def _fit(self) -> None:
        self._lay_out()
        if self._result is not None:
            self.update(*self._result)

    def _lay_out(self):
        width, _ = self.size_px
        fit_page(self._page, self.size_px)
        names = self._NAMES_PX
        top, bottom = self._BAND
        self._surround.set_bounds(names, top, width - names, bottom - top)
        inner = width - names - 24
        count = max(2, min(8, int(inner // self._COLUMN_PX)))
        steps = len(self.before)
        picked = np.rint(np.linspace(0, steps - 1, count - 1)).astype(int) if count > 2 else [0]
        self.shown_steps = tuple(int(i) for i in picked)
        # the reference stands a little apart
        column = (inner - 20) / count
        middle = (top + bottom) / 2
        for artist in (*self.before, *self.after, *self.heads, *self.values):
            artist.set_visible(False)
        for place, step in enumerate(self.shown_steps):
            x = names + 12 + place * column
            self.before[step].box = (x + 4, top + 14, column - 8, middle - top - 14)
            self.after[step].box = (x + 4, middle, column - 8, bottom - 14 - middle)
            self._place_words(step, x + column / 2)
        x = names + 12 + len(self.shown_steps) * column + 20
        self.reference.box = (x + 4, top + 14, column - 8, bottom - top - 28)
        self._place_words(-1, x + column / 2)
        for step in self.shown_steps:
            self.before[step].set_visible(True)
            self.after[step].set_visible(True)
        self._letters = int(column / 6.6)
        self._sides[0].set_position((4, (top + 14 + middle) / 2))
        self._sides[1].set_position((4, (middle + bottom - 14) / 2))
        self._sides[2].set_position((4, bottom + 8))
        self._sides[2].set(va="top", linespacing=1.35)

    def _place_words(self, index: int, x: float) -> None:
        self.heads[index].set_position((x, self._BAND[0] - 13))
        self.values[index].set_position((x, self._BAND[1] + 8))
        self.heads[index].set_visible(True)
        self.values[index].set_visible(True)

    def update(self, result: NeutralSteps, dim: float | None = None) -> None:
        """Show highlights; ``dim`` as of `dimming`, if other things are shown with these."""
        self._result = (result, dim)
        labs = np.concatenate([result.before_lab, result.after_lab, [result.reference_lab]])
        rgb = screen_rgb(labs, dimming(labs) if dim is None else dim)
        codes = np.round(rgb * 255).astype(np.uint8)[:, None, None]
        count = len(result.steps)
        for step in self.shown_steps:
            self.before[step].pixels = codes[step]
            self.after[step].pixels = codes[count + step]
            self._say(self.heads[step], f"L* {numeral(result.steps[step])}")
            self._say(self.values[step], _lab_lines(result.after_lab[step]))
        self.reference.pixels = codes[-1]
        self._say(self.heads[-1], shorter(result.white.reference, self._letters))
        self._say(self.values[-1], _lab_lines(result.reference_lab))

    def _say(self, text, said: str) -> None:
        if text.get_text() != said:  # a still text that is set again is drawn again
            text.set_text(said)

    def alt_text(self, result: NeutralSteps) -> str:
        """The patches in words."""
        first, last = result.after_lab[0], result.after_lab[-1]

        def lab(values):
            return f"L* {numeral(values[0], '.1f')}, a* {signed(values[1])}, b* {signed(values[2])}"

        return tr(
            "Neutral highlights on a purely white sheet and as seen on {name}: L* "
            "{first:g} becomes {first_lab}; L* {last:g} becomes {last_lab}. Beside them "
            "{reference}, {reference_lab}.",
            name=result.white.name,
            first=result.steps[0],
            first_lab=lab(first),
            last=result.steps[-1],
            last_lab=lab(last),
            reference=result.white.reference,
            reference_lab=lab(result.reference_lab),
        )


def _lab_lines(lab) -> str:
    return f"{numeral(lab[0], '.1f')}\n{signed(lab[1])}, {signed(lab[2])}"


def side_by_side(tiles, gap_px: int = 20, wall=None) -> np.ndarray:
    """Tiles of one height next to one another; (h, w, 3) uint8.

    ``wall`` is the (3,) uint8 between them, the neutral surround if left out.
    """
    gap = np.empty((tiles[0].shape[0], gap_px, 3), np.uint8)
    gap[:] = rgb_codes(SURROUND) if wall is None else wall
    row = [part for tile in tiles for part in (gap, tile)][1:]
    return np.ascontiguousarray(np.concatenate(row, axis=1))


def on_sheet(crop: np.ndarray, sheet_rgb, border_px: int) -> np.ndarray:
    """A (h, w, 3) uint8 crop on its paper, which shows around it; ``sheet_rgb`` is 0..1."""
    height, width = crop.shape[:2]
    sheet = np.empty((height + 2 * border_px, width + 2 * border_px, 3), np.uint8)
    sheet[:] = np.round(np.asarray(sheet_rgb) * 255)
    sheet[border_px : border_px + height, border_px : border_px + width] = crop
    return sheet


def marked(picture: np.ndarray, reach: np.ndarray, box=None) -> np.ndarray:
    """A faint picture with the parts that the paper's white reaches, and a frame.

    Parameters
    ----------
    picture : (h, w, 3) uint8.
    reach : (h, w) 0, 1 or 2 as of `reach_map`, painted in REACH_COLOUR and BARE_COLOUR.
    box : (left, top, right, bottom) in pixels to frame, or None.
    """
    grey = picture.mean(axis=2, keepdims=True) * 0.55 + 60
    result = np.repeat(grey, 3, axis=2)
    for level, hexadecimal in ((1, REACH_COLOUR), (2, BARE_COLOUR)):
        result[reach == level] = rgb_codes(hexadecimal)
    result = result.round().astype(np.uint8)
    if box is not None:
        left, top, right, bottom = box
        for inset, value in ((0, 0), (1, 255), (2, 255), (3, 0)):
            x0, y0, x1, y1 = left + inset, top + inset, right - inset - 1, bottom - inset - 1
            if x1 <= x0 or y1 <= y0:
                break
            result[[y0, y1], x0 : x1 + 1] = value
            result[y0 : y1 + 1, [x0, x1]] = value
    return result

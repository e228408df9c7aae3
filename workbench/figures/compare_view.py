"""The same part of a picture on several papers, each on its own white, for one eye."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from workbench.analysis.adaptation import eye_beside, white_seen
from workbench.analysis.crops import dimming
from workbench.analysis.proof import proof_grid
from workbench.colour.lab import lab_to_xyz
from workbench.colour.trip import white_xyz
from workbench.figures.on_screen import screen_rgb
from workbench.figures.style import SURROUND, rgb_codes
from workbench.figures.white_steps import on_sheet
from workbench.language import tr
from workbench.paper_readings import AnyPaper
from workbench.picture.opening import from_pixels
from workbench.picture.picture import Picture

# L* of a neutral wall as seen; the grey one is that of every picture here
WALLS = {"mid grey": None, "white wall": 92.0, "dark wall": 20.0}
# the same as people read them
WALL_NAMES = {
    "mid grey": tr("mid grey"),
    "white wall": tr("white wall"),
    "dark wall": tr("dark wall"),
}
# long side of the preview that windows are cut from while it has pixels enough
PREVIEW_PX = 900


@dataclass(frozen=True)
class Window:
    """A part of a picture, in pixels of the upright picture at full resolution."""

    x: int
    y: int
    width: int
    height: int


def most_zoom(picture: Picture, tile_px: tuple[int, int]) -> float:
    """The zoom at which one picture pixel takes one pixel of a tile; 1 for small pictures."""
    return max(1.0, picture.width_px / tile_px[0])


def window_at(picture: Picture, zoom: float, across: float, down: float) -> Window:
    """The window of a zoom around a place, moved so that it lies inside the picture.

    Parameters
    ----------
    zoom : 1 shows the whole picture, 2 half of each side, …
    across, down : of the window's middle, 0..1 from the upper left.
    """
    width = max(1, round(picture.width_px / max(zoom, 1.0)))
    height = max(1, round(picture.height_px / max(zoom, 1.0)))
    x = round(across * picture.width_px - width / 2)
    y = round(down * picture.height_px - height / 2)
    x = min(max(x, 0), picture.width_px - width)
    y = min(max(y, 0), picture.height_px - height)
    return Window(x, y, width, height)


def window_pixels(picture: Picture, window: Window, long_side_px: int) -> np.ndarray:
    """(h, w, channels) of a window in the picture's own space, its long side at most so long.

    uint16, averaged in linear light; never enlarged.  From a preview where that has pixels
    enough, from the picture at full resolution otherwise.
    """
    whole = max(picture.width_px, picture.height_px)
    long_side = max(window.width, window.height)
    if long_side == whole:
        return picture.preview(long_side_px)
    share = PREVIEW_PX / whole
    if share < 1 and long_side * share >= long_side_px:
        preview = picture.preview(PREVIEW_PX)
        y_scale, x_scale = preview.shape[0] / picture.height_px, preview.shape[1] / picture.width_px
        y0, x0 = round(window.y * y_scale), round(window.x * x_scale)
        y1 = max(y0 + 1, round((window.y + window.height) * y_scale))
        x1 = max(x0 + 1, round((window.x + window.width) * x_scale))
        pixels = preview[y0:y1, x0:x1]
    else:
        pixels = picture.crop(window.x, window.y, window.width, window.height)
    return from_pixels(pixels, picture.require_profile()).preview(long_side_px)


@dataclass(frozen=True, eq=False)
class Eye:
    """The one pair of eyes that looks at all papers.

    Attributes
    ----------
    white_xyz : what it takes for white, Y = 1 for the perfect diffuser.
    dim : by how much all light is divided, so that no paper's white clips on the screen.
    whites_lab : (papers, 3) Lab as seen of the bare papers.
    beside : name of the reference, untinted cotton if there is none.
    beside_lab : (3,) its Lab as seen.
    """

    white_xyz: np.ndarray
    dim: float
    whites_lab: np.ndarray = field(repr=False)
    beside: str
    beside_lab: np.ndarray = field(repr=False)

    @property
    def whites_rgb(self) -> np.ndarray:
        """(papers, 3) sRGB, 0..1, of the bare papers."""
        return screen_rgb(self.whites_lab, self.dim)

    @property
    def beside_rgb(self) -> np.ndarray:
        """(3,) sRGB, 0..1, of the reference."""
        return screen_rgb(self.beside_lab[None], self.dim)[0]


def eye_for(papers, *, reference, adaptation: float = 0.0, adapted_to=None) -> Eye:
    """The eye that looks at papers side by side.

    Parameters
    ----------
    reference : the white it holds on to, as for `paper_white`; None for ``adapted_to``.
    adaptation : 0..1, how far it has got used to ``adapted_to``, a paper.
    """
    eye = eye_beside(reference, adaptation)
    beside = lab_to_xyz(eye.reference_lab)
    taken = beside if adapted_to is None else eye.white(lab_to_xyz(adapted_to.white_lab))
    whites = [*(_white(paper) for paper in papers), beside]
    seen = np.stack([white_seen(white, taken) for white in whites])
    return Eye(taken, dimming(seen), seen[:-1], eye.reference, seen[-1])


def _white(paper: AnyPaper) -> np.ndarray:
    """By the profile's own tag, as proofs have it; by the reading where there is no profile."""
    if "profile" in getattr(paper, "__dataclass_fields__", ()):
        return white_xyz(paper.profile)
    return lab_to_xyz(paper.white_lab)


def wall_rgb(wall: str, dim: float = 1.0) -> np.ndarray:
    """(3,) uint8 of what surrounds the papers, one of `WALLS`.

    A white wall is dimmed like the papers; grey is always the same.
    """
    lightness = WALLS[wall]
    if lightness is None:
        return rgb_codes(SURROUND)
    rgb = screen_rgb(np.array([[lightness, 0.0, 0.0]]), dim)[0]
    return np.round(rgb * 255).astype(np.uint8)


def printed_tiles(
    pixels, source: bytes, papers, eye: Eye, *, intent, black_point_compensation
) -> list:
    """(h, w, 3) uint8 sRGB of a picture's pixels on each paper, for one eye, all dimmed alike."""
    return [
        proof_grid(
            source,
            paper.profile,
            intent=intent,
            black_point_compensation=black_point_compensation,
            reference_xyz=eye.white_xyz * eye.dim,
        ).apply(pixels)
        for paper in papers
    ]


def sheets(tiles, whites_rgb, border_px: int) -> list[np.ndarray]:
    """Each tile on its own paper, which shows around it."""
    return [on_sheet(tile, white, border_px) for tile, white in zip(tiles, whites_rgb, strict=True)]


@dataclass(frozen=True)
class Hanging:
    """A part of a picture on papers that lie on a wall: all that the sight of it follows from.

    Attributes
    ----------
    picture, papers : what is shown on what; every paper has a profile.
    window : the part of the picture.
    wall : one of `WALLS`.
    intent, black_point_compensation : the way to the papers.
    reference, adaptation, adapted_to : of the eye, as for `eye_for`.
    long_side_px, border_px : of each tile, and of the bare paper around it.
    """

    picture: Picture
    papers: tuple
    window: Window
    wall: str
    intent: str
    black_point_compensation: bool
    reference: object
    adaptation: float
    adapted_to: object
    long_side_px: int
    border_px: int

    def eye(self) -> Eye:
        """The eye that looks at the papers."""
        return eye_for(
            self.papers, reference=self.reference, adaptation=self.adaptation,
            adapted_to=self.adapted_to,
        )  # fmt: skip

    def tiles(self, eye: Eye) -> list[np.ndarray]:
        """(h, w, 3) uint8 sRGB of the picture's part on each paper."""
        pixels = window_pixels(self.picture, self.window, self.long_side_px)
        return printed_tiles(
            pixels, self.picture.require_profile(), self.papers, eye,
            intent=self.intent, black_point_compensation=self.black_point_compensation,
        )  # fmt: skip


@dataclass(frozen=True, eq=False)
class Hung:
    """What is seen of a `Hanging`.

    Attributes
    ----------
    of : what was asked for.
    eye : that looks at it.
    sheets : (h, w, 3) uint8 sRGB of each paper with the picture on it.
    wall : (3,) uint8 sRGB around them.
    """

    of: Hanging
    eye: Eye
    sheets: list = field(repr=False)
    wall: np.ndarray = field(repr=False)


def hung(asked: Hanging) -> Hung:
    """A part of a picture on papers, as one eye sees them."""
    eye = asked.eye()
    laid = sheets(asked.tiles(eye), eye.whites_rgb, asked.border_px)
    return Hung(asked, eye, laid, wall_rgb(asked.wall, eye.dim))


def hung_large(asked: Hanging) -> tuple[Hung, int]:
    """The same with small parts enlarged by whole numbers, and how often each pixel repeats."""
    eye = asked.eye()
    tiles = asked.tiles(eye)
    # so that every pixel stays as it is
    times = max(1, asked.long_side_px // (2 * max(tiles[0].shape[:2])) + 1)
    tiles = [tile.repeat(times, axis=0).repeat(times, axis=1) for tile in tiles]
    laid = sheets(tiles, eye.whites_rgb, round(max(tiles[0].shape[:2]) / 24))
    return Hung(asked, eye, laid, wall_rgb(asked.wall, eye.dim)), times

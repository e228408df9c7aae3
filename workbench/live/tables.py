"""What the live view is given: tables of what a paper makes of colours, and its uniforms.

A new paper or way of printing costs one table; eye, threshold and divider are uniforms,
which the page moves by itself.  All tables are float32 (nodes, channels) at the nodes of
`workbench.colour.grid.grid_colours`: 33 a channel, or 1024 of a grey picture.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np

from workbench.analysis.adaptation import eye_beside
from workbench.analysis.gamut import checked_threshold
from workbench.analysis.proof_table import channels_of, picture_nodes, printed_nodes
from workbench.analysis.viewing import Display, Viewing, find_display
from workbench.colour.engine import check_intent, transform
from workbench.colour.grid import grid_colours
from workbench.colour.lab import D50_XYZ, lab_to_xyz, triple, xyz_to_lab
from workbench.colour.profile import read_profile
from workbench.colour.spaces import standard_profile
from workbench.colour.trip import trip, white_xyz
from workbench.paper_readings import AnyPaper
from workbench.rendering import DEFAULTS

#: The spaces that a page's canvas may have, by the names that browsers have for them.
SCREENS = {"srgb": "sRGB", "display-p3": "Display P3"}


def own_table(source: bytes) -> np.ndarray:
    """(nodes, 3) float32 media-relative Lab of the picture's own colours; read only."""
    return picture_nodes(source)


def print_table(
    source: bytes,
    paper: bytes,
    intent: str = DEFAULTS.intent,
    black_point_compensation: bool = DEFAULTS.black_point_compensation,
    chroma_gain: float = 1.0,
) -> np.ndarray:
    """(nodes, 3) float32 media-relative Lab of the print of those colours; read only.

    Parameters
    ----------
    source, paper : profile bytes.
    chroma_gain : with which they are printed, see `with_chroma`.

    Raises
    ------
    ProfileError

    Examples
    --------
    >>> from workbench.colour.spaces import standard_profile
    >>> print_table(standard_profile("sRGB"), papers[0].profile).shape
    (35937, 3)
    """
    compensate = bool(black_point_compensation) and check_intent(intent) != "absolute"
    way = source, paper, intent, compensate
    return printed_nodes(*way) if chroma_gain == 1 else printed_nodes(*way, chroma_gain)


@lru_cache(maxsize=12)
def beyond_table(
    source: bytes, paper: bytes, intent: str | None = None, compensate: bool = False
) -> np.ndarray:
    """(nodes, 1) float32 CIEDE2000 by which colours lie beyond the paper, or are moved; read only.

    Parameters
    ----------
    source, paper : profile bytes.
    intent, compensate : of the print that moves them; without an intent, what lies beyond the
        paper, whatever the rendering.
    """
    way = ("relative", False) if intent is None else (intent, compensate)
    journey = trip(grid_colours(channels_of(source)), source, paper, *way)
    distance = journey.beyond if intent is None else journey.moved
    table = np.ascontiguousarray(distance[:, None], np.float32)
    table.flags.writeable = False
    return table


def _near_nodes(own: np.ndarray) -> np.ndarray:
    """(33**3, 3) Lab at the nodes of a display's table.

    They lie evenly over RGB of its primaries under the curve of sRGB, from -0.3 to 1.3: nearly
    its own values, so that what lies between nodes is nearly straight, and with nodes at 0 and
    1, so that what it shows is not mixed with what it cannot.
    """
    code = grid_colours(3) * 1.6 - 0.3
    size = np.abs(code)
    light = np.where(size <= 0.04045, size / 12.92, ((size + 0.055) / 1.055) ** 2.4)
    return xyz_to_lab((np.sign(code) * light) @ own.T).astype(np.float32)


@lru_cache(maxsize=4)
def display_table(display: Display, screen: str = "srgb") -> np.ndarray | None:
    """A display known by tables: what the canvas shows for colours, and how far it falls short.

    Parameters
    ----------
    screen : of `SCREENS`, the space of the canvas.

    Returns
    -------
    (33**3, 4) float32: three values 0..1 of the canvas, and CIEDE2000 from the colour to the
    nearest that the display shows.  None for a display of three primaries, which
    `display_uniforms` describes without a table.
    """
    if display.kind == "matrix":
        return None
    way = Viewing(eye_beside(None, 1.0), display)
    lab = _near_nodes(_primaries(display))
    values = transform(way.shown(lab), display.profile, standard_profile(SCREENS[screen]))
    table = np.column_stack([np.clip(values, 0, 1), way.beyond(lab)]).astype(np.float32)
    table.flags.writeable = False
    return table


def _primaries(display: Display) -> np.ndarray:
    """(3, 3) from linear RGB to XYZ (D50) of a display; of one known by tables, nearly."""
    if display.kind == "matrix":
        checked = read_profile(display.profile)
        found = [checked.xyz(tag) or (0.0, 0.0, 0.0) for tag in ("rXYZ", "gXYZ", "bXYZ")]
        return np.stack([np.array(each) for each in found], axis=1)
    lab = transform(np.vstack([np.zeros(3), np.eye(3)]), display.profile, "lab")
    black, *primaries = lab_to_xyz(lab)
    own = np.stack([each - black for each in primaries], axis=1)
    return own * np.linalg.solve(own, D50_XYZ)


@lru_cache(maxsize=16)
def _display_uniforms(display: Display) -> dict:
    own = _primaries(display)
    to_display = np.linalg.inv(own)
    screens = {}
    for screen, name in SCREENS.items():
        same = display.profile == standard_profile(name)
        there = np.linalg.inv(_primaries(find_display(name))) @ own
        screens[screen] = _rows(np.eye(3) if same else there)
    wide = display.kind == "matrix" and display.profile != standard_profile("sRGB")
    space = "display-p3" if wide else "srgb"
    return {
        "toDisplay": _rows(to_display),
        "fromDisplay": _rows(own),
        "screens": screens,
        "space": space,
    }


def _rows(matrix: np.ndarray) -> list[float]:
    return [float(value) for value in matrix.ravel()]


def display_uniforms(display: Display) -> dict:
    """What the page needs to know of a display: its primaries, and how they look on a canvas.

    Returns
    -------
    A dict: ``toDisplay`` and ``fromDisplay``, nine numbers each by rows, XYZ (D50) to linear
    RGB and back; ``screens``, for each of `SCREENS` linear RGB of the display to that of the
    canvas; ``space``, the canvas that is wanted.
    """
    return dict(_display_uniforms(display))


def eye_uniforms(paper: AnyPaper, reference, adaptation: float) -> dict:
    """The paper's white, that of what lies beside it (XYZ, Y = 1) and the eye's adaptation."""
    eye = eye_beside(reference, adaptation)
    return {
        "paperXyz": list(triple(white_xyz(paper.profile))),
        "referenceXyz": list(triple(lab_to_xyz(eye.reference_lab))),
        "adaptation": eye.adaptation,
    }


@dataclass(frozen=True, eq=False)
class LiveScene:
    """All that a live view shows; arrays are told apart by identity, so that none is sent twice.

    Attributes
    ----------
    pixels : (h, w, 1 or 3) uint16, the reduced picture in its own encoding.
    tables : by name: "own", "print", "beyond", "curves" and "display", None where there is none.
    uniforms : by name, JSON values.
    part : (box, size_px) -> pixels and box, as `tiles.picture_part`: finer pixels for those
        who come nearer; None for none.
    relief : (pixel_mm) -> `lit.LitRelief`, where a lamp stands over the sheet; None for none.
    """

    pixels: np.ndarray = field(repr=False)
    tables: dict[str, np.ndarray | None] = field(repr=False)
    uniforms: dict
    part: Callable | None = None
    relief: Callable | None = None


def live_scene(
    source: bytes,
    pixels: np.ndarray,
    paper: AnyPaper | None,
    *,
    intent: str = DEFAULTS.intent,
    black_point_compensation: bool = DEFAULTS.black_point_compensation,
    reference=DEFAULTS.reference,
    adaptation: float = DEFAULTS.adaptation,
    display=DEFAULTS.display,
    threshold: float = DEFAULTS.threshold,
    curves: np.ndarray | None = None,
    chroma_gain: float = 1.0,
    screen: str = "srgb",
    part: Callable | None = None,
    **uniforms,
) -> LiveScene:
    """What a live view needs to show a picture on a paper.

    Parameters
    ----------
    source : the picture's profile.
    pixels : (h, w, 1 or 3) uint16 in its space, such as ``picture.preview(1200)``.
    paper : None shows the picture by itself.
    intent .. threshold : as for `proof_maps.proof_maps`.
    curves : (65536, 1 or 3) uint16, what an adjustment makes of every code; None for none.
    chroma_gain : that comes after the curves, see `with_chroma`.
    screen : the space of the canvas for displays that are known by tables.
    part : as for `LiveScene`; the uniform ``picturePixels`` then says how wide the picture is.
    uniforms : more of the page's, such as ``divider=0.5``; with ``overlay=1`` marks on what is
        out of gamut, with 2 whose limit it is, with 3 how far the print is from the picture.

    Returns
    -------
    A LiveScene.

    Raises
    ------
    WorkbenchError, ProfileError

    Examples
    --------
    >>> scene = live_scene(picture.require_profile(), picture.preview(60), papers[0])
    >>> scene.tables["print"].dtype.name, scene.uniforms["adaptation"]
    ('float32', 1.0)
    """
    shown = find_display(display)
    tables: dict[str, np.ndarray | None] = {
        "own": own_table(source),
        "print": None,
        "beyond": None,
        "curves": curves,
        "display": display_table(shown, screen),
    }
    known = {
        **display_uniforms(shown),
        "threshold": checked_threshold(threshold),
        "displayNoise": float(shown.noise_floor),
    }
    if paper is not None:
        way = intent, black_point_compensation
        tables["print"] = print_table(source, paper.profile, *way, chroma_gain)
        if uniforms.get("overlay") in (1, 2):
            tables["beyond"] = beyond_table(source, paper.profile)
        known |= eye_uniforms(paper, reference, adaptation)
        known["paperNoise"] = float(getattr(paper, "noise_floor", 0.0))
    return LiveScene(pixels, tables, known | uniforms, part)


def size_uniforms(picture_px: int, ppi: float, print_ppi: float, screen_ppi: float | None) -> dict:
    """How large a picture is on paper, for a view at true size and one of print pixels.

    Parameters
    ----------
    picture_px : width of the whole picture.
    ppi : picture pixels to an inch of paper.
    print_ppi, screen_ppi : print pixels to an inch of paper, and screen pixels to an inch of
        the screen; None where the screen has not been measured.

    Examples
    --------
    >>> size_uniforms(3600, 300, 360, None)["widthMm"]
    304.8
    """
    inches = picture_px / ppi
    return {
        "picturePixels": picture_px,
        "widthMm": round(25.4 * inches, 3),
        "printPixels": inches * print_ppi,
        "screenPpi": screen_ppi or 0,
    }

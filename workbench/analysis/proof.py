"""The picture as it will look on the paper, for a display.

Each pixel goes to the paper's device values by the chosen intent, back to Lab through the
paper's colorimetric table, to what the eye makes of it beside the reference white, and
from there to the display, media-relative.  Small proofs work out every pixel; large ones
interpolate in a table (see `proof_table` for its errors).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from workbench.analysis.proof_table import (
    FINE_NODES,
    fine_grid,
    picture_grid,
    proof_grid,
    quick_grid,
)
from workbench.analysis.viewing import Viewing, viewing
from workbench.bands import WORKERS, in_order, row_bands
from workbench.colour.engine import check_intent
from workbench.colour.grid import NODES
from workbench.colour.trip import printed_lab, white_xyz
from workbench.errors import WorkbenchError
from workbench.language import tr
from workbench.paper import Paper
from workbench.picture.picture import Picture
from workbench.picture.samples import as_uint16
from workbench.rendering import DEFAULTS

__all__ = ["Proof", "ProofMaker", "picture_grid", "proof_grid", "soft_proof"]

# up to this many, every pixel is worked out: a tenth of a second on two processors
EXACT_PIXELS = 150_000
# setting up a table costs as much as some million pixels, so bands of tables are large
_BAND_PIXELS = {None: 2**16, NODES: 2**22, FINE_NODES: 3000000}
# below this, a second thread is not worth its own table
_WORTH_SHARING = 200_000

# from y0, y1 to those rows of a picture: (y1 - y0, width, channels)
Reader = Callable[[int, int], np.ndarray]


@dataclass(frozen=True, eq=False)
class Proof:
    """A soft proof.

    Attributes
    ----------
    pixels : (h, w, 3) uint8 or uint16, in the display's space.
    way : how it is looked at, and on which display.
    black_point_compensation : False with the intent "absolute", which knows none.
    exact : every pixel worked out, or interpolated in a table.
    nodes : steps a channel of that table (colour pictures), or None where exact.
    """

    pixels: np.ndarray = field(repr=False)
    way: Viewing
    intent: str
    black_point_compensation: bool
    exact: bool
    nodes: int | None = None

    @property
    def display_name(self) -> str:
        """The display's space."""
        return self.way.display.name

    @property
    def display_profile(self) -> bytes:
        """That space; embed it wherever the pixels go."""
        return self.way.display.profile

    @property
    def adaptation(self) -> float:
        """0 side by side with the reference white .. 1 fully adapted to the paper."""
        return self.way.eye.adaptation

    @property
    def reference(self) -> str:
        """Name of the white that the display's own white stands for."""
        return self.way.eye.reference


class ProofMaker:
    """From pixels in a picture's space to a display's; safe to use from several threads.

    Parameters
    ----------
    source, paper : profile bytes.
    intent, black_point_compensation : of the print.
    way : how it is looked at.
    nodes : a channel of the table to interpolate in, 33 or 65; None works out every pixel.
    bit_depth : 8 or 16, of the result.

    Raises
    ------
    WorkbenchError, ProfileError
    """

    def __init__(
        self,
        source: bytes,
        paper: bytes,
        intent: str,
        black_point_compensation: bool,
        way: Viewing,
        nodes: int | None = None,
        bit_depth: int = 8,
    ):
        if bit_depth not in (8, 16):
            raise WorkbenchError(tr("A proof has 8 or 16 bits."))
        # there is none with the absolute intent
        compensate = bool(black_point_compensation) and intent != "absolute"
        self._how = (source, paper, check_intent(intent), compensate)
        self._way, self._white, self.nodes = way, white_xyz(paper), nodes
        self.dtype: np.dtype = np.dtype(np.uint8 if bit_depth == 8 else np.uint16)
        make = {None: None, NODES: quick_grid, FINE_NODES: fine_grid}[nodes]
        self._grid = make(*self._how, way) if make else None

    def pixels(self, pixels: np.ndarray) -> np.ndarray:
        """(..., 3) display pixels of (..., channels) uint8 or uint16 picture pixels."""
        if self._grid is not None:
            return self._grid.apply(as_uint16(pixels), self.dtype)
        exact = pixels.astype(np.float32) / np.iinfo(pixels.dtype).max
        shown = self._way.shown(self._way.seen(printed_lab(exact, *self._how), self._white))
        return np.round(shown * np.iinfo(self.dtype).max).astype(self.dtype)

    def proof(self, pixels: np.ndarray) -> Proof:
        """The `Proof` with these finished display pixels."""
        return Proof(
            pixels=pixels,
            way=self._way,
            intent=self._how[2],
            black_point_compensation=self._how[3],
            exact=self.nodes is None,
            nodes=self.nodes,
        )

    def rows(self, width: int, height: int) -> int:
        """Rows of a picture to work on at a time."""
        rows = max(1, _BAND_PIXELS[self.nodes] // max(width, 1))
        if width * height > _WORTH_SHARING:
            rows = min(rows, -(-height // WORKERS))
        return min(rows, height)

    def of(self, pixels: np.ndarray, *, cancelled=None, progress=None) -> Proof:
        """The proof of (h, w, channels) picture pixels, on two threads where it pays."""
        height, width = pixels.shape[:2]
        return self.whole(lambda y0, y1: pixels[y0:y1], width, height, cancelled, progress)

    def whole(self, read: Reader, width: int, height: int, cancelled=None, progress=None) -> Proof:
        """The proof of the picture of which ``read(y0, y1)`` gives rows."""
        result = np.empty((height, width, 3), self.dtype)

        def work(band: tuple[int, int]) -> None:
            y0, y1 = band
            result[y0:y1] = self.pixels(read(y0, y1))

        bands = row_bands(height, self.rows(width, height))
        for _ in in_order(work, bands, cancelled=cancelled, progress=progress):
            pass
        return self.proof(result)


def band_reader(picture: Picture) -> Reader:
    """A function from rows y0, y1 of the upright picture to (y1 − y0, width, channels)."""
    # pictures on their side would be read whole for each band, so once is better
    if getattr(picture, "orientation", 1) >= 5:
        whole = picture.pixels()
        return lambda y0, y1: np.ascontiguousarray(whole[y0:y1])
    return lambda y0, y1: picture.crop(0, y0, picture.width_px, y1 - y0)


def soft_proof(
    picture: Picture,
    paper: Paper,
    *,
    intent: str = DEFAULTS.intent,
    black_point_compensation: bool = DEFAULTS.black_point_compensation,
    adaptation: float = DEFAULTS.adaptation,
    reference=DEFAULTS.reference,
    display=DEFAULTS.display,
    long_side_px: int | None = 1200,
    bit_depth: int = 8,
    exact: bool | None = None,
    cancelled=None,
    progress=None,
) -> Proof:
    """The picture as it will look on this paper.

    Parameters
    ----------
    picture, paper : from `open_picture` and `open_paper`.
    intent : "perceptual", "relative" (media-relative colorimetric), "saturation" or
        "absolute" (ICC-absolute colorimetric): how the print is made.
    reference : what lies beside the print, whose white the display's own white stands for:
        one of `adaptation.REFERENCE_WHITES` or a paper; None for the print alone
        (media-relative).
    adaptation : how the print is seen beside it: 0 = the eye keeps to the reference
        (ICC-absolute beside the perfect diffuser), 1 = fully adapted to the paper.
    display : "sRGB", "Display P3", "opRGB" or another standard space, or a
        display profile's path or bytes.
    long_side_px : of the proof; None for all the picture's pixels.
    bit_depth : 8 or 16.
    exact : work out every pixel (some 2 million a second on two processors), or
        interpolate in a table of 33 steps a channel, 65 for all the picture's pixels
        (some 60 million a second).  None works out every pixel of proofs up to 150,000.
    cancelled, progress : asked between bands, a true answer raises Cancelled; told 0..1.

    Returns
    -------
    A Proof: pixels for the display.

    Raises
    ------
    UntaggedPictureError
        for a picture without a profile.
    WorkbenchError, ProfileError
        for options that make no sense, and displays that are none.

    Examples
    --------
    >>> proof = wb.soft_proof(picture, papers[0], long_side_px=120)
    >>> proof.pixels.shape
    (80, 120, 3)
    """
    check_intent(intent)
    way = viewing(adaptation=adaptation, reference=reference, display=display)
    source = picture.require_profile()
    how = (source, paper.profile, intent, black_point_compensation, way)
    if long_side_px is not None:
        preview = picture.preview(long_side_px)
        nodes = _nodes(exact, preview.shape[0] * preview.shape[1], NODES)
        return ProofMaker(*how, nodes, bit_depth).of(
            preview, cancelled=cancelled, progress=progress
        )
    width, height = picture.width_px, picture.height_px
    maker = ProofMaker(*how, _nodes(exact, width * height, FINE_NODES), bit_depth)
    return maker.whole(band_reader(picture), width, height, cancelled, progress)


def _nodes(exact: bool | None, pixels: int, nodes: int) -> int | None:
    if exact is None:
        exact = pixels <= EXACT_PIXELS
    return None if exact else nodes

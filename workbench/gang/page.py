"""One sheet of several pieces, written as one 16-bit file in the paper's colours.

The file is made in bands from the top, and of each piece only what the band needs is in
memory.  It is written whole or not at all, and read back.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path

import numpy as np

from workbench.analysis.crop import ppi_text
from workbench.analysis.sheets import MM_PER_INCH, area_text
from workbench.colour.engine import transform
from workbench.colour.profile import CHANNELS, clean_text, read_profile
from workbench.errors import Cancelled, OutputError
from workbench.gang.rows import BITS
from workbench.output.atomic import check_space, check_target, trouble, written_whole
from workbench.output.bands import BAND_PIXELS
from workbench.output.check import Check, check_facts, read_back
from workbench.output.formats import FileSpec, check_kind, kind_for, write_bands
from workbench.output.layout import Layout
from workbench.output.resample import Axis

_STEP = 16
# of the whole, for progress; the rest is reading back
_WRITING = 0.9
# CIE lightness of lines, which are there to be cut away
_LINE_LIGHTNESS = 60.0


@dataclass(frozen=True, eq=False)
class Block:
    """A piece of picture on a page.

    Attributes
    ----------
    x_px, y_px : its upper left corner.
    source : with ``width_px``, ``height_px``, ``rows(y0, y1)`` (uint16) and ``close()``.
    """

    x_px: int
    y_px: int
    source: object = field(repr=False)


@dataclass(frozen=True, eq=False)
class Mark:
    """Text or a line.

    Attributes
    ----------
    x_px, y_px : its upper left corner.
    mask : (h, w) uint8, the share of ink.
    grey : a thin grey, for lines, instead of the paper's black.
    """

    x_px: int
    y_px: int
    mask: np.ndarray = field(repr=False)
    grey: bool = False


@dataclass(frozen=True, eq=False)
class Page:
    """A sheet to be written.

    Attributes
    ----------
    width_px, height_px, ppi : of the sheet.
    profile : of its colours.
    converted : the colours are the paper's; otherwise the driver is to convert them.
    blocks, marks : what lies on it; marks lie over blocks.
    """

    width_px: int
    height_px: int
    ppi: float
    profile: bytes = field(repr=False)
    converted: bool
    blocks: tuple[Block, ...] = field(repr=False)
    marks: tuple[Mark, ...] = field(default=(), repr=False)

    @property
    def space(self) -> str:
        """ "GRAY", "RGB" or "CMYK"."""
        return read_profile(self.profile).space

    @property
    def channels(self) -> int:
        return CHANNELS[self.space]

    def rows(self, y0: int, y1: int) -> np.ndarray:
        """Rows y0..y1 of the sheet: (rows, width, channels) uint16."""
        white = 0 if self.space == "CMYK" else 65535
        band = np.full((y1 - y0, self.width_px, self.channels), white, np.uint16)
        for block in self.blocks:
            top, bottom = block.y_px, block.y_px + block.source.height_px
            a, b = max(y0, top), min(y1, bottom)
            if a < b:
                across = slice(block.x_px, block.x_px + block.source.width_px)
                band[a - y0 : b - y0, across] = block.source.rows(a - top, b - top)
            if bottom <= y1:
                block.source.close()
        black, grey = _inks(self.profile)
        for mark in self.marks:
            _draw(band, y0, mark, grey if mark.grey else black)
        return band

    def close(self) -> None:
        """Let go of what the pieces hold."""
        for block in self.blocks:
            block.source.close()


@lru_cache(maxsize=8)
def _inks(profile: bytes) -> np.ndarray:
    """The darkest neutral that the profile's table prints, and a grey for lines; (2, channels)."""
    lab = np.array([[0.0, 0, 0], [_LINE_LIGHTNESS, 0, 0]])
    device = transform(lab, "lab", profile, intent="relative", black_point_compensation=True)
    return np.rint(np.clip(device, 0, 1) * 65535)


def _draw(band: np.ndarray, y0: int, mark: Mark, ink: np.ndarray) -> None:
    """Lay a mark's ink over a band; what lies beyond the sheet is cut off."""
    rows, cols = mark.mask.shape
    top, bottom = max(mark.y_px, y0), min(mark.y_px + rows, y0 + len(band))
    left, right = max(mark.x_px, 0), min(mark.x_px + cols, band.shape[1])
    if top >= bottom or left >= right:
        return
    here = band[top - y0 : bottom - y0, left:right]
    mask = mark.mask[top - mark.y_px : bottom - mark.y_px, left - mark.x_px : right - mark.x_px]
    share = (mask / np.float32(255))[..., None]
    here[...] = np.rint(here * (1 - share) + ink.astype(np.float32) * share)


def line(x_px: int, y_px: int, width_px: int, height_px: int) -> Mark:
    """A filled rectangle of the grey for lines."""
    return Mark(x_px, y_px, np.full((height_px, width_px), 255, np.uint8), grey=True)


@dataclass(frozen=True)
class WrittenSheet:
    """A sheet of several pieces that has been written and read back.

    Attributes
    ----------
    path : of the file.
    width_px, height_px, ppi, width_mm, height_mm : of the sheet.
    profile_name : what the embedded profile calls itself.
    converted : True if the colours are the paper's; False if the driver is to convert.
    checksum : SHA-256 of the file, hexadecimal.
    size_bytes : of the file.
    checks : what was looked at, see `workbench.output.check.Check`.
    sentences : what was done and found, for the person.
    """

    path: Path
    width_px: int
    height_px: int
    ppi: float
    width_mm: float
    height_mm: float
    profile_name: str
    converted: bool
    checksum: str
    size_bytes: int
    checks: tuple[Check, ...]
    sentences: tuple[str, ...]


def checked_path(path, originals, overwrite: bool) -> tuple[Path, str]:
    """The target and its kind.

    Raises
    ------
    OutputError
        if no sheet may be written there, or the kind does not hold 16 bits.
    """
    target = check_target(path, originals=originals, overwrite=overwrite)
    kind = kind_for(target)
    if kind == "JPEG":
        raise OutputError(
            "A JPEG file holds 8 bits only, too few for a sheet to judge prints by; end the "
            "name in .tif (best) or .png."
        )
    return target, kind


def write_page(
    page: Page,
    target: Path,
    kind: str,
    description: str,
    *,
    spool_bytes: int = 0,
    compression: str | None = None,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
    overwrite: bool = False,
) -> WrittenSheet:
    """Write a sheet whole or not at all, and read it back.

    Parameters
    ----------
    target, kind : from `checked_path`.
    description : one line, embedded.
    spool_bytes : further room that the pieces take on the disk meanwhile.
    progress, cancelled : told 0..1; asked between bands.

    Raises
    ------
    OutputError
        if the file cannot be written or is not as planned when read back; nothing is
        left of it.
    Cancelled
    """
    layout = _layout(page)
    rows = max(_STEP, BAND_PIXELS // 2 // page.width_px // _STEP * _STEP)
    spec = FileSpec(
        kind=kind,
        width_px=page.width_px,
        height_px=page.height_px,
        channels=page.channels,
        bit_depth=BITS,
        space=page.space,
        ppi=page.ppi,
        profile=page.profile,
        description=clean_text(description),
        compression=compression,
        band_rows=rows,
    )
    check_kind(spec)
    check_space(target, spec.pixel_bytes + len(spec.profile) + 2**20 + spool_bytes)
    try:
        with written_whole(target, overwrite=overwrite) as unfinished:
            bands = _bands(page, rows, progress, cancelled)
            fingerprint = write_bands(unfinished.stream, bands, spec)
            unfinished.stream.flush()
            checks = _checked(unfinished.path, spec, layout, fingerprint, cancelled)
            with open(unfinished.path, "rb") as stream:
                checksum = hashlib.file_digest(stream, "sha256").hexdigest()
            size_bytes = unfinished.path.stat().st_size
            if cancelled is not None and cancelled():
                raise Cancelled
    except MemoryError:
        raise OutputError(
            "There is not enough memory for this sheet; close other programs or notebooks, or "
            "put less on it."
        ) from None
    finally:
        page.close()
    if progress is not None:
        progress(1.0)
    return _written(page, target, layout, checks, checksum, size_bytes)


def _bands(page: Page, rows: int, progress, cancelled):
    for y in range(0, page.height_px, rows):
        if cancelled is not None and cancelled():
            raise Cancelled
        yield page.rows(y, min(y + rows, page.height_px))
        if progress is not None:
            progress(_WRITING * min(1.0, (y + rows) / page.height_px))


def _layout(page: Page) -> Layout:
    """The sheet as if it were one print, for reading back."""
    size = page.width_px, page.height_px
    return Layout(
        width_px=page.width_px,
        height_px=page.height_px,
        across=Axis(0.0, float(size[0]), size[0], 0, size[0]),
        down=Axis(0.0, float(size[1]), size[1], 0, size[1]),
        bleed_px=0,
        x_px=0,
        y_px=0,
        front_box_px=(0, 0, *size),
        beyond_px=0,
        front_mm=tuple(side / page.ppi * MM_PER_INCH for side in size),
        ppi=page.ppi,
        notes=(),
    )


def _checked(path: Path, spec: FileSpec, layout: Layout, fingerprint, cancelled):
    try:
        found = read_back(path, spec.kind, layout, cancelled)
    except OSError as problem:
        raise OutputError(trouble(problem, path)) from problem
    checks = check_facts(found, spec, layout, fingerprint)
    wrong = [check.sentence for check in checks if not check.passed]
    if wrong:
        raise OutputError(
            f"The sheet was not as planned when it was read back and is not kept: "
            f"{' '.join(wrong)} Try again, on another disk if it happens twice."
        )
    return tuple(checks)


def _written(page, target, layout, checks, checksum, size_bytes) -> WrittenSheet:
    name = read_profile(page.profile).description or "profile without a name"
    size = area_text(layout.width_mm, layout.height_mm, "mm")
    whose = (
        "Its colours are converted for the paper: print it at 100 % with the printer driver's "
        "own colour conversion off."
        if page.converted
        else f"Its colours are still the pictures' (“{name}”): print it at 100 % and let the "
        "printer driver convert them."
    )
    return WrittenSheet(
        path=target,
        width_px=page.width_px,
        height_px=page.height_px,
        ppi=page.ppi,
        width_mm=layout.width_mm,
        height_mm=layout.height_mm,
        profile_name=name,
        converted=page.converted,
        checksum=checksum,
        size_bytes=size_bytes,
        checks=checks,
        sentences=(
            f"“{clean_text(target.name)}”: {page.width_px:,} × {page.height_px:,} pixels, "
            f"{size} at {ppi_text(page.ppi)} ppi.",
            whose,
            *(check.sentence for check in checks),
        ),
    )

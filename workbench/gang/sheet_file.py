"""A sheet of several pieces as one 16-bit file: written whole or not at all, and read back."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from workbench.analysis.sheets import MM_PER_INCH
from workbench.errors import Cancelled, OutputError
from workbench.files import check_space, check_target, file_checksum, written_whole
from workbench.files.text import clean_text
from workbench.gang.page import Page
from workbench.gang.rows import BITS
from workbench.language import tr
from workbench.output.bands import BAND_PIXELS
from workbench.output.check import Check
from workbench.output.finished import found_as_planned, profile_name, size_sentence
from workbench.output.formats import FileSpec, check_kind, kind_for, write_bands
from workbench.output.layout import Layout
from workbench.output.resample import Axis

_STEP = 16
# of the whole, for progress; the rest is reading back
_WRITING = 0.9


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
            tr(
                "A JPEG file holds 8 bits only, too few for a sheet to judge prints by; end the "
                "name in .tif (best) or .png."
            )
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
            _, checks = found_as_planned(
                unfinished.path, spec, layout, fingerprint, cancelled, what="sheet"
            )
            size_bytes = unfinished.path.stat().st_size
            summed = file_checksum(unfinished.path, size_bytes)
            if cancelled is not None and cancelled():
                raise Cancelled
    except MemoryError:
        raise OutputError(
            tr(
                "There is not enough memory for this sheet; close other programs or notebooks, or "
                "put less on it."
            )
        ) from None
    finally:
        page.close()
    if progress is not None:
        progress(1.0)
    return _written(page, target, layout, checks, summed, size_bytes)


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
        bar_px=0,
        front_mm=(size[0] / page.ppi * MM_PER_INCH, size[1] / page.ppi * MM_PER_INCH),
        ppi=page.ppi,
        notes=(),
    )


def _written(page, target, layout, checks, summed, size_bytes) -> WrittenSheet:
    name = profile_name(page.profile)
    whose = (
        tr(
            "Its colours are converted for the paper: print it at 100 % with the printer driver's "
            "own colour conversion off."
        )
        if page.converted
        else tr(
            "Its colours are still the pictures' (“{name}”): print it at 100 % and let the "
            "printer driver convert them.",
            name=name,
        )
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
        checksum=summed,
        size_bytes=size_bytes,
        checks=checks,
        sentences=(
            size_sentence(target, layout),
            whose,
            *(check.sentence for check in checks),
        ),
    )

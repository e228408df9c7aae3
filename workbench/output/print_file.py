"""Writing a print file: everything a person has decided, as exact pixels on the disk."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

from workbench.analysis.crop import ppi_text
from workbench.colour.profile import CHANNELS, read_profile
from workbench.errors import Cancelled, OutputError
from workbench.files import check_space, check_target, file_checksum, written_whole
from workbench.files.text import clean_text
from workbench.language import numeral, tr, with_points
from workbench.output.bands import BandMaker, all_bands, band_rows, target_profile
from workbench.output.check import Check, check_proof
from workbench.output.finished import found_as_planned, profile_name, size_sentence
from workbench.output.formats import FileSpec, check_kind, kind_for, write_bands
from workbench.output.job import PrintJob
from workbench.output.layout import Layout
from workbench.output.solved import Solved, solve
from workbench.planned import Planned
from workbench.results import Result

# of the whole, for progress; the rest is reading back
_WRITING = 0.9
# common readers of PNG files stop here
_LARGE_PROFILE = 2**20


@dataclass(frozen=True)
class WrittenFile(Result):
    """A print file that has been written, read back and found as planned.

    Attributes
    ----------
    path : of the file.
    width_px, height_px : of the whole file, borders and bleed included.
    ppi : embedded.
    width_mm, height_mm : of the whole file.
    bit_depth : 8 or 16.
    profile_name : what the embedded profile calls itself.
    converted : True if the colours are the paper's; False if the driver is to convert.
    checksum : SHA-256 of the file, hexadecimal.
    size_bytes : of the file.
    mean_difference : CIEDE2000 from the proof, averaged over the picture.
    checks : what was looked at, see `Check`.
    sentences : what was done and found, for the person.
    """

    path: Path
    width_px: int
    height_px: int
    ppi: float
    width_mm: float
    height_mm: float
    bit_depth: int
    profile_name: str
    converted: bool
    checksum: str
    size_bytes: int
    mean_difference: float
    checks: tuple[Check, ...]
    sentences: tuple[str, ...]


def write_print_file(
    plan: Planned | Solved,
    path,
    *,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
    overwrite: bool = False,
) -> WrittenFile:
    """Write a print file whole or not at all, and check it.

    Parameters
    ----------
    plan : a Plan, a `PrintJob`, or anything with attributes named like a PrintJob's.
    path : of the file; .tif, .png or .jpg decides the kind.
    progress : told the share done, 0..1.
    cancelled : asked between bands; true ends the work with `Cancelled`.
    overwrite : an existing file may be replaced; the picture itself never is.

    Returns
    -------
    A WrittenFile: where it went and what was read back of it.

    Raises
    ------
    OutputError
        if the file cannot be written, or is not as planned when read back; nothing is
        left of it.
    SizeError, PaperError, ProfileError, PictureError, UntaggedPictureError
        for a plan that does not add up.
    Cancelled

    Notes
    -----
    Order of work: crop, resampling in linear light, adjustments, sharpening, conversion,
    borders, bit depth.

    Memory, beyond what the picture itself holds: about 600 MB for a TIFF file of any size;
    for PNG its pixels, the file and 250 MB, while it is read back; for JPEG 450 MB and 3
    bytes a pixel, or 7 bytes a pixel if that is more (`workbench.output.expected` tells it
    for a plan).  A picture on its side is held whole.

    Examples
    --------
    >>> written = wb.write_print_file(plan, folder / "print.tif")
    >>> written.path.name, (folder / "print.tif").stat().st_size > 1_000_000
    ('print.tif', True)
    """
    solved = solve(plan)
    job, layout = solved.job, solved.layout
    target = check_target(path, originals=[getattr(job.picture, "path", None)], overwrite=overwrite)
    kind = kind_for(target)
    spec = file_spec(job, layout, kind)
    check_kind(spec)
    maker = BandMaker(job, layout, spec.bit_depth)
    if kind == "TIFF" and job.compression is None:
        check_space(target, spec.pixel_bytes + len(spec.profile) + 2**20)

    def share(done: float) -> None:
        if progress is not None:
            progress(done)

    try:
        with written_whole(target, overwrite=overwrite) as unfinished:
            bands = all_bands(
                maker, layout, progress=lambda d: share(_WRITING * d), cancelled=cancelled
            )
            fingerprint = write_bands(unfinished.stream, bands, spec)
            unfinished.stream.flush()
            checked = _checked(unfinished.path, spec, job, layout, fingerprint, cancelled)
            if cancelled is not None and cancelled():
                raise Cancelled
    except MemoryError:
        raise OutputError(
            tr(
                "There is not enough memory for this print; close other programs or notebooks, or "
                "write a TIFF file, which takes least."
            )
        ) from None
    share(1.0)
    return _written(target, spec, job, layout, maker, checked)


def file_spec(job: PrintJob, layout: Layout, kind: str) -> FileSpec:
    """What a checked job becomes as "TIFF", "PNG" or "JPEG"; see `check_kind`."""
    profile = target_profile(job)
    space = read_profile(profile).space
    return FileSpec(
        kind=kind,
        width_px=layout.width_px,
        height_px=layout.height_px,
        channels=CHANNELS[space],
        bit_depth=8 if kind == "JPEG" else job.bit_depth,
        space=space,
        ppi=layout.ppi,
        profile=profile,
        description=clean_text(job.description or _description(job, layout)),
        compression=job.compression,
        band_rows=band_rows(layout),
    )


def _description(job: PrintJob, layout: Layout) -> str:
    """One line that tells the file from others, in plain characters where names allow.

    It is in English whatever the language: the field takes no other letters.
    """
    width, height = layout.front_mm
    size = f"{width:.1f} x {height:.1f} mm at {with_points(ppi_text(layout.ppi))} ppi"
    name = job.picture.name or "Untitled picture"
    if job.converted_for is None:
        return f"{name}, {size}; colours to be converted by the printer driver"
    how = job.intent
    if job.black_point_compensation and job.intent != "absolute":
        how += " with black point compensation"
    return f"{name}, {size}, for {job.converted_for.name}; converted, {how}"


def _checked(path: Path, spec, job, layout, fingerprint, cancelled):
    """Read the unfinished file back: (checks, mean difference, checksum, size)."""
    with ThreadPoolExecutor(1, thread_name_prefix="checksum") as pool:
        size = path.stat().st_size
        summed = pool.submit(file_checksum, path, size)
        found, checks = found_as_planned(path, spec, layout, fingerprint, cancelled)
        difference, proof = check_proof(found, job, layout, cancelled)
        return (*checks, proof), difference, summed.result(), size


def _written(target: Path, spec, job, layout, maker, checked) -> WrittenFile:
    checks, difference, summed, size = checked
    name, converted = profile_name(spec.profile), job.converts == "workbench"
    whose = (
        tr(
            "Its colours are converted for “{paper}”: switch the printer driver's own "
            "colour conversion off.",
            paper=clean_text(job.paper.name),
        )
        if converted
        else tr(
            "Its colours are still the picture's (“{name}”): let the printer driver convert them.",
            name=name,
        )
    )
    return WrittenFile(
        path=target,
        width_px=spec.width_px,
        height_px=spec.height_px,
        ppi=layout.ppi,
        width_mm=layout.width_mm,
        height_mm=layout.height_mm,
        bit_depth=spec.bit_depth,
        profile_name=name,
        converted=converted,
        checksum=summed,
        size_bytes=size,
        mean_difference=difference,
        checks=checks,
        sentences=(
            size_sentence(target, layout),
            *layout.notes,
            *job.adjustments.sentences(),
            maker.sharpening.sentence(),
            whose,
            *(check.sentence for check in checks),
            *_caution(spec),
        ),
    )


def _caution(spec: FileSpec) -> tuple[str, ...]:
    if spec.kind != "PNG" or len(spec.profile) <= _LARGE_PROFILE:
        return ()
    size = f"{numeral(len(spec.profile) / 2**20, '.1f')} MB"
    return (
        tr(
            "Its profile has {size}, which some programs refuse in PNG; a TIFF file is safer.",
            size=size,
        ),
    )

"""Reading a print file back, as another program would, and holding it against the plan."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from workbench.analysis.sheets import MM_PER_INCH
from workbench.colour.difference import delta_e_2000
from workbench.colour.engine import quick_lab
from workbench.colour.lab import lab_to_xyz, xyz_to_lab
from workbench.colour.trip import printed_lab
from workbench.errors import Cancelled
from workbench.language import tr
from workbench.output.adjusted import adjusted
from workbench.output.bands import pixel_profile, target_profile
from workbench.output.formats import FileSpec, Fingerprint
from workbench.output.job import PrintJob
from workbench.output.layout import Layout
from workbench.picture.picture import Picture
from workbench.picture.samples import as_uint16

# two sizes that differ by less print alike
_SIZE_MM = 0.02
# a difference hardly anyone sees side by side (common practice, no source)
SMALL_DIFFERENCE = 2.0
_CELLS = 32
_SAMPLES = 250_000


@dataclass(frozen=True)
class Check:
    """One thing that was looked at in the finished file.

    Attributes
    ----------
    name : "pixels", "size", "profile" or "proof".
    passed : as planned.
    sentence : what was found.
    """

    name: str
    passed: bool
    sentence: str


@dataclass(frozen=True)
class Found:
    """What an independent reader found in a file.

    Attributes
    ----------
    width_px, height_px, channels, bit_depth, profile : as read.
    ppi : (across, down), or None.
    fingerprint : of the pixels.
    samples : (rows, cols, channels) of every n-th pixel of the printed picture.
    """

    width_px: int
    height_px: int
    channels: int
    bit_depth: int
    profile: bytes | None
    ppi: tuple[float, float] | None
    fingerprint: int
    samples: np.ndarray


def read_back(path: Path, kind: str, layout: Layout, cancelled=None) -> Found:
    """Read a whole file back, by other code than wrote it.

    Parameters
    ----------
    layout : says where the picture lies, for the samples.
    """
    reader = _read_tiff if kind == "TIFF" else _read_picture
    rows, cols = sample_places(layout)
    rows, cols = rows + layout.y_px + layout.bleed_px, cols + layout.x_px + layout.bleed_px
    mark, samples, y = Fingerprint(), [], 0
    facts, bands = reader(path)
    for band in bands:
        if cancelled is not None and cancelled():
            raise Cancelled
        band = band.reshape(*band.shape[:2], -1)
        mark.add(band)
        here = rows[(rows >= y) & (rows < y + len(band))] - y
        samples.append(band[here][:, cols[cols < band.shape[1]]])
        y += len(band)
    return Found(**facts, fingerprint=mark.value, samples=np.concatenate(samples))


def sample_places(layout: Layout) -> tuple[np.ndarray, np.ndarray]:
    """Rows and columns of the printed picture that are looked at, evenly spread."""
    width, height = layout.across.n_out, layout.down.n_out
    step = max(1, int(np.sqrt(width * height / _SAMPLES)))
    return np.arange(step // 2, height, step), np.arange(step // 2, width, step)


def _read_tiff(path: Path):
    import tifffile

    with tifffile.TiffFile(path) as tiff:
        page = tiff.pages.first
        tags = page.tags
        facts = {
            "width_px": page.imagewidth,
            "height_px": page.imagelength,
            "channels": page.samplesperpixel,
            "bit_depth": page.bitspersample,
            "profile": page.iccprofile,
            "ppi": _tiff_ppi(tags),
        }
    return facts, _tiff_bands(path)


def _tiff_ppi(tags):
    found = tags.valueof(282), tags.valueof(283)
    if None in found or tags.valueof(296) != 2:
        return None
    return tuple(above / below for above, below in found)


def _tiff_bands(path: Path) -> Iterator[np.ndarray]:
    import tifffile

    with tifffile.TiffFile(path) as tiff:
        page = tiff.pages.first
        handle = tiff.filehandle
        for index, (offset, count) in enumerate(
            zip(page.dataoffsets, page.databytecounts, strict=True)
        ):
            handle.seek(offset)
            strip, _, shape = page.decode(handle.read(count), index)
            assert strip is not None, "no strip of ours is left empty"
            yield strip[0, : shape[1]]


def _read_picture(path: Path):
    """PNG and JPEG by the reader that any picture goes through."""
    from workbench.picture import open_picture

    picture = open_picture(path)
    facts = {
        "width_px": picture.width_px,
        "height_px": picture.height_px,
        "channels": picture.channels,
        "bit_depth": picture.bit_depth,
        "profile": None if picture.profile_assumed else picture.profile,
        "ppi": picture.ppi_tag and (picture.ppi_tag, picture.ppi_tag),
    }
    return facts, picture.strips()


def check_facts(found: Found, spec: FileSpec, layout: Layout, fingerprint: int) -> list[Check]:
    """Pixels, size in millimetres and profile."""
    wanted = (spec.width_px, spec.height_px, spec.channels, spec.bit_depth)
    shape = (found.width_px, found.height_px, found.channels, found.bit_depth)
    exact = spec.kind == "JPEG" or found.fingerprint == fingerprint
    told = {"width": found.width_px, "height": found.height_px, "bits": found.bit_depth}
    pixels = Check(
        "pixels",
        shape == wanted and exact,
        tr("The pixels that were read back are not those that were made.")
        if shape != wanted or not exact
        else tr("{width:,} × {height:,} pixels of {bits} bits.", **told)
        if spec.kind == "JPEG"
        else tr("{width:,} × {height:,} pixels of {bits} bits, every one as it was made.", **told),
    )
    if found.ppi is None:
        size = Check("size", False, tr("The file does not say how large it prints."))
    else:
        across = found.width_px / found.ppi[0] * MM_PER_INCH
        down = found.height_px / found.ppi[1] * MM_PER_INCH
        off = max(abs(across - layout.width_mm), abs(down - layout.height_mm))
        # PNG stores whole pixels per metre
        step = 0.6 / (spec.ppi / 0.0254) + 2e-5 if spec.kind == "PNG" else 0
        allowed = _SIZE_MM + step * max(layout.width_mm, layout.height_mm)
        size = Check(
            "size",
            off <= allowed,
            tr(
                "It prints {across:.1f} × {down:.1f} mm at {ppi:g} ppi.",
                across=across,
                down=down,
                ppi=spec.ppi,
            ),
        )
    same = found.profile == spec.profile
    profile = Check(
        "profile",
        same,
        tr("The profile in the file is the one meant.")
        if same
        else tr("The profile in the file is not the one meant."),
    )
    return [pixels, size, profile]


def check_proof(
    found: Found, job: PrintJob, layout: Layout, cancelled: Callable[[], bool] | None = None
) -> tuple[float, Check]:
    """Mean CIEDE2000 between the file and the proof, and what to say of it.

    Both are averaged in XYZ over some hundred cells of the picture, from pixels spread
    evenly over each: sharpening, dithering and resampling leave such averages alone, so
    what is left is a wrong colour or a wrong place.
    """
    profile = target_profile(job)
    ours = _cells(_lab(found.samples, profile), *sample_places(layout), layout)
    proof = _proof_cells(job, layout, cancelled)
    difference = float(np.mean(delta_e_2000(xyz_to_lab(ours), xyz_to_lab(proof))))
    passed = difference < SMALL_DIFFERENCE
    if passed:
        sentence = tr("On average it differs from the proof by {by:.2f} CIEDE2000.", by=difference)
    else:
        sentence = tr(
            "On average it differs from the proof by {by:.2f} CIEDE2000, more than {limit:g}: "
            "look at the file before printing it. Very fine or noisy detail can be the reason.",
            by=difference,
            limit=SMALL_DIFFERENCE,
        )
    return difference, Check("proof", passed, sentence)


def _lab(pixels: np.ndarray, profile: bytes) -> np.ndarray:
    return quick_lab(as_uint16(pixels), profile)


def _proof_cells(job: PrintJob, layout: Layout, cancelled) -> np.ndarray:
    """The proof, from the picture's own pixels, without resampling."""
    across, down = layout.across, layout.down
    picture, source = job.picture, job.picture.require_profile()
    rows, cols = sample_places(layout)
    # the picture's pixels that lie under the samples
    y = _under(rows, down)
    x = _under(cols, across)
    wanted = np.unique(y)
    left, right = int(x.min()), int(x.max()) + 1
    read = _read_rows(picture, wanted, left, right, cancelled)[:, x - left]
    pixels = read[np.searchsorted(wanted, y)]
    pixels, source = adjusted(pixels, source, job.adjustments), pixel_profile(job)
    if job.converted_for is None:
        lab = _lab(pixels, source)
    else:
        paper, how = job.converted_for.profile, (job.intent, job.black_point_compensation)
        lab = printed_lab(as_uint16(pixels), source, paper, *how)
    return _cells(lab, rows, cols, layout)


def _under(places: np.ndarray, axis) -> np.ndarray:
    at = axis.start + (places + 0.5) * axis.length / axis.n_out
    return np.clip(at.astype(int), axis.first, axis.stop - 1)


def _read_rows(
    picture: Picture, wanted: np.ndarray, left: int, right: int, cancelled
) -> np.ndarray:
    """Some rows of the picture; neighbours are read together."""
    if getattr(picture, "orientation", 1) >= 5:
        # its rows are the file's columns
        return picture.pixels()[wanted, left:right]
    parts, first = [], 0
    while first < len(wanted):
        if cancelled is not None and cancelled():
            raise Cancelled
        stop = first + 1
        # reading on costs less than asking again
        while stop < len(wanted) and wanted[stop] - wanted[first] < 32:
            stop += 1
        top, bottom = int(wanted[first]), int(wanted[stop - 1]) + 1
        block = picture.crop(left, top, right - left, bottom - top)
        parts.append(block[wanted[first:stop] - top])
        first = stop
    return np.concatenate(parts)


def _cells(lab: np.ndarray, rows: np.ndarray, cols: np.ndarray, layout: Layout) -> np.ndarray:
    """(cells, 3) mean XYZ of the samples in each cell."""
    width, height = layout.across.n_out, layout.down.n_out
    side = max(width, height) / _CELLS
    down = (rows / side).astype(int)
    across = (cols / side).astype(int)
    xyz = lab_to_xyz(lab)
    xyz = np.add.reduceat(xyz, np.flatnonzero(np.diff(down, prepend=-1)), axis=0)
    xyz = np.add.reduceat(xyz, np.flatnonzero(np.diff(across, prepend=-1)), axis=1)
    counts = np.unique(down, return_counts=True)[1][:, None] * np.unique(
        across, return_counts=True)[1]  # fmt: skip
    return (xyz / counts[..., None]).reshape(-1, 3)

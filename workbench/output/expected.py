"""What a print file will be, before a byte of it is written."""

from __future__ import annotations

from dataclasses import dataclass

from workbench.output.formats import check_kind
from workbench.output.job import PrintJob
from workbench.output.layout import Layout
from workbench.output.print_file import file_spec

# measured with `write_print_file`: bands in work take so much a pixel, up to a limit
_BYTES_A_PIXEL, _MOST_BANDS = 34, 600e6
# the encoder wants the whole picture: once beside the bands, then twice beside its output
_JPEG_BESIDE_BANDS, _JPEG_BYTES_A_PIXEL, _JPEG_BANDS = 3, 7, 450e6
# PNG is read back whole, beside what holding it against the proof takes
_PNG_PROOF = 250e6
_TAGS = 2000


@dataclass(frozen=True)
class Expected:
    """A print file to come.

    Attributes
    ----------
    kind : "TIFF", "PNG" or "JPEG".
    width_px, height_px, width_mm, height_mm : of the file, borders and bleed included.
    ppi : embedded.
    bit_depth : 8 or 16.
    size_bytes : of the file; the most it can be where ``size_is_exact`` is False.
    size_is_exact : nothing is compressed.
    memory_bytes : about what writing takes besides the picture.
    """

    kind: str
    width_px: int
    height_px: int
    width_mm: float
    height_mm: float
    ppi: float
    bit_depth: int
    size_bytes: int
    size_is_exact: bool
    memory_bytes: int


def expected_file(job: PrintJob, layout: Layout, kind: str = "TIFF") -> Expected:
    """What writing a checked job as this kind of file gives.

    Raises
    ------
    OutputError
        where this kind of file cannot hold the print.
    ProfileError
    """
    spec = file_spec(job, layout, kind)
    check_kind(spec)
    pixels = spec.width_px * spec.height_px
    memory = min(_BYTES_A_PIXEL * pixels, _MOST_BANDS)
    if kind == "PNG":
        memory = max(memory, 2 * spec.pixel_bytes + min(memory, _PNG_PROOF))
    elif kind == "JPEG":
        beside = min(memory, _JPEG_BANDS) + _JPEG_BESIDE_BANDS * pixels
        memory = max(memory, beside, _JPEG_BYTES_A_PIXEL * pixels)
    return Expected(
        kind=kind,
        width_px=spec.width_px,
        height_px=spec.height_px,
        width_mm=layout.width_mm,
        height_mm=layout.height_mm,
        ppi=layout.ppi,
        bit_depth=spec.bit_depth,
        size_bytes=spec.pixel_bytes + len(spec.profile) + _TAGS,
        size_is_exact=kind == "TIFF" and job.compression is None,
        memory_bytes=int(memory),
    )

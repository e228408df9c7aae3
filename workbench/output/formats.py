"""TIFF, PNG and JPEG: what each can hold, and writing bands of pixels into it."""

from __future__ import annotations

import zlib
from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from workbench.bands import in_order
from workbench.errors import OutputError
from workbench.language import tr

KINDS = {".tif": "TIFF", ".tiff": "TIFF", ".png": "PNG", ".jpg": "JPEG", ".jpeg": "JPEG"}
_JPEG_QUALITY = 96
# the format's own limit is 65,535; libjpeg stops at 65,500
_JPEG_SIDE = 65_500
_PNG_SIDE = 2**31 - 1
_STRIP_BYTES = 2**22
_SOFTWARE = "Print-planning workbench"
# room for tags where a TIFF file comes near the 4 GB that its classic form can address
_CLASSIC_BYTES = 2**32 - 2**25


@dataclass(frozen=True)
class FileSpec:
    """What a print file is to be.

    Attributes
    ----------
    kind : "TIFF", "PNG" or "JPEG".
    width_px, height_px, channels, bit_depth : of the pixels.
    space : "GRAY", "RGB" or "CMYK".
    ppi : embedded.
    profile : ICC profile, embedded.
    description : one line of text, embedded.
    compression : None or "deflate" (TIFF).
    band_rows : rows in each band but the last.
    """

    kind: str
    width_px: int
    height_px: int
    channels: int
    bit_depth: int
    space: str
    ppi: float
    profile: bytes = field(repr=False)
    description: str
    compression: str | None
    band_rows: int

    @property
    def dtype(self) -> np.dtype:
        return np.dtype(np.uint8 if self.bit_depth == 8 else np.uint16)

    @property
    def pixel_bytes(self) -> int:
        """Of all pixels, uncompressed."""
        return self.width_px * self.height_px * self.channels * self.bit_depth // 8


def kind_for(path: Path) -> str:
    """Which of TIFF, PNG and JPEG, by the file's extension.  Raises OutputError for others."""
    kind = KINDS.get(path.suffix.lower())
    if kind is None:
        raise OutputError(
            tr(
                "“{ending}” is not a kind of print file; end the name in .tif (best), .png or .jpg.",
                ending=path.suffix or path.name,
            )
        )
    return kind


def check_kind(spec: FileSpec) -> None:
    """Raise OutputError where the kind of file cannot hold the print."""
    if spec.space == "CMYK" and spec.kind != "TIFF":
        raise OutputError(
            tr(
                "This paper's profile prints with CMYK, which a {kind} file does not hold "
                "well; end the name in .tif.",
                kind=spec.kind,
            )
        )
    longest = {"JPEG": _JPEG_SIDE, "PNG": _PNG_SIDE}.get(spec.kind)
    if longest is not None and max(spec.width_px, spec.height_px) > longest:
        raise OutputError(
            tr(
                "A {kind} file has at most {longest:,} pixels on a side and this print "
                "{pixels:,}; end the name in .tif.",
                kind=spec.kind,
                longest=longest,
                pixels=max(spec.width_px, spec.height_px),
            )
        )


class Fingerprint:
    """A checksum of pixels, whatever pieces they come in."""

    def __init__(self):
        self.value = 0

    def add(self, pixels: np.ndarray) -> None:
        """Add native uint8 or uint16 pixels in file order."""
        little = np.ascontiguousarray(pixels, pixels.dtype.newbyteorder("<"))
        self.value = zlib.crc32(little.reshape(-1).view(np.uint8).data, self.value)


def write_bands(stream, bands: Iterable[np.ndarray], spec: FileSpec) -> int:
    """Write a file's pixels, band by band.

    Returns
    -------
    Their fingerprint.  For JPEG, which does not keep pixels exactly, it is that of the
    pixels as they were.
    """
    mark = Fingerprint()
    _WRITERS[spec.kind](stream, _marked(bands, mark), spec)
    return mark.value


def _marked(bands, mark: Fingerprint):
    for band in bands:
        mark.add(band)
        yield band


def _write_tiff(stream, bands, spec: FileSpec) -> None:
    import tifffile

    rows = _strip_rows(spec)
    packed = spec.compression == "deflate"
    with tifffile.TiffWriter(stream, bigtiff=spec.pixel_bytes > _CLASSIC_BYTES) as tiff:
        tiff.write(
            _packed_strips(bands, rows) if packed else (b.tobytes() for b in bands),
            shape=(spec.height_px, spec.width_px, spec.channels)
            if spec.channels > 1
            else (spec.height_px, spec.width_px),
            dtype=spec.dtype,
            photometric={"GRAY": "minisblack", "RGB": "rgb", "CMYK": "separated"}[spec.space],
            rowsperstrip=rows,
            compression="zlib" if packed else None,
            predictor=packed,
            iccprofile=spec.profile,
            resolution=(spec.ppi, spec.ppi),
            resolutionunit="INCH",
            # tifffile takes text as ASCII only; bytes may be UTF-8
            description=spec.description.encode(),
            software=_SOFTWARE,
            metadata=None,
        )


def _strip_rows(spec: FileSpec) -> int:
    """Rows in a TIFF strip: some megabytes, and a whole number of strips in each band."""
    row_bytes = max(1, spec.pixel_bytes // spec.height_px)
    rows = min(spec.band_rows, max(1, _STRIP_BYTES // row_bytes))
    while spec.band_rows % rows:
        rows -= 1
    return rows


def _packed_strips(bands, rows: int):
    """Strips compressed with horizontal differences before (TIFF 6.0, section 14)."""

    def pack(strip: np.ndarray) -> bytes:
        apart = strip.copy()
        # differences wrap round on purpose
        apart[:, 1:] -= strip[:, :-1]
        return zlib.compress(apart.tobytes(), 4)

    for band in bands:
        strips = [band[first : first + rows] for first in range(0, len(band), rows)]
        yield from in_order(pack, strips)


def _write_png(stream, bands, spec: FileSpec) -> None:
    from workbench.output.png_stream import PngWriter

    writer = PngWriter(
        stream,
        spec.width_px,
        spec.height_px,
        spec.channels,
        spec.bit_depth,
        spec.ppi,
        spec.profile,
        spec.description,
    )
    for band in bands:
        writer.write(band)
    writer.finish()


def _write_jpeg(stream, bands, spec: FileSpec) -> None:
    from PIL import Image, TiffImagePlugin

    # the encoder wants the whole picture: one byte a sample
    whole = np.empty((spec.height_px, spec.width_px, spec.channels), np.uint8)
    y = 0
    for band in bands:
        whole[y : y + len(band)] = band
        y += len(band)
    image = Image.fromarray(whole[..., 0] if spec.channels == 1 else whole)
    del whole
    exif = Image.Exif()
    ratio = TiffImagePlugin.IFDRational(round(spec.ppi * 1000), 1000)
    # the older density field holds whole numbers only, so it must not speak for others
    density = {"dpi": (spec.ppi, spec.ppi)} if spec.ppi == round(spec.ppi) else {}
    exif[0x011A] = exif[0x011B] = ratio
    exif[0x0128] = 2
    exif[0x010E] = spec.description.encode("ascii", "replace").decode()
    exif[0x0131] = _SOFTWARE
    image.save(
        stream,
        "JPEG",
        quality=_JPEG_QUALITY,
        subsampling=0,
        icc_profile=spec.profile,
        **density,
        exif=exif,
        comment=spec.description.encode(),
    )


_WRITERS = {"TIFF": _write_tiff, "PNG": _write_png, "JPEG": _write_jpeg}

"""Proofs as files and as bytes, with the display's profile embedded; to look at, not to print."""

from __future__ import annotations

import io
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from workbench.analysis.proof import Proof, ProofMaker, band_reader
from workbench.analysis.proof_table import FINE_NODES
from workbench.analysis.viewing import viewing
from workbench.bands import in_order, row_bands
from workbench.errors import OutputError
from workbench.files import check_space, check_target, written_whole
from workbench.files.text import clean_text
from workbench.language import tr
from workbench.output.formats import FileSpec, check_kind, kind_for, write_bands
from workbench.paper import Paper
from workbench.picture.picture import Picture
from workbench.rendering import DEFAULTS

# what files without any resolution are usually taken for
_PPI = 72.0


@dataclass(frozen=True)
class WrittenProof:
    """A proof that has been written.

    Attributes
    ----------
    path, width_px, height_px, bit_depth : of the file.
    display_name : whose profile is embedded.
    size_bytes : of the file.
    exact : every pixel worked out, or interpolated in a table of 65 steps a channel.
    sentence : what it is, for the person.
    """

    path: Path
    width_px: int
    height_px: int
    bit_depth: int
    display_name: str
    size_bytes: int
    exact: bool
    sentence: str


def proof_png(proof: Proof) -> bytes:
    """A proof as a PNG file, 8 or 16 bits as it is, with the display's profile embedded."""
    height, width = proof.pixels.shape[:2]
    bits = 8 * proof.pixels.dtype.itemsize
    text = _description("picture", "paper", proof.intent, proof.display_name)
    file = io.BytesIO()
    write_bands(
        file,
        [proof.pixels],
        _spec("PNG", width, height, bits, _PPI, proof.display_profile, text, height),
    )
    return file.getvalue()


def write_proof(
    picture: Picture,
    paper: Paper,
    path,
    *,
    intent: str = DEFAULTS.intent,
    black_point_compensation: bool = DEFAULTS.black_point_compensation,
    adaptation: float = DEFAULTS.adaptation,
    reference=DEFAULTS.reference,
    display=DEFAULTS.display,
    bit_depth: int = 16,
    exact: bool = False,
    overwrite: bool = False,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> WrittenProof:
    """Write the proof of all the picture's pixels, whole or not at all.

    Parameters
    ----------
    intent .. display : as for `workbench.analysis.proof.soft_proof`.
    path : of the file; .tif, .png or .jpg (8 bits) decides the kind.
    exact : work out every pixel, which takes thirty times as long, or interpolate between
        65 steps a channel.
    overwrite : an existing file may be replaced; the picture itself never is.
    progress : told the share done, 0..1.
    cancelled : asked between bands; true ends the work with `Cancelled`.

    Returns
    -------
    Where it went.

    Raises
    ------
    OutputError
        if the file cannot be written; nothing is left of it.
    UntaggedPictureError, PictureError, ProfileError, WorkbenchError
    Cancelled

    Memory, beyond what the picture itself holds: about 150 MB for a TIFF file of any size.

    Examples
    --------
    >>> wb.write_proof(picture, papers[0], folder / "proof.tif").path.name
    'proof.tif'
    """
    target = check_target(path, originals=[getattr(picture, "path", None)], overwrite=overwrite)
    kind = kind_for(target)
    bit_depth = 8 if kind == "JPEG" else bit_depth
    way = viewing(adaptation=adaptation, reference=reference, display=display)
    maker = ProofMaker(
        picture.require_profile(),
        paper.profile,
        intent,
        black_point_compensation,
        way,
        None if exact else FINE_NODES,
        bit_depth,
    )
    width, height = picture.width_px, picture.height_px
    rows = maker.rows(width, height)
    text = _description(picture.name or "picture", paper.name, intent, way.display.name)
    ppi = picture.ppi_tag or _PPI
    spec = _spec(kind, width, height, bit_depth, ppi, way.display.profile, text, rows)
    check_kind(spec)
    if kind == "TIFF":
        check_space(target, spec.pixel_bytes + len(spec.profile) + 2**20)
    read = band_reader(picture)
    try:
        with written_whole(target, overwrite=overwrite) as unfinished:
            bands = in_order(
                lambda band: maker.pixels(read(*band)),
                row_bands(height, rows),
                cancelled=cancelled,
                progress=progress,
            )
            write_bands(unfinished.stream, bands, spec)
    except MemoryError:
        raise OutputError(
            tr(
                "There is not enough memory for this proof; close other programs or notebooks, or "
                "write a TIFF file, which takes least."
            )
        ) from None
    return WrittenProof(
        path=target,
        width_px=width,
        height_px=height,
        bit_depth=bit_depth,
        display_name=way.display.name,
        size_bytes=target.stat().st_size,
        exact=exact,
        sentence=tr(
            "“{file}”: the proof of all {pixels:.1f} million pixels for “{display}”, to look at, "
            "not to print from.",
            file=clean_text(target.name),
            pixels=width * height / 1e6,
            display=way.display.name,
        ),
    )


def _description(picture: str, paper: str, intent: str, display: str) -> str:
    return clean_text(
        f"Soft proof of {picture} on {paper}, {intent}, for {display}; not for printing"
    )


def _spec(kind, width, height, bits, ppi, profile: bytes, text: str, rows: int) -> FileSpec:
    return FileSpec(
        kind=kind,
        width_px=width,
        height_px=height,
        channels=3,
        bit_depth=bits,
        space="RGB",
        ppi=float(ppi),
        profile=profile,
        description=text,
        compression=None,
        band_rows=rows,
    )

"""Which page of a TIFF file is the picture, and what its samples mean."""

from __future__ import annotations

import numpy as np

from workbench.errors import PictureError
from workbench.language import tr
from workbench.picture.files import PictureFile
from workbench.picture.samples import Finish
from workbench.picture.sniff import DEVELOP

# photometric interpretations, TIFF 6.0 section 8 and later registrations
_WHITE_IS_ZERO, _BLACK_IS_ZERO, _RGB, _PALETTE, _SEPARATED, _YCBCR = 0, 1, 2, 3, 5, 6
_LAB = (8, 9, 10)
_SENSOR = (32803, 34892)
_DNG_VERSION, _SUB_IFDS, _PHOTOMETRIC, _COLOUR_MAP = 50706, 330, 262, 320
JPEG = 7
# compression -> most bytes that one byte of it can stand for.  Deflate: zlib technical
# details; PackBits: TIFF 6.0 section 9; LZW: 3838 bytes a 12-bit code; the others are
# generous guesses that only stop the absurd.
COMPRESSIONS = {1: 1, 5: 3000, JPEG: 2000, 8: 1032, 32946: 1032, 32773: 64, 50000: 40_000}
# pages this small beside a much larger one are thumbnails, tagged as such or not
_THUMBNAIL_PX = 512
_MAX_PAGES = 32


def main_page(tiff, file: PictureFile):
    """The page that holds the picture, and notes.

    Reduced versions and masks do not make a file multi-page.

    Raises
    ------
    PictureError
        for camera raw files and files of several pages.
    """
    count = len(tiff.pages)
    pages = [tiff.pages[i] for i in range(min(count, _MAX_PAGES))]
    every = [*pages, *(sub for page in pages for sub in _sub_pages(page))]
    if any(_DNG_VERSION in p.tags or _photometric(p) in _SENSOR for p in every):
        raise PictureError(DEVELOP.format(label=file.label))
    full = [p for p in pages if not int(p.subfiletype) & 0b101]
    if not full:
        # only a preview in front of what cameras keep in sub-directories
        if any(_SUB_IFDS in p.tags for p in pages):
            raise PictureError(DEVELOP.format(label=file.label))
        full = pages[:1]
    page = max(full, key=lambda p: p.imagewidth * p.imagelength)
    others = [p for p in full if p is not page and not _is_thumbnail(p, page)]
    if others or count > _MAX_PAGES:
        raise PictureError(
            tr(
                "{label} holds {count} pages. Save the one you want to print as a file of its own.",
                label=file.label,
                count=max(len(others) + 1, count if count > _MAX_PAGES else 0),
            )
        )
    masks = any(int(p.subfiletype) & 0b100 for p in pages)
    return page, [tr("A transparency mask in the file was ignored.")] if masks else []


def _sub_pages(page) -> list:
    """What lies in a page's sub-directories, where cameras keep sensor data beside a preview."""
    try:
        return [page.pages[i] for i in range(min(len(page.subifds or ()), _MAX_PAGES))]
    except Exception:  # damage there does not concern the picture
        return []


def _is_thumbnail(page, main) -> bool:
    long_side = max(page.imagewidth, page.imagelength)
    return long_side <= _THUMBNAIL_PX and 4 * long_side <= max(main.imagewidth, main.imagelength)


def _photometric(page) -> int:
    if _PHOTOMETRIC in page.tags:
        return int(page.photometric)
    return _RGB if page.samplesperpixel >= 3 else _BLACK_IS_ZERO


def check_kind(page, file: PictureFile) -> None:
    """Refuse what is not an RGB or grey picture, or is packed in a way we do not read."""
    photometric = _photometric(page)
    if photometric == _SEPARATED:
        raise PictureError(
            tr(
                "{label} is in CMYK or other inks, already separated for one press. Go back to "
                "the RGB original, or convert it to RGB with its profile embedded, as a 16-bit "
                "TIFF.",
                label=file.label,
            )
        )
    if photometric in _LAB:
        raise PictureError(
            tr(
                "{label} is in Lab. Convert it to a wide RGB space with its profile embedded, "
                "as a 16-bit TIFF.",
                label=file.label,
            )
        )
    if photometric not in (_WHITE_IS_ZERO, _BLACK_IS_ZERO, _RGB, _PALETTE, _YCBCR):
        raise PictureError(
            tr(
                "{label} stores colours in an unusual way (photometric interpretation "
                "{photometric}). Export it as a 16-bit RGB TIFF.",
                label=file.label,
                photometric=photometric,
            )
        )
    compression = int(page.compression)
    odd_colours = photometric == _YCBCR and compression != JPEG
    if compression not in COMPRESSIONS or odd_colours:
        raise PictureError(
            tr(
                "{label} is compressed in a way the workbench does not read (scheme "
                "{compression}). Save it with LZW, ZIP (deflate) or no compression.",
                label=file.label,
                compression=compression,
            )
        )
    if page.imagedepth != 1 or page.tiledepth != 1:
        raise PictureError(
            tr(
                "{label} is a stack of slices, not one picture. Save the one you want to print "
                "as a file of its own.",
                label=file.label,
            )
        )


def sample_plan(page, file: PictureFile) -> tuple[Finish, int, list[str]]:
    """How samples become pixels; the bit depth to report; notes."""
    photometric, bits = _photometric(page), page.bitspersample
    compression, notes = int(page.compression), []
    kind = int(page.sampleformat)
    is_float = kind == 3
    known = (16, 32, 64) if is_float else (8,) if compression == JPEG else range(1, 17)
    if not isinstance(bits, int) or kind not in (1, 3, 4) or bits not in known:
        raise PictureError(
            tr(
                "{label} stores its values in an unusual form ({form}). Export it as a 16-bit "
                "TIFF.",
                label=file.label,
                form=_form(bits, kind),
            )
        )
    channels = 3 if photometric in (_RGB, _YCBCR) else 1
    extra = page.samplesperpixel - channels
    if extra < 0:
        raise PictureError(file.damaged(tr("it has too few channels for its colours")))
    # 1 stands for colours already multiplied by alpha, 2 for those that are not
    extras = [int(e) for e in page.extrasamples][:extra]
    alpha = next((channels + i for i, e in enumerate(extras) if e in (1, 2)), None)
    ignored = extra - (alpha is not None)
    if ignored:
        notes.append(
            tr("1 extra channel was ignored.")
            if ignored == 1
            else tr("{count} extra channels were ignored.", count=ignored)
        )
    palette = None
    if photometric == _PALETTE:
        if is_float:
            raise PictureError(file.damaged(tr("its palette cannot be used")))
        palette, channels = _palette(page, file), 3
        if alpha is None and extra == 0:
            notes.append(tr("Its palette was expanded to RGB."))
    finish = Finish(
        channels=channels,
        bits=bits,
        is_float=is_float,
        invert=photometric == _WHITE_IS_ZERO,
        palette=palette,
        alpha=alpha,
        premultiplied=alpha is not None and extras[alpha - (page.samplesperpixel - extra)] == 1,
    )
    if is_float:
        return finish, 16 if bits == 16 else 32, notes
    return finish, 8 * finish.dtype.itemsize, notes


def _form(bits, kind: int) -> str:
    names = {
        1: tr("whole numbers"),
        2: tr("signed whole numbers"),
        3: tr("floating point"),
        4: tr("untyped"),
    }
    form = names.get(kind, tr("complex numbers"))
    if isinstance(bits, int):
        return tr("{bits}-bit {form}", bits=bits, form=form)
    return tr("several bit depths, {form}", form=form)


def _palette(page, file: PictureFile) -> np.ndarray:
    """(entries, 3) uint8."""
    value = page.tags.valueof(_COLOUR_MAP)
    table: np.ndarray = np.asarray(value).ravel() if value is not None else np.empty(0)
    if table.size == 0 or table.size % 3 or table.dtype.kind not in "iu":
        raise PictureError(file.damaged(tr("its palette is missing")))
    entries = table.reshape(3, -1).T.astype(np.uint32)
    # entries are 16-bit, written as 256 or 257 times the 8-bit value, or as that value itself
    return (entries if entries.max() < 256 else entries >> 8).astype(np.uint8)

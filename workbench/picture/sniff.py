"""What kind of file it is, told from its first bytes; sentences for kinds we do not read."""

from __future__ import annotations

from workbench.errors import PictureError
from workbench.language import tr
from workbench.picture.files import PictureFile

_TIFF = (b"II*\0", b"MM\0*", b"II+\0", b"MM\0+")
_PNG = b"\x89PNG\r\n\x1a\n"
_JPEG = b"\xff\xd8\xff"

# JPEG XR begins so too (ITU-T T.832, annex A)
_LIKE_TIFF = (*_TIFF, b"II\xbc")

EXTENSIONS = {
    "TIFF": (".tif", ".tiff", ".btf", ".tf8"),
    "PNG": (".png",),
    "JPEG": (".jpg", ".jpeg", ".jpe", ".jfif"),
}

DEVELOP = tr(
    "{label} is a camera raw file: it holds sensor data and no finished colours. Turn it "
    "into a finished picture first, a 16-bit TIFF with the colour profile embedded."
)
EXPORT = tr(
    "{label} is a {kind} file, which the workbench does not read. Export it as a 16-bit TIFF "
    "with the colour profile embedded."
)


def kind_of(file: PictureFile) -> str:
    """'TIFF', 'PNG' or 'JPEG', by content.

    Raises
    ------
    PictureError
        for anything else, with what to do.
    """
    with file.stream() as stream:
        head = bytes(file.read(stream, 0, min(file.size, 64)))
    if head.startswith(_PNG):
        return "PNG"
    if head.startswith(_JPEG):
        return "JPEG"
    if _is_raw(head):
        raise PictureError(DEVELOP.format(label=file.label))
    if head.startswith(_TIFF):
        return "TIFF"
    kind = _other_kind(head)
    if kind is not None:
        raise PictureError(EXPORT.format(label=file.label, kind=kind))
    raise PictureError(_not_a_picture(file, head))


def extension_note(file: PictureFile, kind: str) -> str | None:
    """A sentence where the file's name promises something else than it holds."""
    if not file.extension or file.extension in EXTENSIONS[kind]:
        return None
    return tr(
        "{label} is in fact a {kind} file and was opened as one.", label=file.label, kind=kind
    )


def _is_raw(head: bytes) -> bool:
    """Whether it begins as sensor data do; raw files that are TIFFs are told by their tags.

    Many borrow TIFF's byte order mark and leave out its number 42 (TIFF 6.0, section 2); the
    other beginnings are from memory.
    """
    return (
        (head[:4] == b"II*\0" and head[8:10] == b"CR")
        or head[4:11] == b"ftypcrx"
        or head[8:15] == b"CCD-RAW"
        or head[:4] in (b"FOVb", b"\0MRM")
        or (head[:2] in (b"II", b"MM") and not _is_text(head) and not head.startswith(_LIKE_TIFF))
    )


def _is_text(head: bytes) -> bool:
    return all(c in b"\t\n\r\f" or 32 <= c < 127 for c in head)


def _other_kind(head: bytes) -> str | None:
    if head[4:8] == b"ftyp":
        return tr("HEIF or AVIF") if head[8:12] in _HEIF else tr("video")
    if head[:4] == b"RIFF":
        return "WebP" if head[8:12] == b"WEBP" else tr("sound or video")
    for magic, kind in _OTHERS:
        if head.startswith(magic):
            return kind
    return None


_HEIF = (b"heic", b"heix", b"heim", b"heis", b"hevc", b"mif1", b"msf1", b"avif", b"avis")
_OTHERS = (
    (b"8BPS", tr("layered picture")),
    (b"%PDF", "PDF"),
    (b"%!PS", "PostScript"),
    (b"GIF8", "GIF"),
    (b"BM", "BMP"),
    (b"\0\0\0\x0cjP  ", "JPEG 2000"),
    (b"\xff\x4f\xff\x51", "JPEG 2000"),
    (b"\xff\x0a", "JPEG XL"),
    (b"\0\0\0\x0cJXL ", "JPEG XL"),
    (b"II\xbc", "JPEG XR"),
    (b"v/1\x01", tr("high dynamic range")),
    (b"#?RADIANCE", tr("high dynamic range")),
    (b"PK\x03\x04", tr("ZIP archive")),
    (b"<svg", tr("SVG drawing")),
)


def _not_a_picture(file: PictureFile, head: bytes) -> str:
    label, extension = file.label, file.extension
    promised = next((k for k, ends in EXTENSIONS.items() if extension in ends), None)
    if _is_text(head) and promised:
        return tr(
            "{label} is called {extension} but holds plain text, not a picture. Choose a TIFF, PNG "
            "or JPEG file.",
            label=label,
            extension=extension,
        )
    if _is_text(head):
        return tr(
            "{label} is a text file, not a picture. Choose a TIFF, PNG or JPEG file.", label=label
        )
    if promised:
        return tr(
            "{label} is called {extension} but holds no picture the workbench can read; it may be "
            "damaged. Choose a TIFF, PNG or JPEG file.",
            label=label,
            extension=extension,
        )
    return tr(
        "{label} is not a picture the workbench can read. If it came straight from a camera, turn "
        "it into a finished picture first. Choose a TIFF, PNG or JPEG file.",
        label=label,
    )

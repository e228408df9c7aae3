"""ICC profiles as untrusted input: structure checked before any native code sees it.

Source of the layout: ICC.1:2022 (version 4) and ICC.1:2001-04 (version 2).
"""

from __future__ import annotations

import hashlib
import os
import struct
from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np

from workbench.colour.tags import check_tag, s15_fixed
from workbench.errors import ProfileError
from workbench.files.reading import read_regular
from workbench.files.text import clean_text
from workbench.language import tr

MOST_PROFILE_BYTES = 64 * 2**20
_MAX_TAGS = 200

DEVICE_CLASSES = {
    b"prtr": "output",
    b"mntr": "display",
    b"scnr": "input",
    b"link": "link",
    b"spac": "space",
    b"abst": "abstract",
    b"nmcl": "named",
}
_SPACES = {b"RGB ": "RGB", b"GRAY": "GRAY", b"CMYK": "CMYK", b"Lab ": "LAB", b"XYZ ": "XYZ"}
CHANNELS = {"RGB": 3, "GRAY": 1, "CMYK": 4, "LAB": 3, "XYZ": 3}


@dataclass(frozen=True, eq=False)
class Profile:
    """A checked ICC profile.

    Attributes
    ----------
    data : the profile's bytes, cut to the length its header declares.
    description : its own description, without control characters, at most 200 characters.
    version : (major, minor).
    device_class : 'output', 'display', 'input', 'link', 'space', 'abstract' or 'named'.
    space : device space, 'RGB', 'GRAY', 'CMYK', or the four-letter signature of another.
    pcs : profile connection space, 'LAB' or 'XYZ' (for a link, its output space).
    checksum : SHA-256 of the bytes, hexadecimal.
    tags : signature -> (offset, size).
    """

    data: bytes = field(repr=False)
    description: str
    version: tuple[int, int]
    device_class: str
    space: str
    pcs: str
    checksum: str
    tags: dict[str, tuple[int, int]] = field(repr=False)

    def tag(self, signature: str) -> bytes | None:
        """The bytes of one tag, or None where the profile lacks it."""
        if signature not in self.tags:
            return None
        offset, size = self.tags[signature]
        return self.data[offset : offset + size]

    def xyz(self, signature: str) -> tuple[float, float, float] | None:
        """An XYZ tag's first value, such as 'wtpt', or None."""
        raw = self.tag(signature)
        if raw is None or raw[:4] != b"XYZ " or len(raw) < 20:
            return None
        return tuple(s15_fixed(raw[8:20]))

    def primaries(self) -> np.ndarray | None:
        """(3, 3): a row of XYZ each for red, green and blue; None without a matrix."""
        rows = [self.xyz(tag) for tag in ("rXYZ", "gXYZ", "bXYZ")]
        return None if None in rows else np.array(rows)


def read_profile(source: bytes | bytearray | memoryview | str | os.PathLike) -> Profile:
    """Read and check a profile.

    Parameters
    ----------
    source : the profile's bytes, or the path of a file that holds them.

    Raises
    ------
    ProfileError
        if the file cannot be read, is not an ICC profile, or its structure is damaged.
    """
    if isinstance(source, (bytes, bytearray, memoryview)):
        return _parse(bytes(source))
    return _parse(read_regular(source, MOST_PROFILE_BYTES, ProfileError))


@lru_cache(maxsize=64)
def _parse(data: bytes) -> Profile:
    if len(data) < 132 or data[36:40] != b"acsp":
        raise ProfileError(
            tr(
                "This file is not an ICC colour profile; choose an .icc or .icm file "
                "from your printer or paper maker."
            )
        )
    (declared,) = struct.unpack_from(">I", data, 0)
    if declared > len(data) or declared < 132:
        raise ProfileError(
            tr(
                "The profile is cut short or damaged: it declares {declared} bytes and has "
                "{held}; fetch the file again.",
                declared=declared,
                held=len(data),
            )
        )
    data = data[:declared]
    device_class = DEVICE_CLASSES.get(data[12:16])
    if device_class is None:
        raise ProfileError(
            tr(
                "The profile's header is damaged: its device class is unknown; fetch the file again."
            )
        )
    space = _SPACES.get(data[16:20], _printable(data[16:20]))
    pcs = _SPACES.get(data[20:24], _printable(data[20:24]))
    if device_class not in ("link",) and pcs not in ("LAB", "XYZ"):
        raise ProfileError(
            tr(
                "The profile's header is damaged: its connection space is neither Lab nor XYZ; "
                "fetch the file again."
            )
        )
    major, minor = data[8], data[9] >> 4
    if major not in (2, 4):
        raise ProfileError(
            tr(
                "The profile says it is version {major}.{minor}; the workbench reads versions "
                "2 and 4.",
                major=major,
                minor=minor,
            )
        )
    tags = _tag_table(data)
    description = _description(data, tags)
    for signature, (offset, size) in tags.items():
        check_tag(signature, data[offset : offset + size])
    return Profile(
        data=data,
        description=description,
        version=(major, minor),
        device_class=device_class,
        space=space,
        pcs=pcs,
        checksum=hashlib.sha256(data).hexdigest(),
        tags=tags,
    )


def _tag_table(data: bytes) -> dict[str, tuple[int, int]]:
    (count,) = struct.unpack_from(">I", data, 128)
    first = 132 + 12 * count
    if count == 0 or count > _MAX_TAGS or first > len(data):
        raise ProfileError(
            tr(
                "The profile is damaged: its table announces {count} tags; fetch the file again.",
                count=count,
            )
        )
    tags: dict[str, tuple[int, int]] = {}
    for index in range(count):
        raw, offset, size = struct.unpack_from(">4sII", data, 132 + 12 * index)
        signature = _printable(raw)
        if offset < first or size < 8 or offset + size > len(data):
            raise ProfileError(
                tr(
                    "The profile is damaged: its tag “{signature}” lies outside the file; fetch "
                    "the file again.",
                    signature=signature,
                )
            )
        if signature in tags:
            raise ProfileError(
                tr(
                    "The profile is damaged: its tag “{signature}” appears twice; fetch the file "
                    "again.",
                    signature=signature,
                )
            )
        tags[signature] = (offset, size)
    return tags


def _printable(raw: bytes) -> str:
    return "".join(chr(c) if 32 <= c < 127 else "?" for c in raw).rstrip()


def _description(data: bytes, tags: dict) -> str:
    if "desc" not in tags:
        return ""
    offset, size = tags["desc"]
    raw = data[offset : offset + size]
    if raw[:4] == b"desc" and size >= 12:
        (length,) = struct.unpack_from(">I", raw, 8)
        text = raw[12 : 12 + min(length, size - 12)].split(b"\0")[0]
        return clean_text(text.decode("latin-1"))
    if raw[:4] == b"mluc" and size >= 16:
        count, record = struct.unpack_from(">II", raw, 8)
        choices: dict[bytes, str] = {}
        for index in range(min(count, 100)):
            start = 16 + index * record
            if record < 12 or start + 12 > size:
                break
            language, length, at = struct.unpack_from(">2s2xII", raw, start)
            if at + length <= size:
                choices.setdefault(language, raw[at : at + length].decode("utf-16-be", "replace"))
        if choices:
            return clean_text(choices.get(b"en", next(iter(choices.values()))))
    if raw[:4] == b"text":
        return clean_text(raw[8:].split(b"\0")[0].decode("latin-1"))
    return ""

"""The few facts wanted from an EXIF block: orientation, ppi, colours it hints at, exposure.

Source of the layout: Exif 2.32 (CIPA DC-008), section 4; TIFF 6.0, section 2.
"""

from __future__ import annotations

import math
import struct
from dataclasses import dataclass

_SIZES = {1: 1, 2: 1, 3: 2, 4: 4, 5: 8, 7: 1, 9: 4, 10: 8}
_ORIENTATION, _X, _Y, _UNIT = 0x0112, 0x011A, 0x011B, 0x0128
_TIME, _F_NUMBER, _ISO = 0x829A, 0x829D, 0x8827
_EXIF_IFD, _INTEROP_IFD, _COLOUR_SPACE = 0x8769, 0xA005, 0xA001
# no sensible directory is longer
_MAX_ENTRIES = 1000


@dataclass(frozen=True)
class Exif:
    """orientation 1..8; ppi or None; hint: the name of a standard RGB space, or None.

    f_number, exposure_s and iso, as the camera says; None where it does not.
    """

    orientation: int = 1
    ppi: float | None = None
    hint: str | None = None
    f_number: float | None = None
    exposure_s: float | None = None
    iso: float | None = None


def read_exif(block: bytes) -> Exif:
    """Read an EXIF block (it begins like a TIFF file); damaged parts count as absent."""
    order = {b"II*\0": "<", b"MM\0*": ">"}.get(bytes(block[:4]))
    if order is None:
        return Exif()
    main = _directory(block, order, 4)
    exif = _directory(block, order, None, main.get(_EXIF_IFD))
    interop = _directory(block, order, None, exif.get(_INTEROP_IFD))
    return Exif(
        orientation=clean_orientation(main.get(_ORIENTATION)),
        ppi=pixels_per_inch(main.get(_X), main.get(_Y), main.get(_UNIT, 2)),
        hint=colour_hint(exif.get(_COLOUR_SPACE), interop.get(1)),
        f_number=_positive(exif.get(_F_NUMBER)),
        exposure_s=_positive(exif.get(_TIME)),
        iso=_positive(exif.get(_ISO)),
    )


def _positive(value) -> float | None:
    number = isinstance(value, (int, float)) and math.isfinite(value) and 0 < value < 1e7
    return float(value) if number else None


def clean_orientation(value) -> int:
    """1..8; anything else counts as 1, upright."""
    return value if isinstance(value, int) and 1 <= value <= 8 else 1


def colour_hint(colour_space, interoperability=None) -> str | None:
    """What the EXIF colour space tag (1, 2 or 65535) and the DCF index (R03) point to."""
    if interoperability == "R03" or colour_space == 2:
        return "opRGB"
    return "sRGB" if colour_space == 1 else None


def pixels_per_inch(x, y, unit) -> float | None:
    """ppi from two resolutions and their unit (2 inch, 3 cm).

    None where there is none, it is nonsense (nought, below nought, over 100,000), or
    it differs across and down by more than one per cent.
    """
    if unit not in (2, 3) or not isinstance(x, (int, float)):
        return None
    y = x if not isinstance(y, (int, float)) else y
    if not (math.isfinite(x) and math.isfinite(y)) or x <= 0 or abs(x - y) > 0.01 * x:
        return None
    ppi = float(x) * (2.54 if unit == 3 else 1.0)
    return ppi if ppi <= 100_000 else None


def _directory(block: bytes, order: str, pointer_at: int | None, offset=None) -> dict:
    """Tag -> first value (number, or text) of one directory; what is out of bounds is left out."""
    found: dict = {}
    try:
        if pointer_at is not None:
            (offset,) = struct.unpack_from(order + "I", block, pointer_at)
        if not isinstance(offset, int) or offset < 8:
            return found
        (count,) = struct.unpack_from(order + "H", block, offset)
        for index in range(min(count, _MAX_ENTRIES)):
            entry = offset + 2 + 12 * index
            tag, kind, number = struct.unpack_from(order + "HHI", block, entry)
            size = _SIZES.get(kind, 0) * number
            if size == 0:
                continue
            at = entry + 8
            if size > 4:
                (at,) = struct.unpack_from(order + "I", block, at)
            if at + size <= len(block):
                found.setdefault(tag, _value(block, order, kind, number, at))
    except struct.error:
        # the directory runs past the end: keep what came before
        return found
    return found


def _value(block: bytes, order: str, kind: int, number: int, at: int):
    if kind == 2:
        return block[at : at + min(number, 64)].split(b"\0")[0].decode("ascii", "replace")
    if kind in (5, 10):
        above, below = struct.unpack_from(order + ("II" if kind == 5 else "ii"), block, at)
        return above / below if below else None
    code = {1: "B", 3: "H", 4: "I", 7: "B", 9: "i"}[kind]
    return struct.unpack_from(order + code, block, at)[0]

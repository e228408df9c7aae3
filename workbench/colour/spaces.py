"""Standard RGB and grey spaces as ICC profiles, built from their published definitions.

Sources: sRGB, IEC 61966-2-1; Display P3, the primaries of SMPTE RP 431-2 with
the white and curve of sRGB; opRGB, IEC 61966-2-5 (power 563/256, no toe; by the
documentation of Linux's video interface); ROMM RGB, ISO 22028-2 (power 1.8 above a straight
toe that ends at 1/512 of white's light; by the International Color Consortium's registry);
eciRGB v2, ISO 22028-4 (primaries of NTSC 1953, L* curve).
"""

from __future__ import annotations

from functools import cache

import numpy as np

from workbench.colour import writer
from workbench.colour.lab import D50_XYZ
from workbench.colour.profile import read_profile
from workbench.colour.tags import CURVE_TAGS, curve_values
from workbench.errors import ProfileError
from workbench.files.text import quoted
from workbench.language import tr

_D65, _D50 = (0.3127, 0.3290), (0.3457, 0.3585)
_SRGB_CURVE = writer.parametric_curve(2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045)
_ROMM_CURVE = writer.parametric_curve(1.8, 1, 0, 1 / 16, 1 / 32)
_LSTAR_CURVE = writer.parametric_curve(3.0, 1 / 1.16, 0.16 / 1.16, 2700 / 24389, 0.08)

# name -> (red xy, green xy, blue xy, white xy, curve)
_RGB = {
    "sRGB": ((0.64, 0.33), (0.30, 0.60), (0.15, 0.06), _D65, _SRGB_CURVE),
    "Display P3": ((0.680, 0.320), (0.265, 0.690), (0.150, 0.060), _D65, _SRGB_CURVE),
    "opRGB": (
        (0.64, 0.33),
        (0.21, 0.71),
        (0.15, 0.06),
        _D65,
        writer.power_curve(563 / 256),
    ),
    "ROMM RGB": (
        (0.7347, 0.2653),
        (0.1596, 0.8404),
        (0.0366, 0.0001),
        _D50,
        _ROMM_CURVE,
    ),
    "eciRGB v2": ((0.67, 0.33), (0.21, 0.71), (0.14, 0.08), _D50, _LSTAR_CURVE),
}
_GREY = {
    "Grey, power 2.2": writer.power_curve(2.2),
    "Grey, power 1.8": writer.power_curve(1.8),
    "Grey, sRGB curve": _SRGB_CURVE,
}

RGB_SPACES = tuple(_RGB)
GREY_SPACES = tuple(_GREY)

# name -> (as menus show it, with the standard where the name alone is little known; a hint)
_ABOUT = {
    "sRGB": ("sRGB", tr("the web, and most files that do not say what they are")),
    "Display P3": ("Display P3", tr("pictures from telephones, and wide screens")),
    "opRGB": (
        "opRGB (IEC 61966-2-5)",
        tr(
            "the wide setting of most cameras; power 2.199, and files with a plain 2.2 look the same"
        ),
    ),
    "ROMM RGB": (
        "ROMM RGB (ISO 22028-2)",
        tr(
            "the widest, for 16-bit files; power 1.8 with the standard's straight toe in the deepest "
            "blacks, which most files in use leave out"
        ),
    ),
    "eciRGB v2": ("eciRGB v2", tr("pictures made ready for a press")),
    "Grey, power 2.2": (tr("Grey, power 2.2"), tr("most grey pictures")),
    "Grey, power 1.8": (
        tr("Grey, power 1.8"),
        tr("old grey pictures and those for a press; looks lighter"),
    ),
    "Grey, sRGB curve": (tr("Grey, sRGB curve"), tr("grey pictures made for the web")),
}


def space_label(name: str) -> str:
    """A standard space's name with its standard, as menus show it.

    >>> space_label("opRGB")
    'opRGB (IEC 61966-2-5)'
    """
    return _ABOUT[name][0]


def space_hint(name: str) -> str:
    """What a standard space is used for, in plain words, and how files in use differ from it."""
    return _ABOUT[name][1]


_BRADFORD = np.array(
    [[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]]
)


def _xyz_of(xy) -> np.ndarray:
    x, y = xy
    return np.array([x / y, 1.0, (1 - x - y) / y])


def bradford(source_white, target_white=D50_XYZ) -> np.ndarray:
    """3×3 matrix that adapts XYZ from one white to another.

    Source: the linear Bradford transform, ICC.1:2022 annex E.
    """
    source_white, target_white = np.asarray(source_white), np.asarray(target_white)
    gain = (_BRADFORD @ target_white) / (_BRADFORD @ source_white)
    return np.linalg.inv(_BRADFORD) @ np.diag(gain) @ _BRADFORD


def rgb_to_xyz_matrix(red, green, blue, white) -> np.ndarray:
    """3×3 matrix from linear RGB to XYZ relative to ``white``; all given as (x, y)."""
    columns = np.stack([_xyz_of(p) for p in (red, green, blue)], axis=1)
    return columns * np.linalg.solve(columns, _xyz_of(white))


@cache
def standard_profile(name: str) -> bytes:
    """The ICC v4 profile of a standard space.

    Parameters
    ----------
    name : one of `RGB_SPACES` or `GREY_SPACES`.

    Raises
    ------
    ProfileError
        for any other name; the message lists the known ones.
    """
    if name in _GREY:
        return writer.assemble(
            "display", "GRAY", "XYZ", name, {"wtpt": writer.xyz(D50_XYZ), "kTRC": _GREY[name]}
        )
    if name not in _RGB:
        raise ProfileError(
            tr(
                "“{name}” is not a space the workbench knows; choose one of {known}.",
                name=name,
                known=", ".join(map(quoted, RGB_SPACES + GREY_SPACES)),
            )
        )
    red, green, blue, white, curve = _RGB[name]
    adapt = bradford(_xyz_of(white))
    matrix = adapt @ rgb_to_xyz_matrix(red, green, blue, white)
    # the columns must add up to the PCS white exactly, or white picks up a tint
    matrix *= (D50_XYZ / matrix.sum(axis=1))[:, None]
    return writer.assemble(
        "display",
        "RGB",
        "XYZ",
        name,
        {
            "wtpt": writer.xyz(D50_XYZ),
            "chad": b"sf32" + bytes(4) + writer.fixed(adapt.ravel()),
            "rXYZ": writer.xyz(matrix[:, 0]),
            "gXYZ": writer.xyz(matrix[:, 1]),
            "bXYZ": writer.xyz(matrix[:, 2]),
            "rTRC": curve,
            "gTRC": curve,
            "bTRC": curve,
        },
    )


def tone_curves(profile: bytes) -> list | None:
    """Functions from device value to linear light, one a channel; None for table profiles.

    Each takes and gives arrays of 0..1.
    """
    checked = read_profile(profile)
    if "A2B0" in checked.tags or "A2B1" in checked.tags:
        return None
    names = CURVE_TAGS[:3] if checked.space == "RGB" else CURVE_TAGS[3:]
    raw = [checked.tag(name) for name in names]
    if any(r is None for r in raw):
        return None
    return [lambda x, r=r: curve_values(r, x) for r in raw]

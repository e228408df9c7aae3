"""Colour transforms between profiles and Lab, through Little CMS.

One door to the native engine: profiles are checked before they pass it, numbers
are checked when they come back.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from workbench.colour.every_intent import with_every_intent
from workbench.colour.profile import CHANNELS, read_profile
from workbench.errors import ProfileError
from workbench.language import tr

INTENTS = ("perceptual", "relative", "saturation", "absolute")
_INTENT_NUMBER = {name: number for number, name in enumerate(INTENTS)}

LAB = "lab"


def check_intent(intent: str) -> str:
    """The intent's name if it is one of `INTENTS`; otherwise a ProfileError that lists them."""
    if intent not in _INTENT_NUMBER:
        raise ProfileError(
            tr(
                "“{intent}” is not a rendering intent; choose one of {known}.",
                intent=intent,
                known=", ".join(INTENTS),
            )
        )
    return intent


@lru_cache(maxsize=1)
def _lab_profile() -> bytes:
    import imagecodecs

    return imagecodecs.cms_profile("lab4")


def _end(which) -> tuple[bytes, str, int]:
    """Profile bytes, Little CMS's name of the space, channels."""
    if isinstance(which, str) and which == LAB:
        return _lab_profile(), "lab", 3
    profile = read_profile(which)
    if profile.device_class in ("link", "named", "abstract") or profile.space not in CHANNELS:
        raise ProfileError(
            tr(
                "“{name}” is a {kind} profile in {space}; a transform needs one that describes a "
                "grey, RGB or CMYK device.",
                name=profile.description,
                kind=profile.device_class,
                space=profile.space,
            )
        )
    return with_every_intent(profile.data), profile.space.lower(), CHANNELS[profile.space]


def transform(
    pixels,
    source,
    target,
    *,
    intent: str = "relative",
    black_point_compensation: bool = False,
    dtype=None,
    mend_white: bool = True,
) -> np.ndarray:
    """Convert pixels between two profiles, or between a profile and Lab.

    Parameters
    ----------
    pixels : (..., channels) array (grey may be (...,) as well as (..., 1)).  uint8 and
        uint16 use their full range; floats hold device values 0..1 (ink 1 = full),
        or Lab in natural units.  Integer Lab does not exist here, except as a target
        with ``dtype=np.uint16``, see `decode_lab16`.
    source, target : profile bytes, or the string ``"lab"`` (D50; absolute for the
        intent "absolute", media-relative otherwise).
    intent : one of `INTENTS`; Little CMS uses it on both sides.
    black_point_compensation : as in ISO 18619; without effect on "absolute".
    dtype : of the result; by default that of ``pixels``.  Integer to integer runs
        through the engine's precomputed tables (some 30 million pixels a second and
        core), anything with floats evaluates the profiles themselves (some 5).
    mend_white : let the engine's fast tables map white exactly onto white, which small
        rounding would otherwise miss.

    Returns
    -------
    (..., channels of the target) array.

    Raises
    ------
    ProfileError
        if the engine cannot use a profile or gives back numbers that are none.
    """
    import imagecodecs

    check_intent(intent)
    source_bytes, source_space, n_in = _end(source)
    target_bytes, target_space, n_out = _end(target)
    pixels = np.asarray(pixels)
    if pixels.dtype == np.float64 or pixels.dtype.kind not in "fu":
        pixels = pixels.astype(np.float64)
    dtype = np.dtype(pixels.dtype if dtype is None else dtype)
    if n_in == 1 and (pixels.ndim == 0 or pixels.shape[-1] != 1):
        lead = pixels.shape
    else:
        if pixels.shape[-1] != n_in:
            raise ProfileError(
                f"These pixels have {pixels.shape[-1]} channels, the profile has {n_in}."
            )
        lead = pixels.shape[:-1]
    # the engine tells grey from colour by the number of axes
    flat = pixels.reshape((1, -1) if n_in == 1 else (1, -1, n_in))
    if flat.size == 0:
        return np.empty((*lead, n_out), dtype)
    # its own ink scale for floats is percent
    if source_space == "cmyk" and flat.dtype.kind == "f":
        flat = flat * flat.dtype.type(100)
    flags = 0
    if black_point_compensation and intent != "absolute":
        flags |= int(imagecodecs.CMS.FLAGS.BLACKPOINTCOMPENSATION)
    if not mend_white:
        flags |= int(imagecodecs.CMS.FLAGS.NOWHITEONWHITEFIXUP)
    try:
        result = imagecodecs.cms_transform(
            np.ascontiguousarray(flat),
            source_bytes,
            target_bytes,
            colorspace=source_space,
            outcolorspace=target_space,
            outdtype=dtype,
            intent=_INTENT_NUMBER[intent],
            flags=flags,
        )
    except (RuntimeError, ValueError) as problem:
        raise ProfileError(
            tr(
                "The colour engine cannot use this profile: its tables do not fit its header; "
                "fetch the file again or use another profile."
            )
        ) from problem
    if dtype.kind == "f":
        if target_space == "cmyk":
            result /= dtype.type(100)
        if not np.isfinite(result).all():
            raise ProfileError(
                tr("The colour engine gave no usable numbers for this profile; it is damaged.")
            )
    return result.reshape(*lead, n_out)


def decode_lab16(encoded) -> np.ndarray:
    """Float32 Lab of 16-bit Lab as the engine codes it (ICC.1:2022, table 12)."""
    lab = encoded.astype(np.float32)
    lab *= np.array([100 / 65535, 1 / 257, 1 / 257], np.float32)
    lab -= np.array([0, 128, 128], np.float32)
    return lab


def quick_lab(pixels, profile: bytes) -> np.ndarray:
    """Media-relative Lab, (..., 3) float32, of whole-number pixels in a profile's space.

    In 16 bits, by the engine's fast tables: for maps and counts, not for what is stated exactly.
    """
    return decode_lab16(transform(pixels, profile, "lab", dtype=np.uint16))

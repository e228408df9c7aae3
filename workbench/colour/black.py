"""Black points of profiles, and black point compensation.

Source: ISO 18619:2015, as Little CMS implements it (detection of the source
and destination black points, and the scaling in XYZ).  The tests hold the
result against Little CMS's own compensated transforms.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from workbench.colour.engine import transform
from workbench.colour.lab import D50_XYZ, lab_to_xyz, scale_light, xyz_to_lab
from workbench.colour.profile import CHANNELS, read_profile

# the perceptual reference medium's black, ICC.1:2022 section 6.3.3
_PERCEPTUAL_BLACK = np.array([0.00336, 0.0034731, 0.00287])


def _has_tables(profile) -> bool:
    return any(tag in profile.tags for tag in ("A2B0", "A2B1", "A2B2"))


def _has_matrix(profile) -> bool:
    return "kTRC" in profile.tags or "rXYZ" in profile.tags


def _perceptual_v4(profile, intent: str) -> bool:
    return profile.version[0] >= 4 and intent in ("perceptual", "saturation")


def starts_from_medium(paper: bytes, intent: str) -> bool:
    """Whether this table of a paper starts from the reference medium, with its black at L* 3.1."""
    return _perceptual_v4(read_profile(paper), intent)


def is_compensated(paper: bytes, intent: str, asked: bool) -> bool:
    """Whether a print is compensated: as asked, but never with the absolute intent.

    Perceptual and saturation tables of version 4 always are, because they start from a
    medium with a black of its own (ICC.1:2022, 6.3.3; Little CMS, cmscnvrt.c).
    """
    return intent != "absolute" and (asked or starts_from_medium(paper, intent))


def _darkest_colorant(data: bytes, space: str, intent: str) -> np.ndarray:
    channels = CHANNELS[space]
    device = np.full((1, channels), 1.0 if space == "CMYK" else 0.0)
    return _neutral(transform(device, data, "lab", intent=intent)[0, 0])


def _neutral(lightness: float) -> np.ndarray:
    return lab_to_xyz([min(max(float(lightness), 0.0), 50.0), 0.0, 0.0])


@lru_cache(maxsize=64)
def _source_black(data: bytes, intent: str) -> tuple[float, ...]:
    profile = read_profile(data)
    if _perceptual_v4(profile, intent):
        if _has_matrix(profile):
            return tuple(_darkest_colorant(data, profile.space, "relative"))
        return tuple(_PERCEPTUAL_BLACK)
    if intent == "relative" and profile.device_class == "output" and profile.space == "CMYK":
        ink = transform(np.zeros((1, 3)), "lab", data, intent="perceptual")
        return tuple(_neutral(transform(ink, data, "lab", intent="relative")[0, 0]))
    return tuple(_darkest_colorant(data, profile.space, intent))


def source_black(profile: bytes, intent: str) -> np.ndarray:
    """Media-relative XYZ of the blackest colour a picture in this profile holds."""
    return np.array(_source_black(profile, intent))


@lru_cache(maxsize=64)
def _destination_black(data: bytes, intent: str) -> tuple[float, ...]:
    profile = read_profile(data)
    if _perceptual_v4(profile, intent):
        return _source_black(data, intent)
    if profile.device_class != "output" or not _has_tables(profile):
        return _source_black(data, intent)
    initial = _source_black(data, intent) if intent == "relative" else (0.0, 0.0, 0.0)
    start = float(xyz_to_lab(initial)[0])
    ramp = np.linspace(0, 100, 256)
    neutrals = np.stack([ramp, 0 * ramp, 0 * ramp], axis=1)
    ink = transform(neutrals, "lab", data, intent=intent)
    printed = transform(ink, data, "lab", intent="relative")[:, 0]
    printed = np.minimum.accumulate(printed[::-1])[::-1]
    low, high = printed[0], printed[-1]
    if low >= high:
        return 0.0, 0.0, 0.0
    if intent == "relative":
        middle = ramp > low + 0.2 * (high - low)
        if np.all(np.abs(ramp - printed)[middle] < 4):
            return initial
    share = (printed - low) / (high - low)
    lower, upper = (0.1, 0.5) if intent == "relative" else (0.03, 0.25)
    fit = (share >= lower) & (share < upper)
    if fit.sum() < 3:
        return 0.0, 0.0, 0.0
    lightness = _root(ramp[fit], share[fit])
    return tuple(_neutral(max(lightness, 0.0) if lightness == lightness else start))


def _root(x, y) -> float:
    """Where the parabola fitted to the shadow curve meets zero."""
    a, b, c = np.polyfit(x, y, 2)
    if abs(a) < 1e-10:
        return -c / b if abs(b) > 1e-10 else 0.0
    under = b * b - 4 * a * c
    return (-b + np.sqrt(under)) / (2 * a) if under > 0 else 0.0


def destination_black(profile: bytes, intent: str) -> np.ndarray:
    """Media-relative XYZ of the black that compensation aims at on this paper."""
    return np.array(_destination_black(profile, intent))


def compensate(lab, source: bytes, destination: bytes, intent: str) -> np.ndarray:
    """Media-relative Lab after black point compensation, (..., 3).

    XYZ' = a·XYZ + b with a = (out − W)/(in − W) and b = −W(out − in)/(in − W) for
    each channel; W is the PCS white.  float32 for float32 ``lab``, otherwise float64.
    """
    black_in = source_black(source, intent) / D50_XYZ
    black_out = destination_black(destination, intent) / D50_XYZ
    gain = (1 - black_out) / (1 - black_in)
    return scale_light(lab, gain, (black_out - black_in) / (1 - black_in))

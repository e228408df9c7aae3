"""Gloss at 60 degrees of a surface of known roughness, and back."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np

from workbench.surface.fresnel import fresnel
from workbench.surface.shade import ggx

# half the receptor's window in the plane of incidence and across it; ISO 2813, 60 degrees
_WINDOW_DEG = (2.2, 5.85)
# the standard's black glass has 100 units
_GLASS_INDEX = 1.567
SMOOTHEST, ROUGHEST = 0.002, 1.0


def gloss_60(alpha: float, reflectance: float = 0.9) -> float:
    """Gloss in units of ISO 2813, 60 degrees, of a flat surface (n = 1.5) on white paper.

    What GGX and the diffuse light beneath send into the standard's receptor, over what its
    black glass does.  The lamp's image is taken as a point.

    Parameters
    ----------
    alpha : GGX roughness, 0.002 to 1; values outside are taken as the nearest.
    reflectance : of the paper beneath; white adds some 2 units.

    >>> gloss_60(0.05) > gloss_60(0.2) > gloss_60(0.6)
    True
    """
    window = 4 * math.radians(_WINDOW_DEG[0]) * math.radians(_WINDOW_DEG[1])
    diffuse = 100 * reflectance / math.pi * 0.5 * window / float(fresnel(0.5, _GLASS_INDEX))
    return _gloss(round(float(np.clip(alpha, SMOOTHEST, ROUGHEST)), 4)) + diffuse


@lru_cache(maxsize=1024)
def _gloss(alpha: float) -> float:
    # steps grow from the middle outwards, so that a narrow lobe is met as well
    u, w = np.polynomial.legendre.leggauss(160)
    t, jacobian = u**5, 5 * u**4 * w
    a = np.radians(60 + _WINDOW_DEG[0] * t)[:, None]
    b = np.radians(_WINDOW_DEG[1] * t)[None, :]
    light = np.array([-np.sin(np.pi / 3), 0.0, 0.5])
    out = np.stack(np.broadcast_arrays(np.sin(a) * np.cos(b), np.sin(b), np.cos(a) * np.cos(b)))
    half = out + light[:, None, None]
    half /= np.sqrt((half * half).sum(axis=0))
    l_h = (half * light[:, None, None]).sum(axis=0)
    radiance = ggx(0.5, out[2], half[2], l_h, alpha) / np.pi
    solid = np.radians(_WINDOW_DEG[0]) * np.radians(_WINDOW_DEG[1]) * np.cos(b)
    caught = (radiance * out[2] * solid * jacobian[:, None] * jacobian[None, :]).sum() / 0.5
    return 100 * float(caught) / float(fresnel(0.5, _GLASS_INDEX))


def alpha_of_gloss(units: float) -> float:
    """The roughness whose gloss that is without diffuse light; the nearest for units out of reach."""
    low, high = np.log(SMOOTHEST), np.log(ROUGHEST)
    for _ in range(30):
        middle = (low + high) / 2
        low, high = (middle, high) if gloss_60(np.exp(middle), 0) > units else (low, middle)
    return float(np.exp((low + high) / 2))

"""How a small piece of a sheet sends light on: a diffuse and a glossy part.

*Diffuse*: M. Oren and S. K. Nayar, "Generalization of Lambert's reflectance model",
SIGGRAPH 1994, their qualitative form without inter-reflection.  *Glossy*: R. L. Cook and
K. E. Torrance 1982 with the GGX distribution and Smith's shadowing of B. Walter et al.,
"Microfacet models for refraction through rough surfaces", EGSR 2007, and Fresnel's
reflectance unabridged.

Everything is a *reflectance factor*: luminance over that of a perfect white diffuser lying
flat in the same light falling straight on it.  Plain numpy on arrays that broadcast, float32
where they are.
"""

from __future__ import annotations

import math

import numpy as np

from workbench.surface.fresnel import PAPER_INDEX, fresnel

# how profiles are measured: light at 45 degrees, looked at straight on (ISO 13655)
MEASURED_COS = math.cos(math.radians(45))


def facet_angle(alpha: float) -> float:
    """Oren and Nayar's spread of facets in radians for a roughness ``alpha``.

    The facets that scatter the gloss are taken to carry the diffuse light too: a root mean
    square slope of alpha/√2 along a line (as for Beckmann's distribution, Walter et al.).
    """
    return math.atan(alpha / math.sqrt(2))


def oren_nayar(n_l, n_v, l_v, sigma: float):
    """Reflectance factor of a white rough diffuser.

    Parameters
    ----------
    n_l, n_v, l_v : cosines between normal and light, normal and eye, light and eye.
    sigma : spread of the facets' slope angles, radians; 0 is Lambert's law.
    """
    lit = np.maximum(n_l, 0)
    if sigma == 0:
        return lit
    square = sigma * sigma
    even, aside = 1 - 0.5 * square / (square + 0.33), 0.45 * square / (square + 0.09)
    # sin α tan β cos Δφ of the paper, in cosines
    term = (l_v - n_l * n_v) / np.maximum(np.maximum(n_l, n_v), 1e-4)
    return lit * (even + aside * np.maximum(term, 0))


def ggx(n_l, n_v, n_h, l_h, alpha, refractive_index: float | None = PAPER_INDEX):
    """Reflectance factor of a rough clear surface; no light through it.

    Parameters
    ----------
    n_l, n_v, n_h, l_h : cosines between normal and light, eye, half-way vector; light and
        half-way vector.
    alpha : GGX roughness above 0, a number or an array.
    refractive_index : None for a surface that mirrors everything.
    """
    square = alpha * alpha
    lit, seen = np.maximum(n_l, 0), np.maximum(n_v, 0)
    spread = n_h * n_h * (square - 1) + 1
    # Smith's two factors over 4 n_l n_v come to this
    shadow = (lit + np.sqrt(square + (1 - square) * lit * lit)) * (
        seen + np.sqrt(square + (1 - square) * seen * seen)
    )
    factor = square * lit / (spread * spread * shadow)
    if refractive_index is not None:
        factor = factor * fresnel(l_h, refractive_index)
    return np.where(n_v > 0, factor, 0) if np.ndim(n_v) else factor


def through_surface(n_l, n_v, refractive_index: float = PAPER_INDEX):
    """Light that crosses the surface twice, over that of the measured geometry (45:0)."""
    measured = (1 - fresnel(MEASURED_COS, refractive_index)) * (1 - fresnel(1.0, refractive_index))
    into = 1 - fresnel(np.maximum(n_l, 0), refractive_index)
    out = 1 - fresnel(np.maximum(n_v, 0), refractive_index)
    return into * out / measured


def measured_factors(alpha: float) -> tuple[float, float]:
    """Diffuse and glossy reflectance factor of the flat sheet as profiles are measured.

    Over the illuminance on the sheet, so that a white Lambertian sheet has 1.
    """
    half = math.cos(math.radians(22.5))
    diffuse = oren_nayar(MEASURED_COS, 1.0, MEASURED_COS, facet_angle(alpha)) / MEASURED_COS
    gloss = ggx(MEASURED_COS, 1.0, half, half, alpha) / MEASURED_COS if alpha else 0.0
    return float(diffuse), float(gloss)

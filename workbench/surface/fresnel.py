"""What one bare surface between air and a clear material reflects."""

from __future__ import annotations

import numpy as np

# gelatine, ink binders, cellulose and window glass lie close to it (optics textbooks)
PAPER_INDEX = 1.5


def fresnel_pair(cosine, refractive_index: float = PAPER_INDEX):
    """Reflectances for light polarised across and along the plane of incidence.

    Parameters
    ----------
    cosine : of the angle between light and normal, 0 to 1; a number or an array.
    refractive_index : of the material, 1 and up.

    Source: Fresnel's equations, e.g. Born and Wolf, Principles of Optics.

    >>> round(float(sum(fresnel_pair(0.5)) / 2), 4)  # at 60 degrees
    0.0892
    """
    n = refractive_index
    # n times the cosine inside the material
    inside = np.sqrt(n * n - 1 + cosine * cosine)
    across = (cosine - inside) / (cosine + inside)
    # where the surface is not there, nothing comes back even at grazing incidence
    along_sum = n * n * cosine + inside
    along = (n * n * cosine - inside) / np.where(along_sum > 0, along_sum, 1)
    return across**2, along**2


def fresnel(cosine, refractive_index: float = PAPER_INDEX):
    """Share of unpolarised light that is reflected; arguments as for `fresnel_pair`."""
    across, along = fresnel_pair(cosine, refractive_index)
    return (across + along) / 2

"""Lab as the screen shows it."""

from __future__ import annotations

import numpy as np

from workbench.colour.engine import transform
from workbench.colour.lab import lab_to_xyz, xyz_to_lab
from workbench.colour.spaces import standard_profile


def screen_rgb(lab, dim: float = 1.0) -> np.ndarray:
    """sRGB 0..1 of (..., 3) Lab, L* 100 as the screen's white, clipped to what a screen shows.

    All light is divided by ``dim`` first, so that what is lighter than that white fits.
    """
    lab = np.asarray(lab, np.float64)
    if not lab.size:
        return np.empty(lab.shape)
    if dim != 1:
        lab = xyz_to_lab(lab_to_xyz(lab) / dim)
    return np.clip(transform(lab, "lab", standard_profile("sRGB")), 0, 1)

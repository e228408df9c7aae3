"""How colours appear to an eye that has adapted to a place: CIECAM16, as colour-science has it.

Source: C. Li et al., "Comprehensive color solutions: CAM16, CAT16, and CAM16-UCS", Color
Research and Application 42(6), 2017; surrounds and adapting luminance after CIE 159:2004.
XYZ here has Y = 1 for the perfect diffuser.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from workbench.colour.lab import D50_XYZ

# luminance of what lies around over the white's: above 0.2 average, down to nothing dim
# (CIE 159:2004)
_AVERAGE_FROM, _DIM_FROM = 0.2, 0.005


@dataclass(frozen=True)
class Conditions:
    """What the model asks of a place.

    Attributes
    ----------
    white_xyz : (x, y, z) of the perfect diffuser in its light, Y = 1.
    adapting_cd_m2 : luminance that the eye has adapted to.
    background : luminance factor of what lies behind a detail, 0 to 1.
    surround : "average", "dim" or "dark".
    """

    white_xyz: tuple[float, float, float]
    adapting_cd_m2: float
    background: float
    surround: str = "average"

    @property
    def _how(self) -> dict:
        from colour.appearance.cam16 import VIEWING_CONDITIONS_CAM16

        return {
            "XYZ_w": 100 * np.array(self.white_xyz),
            "L_A": self.adapting_cd_m2,
            "Y_b": 100 * self.background,
            "surround": VIEWING_CONDITIONS_CAM16[self.surround.title()],
        }


@dataclass(frozen=True, eq=False)
class Appearance:
    """Appearance correlates, arrays of one shape: lightness J, colourfulness M, hue h in degrees,
    brightness Q."""

    J: np.ndarray
    M: np.ndarray
    h: np.ndarray
    Q: np.ndarray


def conditions_at(
    white_xyz, illuminance_lux: float, background: float, surround_ratio: float
) -> Conditions:
    """Conditions from a light and what lies around.

    Parameters
    ----------
    background : average luminance factor of what the eye has behind a detail.
    surround_ratio : luminance of the surround over that of a white there.
    """
    ratio = surround_ratio
    surround = "average" if ratio > _AVERAGE_FROM else "dim" if ratio > _DIM_FROM else "dark"
    x, y, z = (float(each) for each in white_xyz)
    return Conditions((x, y, z), illuminance_lux / math.pi * background, background, surround)


def appearance(xyz, conditions: Conditions) -> Appearance:
    """How (..., 3) XYZ appear.

    >>> here = Conditions((0.9505, 1.0, 1.0888), 318.31, 0.2)
    >>> round(float(appearance([0.1901, 0.20, 0.2178], here).J), 4)
    41.7312
    """
    from colour.appearance.cam16 import XYZ_to_CAM16

    with np.errstate(invalid="ignore", divide="ignore"):
        found = XYZ_to_CAM16(100 * np.asarray(xyz, float), compute_H=False, **conditions._how)
    # below nothing, the model's roots have no value: black
    return Appearance(*(np.nan_to_num(getattr(found, name)) for name in ("J", "M", "h", "Q")))


def xyz_appearing(lightness, colourfulness, hue_deg, conditions: Conditions) -> np.ndarray:
    """(..., 3) XYZ that appear so; the inverse of `appearance`."""
    from colour.appearance.cam16 import CAM16_to_XYZ, CAM_Specification_CAM16

    lightness = np.maximum(np.asarray(lightness, float), 1e-6)
    wanted = CAM_Specification_CAM16(
        J=lightness, M=np.asarray(colourfulness, float), h=np.asarray(hue_deg, float)
    )
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.nan_to_num(CAM16_to_XYZ(wanted, **conditions._how)) / 100


# CAT16, Li et al. 2017
_CAT16 = np.array(
    [
        [0.401288, 0.650173, -0.051461],
        [-0.250268, 1.204414, 0.045854],
        [-0.002079, 0.048952, 0.953127],
    ]
)


def in_light(xyz, white_xyz) -> np.ndarray:
    """(..., 3) XYZ of surfaces in another light, from theirs under D50.

    Surfaces are taken to keep what they send back to each kind of cone: CAT16, wholly
    adapted.  Metamerism, which only spectra tell, is left out.
    """
    gain = (_CAT16 @ np.asarray(white_xyz, float)) / (_CAT16 @ D50_XYZ)
    if np.allclose(gain, 1, atol=1e-12):
        return np.asarray(xyz, float)
    return np.asarray(xyz, float) @ (np.linalg.inv(_CAT16) @ np.diag(gain) @ _CAT16).T

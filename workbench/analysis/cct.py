"""Colour temperature: from kelvin to chromaticity and back, by published formulas.

Chromaticities are CIE 1931, 2 degrees.  Written here because they run on every move of a
slider; the tests hold them against colour-science.
"""

from __future__ import annotations

import math

import numpy as np

from workbench.language import tr
from workbench.numbers import number

# Source: CIE 15:2018, tables of illuminants; the tests hold each against colour-science.
ILLUMINANTS: dict[str, tuple[float, float]] = {
    "A": (0.44758, 0.40745),
    "C": (0.31006, 0.31616),
    "D50": (0.34570, 0.35850),
    "D55": (0.33243, 0.34744),
    "D65": (0.31270, 0.32900),
    "D75": (0.29903, 0.31488),
    "E": (1 / 3, 1 / 3),
    "FL1": (0.3131, 0.3371),
    "FL2": (0.3721, 0.3751),
    "FL3": (0.4091, 0.3941),
    "FL4": (0.4402, 0.4031),
    "FL5": (0.3138, 0.3452),
    "FL6": (0.3779, 0.3882),
    "FL7": (0.3129, 0.3292),
    "FL8": (0.3458, 0.3586),
    "FL9": (0.3741, 0.3727),
    "FL10": (0.3458, 0.3588),
    "FL11": (0.3805, 0.3769),
    "FL12": (0.4370, 0.4042),
    "LED-B1": (0.4560, 0.4078),
    "LED-B2": (0.4357, 0.4012),
    "LED-B3": (0.3756, 0.3723),
    "LED-B4": (0.3422, 0.3502),
    "LED-B5": (0.3118, 0.3236),
    "LED-BH1": (0.4474, 0.4066),
    "LED-RGB1": (0.4557, 0.4211),
    "LED-V1": (0.4548, 0.4044),
    "LED-V2": (0.3781, 0.3775),
}

COOLEST_K = 10000.0
WARMEST_K = 2000.0


def planckian_uv(kelvin) -> tuple:
    """CIE 1960 u, v of a black body, 1000 to 15000 K.

    Source: M. Krystek, "An algorithm to calculate correlated colour temperature", Color
    Res. Appl. 10(1), 1985.
    """
    t = kelvin
    u = (0.860117757 + 1.54118254e-4 * t + 1.28641212e-7 * t * t) / (
        1 + 8.42420235e-4 * t + 7.08145163e-7 * t * t
    )
    v = (0.317398726 + 4.22806245e-5 * t + 4.20481691e-8 * t * t) / (
        1 - 2.89741816e-5 * t + 1.61456053e-7 * t * t
    )
    return u, v


def daylight_xy(kelvin: float) -> tuple[float, float]:
    """Chromaticity of a CIE daylight phase, 4000 to 25000 K.  Source: CIE 15:2018."""
    t = kelvin
    if t <= 7000:
        x = -4.6070e9 / t**3 + 2.9678e6 / t**2 + 0.09911e3 / t + 0.244063
    else:
        x = -2.0064e9 / t**3 + 1.9018e6 / t**2 + 0.24748e3 / t + 0.237040
    return x, -3.0 * x * x + 2.870 * x - 0.275


def cct_to_xy(kelvin: float) -> tuple[float, float]:
    """Chromaticity of a light of this colour temperature: black body when warm, daylight when cool.

    Up to 4000 K a black body, from 5000 K daylight, mixed at equal luminance in between: the
    rule of IES TM-30-18 for its reference light.  Raises WorkbenchError outside 2000–10000 K.
    """
    kelvin = number(kelvin, tr("colour temperature"), low=WARMEST_K, high=COOLEST_K, unit="K")
    cool = min(max((kelvin - 4000) / 1000, 0.0), 1.0)
    u, v = planckian_uv(kelvin)
    scale = 2 * u - 8 * v + 4
    warm_x, warm_y = 3 * u / scale, 2 * v / scale
    if cool == 0:
        return warm_x, warm_y
    x, y = daylight_xy(kelvin)
    # XYZ at Y = 1 adds up; x and y do not
    parts = [((1 - cool) / warm_y, warm_x, warm_y), (cool / y, x, y)]
    total = sum(weight for weight, _, _ in parts)
    return (
        sum(weight * px for weight, px, _ in parts) / total,
        sum(weight * py for weight, _, py in parts) / total,
    )


def cct_mccamy_k(xy) -> float:
    """Correlated colour temperature in kelvin of a chromaticity (x, y).

    Source: C. S. McCamy, "Correlated color temperature as an explicit function of
    chromaticity coordinates", Color Res. Appl. 17(2), 1992.
    """
    x, y = xy
    n = (x - 0.3320) / (y - 0.1858)
    return -449 * n**3 + 3525 * n**2 - 6823.3 * n + 5520.33


def duv(xy) -> float:
    """Distance from the Planckian locus in CIE 1960 u, v: greenish above 0, pinkish below.

    Daylight lies at about +0.003.  Exact to about 0.0001, as is Krystek's locus.
    """
    x, y = xy
    d = -2 * x + 12 * y + 3
    u, v = 4 * x / d, 6 * y / d
    mired = np.linspace(1e6 / 15000, 1e6 / 1000, 4000)
    on_u, on_v = planckian_uv(1e6 / mired)
    away = np.hypot(on_u - u, on_v - v)
    nearest = int(np.argmin(away))
    return float(math.copysign(away[nearest], v - on_v[nearest]))

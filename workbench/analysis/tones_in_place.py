"""How light a print's mid-tones look in the light of its place, and what would make up for it.

In dim light an eye tells fewer tones apart, and the lower half of the scale sinks towards black;
a veil of mirrored light lifts it.  Lightness is counted here in just noticeable differences.
"""

from __future__ import annotations

import math

from workbench.analysis.glass import HungPrint
from workbench.colour.lab import luminance_factor

# where prints are judged as in practical use, without glass (ISO 3664:2009, P2)
JUDGED_LUX = 500.0
MID_GREY = 50.0
# what one print can be made lighter by, in L* of a middle grey
MOST_LIGHTER = 12.0
_LEAST_CD_M2, _MOST_CD_M2 = 0.05, 3993.404
_JND = (71.498068, 94.593053, 41.912053, 9.8247004, 0.28175407, -1.1878455, -0.18014349,
        0.14710899, -0.017046845)  # fmt: skip


def noticeable_steps(luminance_cd_m2: float) -> float:
    """Just noticeable differences from 0.05 cd/m² up to a luminance, plus one.

    Parameters
    ----------
    luminance_cd_m2 : brought within 0.05 to 3993 cd/m², where the function holds.

    Source: Grayscale Standard Display Function, DICOM PS3.14, equation 2 (coefficients from
    memory; tests hold it against its inverse), after P. Barten's model of contrast sensitivity.

    >>> round(noticeable_steps(3993.404))
    1023
    """
    x = math.log10(min(max(luminance_cd_m2, _LEAST_CD_M2), _MOST_CD_M2))
    return sum(c * x**power for power, c in enumerate(_JND))


def _share(factor: float, white: float, lux: float, signal: float, veil: float) -> float:
    """Noticeable steps up to a luminance factor, as a share of those up to the paper's white."""
    perfect = lux / math.pi
    seen = [noticeable_steps(perfect * (signal * y + veil)) for y in (factor, white)]
    return seen[0] / seen[1]


def lighter_by(hung: HungPrint) -> float:
    """L* by which a middle grey must print lighter to look as light as where prints are judged.

    The middle grey (L* 50, relative to the paper) is to keep its share of the noticeable steps
    up to the paper's white that it has bare in 500 lux.  A start for a test strip: how far an
    eye adapts to its room, no formula says.

    Parameters
    ----------
    hung : from `hang`.

    Returns
    -------
    0 to 12; 0 where it looks as light or lighter.
    """
    white = (hung.white_luminance_cd_m2 * math.pi / hung.illuminance_lux - hung.veil) / hung.signal
    aim = _share(white * luminance_factor(MID_GREY), white, JUDGED_LUX, 1.0, 0.0)
    low, high = 0.0, MOST_LIGHTER
    for _ in range(20):  # to 0.00001 L*
        middle = (low + high) / 2
        factor = white * float(luminance_factor(MID_GREY + middle))
        if _share(factor, white, hung.illuminance_lux, hung.signal, hung.veil) < aim:
            low = middle
        else:
            high = middle
    return low

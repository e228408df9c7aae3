"""The light in a place, told by a camera's exposure of a white card."""

from __future__ import annotations

import math
from dataclasses import dataclass

from workbench.numbers import number
from workbench.results import Result

# reflected-light calibration constant in cd/m² · s · ISO: ISO 2720 allows 10.6 to 13.4, and
# 12.5 is usual (by secondary sources)
CALIBRATION = 12.5
# what a meter renders as the middle of the scale (common practice, no source)
METERED = 0.18


@dataclass(frozen=True)
class CardReading(Result):
    """Illuminance by a photograph: the best guess and a third of a stop to both sides."""

    illuminance_lux: float
    low_lux: float
    high_lux: float

    @property
    def sentence(self) -> str:
        return (
            f"About {self.illuminance_lux:.0f} lux, between {self.low_lux:.0f} and "
            f"{self.high_lux:.0f} (a third of a stop to both sides)."
        )


def illuminance_by_card(
    f_number: float,
    exposure_s: float,
    iso: float,
    *,
    card_reflectance: float = 0.9,
    card_level: float = METERED,
) -> CardReading:
    """Illuminance on a white card from its exposure.

    The card's luminance is K N²/(t S), for a card that fills the frame and was exposed as the
    meter says; over its reflectance, times π, it is the illuminance.

    Parameters
    ----------
    f_number, exposure_s, iso : of the exposure: N, t in seconds, S.
    card_reflectance : 0.5 to 1; bright paper has 0.85 to 0.95 (common practice, no source).
    card_level : the card's linear level in the photograph, 0.01 to 1, where it was not exposed
        as the meter says; a metered card comes to 0.18.

    Returns
    -------
    A CardReading.

    Raises
    ------
    WorkbenchError
        for values out of range.

    Examples
    --------
    >>> round(wb.illuminance_by_card(4, 1 / 30, 400).illuminance_lux)
    52
    """
    n = number(f_number, "f-number", low=0.7, high=64)
    t = number(exposure_s, "exposure time", low=1e-5, high=60, unit="seconds")
    s = number(iso, "ISO speed", low=6, high=1e6)
    card = number(card_reflectance, "card's reflectance", low=0.5, high=1)
    level = number(card_level, "card's level", low=0.01, high=1)
    luminance = CALIBRATION * n * n / (t * s) * level / METERED
    lux = math.pi * luminance / card
    third = 2 ** (1 / 3)
    return CardReading(lux, lux / third, lux * third)

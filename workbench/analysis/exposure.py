"""The light in a place, told by a camera's exposure of a white card."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from workbench import files
from workbench.errors import PictureError, WorkbenchError
from workbench.language import tr
from workbench.numbers import number
from workbench.picture.exif import read_exif
from workbench.results import Result

# reflected-light calibration constant in cd/m² · s · ISO: ISO 2720 allows 10.6 to 13.4, and
# 12.5 is usual (by secondary sources)
CALIBRATION = 12.5
# of a file, in which its EXIF stands
_HEAD_BYTES, _MOST_BYTES = 2**20, 2**33
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
        return tr(
            "About {illuminance_lux:.0f} lux, between {low_lux:.0f} and {high_lux:.0f} (a "
            "third of a stop to both sides).",
            illuminance_lux=self.illuminance_lux,
            low_lux=self.low_lux,
            high_lux=self.high_lux,
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
    n = number(f_number, tr("f-number"), low=0.7, high=64)
    t = number(exposure_s, tr("exposure time"), low=1e-5, high=60, unit=tr("seconds"))
    s = number(iso, tr("ISO speed"), low=6, high=1e6)
    card = number(card_reflectance, tr("card's reflectance"), low=0.5, high=1)
    level = number(card_level, tr("card's level"), low=0.01, high=1)
    luminance = CALIBRATION * n * n / (t * s) * level / METERED
    lux = math.pi * luminance / card
    third = 2 ** (1 / 3)
    return CardReading(lux, lux / third, lux * third)


@dataclass(frozen=True)
class Exposure:
    """How a photograph was exposed: f-number, seconds, ISO speed."""

    f_number: float
    exposure_s: float
    iso: float


def exposure_of(path) -> Exposure:
    """The exposure that a photograph's file states in EXIF.

    Parameters
    ----------
    path : of a JPEG or TIFF file, or one built like it.

    Raises
    ------
    PictureError, FileError
        for a file that cannot be read or says nothing of it.

    Examples
    --------
    >>> exposure_of(folder / "harbour.tif")
    Traceback (most recent call last):
    workbench.errors.PictureError: ...
    """
    head = files.read_regular(path, _MOST_BYTES, PictureError, first=_HEAD_BYTES)
    at = head.find(b"Exif\0\0") if head.startswith(b"\xff\xd8") else -1
    found = read_exif(head[at + 6 :] if at >= 0 else head)
    if not (found.f_number and found.exposure_s and found.iso):
        raise PictureError(
            tr(
                "“{name}” does not say how it was exposed; type f-number, time and ISO.",
                name=files.shown(path),
            )
        )
    return Exposure(found.f_number, found.exposure_s, found.iso)


def seconds_of(text: str) -> float:
    """An exposure time as cameras show it, in seconds.

    Raises
    ------
    WorkbenchError

    Examples
    --------
    >>> seconds_of("1/30"), seconds_of("0,5 s")
    (0.03333333333333333, 0.5)
    """
    found = re.fullmatch(r"\s*(\d+(?:[.,]\d+)?)(?:\s*/\s*(\d+(?:[.,]\d+)?))?\s*(?:s|sec)?\s*", text)
    above, below = ((found and found[k] or "1").replace(",", ".") for k in (1, 2))
    if not found or not float(below):
        raise WorkbenchError(
            tr(
                "An exposure time is typed like 1/30 or 0.5, not “{text}”.",
                text=text.strip()[:40],
            )
        )
    return float(above) / float(below)

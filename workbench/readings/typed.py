"""One reading: three numbers or a spectrum typed in, or the mean of several."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from workbench.colour.difference import delta_e_2000
from workbench.colour.lab import density, triple, xyz_to_lab
from workbench.errors import PaperError
from workbench.files.text import clean_text
from workbench.language import numeral, tr
from workbench.readings.light import for_d50
from workbench.readings.spectra import (
    CONDITIONS,
    Spectrum,
    checked_spectra,
    mean_spectrum,
    spectra_to_xyz,
)


@dataclass(frozen=True)
class Reading:
    """The colour of a surface, measured.

    Attributes
    ----------
    lab : absolute Lab, D50, 2 degrees.
    patches : how many patches it is the mean of; the mean is taken in XYZ.
    scatter, largest_scatter : mean and largest CIEDE2000 of the patches from that mean;
        0 for one patch.
    estimated : whether it was adapted from another illuminant or observer.
    stated : what it was measured as, such as "Lab, D65, 10°" or "spectra".
    chosen_by : how its patches were found in a file; empty for typed readings.
    spectrum : the mean `Spectrum`, where spectra were read; else None.
    """

    lab: tuple[float, float, float]
    patches: int
    scatter: float
    largest_scatter: float
    estimated: bool
    stated: str
    chosen_by: str = ""
    spectrum: Spectrum | None = field(default=None, repr=False)

    @property
    def density(self) -> float:
        """Absolute visual density, -log10 of the luminance factor, at most 5."""
        return min(float(density(self.lab[0])), 5.0)

    @property
    def sentence(self) -> str:
        """What was read, and what to think of it, in one sentence."""
        lab = " ".join(numeral(v + 0.0, ".1f") for v in self.lab).replace("-", "−")
        text = tr("Lab {lab} (absolute)", lab=lab)
        if self.patches > 1:
            text = tr(
                "{reading}, the mean of {patches} patches that scatter by {scatter:.1f} CIEDE2000 "
                "(at most {largest:.1f})",
                reading=text,
                patches=self.patches,
                scatter=self.scatter,
                largest=self.largest_scatter,
            )
        if self.chosen_by:
            text = tr("{reading}, chosen as {patches}", reading=text, patches=self.chosen_by)
        if self.estimated:
            text = tr("{reading}; estimated from {stated}", reading=text, stated=self.stated)
        return text + "."


def reading(*, lab=None, xyz=None, illuminant: str | None = None, observer_deg: int | None = None):
    """A typed reading, or the mean of several.

    Parameters
    ----------
    lab : (3,) or (n, 3) absolute CIE Lab; or else
    xyz : (3,) or (n, 3) CIE XYZ, Y = 100 for the perfect diffuser.
    illuminant, observer_deg : what they are for, see `ILLUMINANTS`; to be stated always.
        Others than D50 and 2 degrees are adapted to these by the linear Bradford
        transform, and the reading is marked as estimated.

    Returns
    -------
    A `Reading`.

    Raises
    ------
    PaperError
        for numbers that no surface has, or an illuminant or observer not stated or unknown.

    Examples
    --------
    >>> wb.reading(lab=(95, 0, -2), illuminant="D50", observer_deg=2).lab
    (95.0, 0.0, -2.0)
    """
    if (lab is None) == (xyz is None):
        raise PaperError(tr("Give a reading as Lab or as XYZ, one of the two."))
    kind, values = ("Lab", lab) if xyz is None else ("XYZ", xyz)
    light, estimated = for_d50(three_numbers(values, kind), kind, illuminant, observer_deg)
    stated = f"{kind}, {str(illuminant).strip().upper()}, {observer_deg}°"
    return mean_reading(light, estimated=estimated, stated=stated)


def spectral_reading(wavelengths_nm, reflectances, *, condition: str | None = None) -> Reading:
    """A reading from a spectrum, or the mean of several.

    Parameters
    ----------
    wavelengths_nm : (k,) rising, in even steps of 5, 10 or 20 nm, from 400 nm or less to 700
        or more.
    reflectances : (k,) or (n, k), 1 for the perfect diffuser.
    condition : "M0" to "M3" of ISO 13655, where known.

    Returns
    -------
    A Reading, under D50 for 2 degrees.

    Raises
    ------
    PaperError
        for other wavelengths, or for numbers that are not a share of light.

    Examples
    --------
    >>> flat = wb.spectral_reading(range(380, 740, 10), [0.9] * 36, condition="M0")
    >>> [round(value, 1) + 0.0 for value in flat.lab]
    [96.0, 0.0, 0.0]
    """
    wavelengths, rows = checked_spectra(wavelengths_nm, reflectances)
    if condition is not None and condition not in CONDITIONS:
        raise PaperError(
            tr(
                "“{given}” is not a measurement condition; ISO 13655 has {known}.",
                given=clean_text(str(condition)),
                known=", ".join(CONDITIONS),
            )
        )
    return mean_reading(
        spectra_to_xyz(wavelengths, rows),
        estimated=False,
        stated="spectra",
        spectrum=mean_spectrum(wavelengths, rows, condition),
    )


def three_numbers(values, kind: str) -> np.ndarray:
    """(n, 3) Lab, or XYZ with Y = 100; PaperError for what no surface has."""
    try:
        array = np.atleast_2d(np.asarray(values, dtype=float))
    except (TypeError, ValueError):
        array = np.empty((0, 0))
    if array.ndim != 2 or array.shape[1] != 3 or not len(array) or not np.isfinite(array).all():
        raise PaperError(
            tr(
                "A reading in {kind} is three numbers, not {given}.",
                kind=kind,
                given=clean_text(str(values)),
            )
        )
    if kind == "Lab":
        sound = (
            (array[:, 0] >= 0) & (array[:, 0] <= 120) & (np.abs(array[:, 1:]) <= 150).all(axis=1)
        )
        allowed = tr("L* lies between 0 and 120, a* and b* between -150 and 150")
    else:
        sound = ((array >= 0) & (array <= 200)).all(axis=1)
        allowed = tr(
            "X, Y and Z lie between 0 and 200, on the scale where Y is 100 for a perfect white"
        )
    if not sound.all():
        raise PaperError(
            tr(
                "No paper reads {kind} {values}; {allowed}.",
                kind=kind,
                values=" ".join(map(numeral, array[~sound][0])),
                allowed=allowed,
            )
        )
    return array


def mean_reading(light: np.ndarray, **about) -> Reading:
    """The reading of (n, 3) XYZ for D50, Y = 1."""
    mean = xyz_to_lab(light.mean(axis=0))
    away = delta_e_2000(xyz_to_lab(light), mean) if len(light) > 1 else np.zeros(1)
    return Reading(
        lab=triple(round(float(v), 6) for v in mean),
        patches=len(light),
        scatter=float(away.mean()),
        largest_scatter=float(away.max()),
        **about,
    )

"""Spectra: the share of light a surface sends back by wavelength, and its colour under D50."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from workbench.colour.cgats import check_bands
from workbench.colour.lab import D50_XYZ
from workbench.errors import PaperError
from workbench.language import tr

# measurement conditions of ISO 13655
CONDITIONS = ("M0", "M1", "M2", "M3")
# no paper sends back more, not even with a brightener; less than nothing is an instrument's noise
_LEAST_SHARE, _MOST_SHARE = -0.02, 2.0


@dataclass(frozen=True)
class Spectrum:
    """The share of light that a surface sends back, by wavelength.

    With a brightener it is the total under the instrument's own light, and may pass 1.

    Attributes
    ----------
    wavelengths_nm : rising, in even steps of 5, 10 or 20 nm, from 400 or less to 700 or more.
    reflectances : one each, 1 for the perfect diffuser.
    condition : measurement condition of ISO 13655, "M0" to "M3"; None where not named.
    """

    wavelengths_nm: tuple[float, ...]
    reflectances: tuple[float, ...]
    condition: str | None = None


def checked_spectra(wavelengths_nm, reflectances) -> tuple[np.ndarray, np.ndarray]:
    """(k,) wavelengths in nm and (n, k) reflectances as arrays; PaperError for what is none."""
    try:
        wavelengths = np.asarray(wavelengths_nm, dtype=float)
        rows = np.atleast_2d(np.asarray(reflectances, dtype=float))
    except (TypeError, ValueError):
        wavelengths, rows = np.empty(0), np.empty((0, 0))
    if rows.ndim != 2 or not len(rows) or wavelengths.shape != rows.shape[1:]:
        raise PaperError(tr("A spectrum is one share of light for each wavelength."))
    if not np.isfinite(wavelengths).all():
        raise PaperError(tr("The spectrum's wavelengths are not all numbers."))
    check_bands(wavelengths, tr("The spectrum"))
    sound = np.isfinite(rows) & (rows >= _LEAST_SHARE) & (rows <= _MOST_SHARE)
    if not sound.all():
        row, band = np.argwhere(~sound)[0]
        raise PaperError(
            tr(
                "At {wavelength:g} nm the spectrum has {share:g}, which is not a paper's share "
                "of light; 1 stands for a perfect white (100 %).",
                wavelength=wavelengths[band],
                share=rows[row, band],
            )
        )
    return wavelengths, rows


def mean_spectrum(wavelengths, rows: np.ndarray, condition: str | None) -> Spectrum:
    """The mean of (n, k) reflectances."""
    return Spectrum(
        tuple(float(w) for w in wavelengths),
        tuple(round(float(v), 9) for v in rows.mean(axis=0)),
        condition,
    )


def spectra_to_xyz(wavelengths_nm, reflectances) -> np.ndarray:
    """XYZ for D50 and 2 degrees of reflectances.

    Parameters
    ----------
    wavelengths_nm : (k,) in even steps of 5, 10 or 20 nm.
    reflectances : (n, k), 1 for the perfect diffuser.

    Returns
    -------
    (n, 3), Y = 1 and the white of the profile connection space for the perfect diffuser.

    Raises
    ------
    PaperError
        for other steps.

    By the weights of ASTM E308, which ISO 13655 asks for, as colour-science has them.
    """
    weights = _weights(tuple(float(w) for w in wavelengths_nm))
    return np.asarray(reflectances, dtype=float) @ weights


@lru_cache(maxsize=8)
def _weights(wavelengths: tuple[float, ...]) -> np.ndarray:
    """(k, 3) contributions of each wavelength to XYZ."""
    step = wavelengths[1] - wavelengths[0]
    if step not in (5, 10, 20):
        raise PaperError(
            tr(
                "Spectra in steps of {step:g} nm cannot be used; export them in steps of 5, 10 "
                "or 20.",
                step=step,
            )
        )
    from colour import SpectralDistribution, sd_to_XYZ
    from colour.colorimetry import MSDS_CMFS, SDS_ILLUMINANTS
    from colour.utilities import suppress_warnings

    observer, light = MSDS_CMFS["CIE 1931 2 Degree Standard Observer"], SDS_ILLUMINANTS["D50"]
    # it warns that instruments do not see all of the tables' 360 to 780 nm
    with suppress_warnings(colour_runtime_warnings=True):
        weights = np.array(
            [
                sd_to_XYZ(
                    SpectralDistribution(row, wavelengths), observer, light, method="ASTM E308"
                )
                for row in np.eye(len(wavelengths))
            ]
        )
    # the tables' own D50 differs from the connection space's in the fourth digit
    return weights * (D50_XYZ / weights.sum(axis=0))

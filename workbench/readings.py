"""Readings of a colorimeter or spectrophotometer: typed in, or out of a measurement file.

Everything in the workbench is for D50 and the 2 degree observer.  Readings for another
light or observer are adapted, which is an estimate and says so: what a brightener or a
dye does under another light cannot be known from three numbers.  Spectra are exact.
"""

from __future__ import annotations

import os
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path

import numpy as np

from workbench.colour.cgats import CgatsTable, check_bands, read_cgats
from workbench.colour.difference import delta_e_2000
from workbench.colour.lab import D50_XYZ, density, lab_to_xyz, xyz_to_lab
from workbench.colour.profile import clean_text
from workbench.colour.spaces import bradford
from workbench.errors import PaperError

# chromaticities x, y for the 2 and the 10 degree observer (CIE 15:2018, table T.3 and,
# for F2, F7 and F11, table T.7)
ILLUMINANTS = {
    "D50": ((0.34567, 0.35850), (0.34773, 0.35952)),
    "D55": ((0.33243, 0.34744), (0.33412, 0.34877)),
    "D65": ((0.31272, 0.32903), (0.31381, 0.33098)),
    "D75": ((0.29903, 0.31488), (0.29968, 0.31740)),
    "A": ((0.44758, 0.40745), (0.45117, 0.40594)),
    "C": ((0.31006, 0.31616), (0.31039, 0.31905)),
    "F2": ((0.37210, 0.37510), (0.37925, 0.36733)),
    "F7": ((0.31290, 0.32920), (0.31569, 0.32960)),
    "F11": ((0.38050, 0.37690), (0.38541, 0.37123)),
}
OBSERVERS_DEG = (2, 10)


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
        return float(min(density(self.lab[0]), 5.0))

    @property
    def sentence(self) -> str:
        """What was read, and what to think of it, in one sentence."""
        text = "Lab {:.1f} {:.1f} {:.1f}".format(*(v + 0.0 for v in self.lab)).replace("-", "−")
        if self.patches > 1:
            text += f", the mean of {self.patches} patches that scatter by {self.scatter:.1f} "
            text += f"CIEDE2000 (at most {self.largest_scatter:.1f})"
        if self.chosen_by:
            text += f", chosen as {self.chosen_by}"
        if self.estimated:
            text += f"; estimated from {self.stated}"
        return text + "."


def white_of(illuminant: str | None, observer_deg: int | None) -> np.ndarray:
    """XYZ, Y = 1, of the perfect diffuser under an illuminant, for an observer.

    D50 with 2 degrees gives the white of the profile connection space.

    Raises
    ------
    PaperError
        where either is not stated, or is unknown; the message lists the known ones.
    """
    known = ", ".join(ILLUMINANTS)
    if illuminant is None or observer_deg is None:
        raise PaperError(
            "State the illuminant and the observer that the reading is for; most instruments "
            f"for prints give D50 and 2 degrees (ISO 13655). Known are {known}; 2 and 10 degrees."
        )
    name = str(illuminant).strip().upper()
    if name not in ILLUMINANTS:
        raise PaperError(
            f"“{clean_text(str(illuminant))}” is no illuminant that the workbench knows; choose "
            f"one of {known}."
        )
    if observer_deg not in OBSERVERS_DEG:
        raise PaperError(
            f"The observer is that of 2 or of 10 degrees, not {clean_text(str(observer_deg))}."
        )
    if (name, observer_deg) == ("D50", 2):
        return D50_XYZ
    x, y = ILLUMINANTS[name][OBSERVERS_DEG.index(observer_deg)]
    return np.array([x / y, 1.0, (1 - x - y) / y])


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
    """
    if (lab is None) == (xyz is None):
        raise PaperError("Give a reading as Lab or as XYZ, one of the two.")
    white = white_of(illuminant, observer_deg)
    kind, values = ("Lab", lab) if xyz is None else ("XYZ", xyz)
    values = _three_numbers(values, kind)
    light = lab_to_xyz(values, white) if kind == "Lab" else values / 100
    plain = white is D50_XYZ
    if not plain:
        light = light @ bradford(white).T
    stated = f"{kind}, {str(illuminant).strip().upper()}, {observer_deg}°"
    return _mean(light, estimated=not plain, stated=stated)


def spectral_reading(wavelengths_nm, reflectances, *, condition: str | None = None) -> Reading:
    """A reading from a spectrum, or the mean of several.

    Parameters
    ----------
    wavelengths_nm : (k,) rising, in even steps of 5, 10 or 20 nm, from 400 nm or less to 700
        or more.
    reflectances : (k,) or (n, k), 1 for the perfect diffuser.
    condition : "M0" to "M3" of ISO 13655, where known.

    Raises
    ------
    PaperError
        for other wavelengths, or for numbers that are no share of light.
    """
    wavelengths, rows = _checked_spectra(wavelengths_nm, reflectances)
    if condition is not None and condition not in CONDITIONS:
        raise PaperError(
            f"“{clean_text(str(condition))}” is no measurement condition; ISO 13655 has "
            f"{', '.join(CONDITIONS)}."
        )
    return _mean(
        spectra_to_xyz(wavelengths, rows),
        estimated=False,
        stated="spectra",
        spectrum=_spectrum(wavelengths, rows, condition),
    )


# measurement conditions of ISO 13655
CONDITIONS = ("M0", "M1", "M2", "M3")
# no paper sends back more, not even with a brightener; less than nothing is an instrument's noise
_LEAST_SHARE, _MOST_SHARE = -0.02, 2.0


def _checked_spectra(wavelengths_nm, reflectances) -> tuple[np.ndarray, np.ndarray]:
    try:
        wavelengths = np.asarray(wavelengths_nm, dtype=float)
        rows = np.atleast_2d(np.asarray(reflectances, dtype=float))
    except (TypeError, ValueError):
        wavelengths, rows = np.empty(0), np.empty((0, 0))
    if rows.ndim != 2 or not len(rows) or wavelengths.shape != rows.shape[1:]:
        raise PaperError("A spectrum is one share of light for each wavelength.")
    if not np.isfinite(wavelengths).all():
        raise PaperError("The spectrum's wavelengths are not all numbers.")
    check_bands(wavelengths, "The spectrum")
    sound = np.isfinite(rows) & (rows >= _LEAST_SHARE) & (rows <= _MOST_SHARE)
    if not sound.all():
        row, band = np.argwhere(~sound)[0]
        raise PaperError(
            f"At {wavelengths[band]:g} nm the spectrum has {rows[row, band]:g}, which is no "
            "paper's share of light; 1 stands for a perfect white (100 %)."
        )
    return wavelengths, rows


def _spectrum(wavelengths, rows: np.ndarray, condition: str | None) -> Spectrum:
    """The mean of (n, k) reflectances."""
    return Spectrum(
        tuple(float(w) for w in wavelengths),
        tuple(round(float(v), 9) for v in rows.mean(axis=0)),
        condition,
    )


def _three_numbers(values, kind: str) -> np.ndarray:
    try:
        array = np.atleast_2d(np.asarray(values, dtype=float))
    except (TypeError, ValueError):
        array = np.empty((0, 0))
    if array.ndim != 2 or array.shape[1] != 3 or not len(array) or not np.isfinite(array).all():
        raise PaperError(f"A reading in {kind} is three numbers, not {clean_text(str(values))}.")
    if kind == "Lab":
        sound = (
            (array[:, 0] >= 0) & (array[:, 0] <= 120) & (np.abs(array[:, 1:]) <= 150).all(axis=1)
        )
        allowed = "L* lies between 0 and 120, a* and b* between -150 and 150"
    else:
        sound = ((array >= 0) & (array <= 200)).all(axis=1)
        allowed = (
            "X, Y and Z lie between 0 and 200, on the scale where Y is 100 for a perfect white"
        )
    if not sound.all():
        raise PaperError(f"No paper reads {kind} {_shown(array[~sound][0])}; {allowed}.")
    return array


def _shown(values) -> str:
    return " ".join(f"{value:g}" for value in values)


def _mean(light: np.ndarray, **about) -> Reading:
    """The reading of (n, 3) XYZ for D50, Y = 1."""
    mean = xyz_to_lab(light.mean(axis=0))
    away = delta_e_2000(xyz_to_lab(light), mean) if len(light) > 1 else np.zeros(1)
    return Reading(
        lab=tuple(round(float(v), 6) for v in mean),
        patches=len(light),
        scatter=float(away.mean()),
        largest_scatter=float(away.max()),
        **about,
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
            f"Spectra in steps of {step:g} nm cannot be used; export them in steps of 5, 10 or 20."
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


@dataclass(frozen=True, eq=False)
class Patches:
    """All samples of a measurement file that can be used, as XYZ.

    Attributes
    ----------
    xyz : (n, 3) for D50 and 2 degrees, Y = 1 for the perfect diffuser.
    names : one name a sample, or its number in the file.
    device : (n, channels) device values as the file has them; None where it has none.
    device_fields : their names, such as ("RGB_R", "RGB_G", "RGB_B").
    estimated, stated : as in `Reading`.
    condition : measurement condition of ISO 13655, "M0" to "M3"; None where not named.
    wavelengths_nm, reflectances : (k,) and (n, k), where spectra were read; else None.
    """

    xyz: np.ndarray
    names: tuple[str, ...]
    device: np.ndarray | None
    device_fields: tuple[str, ...]
    estimated: bool
    stated: str
    condition: str | None
    wavelengths_nm: np.ndarray | None = None
    reflectances: np.ndarray | None = field(default=None, repr=False)

    def reading(self, which: np.ndarray, chosen_by: str = "") -> Reading:
        """The mean of some samples, given as a (n,) mask."""
        spectrum = None
        if self.reflectances is not None:
            spectrum = _spectrum(self.wavelengths_nm, self.reflectances[which], self.condition)
        return _mean(
            self.xyz[which],
            estimated=self.estimated,
            stated=self.stated,
            chosen_by=chosen_by,
            spectrum=spectrum,
        )


_DEVICES = (
    ("CMYK_C", "CMYK_M", "CMYK_Y", "CMYK_K"),
    ("RGB_R", "RGB_G", "RGB_B"),
    ("GRAY_W",),
)
_LAB, _XYZ = ("LAB_L", "LAB_A", "LAB_B"), ("XYZ_X", "XYZ_Y", "XYZ_Z")


def read_patches(
    source: bytes | str | os.PathLike,
    *,
    illuminant: str | None = None,
    observer_deg: int | None = None,
) -> Patches:
    """All samples of a measurement file (CGATS.17, ISO 28178).

    Parameters
    ----------
    source : path of the file, or its bytes.
    illuminant, observer_deg : what Lab and XYZ are for, where the file does not state it;
        what the file states goes first.

    Spectra are used where there are any, else Lab, else XYZ; of a file with several
    tables, the first that has one of them.

    Raises
    ------
    PaperError
        if the file is none, has no colours, is relative to the paper's white, or neither
        it nor the caller states illuminant and observer.
    """
    for table in read_cgats(source):
        spectra = table.spectra()
        if spectra is not None:
            return _patches(table, spectra_to_xyz(*spectra), False, "spectra", spectra)
        kind = _LAB if table.has(*_LAB) else _XYZ if table.has(*_XYZ) else None
        if kind is None:
            continue
        if table.relative_to_paper:
            raise PaperError(
                "The file's values are relative to the paper, whose white they do not tell; "
                "export them as absolute ones."
            )
        light, observer = table.illuminant or illuminant, table.observer_deg or observer_deg
        values = _three_numbers(table.numbers(*kind), kind[0][:3].replace("LAB", "Lab"))
        white = white_of(light, observer)
        xyz = lab_to_xyz(values, white) if kind is _LAB else values / 100
        if white is not D50_XYZ:
            xyz = xyz @ bradford(white).T
        name = "Lab" if kind is _LAB else "XYZ"
        return _patches(table, xyz, white is not D50_XYZ, f"{name}, {light}, {observer}°")
    raise PaperError(
        "The measurement file holds no colours that can be used: it needs LAB_L, LAB_A and LAB_B, "
        "or XYZ_X, XYZ_Y and XYZ_Z, or spectra."
    )


def _patches(
    table: CgatsTable, xyz: np.ndarray, estimated: bool, stated: str, spectra=(None, None)
) -> Patches:
    fields = next((names for names in _DEVICES if table.has(*names)), ())
    column = next((n for n in ("SAMPLE_NAME", "SAMPLE_ID") if table.has(n)), None)
    names = table.text(column) if column else map(str, range(1, len(xyz) + 1))
    return Patches(
        xyz=xyz,
        names=tuple(clean_text(name) for name in names),
        device=table.numbers(*fields) if fields else None,
        device_fields=fields,
        estimated=estimated,
        stated=stated,
        condition=table.condition,
        wavelengths_nm=spectra[0],
        reflectances=spectra[1],
    )


def file_label(source) -> str:
    """A name for a paper out of a measurement file."""
    named = isinstance(source, (str, os.PathLike))
    return clean_text(Path(source).stem) if named else "Measured paper"

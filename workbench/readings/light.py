"""The light and the observer that readings are for, and the way from others to D50, 2 degrees."""

from __future__ import annotations

import numpy as np

from workbench.colour.lab import D50_XYZ, lab_to_xyz
from workbench.colour.spaces import bradford
from workbench.errors import PaperError
from workbench.files.text import clean_text
from workbench.language import tr

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
            tr(
                "State the illuminant and the observer that the reading is for; most "
                "instruments for prints give D50 and 2 degrees (ISO 13655). Known are {known}; "
                "2 and 10 degrees.",
                known=known,
            )
        )
    name = str(illuminant).strip().upper()
    if name not in ILLUMINANTS:
        raise PaperError(
            tr(
                "“{given}” is not an illuminant that the workbench knows; choose one of {known}.",
                given=clean_text(str(illuminant)),
                known=known,
            )
        )
    if observer_deg not in OBSERVERS_DEG:
        raise PaperError(
            tr(
                "The observer is that of 2 or of 10 degrees, not {given}.",
                given=clean_text(str(observer_deg)),
            )
        )
    if (name, observer_deg) == ("D50", 2):
        return D50_XYZ
    x, y = ILLUMINANTS[name][OBSERVERS_DEG.index(observer_deg)]
    return np.array([x / y, 1.0, (1 - x - y) / y])


def for_d50(values: np.ndarray, kind: str, illuminant, observer_deg) -> tuple[np.ndarray, bool]:
    """What three numbers are for D50 and 2 degrees, and whether that is an estimate.

    Parameters
    ----------
    values : (n, 3) absolute "Lab", or "XYZ" with Y = 100 for the perfect diffuser.
    kind : which of the two.
    illuminant, observer_deg : what they are for.  Others than D50 and 2 degrees are adapted
        by the linear Bradford transform, which is an estimate.

    Returns
    -------
    (n, 3) XYZ, Y = 1 for the perfect diffuser; and whether they were adapted.

    Raises
    ------
    PaperError
        as `white_of`.
    """
    white = white_of(illuminant, observer_deg)
    xyz = lab_to_xyz(values, white) if kind == "Lab" else values / 100
    if white is D50_XYZ:
        return xyz, False
    return xyz @ bradford(white).T, True

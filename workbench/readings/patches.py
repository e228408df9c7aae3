"""The samples of a measurement file, and readings from some of them."""

from __future__ import annotations

import os
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from workbench.colour.cgats import CgatsTable, read_cgats
from workbench.errors import PaperError
from workbench.files.text import clean_text
from workbench.language import tr
from workbench.readings.light import for_d50
from workbench.readings.spectra import mean_spectrum, spectra_to_xyz
from workbench.readings.typed import Reading, mean_reading, three_numbers


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
    table : that they came from, whose rows they are.
    wavelengths_nm, reflectances : (k,) and (n, k), where spectra were read; else None.
    """

    xyz: np.ndarray
    names: tuple[str, ...]
    device: np.ndarray | None
    device_fields: tuple[str, ...]
    estimated: bool
    stated: str
    condition: str | None
    table: CgatsTable = field(repr=False)
    wavelengths_nm: np.ndarray | None = None
    reflectances: np.ndarray | None = field(default=None, repr=False)

    def reading(self, which: np.ndarray, chosen_by: str = "") -> Reading:
        """The mean of some samples, given as a (n,) mask."""
        spectrum = None
        if self.reflectances is not None:
            spectrum = mean_spectrum(self.wavelengths_nm, self.reflectances[which], self.condition)
        return mean_reading(
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
_COLOURS = {"Lab": ("LAB_L", "LAB_A", "LAB_B"), "XYZ": ("XYZ_X", "XYZ_Y", "XYZ_Z")}


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
        kind = next((kind for kind, fields in _COLOURS.items() if table.has(*fields)), None)
        if kind is None:
            continue
        if table.relative_to_paper:
            raise PaperError(
                tr(
                    "The file's values are relative to the paper, whose white they do not tell; "
                    "export them as absolute ones."
                )
            )
        light, observer = table.illuminant or illuminant, table.observer_deg or observer_deg
        values = three_numbers(table.numbers(*_COLOURS[kind]), kind)
        xyz, estimated = for_d50(values, kind, light, observer)
        return _patches(table, xyz, estimated, f"{kind}, {light}, {observer}°")
    raise PaperError(
        tr(
            "The measurement file holds no colours that can be used: it needs LAB_L, LAB_A and LAB_B, "
            "or XYZ_X, XYZ_Y and XYZ_Z, or spectra."
        )
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
        table=table,
        wavelengths_nm=spectra[0],
        reflectances=spectra[1],
    )


def file_label(source) -> str:
    """A name for a paper out of a measurement file."""
    named = isinstance(source, (str, os.PathLike))
    return clean_text(Path(source).stem) if named else tr("Measured paper")

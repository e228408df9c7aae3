"""Readings of a colorimeter or spectrophotometer: typed in, or out of a measurement file.

Everything in the workbench is for D50 and the 2 degree observer.  Readings for another
light or observer are adapted, which is an estimate and says so: what a brightener or a
dye does under another light cannot be known from three numbers.  Spectra are exact.
"""

from workbench.readings.light import ILLUMINANTS, OBSERVERS_DEG, white_of
from workbench.readings.patches import Patches, file_label, read_patches
from workbench.readings.spectra import CONDITIONS, Spectrum, spectra_to_xyz
from workbench.readings.typed import Reading, reading, spectral_reading

__all__ = [
    "CONDITIONS",
    "ILLUMINANTS",
    "OBSERVERS_DEG",
    "Patches",
    "Reading",
    "Spectrum",
    "file_label",
    "read_patches",
    "reading",
    "spectra_to_xyz",
    "spectral_reading",
    "white_of",
]

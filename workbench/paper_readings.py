"""A paper known by its white and its black only: measured, without a profile.

Two readings give tint, density and contrast.  Whatever needs to know the colours
between them (gamut, proof, tone curves) raises a PaperError that asks for a profile.
"""

from __future__ import annotations

import os
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from workbench.characteristics import UNKNOWN, Known
from workbench.colour.difference import delta_e_2000
from workbench.colour.lab import luminance_factor, xyz_to_lab
from workbench.colour.profile import read_profile
from workbench.errors import PaperError
from workbench.files.text import clean_text
from workbench.language import tr
from workbench.paper import Paper, PaperFacts
from workbench.readings import Patches, Reading, file_label, read_patches, reading

_NEEDS_PROFILE = {"profile", "icc", "facts", *PaperFacts.__dataclass_fields__}
# CIEDE2000 within which patches pass for the same surface, in files that name none
_ALIKE = 2.0


@dataclass(frozen=True, eq=False)
class MeasuredPaper(Known):
    """A paper whose white, and perhaps black, were read with an instrument.

    Attributes
    ----------
    white, black : `Reading`; black is None where none was taken.

    The other fields are those of `Paper`.  ``profile``, ``gamut_volume`` and all else
    that only a profile can tell raise PaperError.
    """

    white: Reading
    black: Reading | None = None

    @property
    def white_is_known(self) -> bool:
        """Always: it was measured."""
        return True

    @property
    def white_lab(self) -> tuple[float, float, float]:
        """Absolute Lab of the bare paper, D50, 2 degrees."""
        return self.white.lab

    @property
    def black_lab(self) -> tuple[float, float, float]:
        """Absolute Lab of the printed black."""
        return self._black().lab

    @property
    def black_density(self) -> float:
        """-log10 of the black's luminance factor, absolute."""
        return self._black().density

    @property
    def contrast_ratio(self) -> float:
        """Luminance of white over luminance of black."""
        black = max(float(luminance_factor(self._black().lab[0])), 1e-5)
        return float(luminance_factor(self.white.lab[0])) / black

    @property
    def stops(self) -> float:
        """The contrast ratio in powers of two."""
        return float(np.log2(self.contrast_ratio))

    def _black(self) -> Reading:
        if self.black is None:
            raise PaperError(
                tr(
                    "“{name}” has a reading of its white only; print a black patch and add its "
                    "reading.",
                    name=self.name,
                )
            )
        return self.black

    def __getattr__(self, name: str):
        if name in _NEEDS_PROFILE:
            raise PaperError(
                tr(
                    "“{name}” is known by readings of its white and black only; this needs a "
                    "profile of the paper on your printer.",
                    name=self.name,
                )
            )
        raise AttributeError(f"'MeasuredPaper' object has no attribute {name!r}")

    # these are Paper's own
    sheet_price = Paper.sheet_price
    metre_price = Paper.metre_price

    @property
    def sentence(self) -> str:
        """White and black in one or two sentences."""
        text = tr("White {sentence}", sentence=self.white.sentence)
        if self.black is not None:
            text += " " + tr("Black {sentence}", sentence=self.black.sentence)
        return text


#: A paper of either kind; `MeasuredPaper` raises PaperError for what only a profile can tell.
AnyPaper = Paper | MeasuredPaper


def with_profile(papers) -> tuple[Paper, ...]:
    """Those of some papers whose print a profile tells.

    >>> with_profile(papers) == tuple(papers)
    True
    """
    return tuple(paper for paper in papers if not isinstance(paper, MeasuredPaper))


def spectral_white(paper: AnyPaper | Reading) -> Reading | None:
    """The reading of a paper's white with its spectrum; None where there is none.

    Parameters
    ----------
    paper : a `Reading`; a `MeasuredPaper`; or a `Paper` whose profile holds the readings
        that it was made from (ICC.1:2022, charTargetTag), spectra among them.

    Returns
    -------
    The reading, or None where the paper has no spectrum.

    Raises
    ------
    Nothing.

    Examples
    --------
    >>> wb.spectral_white(papers[0]) is None
    True
    """
    if isinstance(paper, Paper):
        return _embedded_white(paper.profile)
    white = getattr(paper, "white", paper)
    return white if isinstance(white, Reading) and white.spectrum is not None else None


def measuring_condition(paper: AnyPaper) -> str | None:
    """The measurement condition of ISO 13655, "M0" to "M3", that a paper was read under.

    Parameters
    ----------
    paper : a `MeasuredPaper`; or a `Paper` whose profile holds the readings that it was
        made from.  None where neither states it.
    """
    if isinstance(paper, Paper):
        readings = _embedded_readings(paper.profile)
        return None if readings is None else readings.condition
    white = spectral_white(paper)
    return None if white is None or white.spectrum is None else white.spectrum.condition


def condition_words(paper: AnyPaper) -> str:
    """A paper's measuring condition as it is told, or that it is not known."""
    return measuring_condition(paper) or tr("unknown: the file does not state it")


@lru_cache(maxsize=8)
def _embedded_white(profile: bytes) -> Reading | None:
    readings = _embedded_readings(profile)
    if readings is None:
        return None
    try:
        white = _found(readings, "white")
        _check_white(white)
    except PaperError:  # nothing of use, and nobody asked for it
        return None
    return white if white.spectrum is not None else None


@lru_cache(maxsize=8)
def _embedded_readings(profile: bytes):
    """The patches that a profile was made from, where it holds them; else None."""
    kept = read_profile(profile).tag("targ")
    # text of a registered set's name, or the readings themselves as a measurement file has them
    if kept is None or kept[:4] != b"text":
        return None
    try:
        return read_patches(kept[8:].rstrip(b"\0"))
    except PaperError:
        return None


def measured_paper(
    name: str,
    white,
    black=None,
    *,
    illuminant: str | None = None,
    observer_deg: int | None = None,
    **details,
) -> MeasuredPaper:
    """A paper from readings of its white and black.

    Parameters
    ----------
    name : what to call it.
    white, black : `Reading`, or absolute Lab as (3,) or (n, 3) numbers for ``illuminant``
        and ``observer_deg``, which must then be stated.  Without a black, what needs one
        raises PaperError.
    details : as for `open_paper`.

    Returns
    -------
    A MeasuredPaper.

    Raises
    ------
    PaperError
        if the two cannot be a paper's white and black, or a detail makes no sense.

    >>> paper = measured_paper("Press sheet", (95, 0, -2), (16, 0, 0),
    ...                        illuminant="D50", observer_deg=2)
    >>> round(paper.black_density, 2), round(paper.contrast_ratio)
    (1.68, 42)
    """

    def as_reading(value):
        if value is None or isinstance(value, Reading):
            return value
        return reading(lab=value, illuminant=illuminant, observer_deg=observer_deg)

    white, black = as_reading(white), as_reading(black)
    if white is None:
        raise PaperError(tr("A measured paper needs a reading of its white."))
    _check_white(white)
    if black is not None and black.lab[0] > white.lab[0] - 10:
        raise PaperError(
            tr(
                "The black's L* {black:.0f} is not at least 10 below the white's {white:.0f}; "
                "check which reading is which.",
                black=black.lab[0],
                white=white.lab[0],
            )
        )
    # Paper knows which details make sense
    sheet = Paper(name="", profile=b"").with_details(**details)
    return MeasuredPaper(
        name=clean_text(str(name)) or tr("Measured paper"),
        white=white,
        black=black,
        **{key: getattr(sheet, key) for key in UNKNOWN},
    )


def _check_white(white: Reading) -> None:
    lightness, a, b = white.lab
    if lightness < 20:
        raise PaperError(
            tr(
                "A white of L* {lightness:.1f} is not a paper; XYZ are on the scale where Y is "
                "100 for a perfect white, and the first reading is the bare paper's.",
                lightness=lightness,
            )
        )
    if abs(lightness - 100) < 0.05 and np.hypot(a, b) < 0.05:
        raise PaperError(
            tr(
                "This white is exactly 100, 0, 0: the reading is relative to the paper, and so tells "
                "no tint. Read the paper with its own white as absolute."
            )
        )


def open_measured_paper(
    source: bytes | str | os.PathLike,
    name: str | None = None,
    *,
    white=None,
    black=None,
    illuminant: str | None = None,
    observer_deg: int | None = None,
    **details,
) -> MeasuredPaper:
    r"""A paper from a measurement file (CGATS.17 or ISO 28178), spectral or colorimetric.

    Parameters
    ----------
    source : path of the file, or its bytes.
    name : by default the file's.
    white, black : which samples to average: their names (SAMPLE_NAME, else SAMPLE_ID), or
        their device values as the file has them, e.g. (0, 0, 0, 100).  Left out, they
        are found by device values (bare paper; RGB 0 0 0, or black ink alone at full),
        else as the lightest and the darkest sample with all within 2 CIEDE2000 of it;
        each reading says how it was chosen.
    illuminant, observer_deg : of Lab and XYZ, where the file does not state them.
    details : as for `measured_paper`.

    Returns
    -------
    A MeasuredPaper.

    Raises
    ------
    PaperError
        as `read_patches` and `measured_paper` do, or where no sample fits.

    Examples
    --------
    >>> lines = ["CGATS.17", "ILLUMINANT D50", "OBSERVER 2", "NUMBER_OF_FIELDS 4",
    ...     "BEGIN_DATA_FORMAT", "SAMPLE_NAME LAB_L LAB_A LAB_B", "END_DATA_FORMAT",
    ...     "NUMBER_OF_SETS 2", "BEGIN_DATA", "paper 96 0 -3", "black 16 0 0", "END_DATA"]
    >>> wb.open_measured_paper("\n".join(lines).encode(), name="Mine").white_lab
    (96.0, 0.0, -3.0)
    """
    patches = read_patches(source, illuminant=illuminant, observer_deg=observer_deg)
    chosen_white = _chosen(patches, white, "white")
    chosen_black: Reading | None = (darkest := _chosen(patches, black, "black"))
    # a file of white patches only has no black to offer
    if black is None and darkest.lab[0] > chosen_white.lab[0] - 10:
        chosen_black = None
    return measured_paper(name or file_label(source), chosen_white, chosen_black, **details)


def _chosen(patches: Patches, which, end: str) -> Reading:
    if which is None:
        return _found(patches, end)
    given = [which] if isinstance(which, str) else list(which)
    if given and all(isinstance(each, str) for each in given):
        unknown = sorted(set(given) - set(patches.names))
        if unknown:
            raise PaperError(
                tr(
                    "The measurement file has no sample “{name}”; it has {names}{more}.",
                    name=clean_text(unknown[0]),
                    names=", ".join(patches.names[:8]),
                    more=" …" if len(patches.names) > 8 else "",
                )
            )
        return patches.reading(np.isin(patches.names, given), tr("the samples named"))
    if patches.device is None:
        raise PaperError(
            tr(
                "The measurement file has no device values; name the samples of the paper's "
                "white instead."
            )
            if end == "white"
            else tr(
                "The measurement file has no device values; name the samples of the paper's "
                "black instead."
            )
        )
    fields = ", ".join(patches.device_fields)
    try:
        wanted = np.array(given, dtype=float)
    except (TypeError, ValueError):
        wanted = np.empty(0)
    if wanted.shape != patches.device.shape[1:]:
        raise PaperError(
            tr("Device values for this file are one number each for {fields}.", fields=fields)
        )
    same = (np.abs(patches.device - wanted) < 1e-6).all(axis=1)
    if not same.any():
        raise PaperError(
            tr(
                "The measurement file has no sample with {fields} of {values}.",
                fields=fields,
                values=given,
            )
        )
    return patches.reading(
        same,
        tr(
            "the samples with {fields} of {values}",
            fields=fields,
            values=" ".join(f"{v:g}" for v in wanted),
        ),
    )


def _found(patches: Patches, end: str) -> Reading:
    if patches.device is not None:
        same, words = _by_device(patches.device, patches.device_fields, end)
        if same.any():
            return patches.reading(same, words)
    lab = xyz_to_lab(patches.xyz)
    extreme = np.argmax(lab[:, 0]) if end == "white" else np.argmin(lab[:, 0])
    alike = delta_e_2000(lab, lab[extreme]) <= _ALIKE
    return patches.reading(
        alike,
        tr("the lightest of the file and those like it")
        if end == "white"
        else tr("the darkest of the file and those like it"),
    )


def _by_device(values: np.ndarray, fields: tuple[str, ...], end: str) -> tuple[np.ndarray, str]:
    if not values.any() and end == "white" and not fields[0].startswith("CMYK"):
        return np.zeros(len(values), bool), ""
    if fields[0].startswith("CMYK"):
        wanted = np.array((0, 0, 0, 0 if end == "white" else values.max()))
        words = tr("bare paper") if end == "white" else tr("black ink alone at full")
    else:
        wanted = np.full(values.shape[1], values.max() if end == "white" else 0)
        words = tr("bare paper") if end == "white" else tr("the device's black")
    return (np.abs(values - wanted) < 1e-6).all(axis=1), words

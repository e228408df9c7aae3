"""How much of a picture's detail is seen in the print: in the hand, at arm's length, across the room."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from workbench.analysis.crop import ppi_text
from workbench.analysis.eye import (
    ARM_MM,
    FINE_CONTRAST,
    HAND_MM,
    LUMINANCE_CD_M2,
    contrast_sensitivity,
    cycles_per_degree,
    distance_text,
    eye_limit_cycles_per_degree,
    eye_limit_ppi,
    sharp_from_mm,
)
from workbench.analysis.sheets import LARGEST_MM, MM_PER_INCH, positive
from workbench.analysis.spectrum import Spectrum, spectrum_of
from workbench.analysis.words import listed, percent
from workbench.decisions import DECISIONS, FARTHEST_MM, HIGHEST_PPI
from workbench.errors import SizeError
from workbench.language import tr
from workbench.picture.picture import Picture
from workbench.results import Result

ROOM = tr("across the room")
#: The places from which everybody looks; the third is the person's to set.
NEAR_PLACES = ((tr("in the hand"), HAND_MM), (tr("at arm's length"), ARM_MM))
# finest detail this much coarser than the pixels is worth a word
_SOFTER = 0.7


def places(viewing_distance_mm: float | None = None) -> tuple[tuple[str, float], ...]:
    """The three places with their distances in mm; None takes the usual one for the third."""
    room = (
        DECISIONS["viewing_distance_mm"].default
        if viewing_distance_mm is None
        else (viewing_distance_mm)
    )
    room = positive(room, tr("viewing distance"), unit="mm", at_most=FARTHEST_MM)
    return (*NEAR_PLACES, (ROOM, room))


def place_text(place: str, distance_mm: float, unit: str = "cm") -> str:
    """A place with its distance, such as "in the hand (30 cm)"."""
    return f"{place} ({distance_text(distance_mm, unit)})"


@dataclass(frozen=True)
class SeenFrom(Result):
    """What is seen of a print from one place.

    Attributes
    ----------
    place, distance_mm : in words, and from the eye to the print.
    eye_limit_cycles_per_degree : the finest detail of a contrast of 0.2 that the eye sees.
    eye_limit_ppi : the pixels per inch of paper that hold as much.
    picture_limit_cycles_per_degree : the finest that the printed pixels hold, seen from here.
    share_seen : of the contrast energy of the picture's detail, what lies above the eye's
        threshold, 0..1; 0 for a picture without detail.
    pixels_suffice : whether the pixels hold all that the eye resolves.
    """

    place: str
    distance_mm: float
    eye_limit_cycles_per_degree: float
    eye_limit_ppi: float
    picture_limit_cycles_per_degree: float
    share_seen: float
    pixels_suffice: bool


@dataclass(frozen=True)
class SeenDetail(Result):
    """How sharp a picture looks at a size: the answer of `seen_detail`.

    Attributes
    ----------
    ppi : the picture's own pixels per inch of paper.
    pixels_ppi : what of them the printer shows.
    detail_ppi : what the picture's measured detail fills of that; less where it is soft or was
        enlarged before.
    places : a `SeenFrom` for each distance: in the hand, at arm's length, across the room.
    sharp_from_mm : the closest distance from which the eye resolves no more than ``detail_ppi``;
        None for a picture without detail.
    spectrum : the picture's, as measured.
    """

    _drawn_by = "workbench.figures.seen:SeenFigure"

    ppi: float
    pixels_ppi: float
    detail_ppi: float
    places: tuple[SeenFrom, ...]
    sharp_from_mm: float | None
    spectrum: Spectrum = field(repr=False, compare=False)

    @property
    def shares(self) -> str:
        """What is seen from each place, such as "64 % in the hand, 38 % at arm's length, …"."""
        return ", ".join(f"{percent(each.share_seen)} {each.place}" for each in self.places)

    def from_text(self, unit: str = "cm") -> str:
        """Where it looks sharp, in three words."""
        if self.sharp_from_mm is None:
            return tr("no fine detail")
        return tr("from {distance} on", distance=distance_text(self.sharp_from_mm, unit))

    def verdict(self, unit: str = "cm") -> str:
        """Where it looks sharp, and where the eye would see more than there is."""
        if self.sharp_from_mm is None:
            return tr("The picture has no fine detail to be seen.")
        start = self.from_text(unit)
        soft = [each for each in self.places if each.distance_mm < self.sharp_from_mm * (1 - 1e-9)]
        if not soft:
            return tr("Sharp {start}: there is as much detail as the eye resolves.", start=start)
        if self.detail_ppi < self.pixels_ppi:
            short = tr("the picture's detail")
        else:
            short = tr("the printer shows") if self.pixels_ppi < self.ppi else tr("its pixels")
        where = listed([self._where(each, unit) for each in soft])
        if (far := self.places[-1]) in soft:
            return tr(
                "Soft {where}, where the eye resolves more than {short}; sharp {start}.",
                where=where,
                short=short,
                start=start,
            )
        return tr(
            "Soft {where}, where the eye resolves more than {short}; sharp {start}, and so {far}.",
            where=where,
            short=short,
            start=start,
            far=self._where(far, unit),
        )

    def sentences(self, unit: str = "cm") -> tuple[str, ...]:
        """Verdict, shares, a picture softer than its pixels, visitors, and the driver's ppi.

        Parameters
        ----------
        unit : "cm", "mm" or "in".
        """
        said = [self.verdict(unit)]
        if self.sharp_from_mm is None:
            return tuple(said)
        if self.detail_ppi < _SOFTER * self.pixels_ppi:
            said.append(
                tr(
                    "Its finest detail measures {ppi} ppi here and its pixels {pixels_ppi}: "
                    "it is soft, or was enlarged before.",
                    ppi=ppi_text(self.detail_ppi),
                    pixels_ppi=ppi_text(self.ppi),
                )
            )
        places = ", ".join(
            tr(
                "{ppi} ppi {where}",
                ppi=ppi_text(round(each.eye_limit_ppi)),
                where=self._where(each, unit),
            )
            for each in self.places
        )
        shares = listed([percent(each.share_seen) for each in self.places])
        said.append(
            tr(
                "The eye resolves {places}; of the contrast in the picture's fine detail it "
                "sees {shares} there.",
                places=places,
                shares=shares,
            )
        )
        if self.sharp_from_mm > HAND_MM:
            said.append(tr("Visitors step close: what is soft in the hand will be noticed."))
        said.append(
            tr(
                "300 or 360 ppi is what a printer's driver wants (common practice, no source), not what is seen."
            )
        )
        return tuple(said)

    @property
    def sentence(self) -> str:
        """All of that, with distances in centimetres and metres."""
        return " ".join(self.sentences())

    @staticmethod
    def _where(seen: SeenFrom, unit: str) -> str:
        return place_text(seen.place, seen.distance_mm, unit)


def seen_detail(
    picture: Picture,
    width_mm: float | None = None,
    *,
    ppi: float | None = None,
    viewing_distance_mm: float | None = None,
    printer_ppi: float | None = None,
) -> SeenDetail:
    """What of a picture's detail is seen in a print, from three distances.

    The picture's spectrum is measured once (`spectrum_of`); this reads it at a size.  A part
    of it counts as seen where the contrast of the octave around it, in its tile of the
    picture, reaches the eye's threshold (Barten 1999, see `workbench.analysis.eye`).  Ink and
    paper, which soften too, are left out.

    Parameters
    ----------
    picture : a Picture with a profile.
    width_mm : of the whole picture on paper; or
    ppi : the picture's pixels on an inch of paper, which serve for a crop as well.
    viewing_distance_mm : of the third place, across the room; 2 m by default.
    printer_ppi : the printer's own resolution; finer detail is averaged away.

    Returns
    -------
    A `SeenDetail`.

    Raises
    ------
    SizeError
        for numbers outside their range, or not exactly one of width and ppi.
    UntaggedPictureError, PictureError
        for a picture without a profile, or one that cannot be read.

    Examples
    --------
    >>> seen = wb.seen_detail(picture, 2000)
    >>> [each.pixels_suffice for each in seen.places]
    [False, False, False]
    >>> wb.seen_detail(picture, 30).places[2].pixels_suffice
    True
    """
    if (width_mm is None) == (ppi is None):
        raise SizeError(tr("Give the width of the print or the picture's ppi: one of the two."))
    if ppi is None:
        width_mm = positive(width_mm, tr("width"), unit="mm", at_most=LARGEST_MM)
        ppi = picture.width_px / width_mm * MM_PER_INCH
    return seen_at(spectrum_of(picture), ppi, viewing_distance_mm, printer_ppi)


def seen_at(
    spectrum: Spectrum,
    ppi: float,
    viewing_distance_mm: float | None = None,
    printer_ppi: float | None = None,
) -> SeenDetail:
    """As `seen_detail`, of a measured spectrum; quick enough to follow a slider."""
    given = DECISIONS["printer_ppi"].default if printer_ppi is None else printer_ppi
    printer_ppi = positive(given, tr("printer's resolution"), unit="ppi", at_most=HIGHEST_PPI)
    ppi = positive(ppi, tr("resolution"), unit="ppi", at_most=HIGHEST_PPI)
    pixels_ppi = min(ppi, printer_ppi)
    detail_ppi = min(pixels_ppi, 2 * spectrum.finest * ppi)
    # what the printer cannot show is averaged away
    printed = spectrum.frequencies * ppi <= printer_ppi * np.sqrt(0.5)
    total = spectrum.power.sum()
    limit = eye_limit_cycles_per_degree(FINE_CONTRAST, LUMINANCE_CD_M2)
    found = []
    for place, distance_mm in places(viewing_distance_mm):
        seen = (thresholds(spectrum, ppi, distance_mm) >= 1) & printed
        resolved = eye_limit_ppi(distance_mm)
        found.append(
            SeenFrom(
                place=place,
                distance_mm=distance_mm,
                eye_limit_cycles_per_degree=limit,
                eye_limit_ppi=resolved,
                picture_limit_cycles_per_degree=float(
                    cycles_per_degree(pixels_ppi / 2 / MM_PER_INCH, distance_mm)
                ),
                share_seen=float(spectrum.power[seen].sum() / total) if total else 0.0,
                pixels_suffice=pixels_ppi >= resolved * (1 - 1e-9),
            )
        )
    return SeenDetail(
        ppi=ppi,
        pixels_ppi=pixels_ppi,
        detail_ppi=detail_ppi,
        places=tuple(found),
        sharp_from_mm=sharp_from_mm(detail_ppi) if detail_ppi else None,
        spectrum=spectrum,
    )


def thresholds(spectrum: Spectrum, ppi: float, distance_mm: float) -> np.ndarray:
    """(tiles, bins) contrast as a multiple of what the eye needs to see it: from 1 on it does."""
    fineness = cycles_per_degree(spectrum.frequencies * ppi / MM_PER_INCH, distance_mm)
    return spectrum.modulation * contrast_sensitivity(fineness)

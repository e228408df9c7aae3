"""Papers side by side for one picture, in figures that can each be traced to a function."""

from __future__ import annotations

from dataclasses import dataclass, field

from workbench.analysis.black import BlackPoint, black_point
from workbench.analysis.gamut import GamutReport, gamut_report
from workbench.analysis.white import (
    OFFICE_SHEET,
    Highlights,
    PaperWhite,
    highlights,
    paper_white,
)
from workbench.analysis.words import percent
from workbench.errors import WorkbenchError


@dataclass(frozen=True, eq=False)
class PaperRow:
    """One paper's answers for the picture, from the functions of the same names."""

    paper: object = field(repr=False)
    name: str
    gamut: GamutReport = field(repr=False)
    white: PaperWhite = field(repr=False)
    highlights: Highlights = field(repr=False)
    black: BlackPoint = field(repr=False)

    @property
    def reason(self) -> str:
        """Why the paper stands where it stands, in one sentence."""
        held = percent(1 - self.gamut.share_outside)
        merged = self.black.merged_levels
        return (
            f"Holds {held} of this picture's colours; its black has density "
            f"{self.black.black_density:.2f} and merges {merged} shadow levels; "
            f"its white is {self.white.seen_tint} beside an office sheet."
        )


@dataclass(frozen=True, eq=False)
class Comparison:
    """Papers in order for this picture: the smallest mean colour shift first.

    The order is `GamutReport.mean_shift`, the mean CIEDE2000 from picture to print over
    all pixels; nothing is weighted or hidden.
    """

    rows: tuple[PaperRow, ...]

    def table(self) -> list[dict]:
        """One dictionary a row, for printing or for a data frame."""
        return [
            {
                "paper": row.name,
                "share_outside": row.gamut.share_outside,
                "mean_shift": row.gamut.mean_shift,
                "shift_95": row.gamut.shift_percentiles[95],
                "white_lab": row.white.white_lab,
                "tint": row.white.tint,
                "black_density": row.black.black_density,
                "contrast_ratio": row.black.contrast_ratio,
                "stops": row.black.stops,
                "merged_levels": row.black.merged_levels,
                "share_highlights": row.highlights.share,
                "gamut_volume": row.paper.gamut_volume,
                "reason": row.reason,
            }
            for row in self.rows
        ]


def compare(
    picture,
    papers,
    *,
    intent: str = "relative",
    black_point_compensation: bool = True,
    threshold: float = 2.0,
    reference=OFFICE_SHEET,
) -> Comparison:
    """Compare papers for a picture, best first.

    Counts the whole picture by the cells of its census, so that six papers take little
    more than one.

    Raises
    ------
    WorkbenchError
        without any paper.
    """
    papers = list(papers)
    if not papers:
        raise WorkbenchError("There is no paper to compare; give at least one.")
    how = {"intent": intent, "black_point_compensation": black_point_compensation}
    rows = [
        PaperRow(
            paper=paper,
            name=paper.name,
            gamut=gamut_report(picture, paper, threshold=threshold, exact=False, **how),
            white=paper_white(paper, reference=reference),
            highlights=highlights(picture, paper, reference=reference, **how),
            black=black_point(paper, picture, **how),
        )
        for paper in papers
    ]
    return Comparison(tuple(sorted(rows, key=lambda row: row.gamut.mean_shift)))

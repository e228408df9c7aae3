"""The job sheet: one page that says how to print a file, and what to expect of the print."""

from __future__ import annotations

from dataclasses import dataclass

from workbench.language import tr
from workbench.output import job_facts
from workbench.output.checklist import checklist_for
from workbench.output.job_facts import Group
from workbench.output.solved import Solved, solve
from workbench.planned import Planned

FOOTNOTE = tr(
    "Figures are worked out from the paper's profile, not measured on this print. "
    "Drying, care and advice on drivers: common practice, no source."
)


@dataclass(frozen=True)
class JobSheet:
    """What stands on a job sheet.

    Attributes
    ----------
    title : of the picture.
    subtitle : size and paper.
    groups : rows of (label, value) under headings; the first holds what has to be set at
        the printer.
    checksums : (label, SHA-256) of the print file and of the paper's profile.
    checklist : what to do in the printer driver's dialog, in general words, in order.
    cautions : what stands in the way of a good print; often none.
    notes : the person's own.
    footnote : what the figures are worth.
    """

    title: str
    subtitle: str
    groups: tuple[Group, ...]
    checksums: tuple[tuple[str, str], ...]
    checklist: tuple[str, ...]
    cautions: tuple[str, ...]
    notes: str
    footnote: str = FOOTNOTE

    @property
    def rows(self) -> tuple[tuple[str, str], ...]:
        """Every (label, value) in order, whatever its group, the checksums last."""
        return (*(row for group in self.groups for row in group.rows), *self.checksums)

    def value(self, label: str) -> str | None:
        """What stands beside a label; None where there is no such row."""
        return dict(self.rows).get(label)

    def html(self, small_picture: bytes | None = None) -> str:
        """The sheet as one page of HTML that needs no other file and prints on one page.

        Parameters
        ----------
        small_picture : a PNG or JPEG file to show, see `workbench.output.small_picture`.
        """
        from workbench.output.job_page import page

        return page(self, small_picture)


def job_sheet(plan: Planned | Solved, written=None) -> JobSheet:
    """The job sheet of a plan.

    Parameters
    ----------
    plan : a Plan, or what it was `solve`d to.
    written : the `WrittenFile`, for its checksum and its difference from the proof; without
        it the sheet says that the file has not been written.

    Returns
    -------
    A JobSheet: rows of (label, value), in groups, and the steps at the printer.

    Raises
    ------
    OutputError, SizeError, ProfileError, PictureError, UntaggedPictureError
        for a plan that does not add up.

    Examples
    --------
    >>> sheet = wb.job_sheet(plan)
    >>> "Paper" in dict(sheet.rows)
    True
    """
    solved = solve(plan)
    return JobSheet(
        title=job_facts.title_of(solved.job),
        subtitle=job_facts.subtitle_of(solved),
        groups=job_facts.groups_of(solved, written),
        checksums=job_facts.checksums_of(solved.job, written),
        checklist=checklist_for(solved),
        cautions=job_facts.cautions_of(solved, written),
        notes=solved.notes,
    )

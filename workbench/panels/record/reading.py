"""Reading the record for its panel: what is asked for, and what was found."""

from __future__ import annotations

from dataclasses import dataclass, replace

from workbench.language import tr
from workbench.record import InkUse, PrintNote, Record, open_record

PAGE = 100


@dataclass(frozen=True)
class Asked:
    """What the list is to show; ``paper`` None for all, ``offset`` from the newest."""

    text: str = ""
    paper: str | None = None
    removed: bool = False
    offset: int = 0

    @property
    def narrowed(self) -> bool:
        """Whether only some of the prints are asked for."""
        return bool(self.text.strip()) or self.paper is not None

    @property
    def filters(self) -> dict:
        """As `Record.search` takes them."""
        return {"text": self.text, "paper": self.paper, "removed": self.removed}


@dataclass(frozen=True, eq=False)
class Held:
    """What the record said at one moment.

    Attributes
    ----------
    asked : what the list shows, the offset brought inside.
    notes : the list, the newest first.
    count : how many prints answer in all.
    total, last : of all prints kept, and the newest of them.
    papers : names of the papers printed on.
    ink, ink_of : what prints took, and which ones these are, in words.
    next_number : of the edition, or None where all of it is printed.
    begun : whether there is a file yet.
    """

    asked: Asked
    notes: tuple[PrintNote, ...]
    count: int
    total: int
    last: PrintNote | None
    papers: tuple[str, ...]
    ink: InkUse | None
    ink_of: str
    next_number: int | None
    begun: bool


def read(wanted: tuple, cancelled=None, progress=None) -> Held:
    """Read all that the panel shows.

    Parameters
    ----------
    wanted : (record, `Asked`, picture, paper, size of the edition or None, which time it is).

    Raises
    ------
    RecordError
        where it cannot be read.
    """
    record, asked, picture, paper, edition_of, _ = wanted
    open_record(record.path)
    count = record.count(**asked.filters)
    if asked.offset >= count:
        # the last page that there is
        asked = replace(asked, offset=max(0, (count - 1) // PAGE * PAGE))
    newest = record.search(limit=1)
    ink, ink_of = ink_known(record, paper)
    return Held(
        asked=asked,
        notes=record.search(**asked.filters, limit=PAGE, offset=asked.offset),
        count=count,
        total=record.count(),
        last=newest[0] if newest else None,
        papers=record.papers(),
        ink=ink,
        ink_of=ink_of,
        next_number=1 if picture is None else record.next_edition_number(picture, edition_of),
        begun=record.begun,
    )


def ink_known(record: Record, paper) -> tuple[InkUse | None, str]:
    """What prints took on this paper and printer, else on this paper, else on any."""
    if paper is not None:
        printer = getattr(paper, "printer", None)
        if printer and (use := record.ink_ml_per_m2(paper, printer)):
            return use, tr("on {paper} with {printer}", paper=paper.name, printer=printer)
        if use := record.ink_ml_per_m2(paper):
            return use, tr("on {paper}", paper=paper.name)
    return record.ink_ml_per_m2(), tr("on all papers together")

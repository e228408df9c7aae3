"""The panels of the workbench and the stages they stand in: the one place where each is registered.

Desk, public doors, README's table and the tests follow from these lists.  To add a panel:
write ``panels/NAME/panel.py`` with a class of `workbench.panels.panel.Panel`, and add a
line here, in the stage of the work that it belongs to.
"""

from __future__ import annotations

from dataclasses import dataclass
from importlib import import_module

from workbench.language import tr


@dataclass(frozen=True)
class Stage:
    """A part of the work, in the order in which it is done.

    Attributes
    ----------
    name : its word in code.
    title : its word on the desk.
    question : that is settled in it.
    opens : the panel, or page of the desk, that it opens on.
    """

    name: str
    title: str
    question: str
    opens: str


STAGES: dict[str, Stage] = {
    stage.name: stage
    for stage in (
        Stage("picture", tr("Picture"), tr("What is to be printed, and how large?"), "file"),
        Stage(
            "paper",
            tr("Paper"),
            tr("On which paper, and what does it do to the picture?"),
            "compare",
        ),
        Stage("proof", tr("Proof"), tr("How will it look, in which light?"), "screen"),
        Stage("print", tr("Print"), tr("What goes to the printer?"), "print_file"),
        Stage("keep", tr("Keep"), tr("How did it come out, and what is kept of it?"), "judge"),
    )
}


@dataclass(frozen=True)
class Entry:
    """A panel.

    Attributes
    ----------
    name : its folder here, and its public door ``wb.<name>_panel``.
    title : on the desk.
    question : that it answers.
    shows : what it shows, for README.
    kind : name of its class.
    stage : the name of the stage that it stands in; panels stand there in their order here.
    takes : what its public door begins with: "picture", "paper" or "papers".
    """

    name: str
    title: str
    question: str
    shows: str
    kind: str
    stage: str
    takes: tuple[str, ...] = ("picture", "paper")

    @property
    def door(self) -> str:
        """The name of its public function."""
        return f"{self.name}_panel"

    def load(self) -> type:
        """The panel's class; its folder is imported at the first call."""
        return getattr(import_module(f"workbench.panels.{self.name}.panel"), self.kind)


_ALL = (
    Entry(
        "size", tr("Size"), tr("How large, how sharp, on which sheet?"),
        "pixels, ppi, size and viewing distance, each solved from the others; sheets and rolls to scale; crop; resampling",
        "SizePanel", "picture",
    ),
    Entry(
        "compare", tr("Side by side"), tr("Which of my papers for this picture?"),
        "the best of each property; an order by what you say matters; one linked view; export",
        "ComparePanel", "paper", ("picture", "papers"),
    ),
    Entry(
        "gamut", tr("Gamut"), tr("What can this paper not hold?"),
        "how much of the picture is out of gamut, where, how far, which colours and why; slices and a solid of the paper's gamut",
        "GamutPanel", "paper",
    ),
    Entry(
        "white", tr("Paper white"), tr("What does its white do to the highlights?"),
        "tint beside a whiter sheet or adapted to; highlights on several papers",
        "WhitePanel", "paper",
    ),
    Entry(
        "black", tr("Black point"), tr("What does its black do to the shadows?"),
        "density, contrast, tone curves, levels that merge; shadows on two papers",
        "BlackPanel", "paper",
    ),
    Entry(
        "surface", tr("Surface"), tr("What does a lamp show of its surface?"),
        "the print on up to six papers under a lamp that you drag, at true size, in print pixels or as a whole; your own sheet, measured with a camera",
        "SurfacePanel", "paper", ("picture", "papers"),
    ),
    Entry(
        "shelf", tr("Shelf"), tr("Which papers do I have?"),
        "your shelf, kept as a plain text file; finding profiles on this computer",
        "ShelfPanel", "paper", (),
    ),
    Entry(
        "screen", tr("Screen and light"), tr("Why does the print look darker?"),
        "the luminance that matches your light, glass and wall; the standards beside it; a check sheet",
        "ScreenPanel", "proof",
    ),
    Entry(
        "proof", tr("Soft proof"), tr("How will it look, and which intent suits it?"),
        "picture and print with a divider, differences, what paper and display cannot show, a close look, a table of intents",
        "ProofPanel", "proof",
    ),
    Entry(
        "place", tr("On its wall"), tr("What does the place do to the print?"),
        "the print as judged, as it will hang, and with a tone curve and chroma that make up for its place, to print with; the light by a photographed card",
        "PlacePanel", "proof",
    ),
    Entry(
        "what_if", tr("What if"), tr("What does each property do by itself?"),
        "a model paper with knobs for white, black and saturation",
        "WhatIfPanel", "proof",
    ),
    Entry(
        "strip", tr("Test strip"), tr("How much lighter, how much warmer?"),
        "telling parts of the picture at final scale in labelled steps on a small sheet, and for its place beside the plain print; several prints nested on one sheet",
        "StripPanel", "print",
    ),
    Entry(
        "print_file", tr("Print file"), tr("What exactly goes to the printer?"),
        "pixels and place on the paper to scale; who converts; sharpening before and after at print pixels; adjustments to accept; the file, read back and checked; job sheet; plan",
        "PrintFilePanel", "print",
    ),
    Entry(
        "judge", tr("Judging by eye"), tr("What is wrong with this print, and what do I change?"),
        "a short form for the dried print beside the screen, likely causes and one change at a time; a patch that shows whether colours were converted twice or not at all; a step wedge read by eye over the months",
        "JudgePanel", "keep",
    ),
    Entry(
        "target", tr("Target"), tr("Did the print come out as planned?"),
        "a target for this paper; measurements or a scan read back; limits with their sources, where it is off, what to check first; drift since last time",
        "TargetPanel", "keep", ("paper",),
    ),
    Entry(
        "record", tr("Record"), tr("What did I print, how did it come out, what did it cost?"),
        "your prints, to search, change or start again from; price of paper and ink; a table for a spreadsheet",
        "RecordPanel", "keep", (),
    ),
)  # fmt: skip

#: name -> its entry, stage by stage, in the order of the desk
PANELS: dict[str, Entry] = {entry.name: entry for entry in _ALL}
#: public door -> its entry
DOORS: dict[str, Entry] = {entry.door: entry for entry in _ALL}


# the one page that is not a panel: it opens what the others are about
_FILE_ROW = (
    "| Picture | File | What does the file say? | open a picture by path, by browsing, or by "
    "dragging it onto the desk; what its file says; the question that a picture without a "
    "profile asks |"
)


def page_title(page: str) -> str:
    """What a page of the desk is called: a panel's, or "file"; what is on none has no title."""
    return PANELS[page].title if page in PANELS else tr("File") if page else ""


def readme_table() -> str:
    """README's table of the panels, in Markdown."""
    rows = [_FILE_ROW] + [
        f"| {STAGES[each.stage].title} | {each.title} | {each.question} | {each.shows} |"
        for each in _ALL
    ]
    return "\n".join(["| stage | panel | asks | shows |", "|---|---|---|---|", *rows])

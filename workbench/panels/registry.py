"""The panels of the workbench: the one place where each is registered.

Desk, public doors, README's table and the tests follow from this list.  To add a panel:
write ``panels/NAME/panel.py`` with a class of `workbench.panels.panel.Panel`, and add a
line here.
"""

from __future__ import annotations

from dataclasses import dataclass
from importlib import import_module


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
    takes : what its public door begins with: "picture", "paper" or "papers".
    """

    name: str
    title: str
    question: str
    shows: str
    kind: str
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
        "size", "Size", "How large, how sharp, on which sheet?",
        "pixels, ppi, size and viewing distance, each solved from the others; sheets and rolls to scale; crop; resampling",
        "SizePanel",
    ),
    Entry(
        "gamut", "Gamut", "What can this paper not hold?",
        "how much of the picture is out of gamut, where, how far, which colours and why; slices and a solid of the paper's gamut",
        "GamutPanel",
    ),
    Entry(
        "white", "Paper white", "What does its white do to the highlights?",
        "tint beside a whiter sheet or adapted to; highlights on several papers",
        "WhitePanel",
    ),
    Entry(
        "black", "Black point", "What does its black do to the shadows?",
        "density, contrast, tone curves, levels that merge; shadows on two papers",
        "BlackPanel",
    ),
    Entry(
        "proof", "Proof", "How will it look, and which intent suits it?",
        "picture and print with a divider, differences, what paper and display cannot show, a close look, a table of intents",
        "ProofPanel",
    ),
    Entry(
        "compare", "Side by side", "Which of my papers for this picture?",
        "papers in an order you weight, every figure with its reason; one linked view; export",
        "ComparePanel", ("picture", "papers"),
    ),
    Entry(
        "shelf", "Papers", "Which papers do I have?",
        "your shelf, kept as a plain text file; finding profiles on this computer",
        "ShelfPanel", (),
    ),
    Entry(
        "what_if", "What if", "What does each property do by itself?",
        "a model paper with knobs for white, black and saturation",
        "WhatIfPanel",
    ),
    Entry(
        "screen", "Screen and light", "Why does the print look darker?",
        "the luminance that matches your light, glass and wall; the standards beside it; a check sheet",
        "ScreenPanel",
    ),
    Entry(
        "strip", "Test strip", "How much lighter, how much warmer?",
        "telling parts of the picture at final scale in labelled steps on a small sheet; several prints nested on one sheet",
        "StripPanel",
    ),
    Entry(
        "print_file", "Print file", "What exactly goes to the printer?",
        "pixels and place on the paper to scale; who converts; sharpening before and after at print pixels; adjustments to accept; the file, read back and checked; job sheet; plan",
        "PrintFilePanel",
    ),
    Entry(
        "judge", "Judging by eye", "What is wrong with this print, and what do I change?",
        "a short form for the dried print beside the screen, likely causes and one change at a time; a patch that shows whether colours were converted twice or not at all; a step wedge read by eye over the months",
        "JudgePanel",
    ),
    Entry(
        "target", "Target", "Did the print come out as planned?",
        "a target for this paper; measurements or a scan read back; limits with their sources, where it is off, what to check first; drift since last time",
        "TargetPanel", ("paper",),
    ),
    Entry(
        "record", "Record", "What did I print, how did it come out, what did it cost?",
        "your prints, to search, change or start again from; price of paper and ink; a table for a spreadsheet",
        "RecordPanel", (),
    ),
)  # fmt: skip

#: name -> its entry, in the order of the desk
PANELS: dict[str, Entry] = {entry.name: entry for entry in _ALL}
#: public door -> its entry
DOORS: dict[str, Entry] = {entry.door: entry for entry in _ALL}


def readme_table() -> str:
    """README's table of the panels, in Markdown."""
    rows = [f"| {each.title} | {each.question} | {each.shows} |" for each in _ALL]
    return "\n".join(["| panel | asks | shows |", "|---|---|---|", *rows])

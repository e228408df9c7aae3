"""What a finished file goes through before it is kept: read back, checked, summed, told of."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from workbench.analysis.crop import ppi_text
from workbench.analysis.sheets import area_text
from workbench.colour.profile import read_profile
from workbench.errors import OutputError
from workbench.files import trouble
from workbench.files.text import clean_text
from workbench.language import tr
from workbench.output.check import Check, Found, check_facts, read_back
from workbench.output.formats import FileSpec
from workbench.output.layout import Layout


def found_as_planned(
    path: Path,
    spec: FileSpec,
    layout: Layout,
    fingerprint: int,
    cancelled: Callable[[], bool] | None = None,
    *,
    what: str = "print file",
) -> tuple[Found, tuple[Check, ...]]:
    """What an independent reader found in the file, and the checks, all of them passed.

    Parameters
    ----------
    fingerprint : of the pixels that were written.
    what : the file is, for the sentence: "print file" or "sheet".

    Raises
    ------
    OutputError
        if it cannot be read or is not as planned.
    Cancelled
    """
    try:
        found = read_back(path, spec.kind, layout, cancelled)
    except OSError as problem:
        raise OutputError(trouble(problem, path)) from problem
    checks = tuple(check_facts(found, spec, layout, fingerprint))
    wrong = [check.sentence for check in checks if not check.passed]
    if wrong:
        raise OutputError(
            tr(
                "The sheet was not as planned when it was read back and is not kept: {listed} "
                "Try again, on another disk if it happens twice.",
                listed=" ".join(wrong),
            )
            if what == "sheet"
            else tr(
                "The print file was not as planned when it was read back and is not kept: {listed} "
                "Try again, on another disk if it happens twice.",
                listed=" ".join(wrong),
            )
        )
    return found, checks


def profile_name(profile: bytes) -> str:
    """What a profile calls itself, or that it does not."""
    return read_profile(profile).description or tr("profile without a name")


def size_sentence(target: Path, layout: Layout) -> str:
    """The file's name, pixels, size and resolution."""
    size = area_text(layout.width_mm, layout.height_mm, "mm")
    return tr(
        "“{file}”: {width:,} × {height:,} pixels, {size} at {ppi} ppi.",
        file=clean_text(target.name),
        width=layout.width_px,
        height=layout.height_px,
        size=size,
        ppi=ppi_text(layout.ppi),
    )

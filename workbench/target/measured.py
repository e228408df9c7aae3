"""Reading what was measured of a target, and putting it in the target's own order."""

from __future__ import annotations

import itertools
import os
import re
from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np

from workbench.colour.cgats import CgatsTable
from workbench.colour.difference import delta_e_2000
from workbench.colour.lab import xyz_to_lab
from workbench.errors import TargetError
from workbench.files.text import clean_text
from workbench.language import tr
from workbench.readings import Patches, file_label, read_patches
from workbench.target.patches import COLUMNS, Target

_COLUMNS_OF_NAMES = ("SAMPLE_ID", "SAMPLE_NAME", "SAMPLE_LOC", "LOC")
_PLACE = re.compile(r"([A-Z]{1,2})[\s_-]?0*([0-9]+)")
_SHOWN = 8
_UNNAMED = tr("Measurements")
# mean CIEDE2000 from which the order of the rows is doubted
_DOUBT = 15.0


@dataclass(frozen=True, eq=False)
class Measured:
    """What was measured of a target, a row for each of its patches.

    Attributes
    ----------
    name : of the file.
    target : the `Target` that it was read for.
    lab : (n, 3) absolute Lab, D50, 2 degrees; repeated measurements averaged in XYZ.
    matched_by : the file's column that told the patches, or "order".
    readings : how many readings each patch is the mean of; 1 where they differ.
    scatter, largest_scatter : mean and largest CIEDE2000 of single readings from their
        patch's mean; 0 for single readings.
    stated : what it was measured as, such as "Lab, D50, 2°" or "spectra".
    condition : measurement condition of ISO 13655, "M0" to "M3"; None where not named.
    notes : sentences on what had to be decided.
    caveat : why this is not a measurement; empty where it is one.
    """

    name: str
    target: Target = field(repr=False)
    lab: np.ndarray = field(repr=False)
    matched_by: str
    readings: int
    scatter: float
    largest_scatter: float
    stated: str
    condition: str | None = None
    notes: tuple[str, ...] = ()
    caveat: str = ""


def read_measured(
    source: bytes | str | os.PathLike,
    target: Target,
    *,
    illuminant: str | None = None,
    observer_deg: int | None = None,
    name: str = "",
) -> Measured:
    """Measurements of a target: CGATS.17 or ISO 28178 text with spectra, Lab or XYZ.

    Parameters
    ----------
    source : path of the file, or its bytes.
    target : the `Target` that was printed.
    illuminant, observer_deg : of Lab and XYZ where the file does not state them; only
        "D50" and 2 can be compared with the target.
    name : what to call the measurements; by default the file's name.

    Patches are found by their ids or names; where the file has neither, by their order (that
    of the rows' numbers, where they have some), if there are as many rows as patches or a
    whole number of times as many.

    Returns
    -------
    Measured: a Lab for each patch.

    Raises
    ------
    TargetError
        if patches are missing or cannot be told, or the values are for another light.
    PaperError
        if the file is not a measurement file, or does not say what light its values are for.

    Examples
    --------
    >>> from workbench.target.cgats_file import reference_text
    >>> target = wb.target_for(papers[0])
    >>> same = wb.read_measured(reference_text(target).encode(), target)
    >>> wb.verdict(same, target).passed
    True
    """
    patches = read_patches(source, illuminant=illuminant, observer_deg=observer_deg)
    if patches.estimated:
        raise TargetError(
            tr(
                "The file's values are for another light or observer ({stated}) than the "
                "target's reference, D50 and 2°; export them for D50 and 2°, or as spectra.",
                stated=patches.stated,
            )
        )
    notes: list[str] = []
    rows, matched_by = _matched(patches, target, notes)
    light, scatter, readings = _averaged(patches.xyz, rows)
    if matched_by == "order":
        notes.insert(0, tr("The file names no patch of this target; its rows are taken in order."))
    unnamed = isinstance(source, (bytes, bytearray, memoryview))
    return Measured(
        name=clean_text(name) or (_UNNAMED if unnamed else file_label(source)),
        target=target,
        lab=xyz_to_lab(light),
        matched_by=matched_by,
        readings=readings,
        scatter=float(scatter.mean()),
        largest_scatter=float(scatter.max()),
        stated=patches.stated,
        condition=patches.condition,
        notes=tuple(notes),
    )


def _key(text: str) -> str:
    """A patch's id or name without what programs change about it: "a01" is "A1"."""
    text = clean_text(text).strip().upper()
    if match := _PLACE.fullmatch(text):
        return f"{match[1]}{match[2]}"
    return text


def _matched(patches: Patches, target: Target, notes: list[str]):
    """Rows of the file for each patch, and the column that told them."""
    table = patches.table
    wanted: dict[str, int] = {}
    for index, both in enumerate(zip(target.ids, target.names, strict=True)):
        for text in both:
            wanted[_key(text)] = index
    best = ""
    found: dict[int, list[int]] = {}
    for column in _COLUMNS_OF_NAMES:
        if not table.has(column):
            continue
        here: dict[int, list[int]] = {}
        for row, text in enumerate(table.text(column)):
            patch = wanted.get(_key(text))
            if patch is not None:
                here.setdefault(patch, []).append(row)
        if len(here) > len(found):
            best, found = column, here
    count = len(target)
    # single names may fit by chance, such as "Black"
    if len(found) > count // 4:
        missing = [target.ids[i] for i in range(count) if i not in found]
        if missing:
            raise TargetError(
                tr(
                    "The measurements lack {missing} of the target's {count} patches: {listed}. "
                    "Measure these too, or check that it is this target.",
                    missing=len(missing),
                    count=count,
                    listed=_listed(missing),
                )
            )
        more = len(table.rows) - sum(map(len, found.values()))
        if more:
            notes.append(
                tr("1 row of the file is not a patch of this target; not used.")
                if more == 1
                else tr(
                    "{count} rows of the file are not patches of this target; not used.",
                    count=more,
                )
            )
        return [found[i] for i in range(count)], best
    order = _numbered(table)
    if order != list(range(len(order))):
        notes.append(tr("The rows do not stand in the order of their numbers; these are followed."))
    return [[order[row] for row in rows] for rows in _by_order(patches, order, target, notes)], (
        "order"
    )


def _numbered(table: CgatsTable) -> list[int]:
    """Rows in the order of their SAMPLE_ID where these number them, sheet after sheet."""
    every = list(range(len(table.rows)))
    ids = table.text("SAMPLE_ID") if table.has("SAMPLE_ID") else ()
    if not ids or not all(text.isascii() and text.isdigit() and len(text) < 7 for text in ids):
        return every
    numbers = [int(text) for text in ids]
    met: dict[int, Iterator[int]] = {}
    sheet = [next(met.setdefault(n, itertools.count())) for n in numbers]
    if sorted(met) != list(range(1, len(met) + 1)) or len(ids) % len(met):
        return every
    return sorted(every, key=lambda row: (sheet[row], numbers[row]))


def _by_order(patches: Patches, order, target: Target, notes: list[str]) -> list[list[int]]:
    count, rows = len(target), len(patches.xyz)
    if rows % count:
        raise TargetError(
            tr(
                "The file names none of the target's patches, and has {rows} rows where the "
                "target has {count} patches, so they cannot be told apart. Measure all "
                "{count}, or export the names (A1, A2 …) too.",
                rows=rows,
                count=count,
            )
        )
    across = [list(range(i, rows, count)) for i in range(count)]
    # some instruments go down the columns
    lines = -(-count // COLUMNS)
    down_first = (
        np.arange(count).reshape(lines, COLUMNS).T.ravel() if lines * COLUMNS == count else ()
    )
    lab = xyz_to_lab(patches.xyz[order[:count]])
    away = float(delta_e_2000(lab, target.reference_lab).mean())
    if away > _DOUBT and len(down_first):
        place = np.argsort(down_first)
        if delta_e_2000(lab[place], target.reference_lab).mean() < away / 2:
            notes.append(
                tr("The rows fit the target much better taken column by column, so they are.")
            )
            return [[int(place[i]) + n for n in range(0, rows, count)] for i in range(count)]
    if away > _DOUBT:
        notes.append(
            tr(
                "In this order the rows are {away:.0f} CIEDE2000 away from the target on "
                "average: check that they were measured row by row from A1.",
                away=away,
            )
        )
    return across


def _averaged(xyz: np.ndarray, rows: list[list[int]]):
    """Mean XYZ of each patch, CIEDE2000 of each single reading from it, readings a patch."""
    light = np.array([xyz[where].mean(axis=0) for where in rows])
    scatter = np.concatenate(
        [
            delta_e_2000(xyz_to_lab(xyz[where]), xyz_to_lab(mean)[None])
            if len(where) > 1
            else np.zeros(1)
            for where, mean in zip(rows, light, strict=True)
        ]
    )
    counts = {len(where) for where in rows}
    return light, scatter, counts.pop() if len(counts) == 1 else 1


def _listed(ids) -> str:
    ids = list(ids)
    return ", ".join(ids[:_SHOWN]) + (" …" if len(ids) > _SHOWN else "")

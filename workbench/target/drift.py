"""How far a printer has drifted between two measurements of the same target."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from workbench.colour.difference import delta_e_2000
from workbench.errors import TargetError
from workbench.language import tr
from workbench.target.measured import Measured
from workbench.target.patches import WHITE, patch_label
from workbench.target.shifts import (
    SMALL_CHROMA,
    Shift,
    black_density,
    chroma_shift,
    zone_sentences,
    zone_shifts,
)

# below it two measurements of a steady printer differ too (common practice, no source)
_STEADY = 1.0
_MOVED = 2.0


@dataclass(frozen=True, eq=False)
class Drift:
    """From an earlier measurement to a later one, both in absolute Lab.

    Attributes
    ----------
    now_name, before_name : of the files.
    difference : (n,) CIEDE2000 of each patch.
    mean, percentile_95, worst : of them.
    worst_name : of the patch that moved most, with its id.
    white : CIEDE2000 of the bare paper.
    black_density_change : now minus before, in absolute visual density.
    shifts : of the greys, now minus before.
    chroma : mean change of C*ab of the coloured patches.
    sentence : in one sentence.
    sentences : where it went.
    """

    now_name: str
    before_name: str
    difference: np.ndarray = field(repr=False)
    mean: float
    percentile_95: float
    worst: float
    worst_name: str
    white: float
    black_density_change: float
    shifts: tuple[Shift, ...]
    chroma: float
    sentence: str
    sentences: tuple[str, ...]


def drift(now: Measured, before: Measured) -> Drift:
    """What changed between two measurements of a target.

    Parameters
    ----------
    now, before : read for the same target.

    Returns
    -------
    A Drift: how far each patch has moved.

    Raises
    ------
    TargetError
        if they are of different targets, or one is a scan and the other is not.

    Examples
    --------
    >>> from workbench.target.cgats_file import reference_text
    >>> target = wb.target_for(papers[0])
    >>> same = wb.read_measured(reference_text(target).encode(), target)
    >>> wb.drift(same, same).mean
    0.0
    """
    target, theirs = now.target, before.target
    if (target.ids, target.names) != (theirs.ids, theirs.names):
        raise TargetError(tr("Only measurements of the same target can be compared over time."))
    if bool(now.caveat) != bool(before.caveat):
        raise TargetError(
            tr("A scan cannot be compared with a measurement; compare two of the same kind.")
        )
    difference = delta_e_2000(before.lab, now.lab)
    worst = int(np.argmax(difference))
    shifts = zone_shifts(target, now.lab, before.lab)
    chroma = chroma_shift(target, now.lab, before.lab)
    change = black_density(target, now.lab) - black_density(target, before.lab)
    mean = float(difference.mean())
    worst_name = f"{patch_label(target.names[worst])} ({target.ids[worst]})"
    return Drift(
        now_name=now.name,
        before_name=before.name,
        difference=difference,
        mean=mean,
        percentile_95=float(np.percentile(difference, 95)),
        worst=float(difference[worst]),
        worst_name=worst_name,
        white=float(difference[target.index(WHITE)]),
        black_density_change=change,
        shifts=shifts,
        chroma=chroma,
        sentence=_sentence(mean, float(difference[worst]), worst_name, before.name),
        sentences=_sentences(shifts, chroma, change),
    )


def _sentence(mean: float, worst: float, worst_name: str, before: str) -> str:
    if mean < _STEADY:
        how = tr("The printer is steady")
    elif mean < _MOVED:
        how = tr("The printer has drifted a little")
    else:
        how = tr("The printer has drifted clearly")
    return tr(
        "{how}: since “{before}” the patches moved by {mean:.1f} CIEDE2000 on average, "
        "{worst:.1f} at most, {worst_name}.",
        how=how,
        before=before,
        mean=mean,
        worst=worst,
        worst_name=worst_name,
    )


def _sentences(shifts, chroma: float, change: float) -> tuple[str, ...]:
    said = zone_sentences(shifts, since=True)
    if abs(chroma) >= SMALL_CHROMA:
        by = abs(chroma)
        said.append(
            tr("Colours have become more saturated, by {by:.1f} C* on average.", by=by)
            if chroma > 0
            else tr("Colours have become less saturated, by {by:.1f} C* on average.", by=by)
        )
    if abs(change) >= 0.03:
        by = abs(change)
        said.append(
            tr("Black has become deeper, by {by:.2f} in absolute density.", by=by)
            if change > 0
            else tr("Black has become weaker, by {by:.2f} in absolute density.", by=by)
        )
    return tuple(said)

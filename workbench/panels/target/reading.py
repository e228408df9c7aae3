"""Reading what came out: the new measurements or scan, and earlier ones."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import PurePath

from workbench.errors import WorkbenchError
from workbench.figures.target import Held, held_drift, held_verdict
from workbench.language import tr
from workbench.picture import open_picture
from workbench.target.cgats_file import cgats_text
from workbench.target.drift import Drift, drift
from workbench.target.measured import Measured, read_measured
from workbench.target.patches import target_for
from workbench.target.scan import read_scanned_target
from workbench.target.verdict import Verdict, verdict


@dataclass(frozen=True)
class Chosen:
    """A file that the person chose.

    Attributes
    ----------
    source : a path, or (name, bytes) of a file that was sent.
    time : counts the choices, for a file that is chosen again may be another by now.
    scan : a scan or photograph instead of measurements.
    """

    source: object = field(repr=False)
    time: int
    scan: bool = False


@dataclass(frozen=True)
class Asked:
    """What is to be read, and for which target.

    Attributes
    ----------
    paper, intent, black_point_compensation : of the target.
    now, before : the new file and the earlier one; None for none.
    take_d50 : take D50 and 2° where a file does not say.
    assume : the space of a scan without a profile; "" to refuse it.
    """

    paper: object
    intent: str
    black_point_compensation: bool
    now: Chosen | None
    before: Chosen | None
    take_d50: bool = False
    assume: str = ""


@dataclass(frozen=True, eq=False)
class Read:
    """What was read, or None, and what is wrong with the earlier file."""

    now: Measured | None
    before: Measured | None
    trouble: str = ""


def read(asked: Asked, cancelled=None, progress=None) -> Read:
    """Read the files for their target.

    Raises
    ------
    WorkbenchError
        in a sentence, where the new file cannot be used, or the earlier one where that is
        the only one.
    """
    target = target_for(asked.paper, asked.intent, asked.black_point_compensation)
    now = asked.now and _read(asked.now, target, asked)
    try:
        before = asked.before and _read(asked.before, target, asked)
    except WorkbenchError as problem:
        if now is None:
            raise
        # which takes nothing from the verdict on the new ones
        return Read(
            now, None, tr("The earlier measurements are left out. {problem}", problem=problem)
        )
    return Read(now, before)


@dataclass(frozen=True, eq=False)
class Judged:
    """Measurements judged, with what the figures show; drift is None without earlier ones."""

    measured: Measured
    verdict: Verdict
    held: Held
    drift: Drift | None = None
    held_drift: Held | None = None


def judged(asked: tuple[Read, str], cancelled=None, progress=None) -> Judged:
    """Judge what was read by a set of limits, named as in `TOLERANCES`."""
    found, limits = asked
    now, before = found.now, found.before
    result = verdict(now, now.target, limits)
    held = held_verdict(now, result)
    if before is None:
        return Judged(now, result, held)
    moved = drift(now, before)
    return Judged(now, result, held, moved, held_drift(now, before, moved))


def measurements_text(measured: Measured | None) -> str:
    """Measurements as CGATS text for the record; none of a scan, whose values are none."""
    if measured is None or measured.caveat:
        return ""
    target = measured.target
    return cgats_text(target.ids, target.names, lab=measured.lab, descriptor=measured.name)


def _read(chosen: Chosen, target, asked: Asked) -> Measured:
    source = chosen.source
    name, data = source if isinstance(source, tuple) else ("", source)
    if not chosen.scan:
        light = {"illuminant": "D50", "observer_deg": 2} if asked.take_d50 else {}
        return read_measured(data, target, name=PurePath(name).stem, **light)
    picture = open_picture(data)
    if picture.profile is None and asked.assume:
        picture = picture.assume(asked.assume)
    return read_scanned_target(picture, target, name=name)

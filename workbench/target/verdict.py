"""The verdict on a printed target: how far it is from what the paper's profile predicts."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from workbench.colour.difference import delta_e_2000
from workbench.errors import TargetError
from workbench.language import tr
from workbench.results import Result
from workbench.target.advice import first_checks
from workbench.target.measured import Measured
from workbench.target.patches import WHITE, Target, patch_label
from workbench.target.shifts import (
    SMALL_CHROMA,
    Shift,
    black_density,
    chroma_shift,
    zone_sentences,
    zone_shifts,
)
from workbench.target.tolerances import (
    CONTRACT_PROOF,
    FIGURES,
    HOME_PRINT,
    VALIDATION_PRINT,
    YARDSTICK,
    find_tolerances,
)

_ROUNDING = 1e-9


@dataclass(frozen=True)
class Outcome:
    """A limit and what was found.

    Attributes
    ----------
    key, name, unit : which figure, see `FIGURES`.
    value : found.
    at_most : allowed; a value of exactly this passes.
    passed : whether it is.
    source : where the limit comes from.
    """

    key: str
    name: str
    unit: str
    value: float
    at_most: float
    passed: bool
    source: str


@dataclass(frozen=True, eq=False)
class Verdict(Result):
    """What a printed target measured, held against its reference, both in absolute Lab.

    Attributes
    ----------
    tolerances : name of the set of limits.
    ids, names : of the patches.
    difference : (n,) CIEDE2000 of each patch from its reference.
    mean, percentile_95, worst : of ``difference``; the percentile interpolates.
    worst_name : of the patch that is farthest off, with its id.
    white : CIEDE2000 of the bare paper.
    black_density, expected_black_density : absolute visual density, -log10 Y.
    full_colours : largest CIEDE2000 of the primaries and secondaries at full strength.
    neutral_mean, neutral_worst : colour cast of the greys against the reference, ΔCh, the
        distance in the a*b* plane.
    repeats : largest CIEDE2000 between two patches of one colour.
    shifts : mean shifts of the greys, see `Shift`.
    chroma : mean shift of C*ab of the coloured patches.
    outcomes : the limits, one by one.
    passed : whether all of them hold.
    sentence : the verdict in one sentence.
    sentences : where it is off, and what to check first.
    caveat : why this is not a measurement; empty where it is one.
    """

    tolerances: str
    ids: tuple[str, ...]
    names: tuple[str, ...]
    difference: np.ndarray = field(repr=False)
    mean: float
    percentile_95: float
    worst: float
    worst_name: str
    white: float
    black_density: float
    expected_black_density: float
    full_colours: float
    neutral_mean: float
    neutral_worst: float
    repeats: float
    shifts: tuple[Shift, ...]
    chroma: float
    outcomes: tuple[Outcome, ...]
    passed: bool
    sentence: str
    sentences: tuple[str, ...]
    caveat: str = ""


def check_fit(measured: Measured, target: Target) -> None:
    """TargetError unless the measurements are those of this target's patches."""
    theirs = measured.target
    if (theirs.ids, theirs.names) != (target.ids, target.names):
        raise TargetError(
            tr("These measurements were read for another target; read the file again for this one.")
        )


def verdict(measured: Measured, target: Target, tolerances=HOME_PRINT) -> Verdict:
    """Hold measurements against a target's reference and against limits.

    Parameters
    ----------
    measured : see `read_measured` and `read_scanned_target`.
    target : the `Target` that was printed.
    tolerances : a `Tolerances`, or the name of one of `TOLERANCES`.

    Returns
    -------
    A Verdict: each limit with what was found, and what to check first.

    Raises
    ------
    TargetError
        if they do not belong together, or for an unknown set of limits.

    Examples
    --------
    >>> from workbench.target.cgats_file import reference_text
    >>> target = wb.target_for(papers[0])
    >>> same = wb.read_measured(reference_text(target).encode(), target)
    >>> wb.verdict(same, target).passed
    True
    """
    check_fit(measured, target)
    limits = find_tolerances(tolerances)
    lab, reference = measured.lab, target.reference_lab
    difference = delta_e_2000(reference, lab)
    cast = np.hypot(*(lab - reference)[target.neutrals, 1:].T)
    worst = int(np.argmax(difference))
    copies, originals = map(list, zip(*target.repeats, strict=True))
    shifts = zone_shifts(target, lab, reference)
    figures = {
        "mean": float(difference.mean()),
        "percentile_95": float(np.percentile(difference, 95)),
        "worst": float(difference[worst]),
        "white": float(difference[target.index(WHITE)]),
        "black_density": black_density(target, lab),
        "expected_black_density": black_density(target, reference),
        "full_colours": float(difference[target.group("full colours")].max()),
        "neutral_mean": float(cast.mean()),
        "neutral_worst": float(cast.max()),
        "repeats": float(delta_e_2000(lab[copies], lab[originals]).max()),
        "chroma": chroma_shift(target, lab, reference),
    }
    values = {
        **figures,
        "black_density": abs(figures["black_density"] - figures["expected_black_density"]),
    }
    outcomes = tuple(_outcome(limit, values[limit.key]) for limit in limits.limits)
    passed = all(outcome.passed for outcome in outcomes)
    worst_name = f"{patch_label(target.names[worst])} ({target.ids[worst]})"
    return Verdict(
        tolerances=limits.label,
        ids=target.ids,
        names=target.names,
        difference=difference,
        worst_name=worst_name,
        **figures,
        shifts=shifts,
        outcomes=outcomes,
        passed=passed,
        sentence=_sentence(limits, outcomes, figures, worst_name, bool(measured.caveat)),
        sentences=_sentences(limits, outcomes, figures, shifts, target, difference, passed),
        caveat=measured.caveat,
    )


def _outcome(limit, value: float) -> Outcome:
    name, unit = FIGURES[limit.key]
    return Outcome(
        key=limit.key,
        name=name,
        unit=unit,
        value=value,
        at_most=limit.at_most,
        passed=value <= limit.at_most + _ROUNDING,
        source=limit.source,
    )


def _sentence(limits, outcomes, figures, worst_name: str, estimated: bool) -> str:
    off = sum(not outcome.passed for outcome in outcomes)
    about = tr(
        "{mean:.1f} CIEDE2000 off on average, {worst:.1f} at worst, {worst_name}",
        mean=figures["mean"],
        worst=figures["worst"],
        worst_name=worst_name,
    )
    name = limits.label
    if not off:
        if estimated:
            return tr(
                "By the scan, the print keeps within all limits of “{name}”: {about}.",
                name=name,
                about=about,
            )
        return tr("The print keeps within all limits of “{name}”: {about}.", name=name, about=about)
    some = (
        tr("one limit") if off == 1 else tr("{off} of {count} limits", off=off, count=len(outcomes))
    )
    if estimated:
        return tr(
            "By the scan, the print exceeds {some} of “{name}”: {about}.",
            some=some,
            name=name,
            about=about,
        )
    return tr("The print exceeds {some} of “{name}”: {about}.", some=some, name=name, about=about)


def _sentences(limits, outcomes, figures, shifts, target, difference, passed: bool):
    said = _farthest(outcomes)
    zones = zone_sentences(shifts)
    said += zones or [tr("The greys are where they should be, from shadows to highlights.")]
    if abs(figures["chroma"]) >= SMALL_CHROMA:
        by = abs(figures["chroma"])
        said.append(
            tr("The colours are more saturated than expected, by {by:.1f} C* on average.", by=by)
            if figures["chroma"] > 0
            else tr(
                "The colours are less saturated than expected, by {by:.1f} C* on average.", by=by
            )
        )
    expected = figures["expected_black_density"]
    away = figures["black_density"] - expected
    found = figures["black_density"]
    if abs(away) < 0.02:
        said.append(tr("Black has density {found:.2f} (absolute), as expected.", found=found))
    elif away > 0:
        said.append(
            tr(
                "Black has density {found:.2f} (absolute), {away:.2f} above the {expected:.2f} "
                "expected.",
                found=found,
                away=away,
                expected=expected,
            )
        )
    else:
        said.append(
            tr(
                "Black has density {found:.2f} (absolute), {away:.2f} below the {expected:.2f} "
                "expected.",
                found=found,
                away=-away,
                expected=expected,
            )
        )
    said += first_checks(figures, shifts, target, difference, passed)
    if limits in (CONTRACT_PROOF, VALIDATION_PRINT):
        said.append(YARDSTICK)
    return tuple(said)


def _farthest(outcomes) -> list[str]:
    """The limit that is passed by most, in a sentence."""
    off = [outcome for outcome in outcomes if not outcome.passed]
    if not off:
        return []
    most = max(off, key=lambda o: o.value / o.at_most if o.at_most else np.inf)
    return [
        tr(
            "Farthest over its limit is “{name}”: {value:.2f} where {at_most:g} {unit} is "
            "the limit.",
            name=most.name,
            value=most.value,
            at_most=most.at_most,
            unit=most.unit,
        )
    ]

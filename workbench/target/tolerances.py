"""How far a print may be off: sets of limits, each with where it comes from.

The ISO standards are for proofs of press printing, measured on their own control strips of
press inks.  Here they are a yardstick: their limits are held against our patches, whose
primaries are those of an RGB space, and passing them makes no print a certified proof.
"""

from __future__ import annotations

from dataclasses import dataclass

from workbench.analysis.words import COMMON_PRACTICE
from workbench.errors import TargetError
from workbench.language import tr

_MEMORY_7 = tr("ISO 12647-7:2016, from memory")
# the standard itself was not at hand
_SECOND_7 = tr("ISO 12647-7:2016, from secondary sources that quote bvdm, MediaStandard Print 2018")
_MEMORY_8 = tr("ISO 12647-8:2021, from memory; check it before you rely on it")


@dataclass(frozen=True)
class Limit:
    """One figure of a verdict that may be so large.

    Attributes
    ----------
    key : which figure, one of `FIGURES`.
    at_most : largest value that passes.
    source : where the limit comes from.
    """

    key: str
    at_most: float
    source: str


@dataclass(frozen=True)
class Tolerances:
    """A named set of limits, with what it is for."""

    name: str
    purpose: str
    limits: tuple[Limit, ...]

    @property
    def label(self) -> str:
        """The name as people read it; a choice is kept by ``name``."""
        return _LABELS.get(self.name, self.name)


_LABELS = {
    "Contract proof (ISO 12647-7)": tr("Contract proof (ISO 12647-7)"),
    "Validation print (ISO 12647-8)": tr("Validation print (ISO 12647-8)"),
    "Careful home print": tr("Careful home print"),
}


#: key -> (what is said of it, unit)
FIGURES = {
    "white": (tr("Paper white"), "CIEDE2000"),
    "mean": (tr("All patches, mean"), "CIEDE2000"),
    "percentile_95": (tr("All patches, 95th percentile"), "CIEDE2000"),
    "worst": (tr("Worst patch"), "CIEDE2000"),
    "full_colours": (tr("Full primaries and secondaries, worst"), "CIEDE2000"),
    "neutral_mean": (tr("Greys, mean colour cast"), "ΔCh"),
    "neutral_worst": (tr("Greys, largest colour cast"), "ΔCh"),
    "black_density": (tr("Black density (absolute), off by"), "D"),
    "repeats": (tr("Same colour twice, farthest apart"), "CIEDE2000"),
}

CONTRACT_PROOF = Tolerances(
    "Contract proof (ISO 12647-7)",
    tr("The limits for proofs that a press has to match: strict for a home printer."),
    (
        Limit("white", 3.0, _SECOND_7),
        Limit("mean", 2.5, _SECOND_7),
        Limit("worst", 5.0, _SECOND_7),
        Limit("full_colours", 3.0, _SECOND_7),
        Limit("neutral_mean", 2.0, _MEMORY_7),
        Limit("neutral_worst", 3.5, _MEMORY_7),
    ),
)
VALIDATION_PRINT = Tolerances(
    "Validation print (ISO 12647-8)",
    tr("The wider limits for prints that show a customer what to expect."),
    (
        Limit("white", 3.0, _MEMORY_8),
        Limit("mean", 3.0, _MEMORY_8),
        Limit("percentile_95", 5.0, _MEMORY_8),
        Limit("neutral_mean", 3.0, _MEMORY_8),
    ),
)
HOME_PRINT = Tolerances(
    "Careful home print",
    tr("What a good profile on a steady printer keeps to: the workbench's own limits."),
    (
        Limit("white", 1.5, COMMON_PRACTICE),
        Limit("mean", 2.0, COMMON_PRACTICE),
        Limit("percentile_95", 4.0, COMMON_PRACTICE),
        Limit("worst", 6.0, COMMON_PRACTICE),
        Limit("neutral_mean", 1.5, COMMON_PRACTICE),
        Limit("neutral_worst", 3.0, COMMON_PRACTICE),
        Limit("black_density", 0.10, COMMON_PRACTICE),
        Limit("repeats", 1.0, COMMON_PRACTICE),
    ),
)
TOLERANCES = (HOME_PRINT, CONTRACT_PROOF, VALIDATION_PRINT)

YARDSTICK = tr(
    "The ISO limits are made for proofs of press printing and their control strips; here they "
    "are a yardstick only, and passing them makes no print a certified proof."
)


def find_tolerances(tolerances) -> Tolerances:
    """A set of `TOLERANCES` by its name, or a set of your own as it is.

    Raises
    ------
    TargetError
        for an unknown name (the message lists the known ones), or a limit that is none.
    """
    if isinstance(tolerances, Tolerances):
        for limit in tolerances.limits:
            if limit.key not in FIGURES or not limit.at_most >= 0:
                raise TargetError(
                    tr(
                        "“{key}” at most {at_most} is not a limit; there are {listed}, with numbers "
                        "from 0.",
                        key=limit.key,
                        at_most=limit.at_most,
                        listed=", ".join(FIGURES),
                    )
                )
        return tolerances
    for known in TOLERANCES:
        if str(tolerances).casefold() in (known.name.casefold(), known.label.casefold()):
            return known
    raise TargetError(
        tr(
            "There is no set of tolerances “{tolerances}”; there are {listed}.",
            tolerances=tolerances,
            listed="; ".join(known.label for known in TOLERANCES),
        )
    )

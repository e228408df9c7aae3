"""Ink for a square metre, learnt from the prints that were noted with theirs."""

from __future__ import annotations

import statistics
from collections.abc import Iterable
from dataclasses import dataclass

from workbench.language import numeral, tr


@dataclass(frozen=True)
class InkUse:
    """What the noted prints took, as an average picture would have (`workbench.output.ink`).

    Attributes
    ----------
    median_ml_per_m2 : half of the prints took less.
    lowest_ml_per_m2, highest_ml_per_m2 : of all of them.
    count : prints that were noted with ink and size.
    """

    median_ml_per_m2: float
    lowest_ml_per_m2: float
    highest_ml_per_m2: float
    count: int

    @property
    def sentence(self) -> str:
        """Such as "About 12.0 ml … of an average picture: the median of 3 prints (11 to 15)"."""
        ml = _ml(self.median_ml_per_m2)
        if self.count == 1:
            return tr(
                "About {ml} ml of ink per square metre of an average picture, known from one print "
                "only.",
                ml=ml,
            )
        low, high = _ml(self.lowest_ml_per_m2), _ml(self.highest_ml_per_m2)
        spread = (
            tr("all {low}", low=low) if low == high else tr("{low} to {high}", low=low, high=high)
        )
        return tr(
            "About {ml} ml of ink per square metre of an average picture: the median of {count} "
            "prints ({spread}).",
            ml=ml,
            count=self.count,
            spread=spread,
        )


def ink_use(notes: Iterable) -> InkUse | None:
    """What prints took for a square metre; None where none was noted with ink and size.

    The median, because a head that was cleaned meanwhile makes single figures far too high.
    """
    found = [each for each in (note.ink_ml_per_m2 for note in notes) if each]
    if not found:
        return None
    return InkUse(statistics.median(found), min(found), max(found), len(found))


def _ml(value: float) -> str:
    return numeral(value, ".3g" if value < 10 else ".1f")

"""Two blacks, never to be mixed up: the paper's darkest colour and the picture's black in print.

Everything on screen and on paper takes its figures and their names from here.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from workbench.analysis.words import INTENT_NAMES, begin_small
from workbench.colour.black import (
    destination_black,
    is_compensated,
    source_black,
    starts_from_medium,
)
from workbench.colour.engine import check_intent, transform
from workbench.colour.lab import density, relative_to_absolute, triple, xyz_to_lab
from workbench.colour.profile import CHANNELS, read_profile
from workbench.colour.spaces import standard_profile
from workbench.colour.trip import printed_lab, white_xyz
from workbench.language import tr
from workbench.paper import Paper
from workbench.picture.picture import Picture
from workbench.rendering import DEFAULTS

#: What a picture's black at L* 0 comes to by the paper's colorimetric table.
DARKEST = tr("The paper's darkest printable colour")
#: What the black of the picture's space comes to, by the chosen intent and compensation.
PICTURE_BLACK = tr("This picture's black as it will print")

# seen side by side from about here (common practice, no source)
MISSED_DENSITY = 0.05
# a part of a miss below this is not worth a reason of its own
_PART = 0.02
# L* between two blacks that are one
_APART = 0.05
_MOST_DENSITY = 5.0


@dataclass(frozen=True)
class PrintedBlack:
    """A picture's black in print beside the darkest that the paper can print.

    Attributes
    ----------
    lab, density : the picture's black as it will print; absolute.
    darkest_lab, darkest_density : the paper's darkest printable colour; absolute.
    reasons : why the first is lighter than the second, each a clause; empty where it is not.
    """

    lab: tuple[float, float, float]
    density: float
    darkest_lab: tuple[float, float, float]
    darkest_density: float
    reasons: tuple[str, ...]

    @property
    def missed_density(self) -> float:
        """How far the picture's black stays from the paper's darkest, in density."""
        return self.darkest_density - self.density

    @property
    def warning(self) -> str | None:
        """A sentence where the miss is more than `MISSED_DENSITY`, with the reason; or None."""
        if self.missed_density <= MISSED_DENSITY:
            return None
        return tr(
            "{black} has density {density:.2f}, {missed:.2f} less than {darkest} "
            "({darkest_density:.2f}): {reasons}.",
            black=PICTURE_BLACK,
            density=self.density,
            missed=self.missed_density,
            darkest=begin_small(DARKEST),
            darkest_density=self.darkest_density,
            reasons="; ".join(self.reasons),
        )


def black_words(density: float, lightness: float) -> str:
    """A black's figures, the same everywhere: “density 2.36, L* 3.9 (absolute)”."""
    return tr(
        "density {density:.2f}, L* {lightness:.1f} (absolute)", density=density, lightness=lightness
    )


def printed_black(
    paper: Paper,
    picture: Picture | None = None,
    *,
    intent: str = DEFAULTS.intent,
    black_point_compensation: bool = DEFAULTS.black_point_compensation,
) -> PrintedBlack:
    """The picture's black as it will print, the paper's darkest, and why they differ.

    Parameters
    ----------
    paper : with a profile.
    picture : whose space holds the black; sRGB's without one.

    Raises
    ------
    ProfileError
        for an unknown intent.
    UntaggedPictureError
        for a picture without a profile.

    Source: ISO 18619:2015 for compensation; densities are -log10 of the luminance factor.

    >>> import workbench as wb
    >>> black = printed_black(wb.demo_papers()[0], black_point_compensation=False)
    >>> black.warning is None, round(black.missed_density, 2)
    (True, 0.0)
    """
    check_intent(intent)
    source = standard_profile("sRGB") if picture is None else picture.require_profile()
    lab, dense, reasons = _printed(source, paper.profile, intent, bool(black_point_compensation))
    darkest = paper.black_density
    return PrintedBlack(
        lab=lab,
        density=dense,
        darkest_lab=paper.black_lab,
        darkest_density=darkest,
        reasons=_worth_saying(reasons) if darkest > dense else (),
    )


def _worth_saying(parts) -> tuple[str, ...]:
    """The clauses of the losses that matter, the largest first."""
    parts = sorted(parts, reverse=True)
    return tuple(text for loss, text in parts if loss > _PART) or (parts[0][1],)


@lru_cache(maxsize=128)
def _printed(source: bytes, paper: bytes, intent: str, compensate: bool):
    """Absolute Lab and density of the black in print, and the losses on its way."""
    device = np.zeros((1, CHANNELS[read_profile(source).space]))
    printed = printed_lab(device, source, paper, intent, compensate)
    lab = relative_to_absolute(printed, white_xyz(paper))[0]
    dense = _density(lab[0])
    parts = _losses(device, source, paper, intent, compensate, dense)
    return triple(lab), dense, tuple(parts)


def _losses(
    device, source: bytes, paper: bytes, intent: str, compensate: bool, printed: float
) -> list[tuple[float, str]]:
    """(density lost, why) from the paper's darkest to the printed black, step by step."""
    name = INTENT_NAMES[intent]
    own = float(transform(device, source, "lab")[0, 0])
    darkest, table = _reach(paper, 0.0, "relative"), _reach(paper, 0.0, intent)
    steps = [
        (
            darkest - table,
            tr(
                "the profile's {name} table has a black of its own ({table:.2f})",
                name=name,
                table=table,
            ),
        ),
    ]
    if not is_compensated(paper, intent, compensate):
        why = (
            tr(
                "the black of the picture's space lies at L* {own:.1f}, and the absolute intent "
                "keeps it there",
                own=own,
            )
            if intent == "absolute"
            else tr(
                "the black of the picture's space lies at L* {own:.1f}, and without black point "
                "compensation it stays there",
                own=own,
            )
        )
        return [*steps, (table - printed, why)]
    taken = float(xyz_to_lab(source_black(source, intent))[0])
    above = tr(
        "the black of the picture's space lies at L* {own:.1f}, above the L* "
        "{taken:.1f} that compensation takes for it",
        own=own,
        taken=taken,
    )
    if starts_from_medium(paper, intent):
        return [*steps, (table - printed, above)]
    aim = xyz_to_lab(destination_black(paper, intent))
    aimed = min(table, _density(relative_to_absolute(aim, white_xyz(paper))[0]))
    # a black that starts where compensation takes it to start loses nothing on its own side
    came = min(aimed, _reach(paper, float(aim[0]), intent)) if own > taken + _APART else printed
    return [
        *steps,
        (
            table - aimed,
            tr(
                "black point compensation aims at density {aimed:.2f}, where the profile's "
                "shadows begin to separate",
                aimed=aimed,
            ),
        ),
        (
            aimed - came,
            tr("the profile's table prints the black that compensation asks for too light"),
        ),
        (came - printed, above),
    ]


def _reach(paper: bytes, lightness: float, intent: str) -> float:
    """Absolute density that a neutral prints at; 0 is the blackest a table can be asked for."""
    ink = transform(np.array([[lightness, 0.0, 0.0]]), "lab", paper, intent=intent)
    return _density(relative_to_absolute(transform(ink, paper, "lab"), white_xyz(paper))[0, 0])


def _density(lightness) -> float:
    return min(float(density(lightness)), _MOST_DENSITY)

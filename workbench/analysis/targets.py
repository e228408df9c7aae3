"""What published standards ask of screens and viewing light, side by side.

They disagree (80 against 160 cd/m²) because they are for different things; each says what for,
and none is preferred.  Editions are named with each; where only secondary sources or an older
edition could be had, it says so.
"""

from __future__ import annotations

from dataclasses import dataclass

from workbench.analysis.cct import ILLUMINANTS
from workbench.language import tr


@dataclass(frozen=True)
class Target:
    """What a standard asks for, and what for.

    ``applies_to`` is "screen", "screen beside a print" or "print".  Ranges are (from, to)
    with None for an open end; a range that is None is one the target does not set, or that
    could not be checked.
    """

    name: str
    applies_to: str
    purpose: str
    white: str
    white_xy: tuple[float, float] | None
    luminance_cd_m2: tuple[float | None, float | None] | None
    illuminance_lux: tuple[float | None, float | None] | None
    source: str


# Whites that screens are set to beside prints: at least 80, preferably 160 cd/m² (ISO 12646:2008,
# from memory; ISO 3664:2009, by secondary sources, says 160 beside a P2 print).  Below it screens
# lose tones and rooms must be dark; much above, prints look too dark beside them.
PROOFING_CD_M2 = (80.0, 160.0)
# The edition of 2025 and what it changed: by catalogues and summaries; its numbers were not seen.
_LATER = tr(
    "by secondary sources; the edition of 2025 replaced it and, by catalogues, keeps P1 and P2 and "
    "adds P3 and P4 without ultraviolet; its numbers were not seen"
)
_DROPPED = tr(
    "by secondary sources (P. Green, Color Management, 2010, p. 197); the edition of 2025 replaced "
    "it and, by catalogues, asks nothing of screens any more"
)

TARGETS: tuple[Target, ...] = (
    Target(
        "ISO 3664 P1",
        "print",
        tr("comparing prints critically with each other or with an original"),
        "D50",
        ILLUMINANTS["D50"],
        None,
        (1500.0, 2500.0),
        tr("ISO 3664:2009, {later}", later=_LATER),
    ),
    Target(
        "ISO 3664 P2",
        "print",
        tr("judging a print's tones in light as bright as in practical use"),
        "D50",
        ILLUMINANTS["D50"],
        None,
        (375.0, 625.0),
        tr("ISO 3664:2009, {later}", later=_LATER),
    ),
    Target(
        tr("ISO 3664, screen by itself"),
        "screen",
        tr("looking at pictures on a screen with no print beside it, in a dim room"),
        "D65",
        ILLUMINANTS["D65"],
        (80.0, None),
        None,
        tr(
            "ISO 3664:2009, {dropped}; that of 2000 asked for more than 75, preferably "
            "more than 100 cd/m²",
            dropped=_DROPPED,
        ),
    ),
    Target(
        tr("ISO 3664, screen beside a P2 print"),
        "screen beside a print",
        tr("comparing a screen with a print in P2 light, side by side"),
        tr("near D50"),
        ILLUMINANTS["D50"],
        (160.0, None),
        None,
        tr("ISO 3664:2009, {dropped}", dropped=_DROPPED),
    ),
    Target(
        "ISO 12646",
        "screen beside a print",
        tr("choosing a screen fit for colour proofing: white even within 5 %, 10 % at most"),
        "D50",
        ILLUMINANTS["D50"],
        (80.0, None),
        None,
        tr(
            "ISO 12646:2015 replaced the edition of 2008 with its amendment of 2010, whose numbers "
            "these are: evenness by secondary sources, white and luminance (at least 80, preferably "
            "160 cd/m²) from memory"
        ),
    ),
    Target(
        "ISO 14861",
        "screen beside a print",
        tr(
            "a whole soft proofing system that stands in for a proof print: screen, software and "
            "booth together"
        ),
        tr("the paper's white in the booth's light"),
        None,
        None,
        None,
        tr(
            "ISO 14861:2015, by secondary sources; its luminance could not be checked and is not "
            "quoted"
        ),
    ),
    Target(
        tr("ISO 22028-2 reference print"),
        "print",
        tr("knowing what ROMM RGB takes a print for: white at 142 and black at 0.5 cd/m²"),
        "D50",
        ILLUMINANTS["D50"],
        (142.0, 142.0),
        (503.0, 503.0),
        tr("ISO 22028-2:2013, by the International Color Consortium's registry of encodings"),
    ),
    Target(
        tr("sRGB reference screen"),
        "screen",
        tr("pictures for the web, which take such a screen for granted, in a room of 64 lux"),
        "D65",
        ILLUMINANTS["D65"],
        (80.0, 80.0),
        (64.0, 64.0),
        tr("IEC 61966-2-1:1999, from memory"),
    ),
)

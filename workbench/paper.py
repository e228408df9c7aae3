"""A paper: the facts measured from its ICC profile, and what the person knows of the sheet.

White, black and gamut come from the profile; `workbench.characteristics` declares the rest.
"""

from __future__ import annotations

import os
from dataclasses import dataclass, field, fields, replace
from functools import lru_cache
from pathlib import Path

import numpy as np

from workbench.characteristics import BLACK_INKS, CHARACTERISTICS, UNKNOWN, Known
from workbench.colour.engine import transform
from workbench.colour.lab import (
    D50_XYZ,
    density,
    luminance_factor,
    relative_to_absolute,
    triple,
    xyz_to_lab,
)
from workbench.colour.profile import CHANNELS, Profile, read_profile
from workbench.colour.shell import gamut_shell
from workbench.colour.trip import noise_floor, white_xyz
from workbench.errors import PaperError
from workbench.files.text import clean_text, quoted
from workbench.language import decimal, tr

# colorimetric first: where tables are shared, it is the one that they belong to
_TABLE_INTENTS = (("relative", "1"), ("perceptual", "0"), ("saturation", "2"))


@dataclass(frozen=True)
class PaperFacts:
    """What a profile says of its paper, measured.

    Attributes
    ----------
    white_lab : absolute Lab of the bare paper as the profile's tables print it.
    white_tag_lab : absolute Lab of the profile's white point tag; some profiles differ.
    white_is_known : False where the tag holds the PCS white itself, and so tells no tint.
    black_lab : absolute Lab of the paper's darkest printable colour: what L* 0 comes to by
        the colorimetric table, which minds how much ink the paper takes.
    black_density : -log10 of the luminance factor of ``black_lab``, absolute.
    contrast_ratio : luminance of white over luminance of black.
    gamut_volume : cubic units of absolute Lab.
    neutral_cast_lab : mean media-relative (L*, a*, b*) of the printed grey scale.
    neutral_cast_chroma : the largest chroma on that scale, above the black.
    noise_floor : CIEDE2000, 95th percentile, that the profile's own tables move printable
        colours.
    intents : the intents the profile has tables of their own for, in both directions.
    shared_intents : intents whose tables are copies of another's, as (intent, other).
    """

    white_lab: tuple[float, float, float]
    white_tag_lab: tuple[float, float, float]
    white_is_known: bool
    black_lab: tuple[float, float, float]
    black_density: float
    contrast_ratio: float
    gamut_volume: float
    neutral_cast_lab: tuple[float, float, float]
    neutral_cast_chroma: float
    noise_floor: float
    intents: tuple[str, ...]
    shared_intents: tuple[tuple[str, str], ...]


@dataclass(frozen=True, eq=False)
class Paper(Known):
    """A paper on a printer: an ICC output profile with what the person knows of the sheet.

    The profile's facts (see `PaperFacts`) are attributes too: ``paper.white_lab``,
    ``paper.black_density`` and so on.  ``invented`` marks the model papers.
    """

    profile: bytes = field(repr=False)

    @property
    def facts(self) -> PaperFacts:
        """Measured once for each profile."""
        return measure_profile(self.profile)

    @property
    def icc(self) -> Profile:
        """The checked profile: description, space, version, checksum."""
        return read_profile(self.profile)

    def __getattr__(self, name: str):
        if name in PaperFacts.__dataclass_fields__:
            return getattr(self.facts, name)
        raise AttributeError(f"'Paper' object has no attribute {name!r}")

    def sheet_price(self, size: str = "") -> float | None:
        """What one sheet of ``size`` costs, in ``currency``; None where no price is known."""
        return _price(self.price_per_sheet, size)

    def metre_price(self, roll: str = "") -> float | None:
        """What one metre of ``roll`` costs, in ``currency``; None where no price is known."""
        return _price(self.price_per_metre, roll)

    def with_details(self, **details) -> Paper:
        """A copy with other characteristics, e.g. ``finish="matte"``, ``weight_g_m2=247``."""
        details = _checked_details(details)
        if details.get("name", "") is None:
            del details["name"]  # a paper keeps its name rather than have none
        return replace(self, **details)


def _price(prices, size: str) -> float | None:
    known = {name.casefold(): price for name, price in prices}
    return known.get(size.casefold(), known.get(""))


def open_paper(
    source: bytes | bytearray | str | os.PathLike, name: str | None = None, **details
) -> Paper:
    """A paper from an ICC output profile.

    Parameters
    ----------
    source : path of the profile, or its bytes.
    name : what to call the paper; by default the profile's description.
    details : the person's own knowledge, as `workbench.characteristics` declares it:
        weight_g_m2, thickness_mm, base, finish, surface_texture, …  The black ink
        follows from a finish where it is not given: matte black for matte, photo black
        otherwise (common practice, no source).

    Returns
    -------
    A Paper.

    Raises
    ------
    ProfileError
        if the file is damaged or no profile.
    PaperError
        if it is a sound profile of something other than a printed paper, or a detail
        makes no sense.

    Examples
    --------
    >>> paper = wb.open_paper(papers[0].profile, name="Mine", finish="gloss")
    >>> paper.name, round(paper.white_lab[0]) == round(papers[0].white_lab[0])
    ('Mine', True)
    """
    profile = read_profile(source)
    require_paper(profile)
    fallback = Path(source).stem if isinstance(source, (str, os.PathLike)) else tr("Unnamed paper")
    details = _checked_details(details)
    if details.get("finish") and not details.get("black_ink"):
        details["black_ink"] = BLACK_INKS[1] if details["finish"] == "matte" else BLACK_INKS[0]
    paper = Paper(
        name=clean_text(name or profile.description or fallback) or fallback,
        profile=profile.data,
        **details,
    )
    measure_profile(profile.data)  # a profile that the engine cannot use fails here, not later
    return paper


def _checked_details(details: dict) -> dict:
    unknown = set(details) - set(CHARACTERISTICS)
    if unknown:
        raise PaperError(
            tr(
                "A paper has no “{unknown}”; it takes {known}.",
                unknown=", ".join(sorted(unknown)),
                known=", ".join(UNKNOWN),
            )
        )
    given = {}
    for key, value in details.items():
        characteristic = CHARACTERISTICS[key]
        if characteristic.kind == "number" and isinstance(value, str):
            try:
                value = decimal(value)
            except ValueError:
                pass  # the check says what is wrong
        value = characteristic.check(value)
        given[key] = UNKNOWN.get(key) if value is None else value
    return given


_WRONG_CLASS = {
    "display": tr("describes a screen or a picture's colour encoding"),
    "input": tr("describes a camera or scanner"),
    "link": tr("is a device link, fixed between two devices"),
    "named": tr("lists named colours"),
    "space": tr("describes a colour space"),
    "abstract": tr("describes an effect"),
}


def require_paper(profile: Profile) -> None:
    """PaperError unless this is an output profile that can say what a picture looks like."""
    title = quoted(profile.description) if profile.description else tr("This profile")
    if profile.device_class != "output":
        raise PaperError(
            tr(
                "{title} {does}, not a paper on a printer; choose an output profile "
                "made for your paper.",
                title=title,
                does=_WRONG_CLASS[profile.device_class],
            )
        )
    if profile.space not in ("RGB", "CMYK"):
        raise PaperError(
            tr(
                "{title} is for a {space} printer; the workbench takes RGB and CMYK output "
                "profiles.",
                title=title,
                space=profile.space,
            )
        )
    forward = [i for i in "102" if f"A2B{i}" in profile.tags]
    backward = [i for i in "102" if f"B2A{i}" in profile.tags]
    if not forward or not backward:
        raise PaperError(
            tr(
                "{title} has no tables in both directions, so it cannot say what a picture "
                "looks like on its paper; choose a table-based output profile.",
                title=title,
            )
        )
    channels = CHANNELS[profile.space]
    for intent in "012":
        for signature, inner in ((f"A2B{intent}", (channels, 3)), (f"B2A{intent}", (3, channels))):
            raw = profile.tag(signature)
            if raw is not None and (raw[8], raw[9]) != inner:
                raise PaperError(
                    tr(
                        "{title} is damaged: its table “{signature}” does not fit a {space} printer; "
                        "fetch the file again.",
                        title=title,
                        signature=signature,
                        space=profile.space,
                    )
                )


def _table_intents(profile: Profile):
    own, shared = [], []
    seen: dict[tuple[bytes, bytes], str] = {}
    for intent, digit in _TABLE_INTENTS:
        forth, back = profile.tag(f"A2B{digit}"), profile.tag(f"B2A{digit}")
        if forth is None or back is None:
            continue
        tables = forth, back
        if tables in seen:
            shared.append((intent, seen[tables]))
        else:
            seen[tables] = intent
            own.append(intent)
    return tuple(own), tuple(shared)


@lru_cache(maxsize=128)
def measure_profile(profile: bytes) -> PaperFacts:
    """Measure a paper's facts from its profile's tables.

    Raises
    ------
    ProfileError, PaperError
        if the tables cannot be used, or describe no paper (its black not darker than
        its white).
    """
    checked = read_profile(profile)
    channels = CHANNELS[checked.space]
    white = white_xyz(profile)
    bare = np.full((1, channels), 0.0 if checked.space == "CMYK" else 1.0)
    black_ink = transform(np.zeros((1, 3)), "lab", profile)
    relative = transform(np.concatenate([bare, black_ink]), profile, "lab")
    absolute = relative_to_absolute(relative, white)
    white_lab, black_lab = absolute[0], absolute[1]
    if not 20 <= white_lab[0] <= 110 or black_lab[0] > white_lab[0] - 10:
        raise PaperError(
            tr(
                "The profile describes no paper: its white has L* {white:.0f} and its "
                "black L* {black:.0f}; it may be damaged, so fetch the file again.",
                white=white_lab[0],
                black=black_lab[0],
            )
        )
    greys = np.zeros((21, 3))
    greys[:, 0] = np.linspace(0, 100, 21)
    printed = transform(transform(greys, "lab", profile), profile, "lab")
    scale = printed[greys[:, 0] > relative[1][0] + 2]
    own, shared = _table_intents(checked)
    y_white = float(luminance_factor(white_lab[0]))
    y_black = max(float(luminance_factor(black_lab[0])), 1e-5)
    return PaperFacts(
        white_lab=_tuple(white_lab),
        white_tag_lab=_tuple(xyz_to_lab(white)),
        white_is_known=bool(np.abs(white - D50_XYZ).max() > 5e-4),
        black_lab=_tuple(black_lab),
        black_density=min(float(density(black_lab[0])), 5.0),
        contrast_ratio=y_white / y_black,
        gamut_volume=gamut_shell(profile, absolute=True).volume,
        neutral_cast_lab=_tuple(scale.mean(axis=0)),
        neutral_cast_chroma=float(np.hypot(scale[:, 1], scale[:, 2]).max()),
        noise_floor=noise_floor(profile),
        intents=own,
        shared_intents=shared,
    )


def _tuple(lab) -> tuple[float, float, float]:
    return triple(round(float(v), 6) for v in lab)


def same_sheet(one, other) -> bool:
    """Whether two papers are one sheet: of the same name and profile, whatever else is known."""
    # a paper that was only measured has no profile
    return (
        isinstance(one, Paper)
        and isinstance(other, Paper)
        and one.name == other.name
        and one.profile == other.profile
    )


def alike(one, other) -> bool:
    """Whether two papers say the same in every field."""
    return type(one) is type(other) and all(
        getattr(one, each.name) == getattr(other, each.name) for each in fields(one)
    )


def among(paper: object, papers) -> bool:
    """Whether this very paper is one of them."""
    return any(paper is each for each in papers)

"""What the shelf panel says, and what may be typed into its fields: plain words both ways."""

from __future__ import annotations

import math
import re

from workbench.analysis.plausible import doubt_words
from workbench.analysis.words import tint_words
from workbench.characteristics import CHARACTERISTICS, word_of
from workbench.errors import LibraryError
from workbench.files.text import clean_text
from workbench.language import numeral, tr
from workbench.panels.parts.facts import profile_rows
from workbench.panels.parts.text_table import Column
from workbench.paper_readings import condition_words

#: what of an entry is asked for, in order; the profile is chosen elsewhere
ASKED = tuple(key for key in CHARACTERISTICS if key != "invented")

_UNITS = {
    "weight_g_m2": r"(g|gsm|g\s*/\s*m(²|2)|grams?)",
    "thickness_mm": r"(mm|millimet(re|er)s?)",
}
# a comma between digits is a decimal one, unless the number has its point already
_BETWEEN = re.compile(r"[;\n]|,(?!\d)|(?<!\d),|(?<=\.\d),|(?<=\.\d\d),")
_PRICED = re.compile(
    r"(?P<size>.*?)(?:\s*[=:]\s*|\s+|^)(?P<price>[+-]?\d+(?:[.,]\d+)?)(?:\s*[A-Z]{3})?"
)


def typed_value(key: str, text: str):
    """What was typed into a field, as `workbench.library` takes it; None for nothing.

    Raises
    ------
    LibraryError
        for what is not a number or a price; the rest the library judges itself.
    """
    if key == "notes":
        return text.strip("\n") or None
    text, label = text.strip(), CHARACTERISTICS[key].label
    if not text:
        return None
    if key in _UNITS:
        return _number(label, re.sub(rf"\s*{_UNITS[key]}\s*$", "", text, flags=re.IGNORECASE))
    if key in ("sheets", "rolls"):
        return _listed(text) or None
    if key in ("price_per_sheet", "price_per_metre"):
        return _prices(label, text)
    return text


def shown_value(key: str, value) -> str:
    """A field's value as it is shown and may be typed."""
    if value is None or value == ():
        return ""
    if key in _UNITS:
        return numeral(value, ".10g")
    if key in ("sheets", "rolls"):
        return "; ".join(value) if any("," in each for each in value) else ", ".join(value)
    if key in ("price_per_sheet", "price_per_metre"):
        return "; ".join(
            tr("{size} {price:.10g}", size=size, price=price).strip() for size, price in value
        )
    return value


def _number(label: str, text: str) -> float:
    try:
        number = float(text.strip().replace(",", "."))
    except ValueError:
        number = math.nan
    if not math.isfinite(number):
        raise LibraryError(
            tr(
                "{label}: “{typed}” is not a number; type one such as 247 or 0.41.",
                label=label,
                typed=text,
            )
        )
    return number


def _listed(text: str) -> list[str]:
    # brackets, as the file itself has them, are allowed
    items = (_bare(each) for each in _BETWEEN.split(text.strip("[]{} ")))
    return [each for each in items if each]


def _bare(text: str) -> str:
    """Without quotes around it; a single one may stand for inches."""
    text = " ".join(text.split())
    quoted = re.fullmatch("[\"'“‘](.*)[\"'”’]", text)
    return quoted[1] if quoted else text


def _prices(label: str, text: str):
    prices = {}
    for each in _listed(re.sub("[€$£¥]", "", text)):
        found = _PRICED.fullmatch(each)
        size = _bare(found["size"]) if found else ""
        if found is None or re.search(r"\d\s*[x×]$", size):
            raise LibraryError(
                tr(
                    "{label}: “{typed}” has no price; type a number, or each size with its price, "
                    "as in: A4 0.90; A3 1.80.",
                    label=label,
                    typed=each,
                )
            )
        if size in prices:
            if not size:
                raise LibraryError(
                    tr("{label}: the price of any size is given twice.", label=label)
                )
            raise LibraryError(tr("{label}: {size} is given twice.", label=label, size=size))
        prices[size] = _number(label, found["price"])
    if not prices:
        return None
    return prices[""] if list(prices) == [""] else prices


COLUMNS = (
    Column(tr("paper"), 26, least=22),
    Column(tr("white"), 17),
    Column("Dmax", 4, right=True),
    Column("g/m²", 4, right=True, rank=2),
    Column(tr("base"), 12, rank=1),
    Column(tr("finish"), 6),
    Column(tr("surface"), 7, rank=4),
    Column(tr("black"), 5, rank=3),
)


def entry_cells(entry, paper, mark: str = "") -> list[str]:
    """One line of the shelf's list; ``paper`` is None where its profile cannot be used."""
    # as the paper has it: the black follows from the finish where the entry is silent
    ink = entry.black_ink or getattr(paper, "black_ink", None)
    return [
        f"{mark}{entry.name}",
        tr("profile not found") if paper is None else white_words(paper),
        "–" if paper is None else numeral(paper.black_density, ".2f"),
        "–" if entry.weight_g_m2 is None else f"{entry.weight_g_m2:.0f}",
        _cell(entry.base),
        _cell(entry.finish),
        _cell(entry.surface_texture, " texture"),
        _cell(ink, " black"),
    ]


def _cell(held: str | None, ending: str = "") -> str:
    """What shelves hold in English, short and in the person's language."""
    return word_of(held or "–").removesuffix(ending)


def white_words(paper) -> str:
    """The tint of a paper's white in words, where its profile states one."""
    return tint_words(paper.white_lab) if paper.white_is_known else tr("not stated")


def profile_facts(entry, paper) -> list[tuple[str, str]]:
    """Where an entry's profile lies and what it says, as (name, value) rows."""
    where = tr("none") if entry.profile_path is None else clean_text(str(entry.profile_path))
    rows = [(tr("File"), where)]
    if entry.profile_sha256:
        checksum = f"{entry.profile_sha256[:16]}…"
        if entry.profile_changed:
            checksum = tr("{checksum}; the file has changed", checksum=checksum)
        rows.append((tr("Checksum when it was put here"), checksum))
    if paper is not None:
        rows += profile_rows(paper)
        rows.append((tr("Measuring condition (ISO 13655)"), condition_words(paper)))
        if doubt := doubt_words(paper):
            rows.append((tr("Caution"), doubt))
    return rows


def count_words(own: int, shared: int, invented: bool) -> str:
    """How many papers there are, and whose."""
    papers = tr("1 paper") if own == 1 else tr("{count} papers", count=own)
    if shared:
        return tr(
            "{papers} of your own, {shared} of the shared shelf.", papers=papers, shared=shared
        )
    if invented:
        return tr("{papers}, invented ones to begin with.", papers=papers)
    return f"{papers}."

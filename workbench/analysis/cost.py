"""What a print costs in paper and ink, and an edition of it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from workbench.analysis.price import PrintPrice, price_on
from workbench.analysis.sheets import find_sheet, positive
from workbench.analysis.words import begin_large
from workbench.decisions import LARGEST_MM
from workbench.errors import SizeError
from workbench.language import numeral, tr
from workbench.paper_readings import AnyPaper
from workbench.results import Result

MOST_COPIES = 1_000_000
# a strip's page of A5, inked inside 10 mm
_STRIP_MM = (148.0, 210.0)
_STRIP_INKED_MM2 = 128.0 * 190.0
_WORDS = ("no", tr("one"), tr("two"), tr("three"), tr("four"), tr("five"), tr("six"),
          tr("seven"), tr("eight"), tr("nine"), tr("ten"), tr("eleven"), tr("twelve"))  # fmt: skip


@dataclass(frozen=True)
class PrintCost(Result):
    """What a print costs, as far as it is known; amounts are in ``currency``.

    Attributes
    ----------
    paper : a `PrintPrice` for one print, or None.
    ink_ml : ink for one print, or None.
    ink_amount : what that ink costs, or None.
    copies : prints of the edition.
    currency : such as "EUR", or None where the paper names none.
    ink_load : how heavily the picture is inked, 1 as an average picture is.
    cut_share : of the paper, what lies beyond the print and its borders.
    test_strips : printed before the edition; ``strip`` is the `PrintPrice` of one's paper,
        ``strip_ink_amount`` its ink's.
    reject_share : of all prints made, those that fail.
    unknown : what is not known, each as a sentence that says how to tell it.
    called : what stands behind the price of paper and ink for one: "a print".
    """

    paper: PrintPrice | None
    ink_ml: float | None
    ink_amount: float | None
    copies: int
    currency: str | None
    unknown: tuple[str, ...]
    called: str = tr("a print")
    ink_load: float = 1.0
    cut_share: float = 0.0
    test_strips: int = 0
    strip: PrintPrice | None = None
    strip_ink_amount: float | None = None
    reject_share: float = 0.0

    @property
    def cut_amount(self) -> float | None:
        """What the paper costs that lies beyond the print and its borders; part of the paper."""
        return None if self.paper is None else self.paper.amount * self.cut_share

    @property
    def strips_amount(self) -> float | None:
        """Paper and ink of all test strips, as far as known; None where their paper is not."""
        if not self.test_strips:
            return 0.0
        if self.strip is None:
            return None
        return self.test_strips * (self.strip.amount + (self.strip_ink_amount or 0.0))

    @property
    def rejects_amount(self) -> float | None:
        """Paper and ink of the prints that fail, as far as known; None where the paper is not.

        Of n good prints and a share r of failures, n · r / (1 − r) prints fail.
        """
        if not self.reject_share:
            return 0.0
        if self.paper is None:
            return None
        failed = self.copies * self.reject_share / (1 - self.reject_share)
        return failed * (self.paper.amount + (self.ink_amount or 0.0))

    @property
    def in_all(self) -> float | None:
        """The edition with its strips and rejects; None while any of it is not known."""
        parts = self.total, self.strips_amount, self.rejects_amount
        known = [part for part in parts if part is not None]
        return sum(known) if len(known) == len(parts) else None

    @property
    def extras(self) -> tuple[tuple[str, str], ...]:
        """(what, in words with its amount) for all that is not the print itself."""
        rows = []
        if self.ink_ml is not None and abs(self.ink_load - 1) >= 0.005:
            words = tr(
                "{ink_load:.2g} times that of an average picture, by its colours",
                ink_load=self.ink_load,
            )
            rows.append((tr("Ink of this picture"), words))
        if self.cut_amount and self.cut_share >= 0.005:
            share = f"{self.cut_share:.0%}".replace("%", " %")
            rows.append(
                (
                    tr("Paper beyond the borders"),
                    tr("{money}, {share} of it", money=self.money(self.cut_amount), share=share),
                )
            )
        if self.test_strips and self.strips_amount is not None and self.strip is not None:
            rows.append((tr("Test strips"), tr("{count}, {money} ({how} each)", count=self.test_strips, money=self.money(self.strips_amount), how=self.strip.how)))  # fmt: skip
        if self.reject_share and self.rejects_amount is not None:
            share = f"{self.reject_share:.0%}".replace("%", " %")
            rows.append(
                (
                    tr("Rejects"),
                    tr(
                        "{share} of all prints, {money}",
                        share=share,
                        money=self.money(self.rejects_amount),
                    ),
                )
            )
        if (self.test_strips or self.reject_share) and self.in_all is not None:
            rows.append((tr("In all"), self.money(self.in_all)))
        return tuple(rows)

    @property
    def paper_amount(self) -> float | None:
        """Paper for one print."""
        return None if self.paper is None else self.paper.amount

    @property
    def per_copy(self) -> float | None:
        """Paper and ink for one print; None while either is not known."""
        if self.paper is None or self.ink_amount is None:
            return None
        return self.paper.amount + self.ink_amount

    @property
    def total(self) -> float | None:
        """Paper and ink for all prints of the edition; None while either is not known."""
        return None if self.per_copy is None else self.per_copy * self.copies

    @property
    def edition_ink_ml(self) -> float | None:
        """Ink for all prints of the edition."""
        return None if self.ink_ml is None else self.ink_ml * self.copies

    @property
    def sentence(self) -> str:
        """What is known, in one sentence; "" where nothing is.

        Such as "Paper 4.20 EUR (one sheet of A3), ink about 2.1 ml = 1.30 EUR: 5.50 EUR a
        print, ten prints 55.00 EUR."
        """
        parts = []
        if self.paper is not None:
            parts.append(
                tr("Paper {money} ({how})", money=self.money(self.paper.amount), how=self.paper.how)
            )
        if self.ink_ml is not None:
            ink = tr("ink about {amount}", amount=ml_text(self.ink_ml))
            if self.ink_amount is not None:
                ink += f" = {self.money(self.ink_amount)}"
            parts.append(ink)
        if not parts:
            return ""
        return f"{begin_large(', '.join(parts) + self._together())}."

    def sentences(self) -> tuple[str, ...]:
        """What is known, and what is not."""
        said = (self.sentence,) if self.sentence else ()
        return said + tuple(f"{what}: {words}." for what, words in self.extras) + self.unknown

    def _together(self) -> str:
        many = tr("{number} prints", number=number_word(self.copies))
        if self.per_copy is not None and self.total is not None:
            each = tr(": {money} {each}", money=self.money(self.per_copy), each=self.called)
            return each if self.copies == 1 else f"{each}, {many} {self.money(self.total)}"
        if self.copies == 1:
            return ""
        if self.paper is not None:
            return tr(
                "; the paper for {many} {money}",
                many=many,
                money=self.money(self.paper.amount * self.copies),
            )
        if self.ink_amount is not None:
            return tr(
                "; the ink for {many} {money}",
                many=many,
                money=self.money(self.ink_amount * self.copies),
            )
        return tr(
            "; for {many} about {amount}", many=many, amount=ml_text(self.edition_ink_ml or 0.0)
        )

    def money(self, amount: float) -> str:
        """An amount with the currency, such as "4.20 EUR"."""
        return PrintPrice(amount, self.currency, "").text


def print_cost(
    paper: AnyPaper | None,
    width_mm: float,
    height_mm: float,
    *,
    copies: int = 1,
    ink_ml_per_m2: float | None = None,
    ink_price_per_ml: float | None = None,
    coverage_mm2: float | None = None,
    kept_mm2: float | None = None,
    ink_load: float = 1.0,
    test_strips: int = 0,
    reject_share: float = 0.0,
    sheet=None,
    called: str = tr("a print"),
) -> PrintCost:
    """What a print of a size costs on a paper, and an edition of it.

    Paper is priced by `workbench.analysis.price.price_on`, ink by the area that it covers;
    each print is cut or taken from a sheet by itself.  The arithmetic is common practice,
    no source.

    Parameters
    ----------
    paper : a Paper with the prices that its shelf has, or None.
    width_mm, height_mm : of the print, borders included.
    copies : prints of the edition, 1 or more.
    ink_ml_per_m2 : ink for a square metre of an average picture; None where not known (the
        record of prints may tell, see `workbench.record.Record.ink_ml_per_m2`).
    ink_price_per_ml : in the paper's currency; None where not known.
    coverage_mm2 : area that takes ink; by default width × height.
    kept_mm2 : area of the print with its borders, where the rest of the paper is cut away.
    ink_load : how heavily it is inked, 1 as an average picture; see `workbench.output.ink`.
    test_strips : printed before the edition, each a page of A5 inked inside 10 mm as heavily.
    reject_share : of all prints made, those that fail; below 1.
    sheet : the sheet or roll to print on; None takes the cheapest of the paper's.
    called : what the sentence calls the price of one; "together" for a sheet of several.

    Returns
    -------
    A PrintCost; what is not known is named in it.

    Raises
    ------
    SizeError
        for sizes, counts and prices that are none.

    Examples
    --------
    >>> from dataclasses import replace
    >>> paper = replace(papers[0], price_per_sheet=(("A4", 2.4),), currency="EUR")
    >>> wb.print_cost(paper, 180, 120).paper_amount
    2.4
    """
    area_mm2 = positive(width_mm, tr("width"), unit="mm", at_most=LARGEST_MM) * positive(
        height_mm, tr("height"), unit="mm", at_most=LARGEST_MM
    )
    kept = area_mm2 if kept_mm2 is None else min(_known(kept_mm2, tr("area kept"), "mm²"), area_mm2)
    cut_share, load = 1 - kept / area_mm2, _known(ink_load, tr("ink load"), "")
    if not 0 <= _known(reject_share, tr("share of prints that fail"), "") < 1:
        raise SizeError(
            tr(
                "The share of prints that fail lies below 1, not at {reject_share!r}.",
                reject_share=reject_share,
            )
        )
    if coverage_mm2 is not None:
        area_mm2 = _known(coverage_mm2, tr("area that takes ink"), "mm²")
    unknown = []
    price = None if paper is None else price_on(paper, width_mm, height_mm, sheet=sheet)
    if price is None:
        unknown.append(_no_price(paper, sheet))
    ink = None if ink_ml_per_m2 is None else _known(ink_ml_per_m2, tr("ink per square metre"), "ml")
    each = None if ink_price_per_ml is None else _known(ink_price_per_ml, tr("price of ink"), "")
    ink_ml = None if ink is None else ink * load * area_mm2 / 1e6
    if ink is None:
        unknown.append(
            tr(
                "The ink per square metre is not known: type it, or note with your prints how "
                "much they took."
            )
        )
    if each is None:
        unknown.append(tr("The price of ink is not known: type it per millilitre."))
    return PrintCost(
        paper=price,
        ink_ml=ink_ml,
        ink_amount=None if ink_ml is None or each is None else ink_ml * each,
        copies=_copies(copies),
        currency=getattr(paper, "currency", None),
        unknown=tuple(unknown),
        called=called,
        ink_load=load,
        cut_share=cut_share,
        test_strips=int(_known(test_strips, tr("number of test strips"), "")),
        strip=price_on(paper, *_STRIP_MM) if paper is not None and test_strips else None,
        strip_ink_amount=None
        if ink is None or each is None
        else ink * load * _STRIP_INKED_MM2 / 1e6 * each,
        reject_share=float(reject_share),
    )


def _no_price(paper: AnyPaper | None, sheet) -> str:
    if paper is None:
        return tr("The price of the paper is not known: choose a paper.")
    if not (getattr(paper, "price_per_sheet", ()) or getattr(paper, "price_per_metre", ())):
        return tr(
            "What “{name}” costs is not known: note its price on your shelf.", name=paper.name
        )
    if sheet is None:
        return tr(
            "The print does not fit any size that has a price, or that has no price on your "
            "shelf: choose another size, or note the price."
        )
    return tr(
        "The print does not fit {where}, or that has no price on your shelf: choose "
        "another size, or note the price.",
        where=find_sheet(sheet).phrase,
    )


def _known(value, name: str, unit: str) -> float:
    try:
        number = math.nan if isinstance(value, (str, bytes, bool)) else float(value)
    except (TypeError, ValueError, OverflowError):
        number = math.nan
    if not 0 <= number < 1e12:
        unit = f" {unit}" if unit else ""
        raise SizeError(
            tr(
                "The {name} is a number of 0{unit} or more, not {value!r}.",
                name=name,
                unit=unit,
                value=value,
            )
        )
    return number


def _copies(value) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or not 1 <= value <= MOST_COPIES:
        raise SizeError(
            tr(
                "An edition has 1 to {most_copies:,} prints, not {value!r}.",
                most_copies=MOST_COPIES,
                value=value,
            )
        )
    return value


def number_word(number: int) -> str:
    """A number as it stands in a sentence: up to twelve as a word."""
    return _WORDS[number] if 0 <= number < len(_WORDS) else numeral(number, ",")


def ml_text(value: float) -> str:
    """Millilitres with as many digits as they deserve: "0.21 ml", "2.1 ml", "210 ml"."""
    if value >= 99.5:
        return tr("{value:.0f} ml", value=value)
    return tr("{value:.1f} ml", value=value) if value >= 0.95 else tr("{value:.2g} ml", value=value)

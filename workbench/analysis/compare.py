"""Papers side by side for one picture, in figures that can each be traced to a function."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from workbench.analysis.adaptation import UNTINTED_COTTON, as_seen
from workbench.analysis.advice import Advice, advise
from workbench.analysis.black import BlackPoint, black_point
from workbench.analysis.character import Character, describe
from workbench.analysis.columns import COLUMNS
from workbench.analysis.crops import lightness_tally
from workbench.analysis.gamut import ColourShift, GamutReport, colour_shift, gamut_report
from workbench.analysis.order import (
    Score,
    blacks_mark,
    checked_weights,
    colour_mark,
    in_order,
    price_mark,
    score,
    whites_mark,
)
from workbench.analysis.price import PrintPrice, given_price, price_on
from workbench.analysis.reasons import reason
from workbench.analysis.shadows import shadow_tally
from workbench.analysis.white import Highlights, PaperWhite, highlights, paper_white
from workbench.colour.difference import delta_e_2000
from workbench.colour.engine import check_intent
from workbench.colour.lab import lab_to_xyz, triple
from workbench.errors import Cancelled, PaperError, WorkbenchError
from workbench.paper_readings import AnyPaper, MeasuredPaper
from workbench.picture.picture import Picture
from workbench.rendering import DEFAULTS
from workbench.results import Result


@dataclass(frozen=True, eq=False)
class PaperRow:
    """One paper's answers for the picture; `columns.COLUMNS` says which function gave each.

    Attributes
    ----------
    gamut, shift, highlights, black : what the paper cannot hold, and how far this rendering
        moves colours, its highlights and its black; None for a paper that is known by
        readings only.
    white : result of `paper_white`.
    white_distance : CIEDE2000 of the white as seen from the white it is compared with;
        None where the profile does not state its white.
    light_shift : how the paper's white turns the picture's ``light_colour``: units in
        the a*b* plane, and the difference as (dL*, da*, db*); None where the picture has
        no light colours or the white is unknown.
    black_density : of the picture's black as it will print; None without a profile.
    darkest_density : of the paper's darkest printable colour, from its profile or as read;
        None where there is no reading of it.
    contrast_ratio, stops : white to the former, or to the latter without a profile.
    price : of this print, None where not known.
    score : marks, weights and points.
    rank : 1 for the first.
    reason : why it stands there, in a sentence or two.
    advice : what the rules of `workbench.analysis.advice` add; no part of the score.
    """

    paper: AnyPaper = field(repr=False)
    name: str
    gamut: GamutReport | None = field(repr=False)
    shift: ColourShift | None = field(repr=False)
    white: PaperWhite = field(repr=False)
    highlights: Highlights | None = field(repr=False)
    black: BlackPoint | None = field(repr=False)
    white_distance: float | None
    light_colour: str
    light_shift: tuple[float, tuple[float, float, float]] | None = field(repr=False)
    black_density: float | None
    darkest_density: float | None
    contrast_ratio: float | None
    stops: float | None
    price: PrintPrice | None
    advice: tuple[Advice, ...] = field(repr=False)
    score: Score | None = field(default=None, repr=False)
    rank: int = 0
    reason: str = ""

    @property
    def share_outside(self) -> float | None:
        """What `gamut_report` says the paper cannot hold."""
        return None if self.gamut is None else self.gamut.share_outside

    @property
    def deepest_density(self) -> float | None:
        """Of the picture's black as it will print, or of the darkest colour that was read."""
        return self.darkest_density if self.black_density is None else self.black_density

    @property
    def needs_profile(self) -> bool:
        """Whether colours cannot be told, because only its white and black were read."""
        return self.gamut is None


@dataclass(frozen=True, eq=False)
class Comparison(Result):
    """Papers in order for a picture, the best first.

    Attributes
    ----------
    rows : one `PaperRow` a paper, in order.
    weights : what matters, for each of `order.CRITERIA`, adding up to 1.
    character : of the picture, from `describe`.
    reference : name of the white that the papers' whites are compared with.
    exact : whether every pixel was decided for the shares outside and moved; highlights are
        always a quick count.
    """

    _most_told = (
        "paper", "finish", "tint", "black_density", "contrast_ratio", "share_outside",
        "mean_shift", "share_merged", "price",
    )  # fmt: skip

    rows: tuple[PaperRow, ...]
    weights: dict[str, float]
    character: Character = field(repr=False)
    picture: Picture = field(repr=False)
    intent: str
    black_point_compensation: bool
    threshold: float
    reference: str
    exact: bool

    def order(self, weights: Mapping | None = None) -> Comparison:
        """The same figures in the order of other weights; at once, nothing is measured again.

        Raises WorkbenchError as `order.checked_weights`.
        """
        weights = checked_weights(weights)
        scores = [score(_marks(row, self), weights) for row in self.rows]
        placed = [
            replace(self.rows[place], score=scores[place], rank=rank)
            for rank, place in enumerate(in_order(scores), 1)
        ]
        rows = tuple(replace(row, reason=reason(row, placed, weights)) for row in placed)
        return replace(self, rows=rows, weights=weights)

    def table(self) -> list[dict]:
        """One flat dictionary a row, in order: for printing, a data frame or a CSV file.

        Keys are those of `columns.COLUMNS`; None stands where a figure cannot be told.
        """
        return [{column.key: column.value(row) for column in COLUMNS} for row in self.rows]

    @property
    def weights_sentence(self) -> str:
        """What matters, in one sentence."""
        parts = [f"{name} {100 * w:.0f} %" for name, w in self.weights.items() if w]
        return f"What matters: {', '.join(parts)}."

    @property
    def sentence(self) -> str:
        """Which paper comes first, and why."""
        first = self.rows[0]
        if len(self.rows) == 1:
            return f"{first.name}: {first.reason}"
        start = "" if first.score and first.score.total is not None else "By what is known, "
        return f"{start}{first.name} comes first: {first.reason}"


def _marks(row: PaperRow, comparison: Comparison) -> dict[str, float | None]:
    character = comparison.character
    return {
        "colour": None
        if row.gamut is None or row.shift is None
        else colour_mark(row.gamut.share_outside, row.shift.mean),
        "blacks": None
        if row.deepest_density is None
        else blacks_mark(row.deepest_density, character.share_shadows),
        "whites": None
        if row.white_distance is None
        else whites_mark(row.white_distance, character.share_highlights),
        "price": _price_mark(row, comparison.rows),
    }


def _price_mark(row: PaperRow, rows) -> float | None:
    priced = [r.price for r in rows if r.price is not None]
    # amounts in different currencies say nothing about one another
    if row.price is None or len({p.currency for p in priced if p.currency}) > 1:
        return None
    return price_mark(row.price.amount, min(p.amount for p in priced))


def compare(
    picture: Picture,
    papers,
    *,
    weights: Mapping | None = None,
    intent: str = DEFAULTS.intent,
    black_point_compensation: bool = DEFAULTS.black_point_compensation,
    threshold: float = DEFAULTS.threshold,
    reference=None,
    size=None,
    prices: Mapping | None = None,
    exact: bool = True,
    cancelled=None,
    progress=None,
) -> Comparison:
    """Compare papers for a picture, in the order of what matters.

    Parameters
    ----------
    picture : a Picture with a profile.
    papers : Papers, and `MeasuredPaper`s, whose rows lack what needs a profile.
    weights : how much "colour", "blacks", "whites" and "price" matter, see
        `order.checked_weights`; the first three alike if left out.
    intent, black_point_compensation, threshold : as for `colour_shift`; what the paper
        cannot hold does not depend on the first two.
    reference : the white that the papers' whites are compared with, as for `paper_white`;
        untinted cotton if left out.
    size : of the print, (width_mm, height_mm) or a `PrintSize`; gives prices from those
        of the papers' sheets and rolls.
    prices : {paper or its name: price of this print}, before those of ``size``.
    exact : decide every pixel for every paper, a second or so each for large pictures,
        instead of estimating from one colour for each cell of the picture's census.
    cancelled : asked now and then; true ends the work with `Cancelled`.
    progress : told the share done, 0..1.

    Returns
    -------
    A `Comparison`.

    Raises
    ------
    WorkbenchError
        without any paper, or for weights, prices or a size that are none.
    UntaggedPictureError
        for a picture without a profile.

    Examples
    --------
    >>> table = wb.compare(picture, papers[:2])
    >>> report = wb.gamut_report(picture, papers[0], exact=False)
    >>> {row.name: row for row in table.rows}[papers[0].name].share_outside == report.share_outside
    True
    """
    papers = _checked_papers(papers)
    reference = UNTINTED_COTTON if reference is None else reference
    weights, prices = checked_weights(weights), _checked_prices(prices, papers)
    sides = _sides(size)
    check_intent(intent)
    how: dict[str, Any] = {
        "intent": intent,
        "black_point_compensation": bool(black_point_compensation),
    }
    _step(cancelled, progress, 0.0)
    character = describe(picture, cancelled=cancelled)
    rows = []
    for number, paper in enumerate(papers):
        _step(cancelled, progress, (number + 1) / (len(papers) + 1))
        price = prices.get(id(paper))
        if price is None and sides is not None:
            price = price_on(paper, *sides)
        asked = {"exact": exact, "cancelled": cancelled, **how}
        rows.append(_row(picture, paper, character, threshold, reference, price, asked))
    unordered = Comparison(
        rows=tuple(rows),
        weights=weights,
        character=character,
        picture=picture,
        threshold=threshold,
        reference=rows[0].white.reference,
        exact=bool(exact),
        **how,
    )
    _step(cancelled, progress, 1.0)
    return unordered.order(weights)


def _step(cancelled, progress, done: float) -> None:
    if cancelled and cancelled():
        raise Cancelled
    if progress:
        progress(done)


def _row(
    picture: Picture, paper: AnyPaper, character, threshold, reference, price, asked
) -> PaperRow:
    white = paper_white(paper, reference=reference, adaptation=0.0)
    known = white.white_is_known
    gamut = shift = light = black = None
    if not isinstance(paper, MeasuredPaper):
        how = {k: asked[k] for k in ("intent", "black_point_compensation")}
        work = {k: asked[k] for k in ("exact", "cancelled")}
        gamut = gamut_report(picture, paper, threshold=threshold, **work)
        shift = colour_shift(picture, paper, threshold=threshold, **asked)
        light = highlights(picture, paper, tally=lightness_tally(picture, paper, **asked), **how)
        shadows = shadow_tally(picture, **work)
        black = black_point(paper, picture, shadows=shadows, **how)
    darkest, contrast, stops = _black_figures(paper, black)
    return PaperRow(
        paper=paper,
        name=paper.name,
        gamut=gamut,
        shift=shift,
        white=white,
        highlights=light,
        black=black,
        white_distance=float(delta_e_2000(white.seen_lab, [100.0, 0, 0])) if known else None,
        light_colour=character.light_colour,
        light_shift=_light_shift(white, character.light_lab) if known else None,
        black_density=None if black is None else black.black_density,
        darkest_density=darkest,
        contrast_ratio=contrast,
        stops=stops,
        price=price,
        advice=advise(character, paper),
    )


def _black_figures(paper: AnyPaper, black: BlackPoint | None) -> tuple:
    try:
        source = paper if black is None else black
        return paper.black_density, source.contrast_ratio, source.stops
    except PaperError:
        return None, None, None  # its white was read, its black was not


def _light_shift(white: PaperWhite, light_lab):
    """What the paper's white by itself does to the picture's light colour."""
    if light_lab is None:
        return None
    light = np.asarray(light_lab)
    seen = as_seen(light, lab_to_xyz(white.white_lab), lab_to_xyz(white.reference_lab))
    difference = seen - light
    return float(np.hypot(*difference[1:])), triple(difference)


def _checked_papers(papers) -> list:
    if hasattr(papers, "name"):
        papers = [papers]
    try:
        papers = list(papers)
    except TypeError:
        papers = [papers]
    if not papers:
        raise WorkbenchError("There is no paper to compare; give at least one.")
    for paper in papers:
        if not (isinstance(paper, MeasuredPaper) or hasattr(paper, "profile")):
            raise WorkbenchError(f"{paper!r} is not a paper; open one with open_paper first.")
    return papers


def _checked_prices(prices, papers) -> dict:
    """{id of a paper: its price}."""
    if prices is None:
        return {}
    if not isinstance(prices, Mapping):
        raise WorkbenchError("Prices are given for each paper, as {name: price of this print}.")
    found = {}
    for key, value in prices.items():
        named = [p for p in papers if p is key or p.name == key]
        if not named:
            raise WorkbenchError(
                f"There is a price for “{getattr(key, 'name', key)}”, which is not among the papers."
            )
        found.update({id(p): given_price(value, p.name) for p in named})
    return found


def _sides(size) -> tuple[float, float] | None:
    """Width and height in mm of paper needed, borders included."""
    if size is None:
        return None
    if hasattr(size, "width_mm"):
        borders = size.borders
        return size.width_mm + borders.across_mm, size.height_mm + borders.down_mm
    try:
        width_mm, height_mm = size
    except (TypeError, ValueError):
        raise WorkbenchError(f"A size is a width and a height in mm, not {size!r}.") from None
    return width_mm, height_mm

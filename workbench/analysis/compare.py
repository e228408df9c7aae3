"""Papers side by side for one picture, in figures that can each be traced to a function."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from workbench.analysis import doubts
from workbench.analysis.adaptation import UNTINTED_COTTON, as_seen
from workbench.analysis.advice import Advice, advise
from workbench.analysis.black import BlackPoint, black_point
from workbench.analysis.character import Character, describe
from workbench.analysis.columns import COLUMNS
from workbench.analysis.crops import lightness_tally
from workbench.analysis.gamut import ColourShift, GamutReport, colour_shift, gamut_report
from workbench.analysis.glass import HungPrint
from workbench.analysis.order import (
    CRITERIA,
    Score,
    blacks_mark,
    checked_weights,
    colour_mark,
    in_order,
    places,
    price_mark,
    score,
    whites_mark,
)
from workbench.analysis.price import PrintPrice, given_price, price_on
from workbench.analysis.reasons import NAMES, reason
from workbench.analysis.screen import print_in_place
from workbench.analysis.shadows import shadow_tally
from workbench.analysis.white import Highlights, PaperWhite, highlights, paper_white
from workbench.analysis.words import listed
from workbench.colour.difference import delta_e_2000
from workbench.colour.engine import check_intent
from workbench.colour.lab import lab_to_xyz, triple
from workbench.decisions import DECISIONS
from workbench.errors import Cancelled, PaperError, WorkbenchError
from workbench.paper_readings import AnyPaper, MeasuredPaper
from workbench.picture.picture import Picture
from workbench.rendering import DEFAULTS, Rendering
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
    hung : the print in its place, with that black; None where no black is known.
    price : of this print, None where not known.
    doubts : how sure the figures are: {key of a column: ± in its unit}.
    best : keys of the columns in which no other paper is surely better.
    score : marks, weights and points; None without weights.
    rank : 1 for the first; the same for papers too close to tell; 0 without weights.
    reason : what speaks for it and what against, in a sentence or two.
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
    hung: HungPrint | None = field(repr=False)
    price: PrintPrice | None
    advice: tuple[Advice, ...] = field(repr=False)
    doubts: dict[str, float] = field(repr=False)
    best: frozenset[str] = frozenset()
    score: Score | None = field(default=None, repr=False)
    rank: int = 0
    reason: str = ""

    @property
    def share_outside(self) -> float | None:
        """What `gamut_report` says the paper cannot hold."""
        return None if self.gamut is None else self.gamut.share_outside

    @property
    def contrast_seen(self) -> float | None:
        """White to black of the print in its place."""
        return None if self.hung is None else self.hung.contrast_ratio

    @property
    def needs_profile(self) -> bool:
        """Whether colours cannot be told, because only its white and black were read."""
        return self.gamut is None


@dataclass(frozen=True, eq=False)
class Comparison(Result):
    """Papers for a picture, by their properties; in order where the person says what matters.

    Attributes
    ----------
    rows : one `PaperRow` a paper; as they were given, or in order of the weights.
    weights : what matters, for each of `order.CRITERIA`, adding up to 1; None where nothing
        was said, and there is no order.
    white_wish : the white that the person prefers, "any" for none.
    character : of the picture, from `describe`.
    reference : name of the white that the papers' whites are compared with.
    exact : whether every pixel was decided for the shares outside and moved; highlights are
        always a quick count.
    """

    _most_told = (
        "paper", "finish", "tint", "black_density", "contrast_seen", "share_outside",
        "mean_shift", "share_merged", "price",
    )  # fmt: skip

    rows: tuple[PaperRow, ...]
    weights: dict[str, float] | None
    white_wish: str
    character: Character = field(repr=False)
    picture: Picture = field(repr=False)
    intent: str
    black_point_compensation: bool
    threshold: float
    reference: str
    exact: bool

    def order(self, weights: Mapping | None = None, *, white_wish: str | None = None) -> Comparison:
        """The same figures by other weights, or another wish; at once, nothing is measured again.

        Without weights the rows stay as they are.  Raises WorkbenchError as
        `order.checked_weights`.
        """
        wish = DECISIONS["white_wish"].check(self.white_wish if white_wish is None else white_wish)
        wanted = _wished(checked_weights(weights), wish)
        now = replace(self, white_wish=wish, weights=wanted)
        marks = [_marks(row, now) for row in self.rows]
        best = _best(self.rows, marks)
        rows = [replace(row, best=best[n], score=None, rank=0) for n, row in enumerate(self.rows)]
        if wanted is not None:
            scores = [score(known, wanted, unsure) for known, unsure in marks]
            order = in_order(scores)
            ranks = places([scores[n] for n in order])
            rows = [
                replace(rows[n], score=scores[n], rank=rank)
                for n, rank in zip(order, ranks, strict=True)
            ]
            marks = [marks[n] for n in order]
        known = [each for each, _ in marks]
        rows = [
            replace(row, reason=reason(n, rows, known, wanted, wish)) for n, row in enumerate(rows)
        ]
        return replace(now, rows=tuple(rows))

    def table(self) -> list[dict]:
        """One flat dictionary a row, in order: for printing, a data frame or a CSV file.

        Keys are those of `columns.COLUMNS`; None stands where a figure cannot be told.
        """
        return [{column.key: column.value(row) for column in COLUMNS} for row in self.rows]

    @property
    def weights_sentence(self) -> str:
        """What matters, in one sentence."""
        if self.weights is None:
            return "Nothing has been said to matter, so the papers are not put in order."
        parts = [f"{name} {100 * w:.0f} %" for name, w in self.weights.items() if w]
        return f"What matters: {', '.join(parts)}."

    @property
    def sentence(self) -> str:
        """Which papers are best at what; or, with weights, which come first, and why."""
        first = self.rows[0]
        if len(self.rows) == 1:
            return f"{first.name}: {first.reason}"
        if self.weights is None:
            return self._best_sentence()
        shared = [row.name for row in self.rows if row.rank == 1]
        known = first.score is not None and first.score.total is not None
        start = "" if known else "By what is known, "
        if len(shared) == 1:
            return f"{start}{first.name} comes first: {first.reason}"
        return f"{start}{listed(shared)} share the first place: too close to tell apart."

    def _best_sentence(self) -> str:
        said = []
        for key, name in NAMES.items():
            names = [row.name for row in self.rows if key in row.best]
            if len(names) == len(self.rows):
                said.append(f"{name}: all alike")
            elif names:
                said.append(f"{name}: {listed(names)}")
        if not said:
            return "Too little is known of these papers to compare them."
        return f"Best in {'; '.join(said)}. Say what matters for an order."


def _wished(weights, wish: str):
    """Weights without that of whites where no white is preferred."""
    if weights is None or wish != "any" or not weights["whites"]:
        return weights
    return checked_weights({**weights, "whites": 0.0})


def _best(rows, marks) -> list[frozenset[str]]:
    """Keys of the columns that each row is best in, within what is sure."""
    # figures that no real sheet has are not the best of anything
    values = {
        c.key: [None if row.white.doubt else c.value(row) for row in rows]
        for c in COLUMNS if c.better
    }  # fmt: skip
    unsure = {key: [row.doubts.get(key, 0.0) for row in rows] for key in values}
    better = {c.key: c.better for c in COLUMNS if c.better}
    if len({row.price.currency for row in rows if row.price and row.price.currency}) > 1:
        del values["price"]
    values["mark_whites"] = [known["whites"] for known, _ in marks]
    unsure["mark_whites"] = [doubt.get("whites", 0.0) for _, doubt in marks]
    better["mark_whites"] = 1
    found = {k: doubts.best_of(v, unsure[k], better[k]) for k, v in values.items()}
    return [frozenset(key for key in found if n in found[key]) for n in range(len(rows))]


def _marks(row: PaperRow, comparison: Comparison) -> tuple[dict, dict]:
    """{criterion: mark, None where not known}, and {criterion: how far that may be off}."""
    character, wish = comparison.character, comparison.white_wish
    marks: dict[str, float | None] = dict.fromkeys(CRITERIA)
    unsure: dict[str, float] = {}
    if row.gamut is not None and row.shift is not None:
        marks["colour"] = colour_mark(row.gamut.share_outside, row.shift.mean)
        unsure["colour"] = (row.doubts["share_outside"] + row.doubts["mean_shift"] / 10) / 2
    if row.contrast_seen is not None and not row.white.doubt:
        shadows = character.share_shadows
        marks["blacks"] = blacks_mark(row.contrast_seen, shadows)
        unsure["blacks"] = doubts.mark_doubt(
            lambda contrast: blacks_mark(contrast, shadows),
            row.contrast_seen, row.doubts["contrast_seen"],
        )  # fmt: skip
    if row.white.white_is_known and not row.white.doubt and wish != "any":
        lights = character.share_highlights
        lightness, a, b = row.white.white_lab
        marks["whites"] = whites_mark((lightness, a, b), wish, lights)
        unsure["whites"] = doubts.mark_doubt(
            lambda move: whites_mark((lightness, a * (1 + move), b + move), wish, lights) or 0.0,
            0.0, doubts.READ,
        )  # fmt: skip
    marks["price"] = _price_mark(row, comparison.rows)
    return marks, unsure


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
    white_wish: str = str(DECISIONS["white_wish"].default),
    intent: str = DEFAULTS.intent,
    black_point_compensation: bool = DEFAULTS.black_point_compensation,
    threshold: float = DEFAULTS.threshold,
    reference=None,
    illuminance_lux: float = DEFAULTS.illuminance_lux,
    light=DEFAULTS.light,
    glass=DEFAULTS.glass,
    room_share: float | None = DEFAULTS.room_share,
    size=None,
    sheet=None,
    prices: Mapping | None = None,
    exact: bool = True,
    cancelled=None,
    progress=None,
) -> Comparison:
    """Compare papers for a picture, by their properties; in order where you say what matters.

    Parameters
    ----------
    picture : a Picture with a profile.
    papers : Papers, and `MeasuredPaper`s, whose rows lack what needs a profile.
    weights : how much "colour", "blacks", "whites" and "price" matter, see
        `order.checked_weights`; without any there is no order, only the best of each.
    white_wish : "neutral", "cool" or "warm" for a white that you prefer; with "any" a paper's
        tint counts neither for it nor against it.
    intent, black_point_compensation, threshold : as for `colour_shift`; what the paper
        cannot hold does not depend on the first two.
    reference : the white that the papers' whites are compared with, as for `paper_white`;
        untinted cotton if left out.
    illuminance_lux, light, glass, room_share : of the place, as for `screen_match`: blacks are
        compared as they will be seen there.
    size : of the print, (width_mm, height_mm) or a `PrintSize`; gives prices from those
        of the papers' sheets and rolls.
    sheet : the one sheet or roll that is priced; the cheapest of each paper if left out.  Each
        row's ``price.how`` says which.
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
    place = Rendering(
        illuminance_lux=illuminance_lux, light=light, glass=glass or "", room_share=room_share
    )
    checked_weights(weights)
    prices = _checked_prices(prices, papers)
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
            price = price_on(paper, *sides, sheet=sheet)
        asked = {"exact": exact, "cancelled": cancelled, **how}
        rows.append(_row(picture, paper, character, threshold, reference, place, price, asked))
    unordered = Comparison(
        rows=tuple(rows),
        weights=None,
        white_wish=white_wish,
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
    picture: Picture, paper: AnyPaper, character, threshold, reference, place, price, asked
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
    hung = _hung(paper, black, place)
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
        hung=hung and hung[0],
        price=price,
        advice=advise(character, paper),
        doubts=_doubts(paper, gamut, shift, hung, price),
    )


@dataclass(frozen=True)
class _Sheet:
    """What `print_in_place` asks of a paper, with the black that a picture prints at."""

    white_lab: tuple
    black_lab: tuple
    finish: str | None
    white_is_known: bool


def _hung(paper: AnyPaper, black: BlackPoint | None, place: Rendering):
    """The print in its place, and its black; None where no black is known."""
    try:
        lab = paper.black_lab if black is None else black.black_lab
    except PaperError:
        return None
    sheet = _Sheet(paper.white_lab, lab, paper.finish, paper.white_is_known)
    return print_in_place(sheet, place).hung, lab


def _doubts(paper: AnyPaper, gamut, shift, hung, price) -> dict[str, float]:
    """How sure the figures of a row are, by the key of their column."""
    found: dict[str, float] = {}
    if gamut is not None and shift is not None:
        found["share_outside"] = doubts.share_doubt(gamut)
        found["mean_shift"] = found["shift_95"] = float(gamut.noise_floor)
        found["share_merged"] = 0.0 if gamut.exact else doubts.QUICK_SHARE
        found["gamut_volume"] = doubts.volume_doubt(paper.gamut_volume)
    if hung is not None:
        found["contrast_seen"] = doubts.contrast_doubt(*hung)
    if price is not None:
        found["price"] = doubts.CENT
    return found


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

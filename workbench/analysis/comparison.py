"""What a comparison of papers holds: a row of figures for each, and their order by what matters."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from workbench.analysis import doubts
from workbench.analysis.advice import Advice
from workbench.analysis.black import BlackPoint
from workbench.analysis.character import Character
from workbench.analysis.columns import COLUMNS
from workbench.analysis.gamut import ColourShift, GamutReport
from workbench.analysis.glass import HungPrint
from workbench.analysis.order import (
    CRITERIA,
    CRITERION_NAMES,
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
from workbench.analysis.price import PrintPrice
from workbench.analysis.reasons import NAMES, reason
from workbench.analysis.white import Highlights, PaperWhite
from workbench.analysis.words import listed
from workbench.decisions import DECISIONS
from workbench.language import tr
from workbench.paper_readings import AnyPaper
from workbench.picture.picture import Picture
from workbench.results import Result
from workbench.surface.relief import Surface


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
    surface : the sheet's relief and gloss, see `surface_of`; None where its file cannot be read.
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
    surface: Surface | None = field(repr=False)
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
            return tr("Nothing has been said to matter, so the papers are not put in order.")
        parts = [
            tr("{name} {share:.0f} %", name=CRITERION_NAMES[name], share=100 * weight)
            for name, weight in self.weights.items()
            if weight
        ]
        return tr("What matters: {listed}.", listed=", ".join(parts))

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
        if len(shared) == 1:
            said = {"name": first.name, "reason": first.reason}
            if known:
                return tr("{name} comes first: {reason}", **said)
            return tr("By what is known, {name} comes first: {reason}", **said)
        names = listed(shared)
        if known:
            return tr("{names} share the first place: too close to tell apart.", names=names)
        return tr(
            "By what is known, {names} share the first place: too close to tell apart.",
            names=names,
        )

    def _best_sentence(self) -> str:
        said = []
        for key, name in NAMES.items():
            names = [row.name for row in self.rows if key in row.best]
            if len(names) == len(self.rows):
                said.append(tr("{name}: all alike", name=name))
            elif names:
                said.append(f"{name}: {listed(names)}")
        if not said:
            return tr("Too little is known of these papers to compare them.")
        return tr("Best in {listed}. Say what matters for an order.", listed="; ".join(said))


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

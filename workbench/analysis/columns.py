"""The columns of a comparison: for each figure its title, its unit and where it comes from."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from workbench.analysis.order import CRITERIA, CRITERION_NAMES
from workbench.analysis.printed_black import DARKEST, PICTURE_BLACK
from workbench.analysis.words import in_sentence
from workbench.characteristics import CHARACTERISTICS, in_section, word_of
from workbench.language import tr
from workbench.paper_readings import measuring_condition
from workbench.surface.relief import WAYS_TO_KNOW


@dataclass(frozen=True)
class Column:
    """A column.

    Attributes
    ----------
    key : in `Comparison.table`.
    title : for people.
    unit : "" for words and plain numbers; "share" is 0..1.
    source : the function that gives the figure, and its field.
    value : takes a `PaperRow`.
    better : 1 where more is better for a print, −1 where less is, 0 where it is a matter of taste
        or only another view of the same.
    """

    key: str
    title: str
    unit: str
    source: str
    value: Callable = field(repr=False)
    better: int = 0


def _of(name: str) -> Callable:
    """A field of what the row has under a name; None where it has nothing there."""
    part, _, rest = name.partition(".")

    def value(row):
        holder = getattr(row, part)
        return None if holder is None else getattr(holder, rest)

    return value


def _known(key: str) -> Column:
    declared = CHARACTERISTICS[key]
    return Column(
        key,
        declared.label,
        declared.unit,
        tr("the paper's own {key}", key=key),
        lambda row: word_of(getattr(row.paper, key)),
    )


def _mark(name: str) -> Column:
    return Column(
        f"mark_{name}",
        tr("Mark for {name}", name=CRITERION_NAMES[name]),
        "0..1",
        f"order.{name}_mark",
        lambda row: None if row.score is None else row.score.marks[name],
    )


def _weight(name: str) -> Column:
    return Column(
        f"weight_{name}",
        tr("Weight of {name}", name=CRITERION_NAMES[name]),
        "0..1",
        "order.checked_weights",
        lambda row: None if row.score is None else row.score.weights[name],
    )


def _white(row, place: int):
    return row.white.white_lab[place] if row.white.white_is_known else None


def _whiteness(row, name: str):
    whiteness = row.white.whiteness
    # outside the formulas' range the values say nothing
    return getattr(whiteness, name) if row.white.white_is_known and whiteness.valid else None


def _relief_words(surface) -> str:
    kind = word_of(surface.kind) or tr("own")
    return f"{kind}, {WAYS_TO_KNOW[surface.how_known]}"


COLUMNS: tuple[Column, ...] = (
    Column("rank", tr("Place"), "", "order.places", lambda row: row.rank or None),
    Column("paper", tr("Paper"), "", tr("the paper's own name"), lambda row: row.name),
    Column("white_L", tr("White L*"), "", "paper_white().white_lab", lambda row: _white(row, 0)),
    Column("white_a", tr("White a*"), "", "paper_white().white_lab", lambda row: _white(row, 1)),
    Column("white_b", tr("White b*"), "", "paper_white().white_lab", lambda row: _white(row, 2)),
    Column(
        "tint",
        tr("Tint"),
        "",
        "paper_white().tint",
        lambda row: row.white.tint if row.white.white_is_known else None,
    ),
    Column(
        "condition",
        tr("Measuring condition"),
        "ISO 13655",
        tr("measuring_condition(), where the file states it"),
        lambda row: measuring_condition(row.paper),
    ),
    Column(
        "whiteness",
        tr("Whiteness"),
        "CIE",
        tr("paper_white().whiteness.whiteness, where valid"),
        lambda row: _whiteness(row, "whiteness"),
    ),
    Column(
        "whiteness_tint",
        tr("Whiteness tint"),
        "CIE",
        tr("paper_white().whiteness.tint, where valid"),
        lambda row: _whiteness(row, "tint"),
    ),
    Column(
        "white_distance",
        tr("White, from the reference"),
        "CIEDE2000",
        "delta_e_2000(paper_white().seen_lab, (100, 0, 0))",
        lambda row: row.white_distance,
    ),
    Column(
        "light_shift",
        tr("Light colours turned by the white"),
        tr("units of a*b*"),
        "as_seen(describe().light_lab) against describe().light_lab",
        lambda row: None if row.light_shift is None else row.light_shift[0],
    ),
    Column(
        "black_density",
        PICTURE_BLACK,
        tr("density, absolute"),
        "black_point().black_density",
        lambda row: row.black_density,
    ),
    Column(
        "darkest_density",
        DARKEST,
        tr("density, absolute"),
        tr("the paper's own black_density, or the reading's"),
        lambda row: row.darkest_density,
    ),
    Column(
        "contrast_ratio",
        tr("Contrast"),
        ": 1",
        tr("black_point().contrast_ratio, or the readings'"),
        lambda row: row.contrast_ratio,
    ),
    Column(
        "contrast_seen",
        tr("Contrast in its place"),
        ": 1",
        tr("print_in_place().hung_contrast_ratio, with this black"),
        lambda row: row.contrast_seen,
        better=1,
    ),
    Column(
        "black_hung",
        tr("Black in its place"),
        tr("density, absolute"),
        tr("print_in_place().hung.black_density, with this black"),
        _of("hung.black_density"),
    ),
    Column(
        "stops", tr("Stops"), "", tr("black_point().stops, or the readings'"), lambda row: row.stops
    ),
    Column(
        "gamut_volume",
        tr("Gamut volume"),
        tr("cubic Lab"),
        tr("the paper's own gamut_volume"),
        lambda row: None if row.needs_profile else row.paper.gamut_volume,
        better=1,
    ),
    *(_known(key) for key in in_section("packet", "hand")),
    Column(
        "relief",
        tr("Relief"),
        "",
        tr("surface_of(): its kind, and how it is known"),
        lambda row: row.surface and _relief_words(row.surface),
    ),
    Column(
        "relief_slope",
        tr("RMS slope of the relief"),
        "",
        "surface_of().rms_slope",
        _of("surface.rms_slope"),
    ),
    Column(
        "relief_height",
        tr("RMS height of the relief"),
        "µm",
        "1000 surface_of().rms_height_mm",
        lambda row: None if row.surface is None else 1000 * row.surface.rms_height_mm,
    ),
    Column(
        "gloss_60",
        tr("Gloss at 60°"),
        tr("ISO 2813 units"),
        "surface_of().gloss_60",
        _of("surface.gloss_60"),
    ),
    _known("black_ink"),
    Column(
        "share_outside",
        tr("Picture out of gamut"),
        "share",
        "gamut_report().share_outside",
        _of("gamut.share_outside"),
        better=-1,
    ),
    Column(
        "mean_shift",
        tr("Mean shift"),
        "CIEDE2000",
        "colour_shift().mean",
        _of("shift.mean"),
        better=-1,
    ),
    Column(
        "shift_95",
        tr("Shift of 95 %"),
        "CIEDE2000",
        "colour_shift().percentiles[95]",
        lambda row: None if row.shift is None else row.shift.percentiles[95],
    ),
    Column(
        "merged_levels",
        tr("Shadow levels merged"),
        tr("of 255"),
        "black_point().merged_levels",
        _of("black.merged_levels"),
    ),
    Column(
        "share_merged",
        tr("Picture merged in black"),
        "share",
        "black_point().share_merged",
        _of("black.share_merged"),
        better=-1,
    ),
    Column(
        "share_highlights",
        tr("Highlights that take the tint"),
        "share",
        "highlights().share",
        _of("highlights.share"),
    ),
    Column(
        "price",
        tr("Price of this size"),
        "",
        tr("price.price_on, or as given"),
        _of("price.amount"),
        better=-1,
    ),
    Column("currency", tr("Currency"), "", tr("the paper's own currency"), _of("price.currency")),
    Column("price_how", tr("Cut from"), "", "price.price_on", _of("price.how")),
    *(_mark(name) for name in CRITERIA),
    *(_weight(name) for name in CRITERIA),
    Column("score", tr("Score"), "0..1", "order.score", _of("score.total")),
    Column(
        "score_doubt", tr("Score, plus or minus"), "0..1", "order.score", _of("score.uncertainty")
    ),
    Column(
        "best",
        tr("Best in"),
        "",
        "doubts.best_of",
        lambda row: ", ".join(in_sentence(c.title) for c in COLUMNS if c.key in row.best) or None,
    ),
    Column("reason", tr("Why"), "", "reasons.reason", lambda row: row.reason),
)

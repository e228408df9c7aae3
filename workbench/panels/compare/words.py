"""What the side-by-side panel says: the order with its reasons, and the table of figures."""

from __future__ import annotations

from html import escape

from workbench.analysis.columns import COLUMNS
from workbench.analysis.doubts import READ
from workbench.analysis.order import CRITERIA, CRITERION_NAMES
from workbench.analysis.words import percent, signed
from workbench.characteristics import CHARACTERISTICS
from workbench.language import numeral, tr

_LEFT_OUT = {"rank", "paper", "reason", "currency", "best"}
_SIGNED = {"white_a", "white_b", "whiteness_tint"}
_DECIMALS = {
    "white_L": 1, "whiteness": 0, "white_distance": 1, "light_shift": 1, "black_density": 2, "darkest_density": 2,
    "contrast_ratio": 0, "contrast_seen": 1, "black_hung": 2, "relief_slope": 3, "relief_height": 1, "gloss_60": 0, "score_doubt": 3, "stops": 1, "mean_shift": 1, "shift_95": 1, "price": 2, "score": 3,
    "weight_g_m2": 0,
    "thickness_mm": 2,
}  # fmt: skip
_NO_MATHS = "tex2jax_ignore mathjax_ignore"
# the panel's own look, within it only
STYLE = """<style>
.wb-compare-order { border-collapse: collapse; width: 100%; color: var(--wb-ink); }
.wb-compare-order td { padding: 6px 12px 6px 0; vertical-align: top; }
.wb-compare-order tr + tr td { border-top: 1px solid var(--wb-edge); }
.wb-compare-order .wb-place { font-size: 19px; width: 1.6em; }
.wb-compare-order .wb-score { font-size: 19px; text-align: right; white-space: nowrap; }
.wb-compare-order b { font-weight: 600; }
.wb-compare-table { width: 100%; }
.wb-compare-table > .widget-html-content { min-width: 0; max-width: 100%; flex: 1 1 0; }
.wb-compare-scroll { overflow-x: auto; width: 100%; }
.wb-compare-scroll table { border-collapse: separate; border-spacing: 0; font-size: 13px;
  color: var(--wb-ink); white-space: nowrap; }
.wb-compare-scroll th, .wb-compare-scroll td { padding: 4px 14px 4px 0; text-align: right;
  border-bottom: 1px solid var(--wb-edge); }
.wb-compare-scroll thead th { font-weight: normal; color: var(--wb-quiet); white-space: normal;
  min-width: 84px; max-width: 160px; vertical-align: bottom; cursor: help; line-height: 1.25; }
.wb-compare-scroll .wb-text { text-align: left; }
.wb-compare-scroll tr > :first-child { position: sticky; left: 0; text-align: left;
  background: var(--wb-paper); font-weight: 600; white-space: normal; min-width: 120px;
  max-width: 170px; }
.wb-compare-weights .wb-control:not(.wb-control-small) { width: 172px; }
.wb-compare-weights .wb-control-body > .wb-slider { min-width: 80px; }
.wb-compare-weights .wb-control-body > .wb-number { flex-basis: 62px; width: 62px; }
.wb-compare-ticks { gap: 2px 24px; }
.wb-compare-ticks { max-height: 170px; overflow-y: auto; }
.wb-compare-ticks .wb-control-tick { min-width: 220px; }
</style>"""


def order_html(comparison, numbers) -> str:
    """The papers, in order where weights are set: with reason, advice and the sum of the score.

    ``numbers`` says which number each paper has, by its identity.
    """
    rows = []
    ranks = [row.rank for row in comparison.rows]
    for row in comparison.rows:
        place = score = ""
        quiet = [each.sentence for each in row.advice]
        if row.score is not None:
            place = f"{row.rank}{' =' if ranks.count(row.rank) > 1 else ''}"
            total = row.score.total
            score = "–" if total is None else numeral(total, ".2f")
            quiet.append(sum_words(row.score))
        label = f"{numbers.get(id(row.paper), '')}. {row.name}".lstrip(". ")
        said = "".join(f'<div class="wb-muted">{escape(each)}</div>' for each in quiet)
        rows.append(
            f'<tr><td class="wb-place">{place}</td>'
            f"<td><b>{escape(label)}</b><div>{escape(row.reason)}</div>{said}</td>"
            f'<td class="wb-score">{score}</td></tr>'
        )
    return f'<table class="wb-compare-order {_NO_MATHS}">{"".join(rows)}</table>'


#: How sure the figures are, and what follows from it.
SURE = tr(
    "Papers share a place where their scores differ by less than they are sure. "
    "Shares and shifts are as unsure as the profile is noisy; whites and blacks by "
    "{read:g} L*, a*, b*, as readings and sheets differ; blacks also by what an "
    "eye tells apart side by side (common practice, no source); prices by half a "
    "hundredth.",
    read=READ,
)


def price_note(comparison) -> str:
    """How many of the papers have a price, where prices matter and not all have one."""
    rows = comparison.rows
    priced = sum(row.price is not None for row in rows)
    if priced == len(rows) or not (comparison.weights or {}).get("price"):
        return ""
    if not priced:
        return tr(" None of these papers has a price for this size; papers without come last.")
    return tr(
        " Only {priced} of {count} of these papers has a price for this size; papers without come "
        "last.",
        priced=priced,
        count=len(rows),
    )


def sum_words(score) -> str:
    """How a score comes about, such as “Score 0.90 = colour 0.50 × 0.95 + …”."""
    terms = []
    for name in CRITERIA:
        weight, mark = score.weights[name], score.marks[name]
        if weight:
            said = {"criterion": CRITERION_NAMES[name], "weight": weight, "mark": mark}
            terms.append(
                tr("{criterion} {weight:.2f} × unknown", **said)
                if mark is None
                else tr("{criterion} {weight:.2f} × {mark:.2f}", **said)
            )
    head = (
        tr("No score")
        if score.total is None
        else tr("Score {total:.3f} ± {doubt:.3f}", total=score.total, doubt=score.uncertainty)
    )
    return f"{head} = {' + '.join(terms)}"


def table_html(comparison) -> str:
    """A row a paper, with all figures; each title tells on hovering where it comes from."""
    columns = [c for c in COLUMNS if c.key not in _LEFT_OUT]
    if comparison.weights is None:
        columns = [c for c in columns if not c.key.startswith(_OF_WEIGHTS)]
    head = f'<th scope="col">{tr("Paper")}</th>'
    for column in columns:
        title = escape(tr("From {source}", source=column.source), quote=True)
        head += f'<th scope="col" title="{title}"{_css(column.key)}>{escape(_title(column))}</th>'
    body = ""
    for row, of in zip(comparison.table(), comparison.rows, strict=True):
        cells = "".join(_cell(row, of, c.key) for c in columns)
        body += f'<tr><th scope="row">{escape(row["paper"])}</th>{cells}</tr>'
    label = tr("All figures of the papers")
    return (
        f'<div class="wb-compare-scroll {_NO_MATHS}" tabindex="0" role="region" '
        f'aria-label="{label}">'
        f"<table><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table></div>"
    )


_WORDS = {key for key, each in CHARACTERISTICS.items() if each.kind == "text"}
_WORDS |= {"tint", "price_how", "condition", "relief"}


_OF_WEIGHTS = ("mark_", *(f"weight_{name}" for name in CRITERIA), "score")


def _cell(row: dict, of, key: str) -> str:
    figure, doubt = escape(_figure(row, key)), of.doubts.get(key)
    sure = ""
    if doubt and row[key] is not None:
        unsure = _figure({**row, key: doubt}, key)
        sure = f' title="{escape(f"± {unsure}", quote=True)}"'
    if ("mark_whites" if key == "tint" else key) in of.best:
        best = tr("best")
        figure = f'<b>{figure}</b><span aria-label=" {best}">\u2009✓</span>'
    return f"<td{_css(key)}{sure}>{figure}</td>"


def _css(key: str) -> str:
    return ' class="wb-text"' if key in _WORDS else ""


def _title(column) -> str:
    unit = {"share": tr("share"), "0..1": tr("0 to 1")}.get(column.unit, column.unit)
    if column.key.startswith("white_") and len(column.key) == 7:
        unit = tr("absolute")
    return f"{column.title}, {unit}" if unit else column.title


def _figure(row: dict, key: str) -> str:
    value = row[key]
    if value is None:
        return "–"
    if key.startswith("share_"):
        return percent(value)
    if key == "price":
        amount = numeral(value, ".2f")
        return f"{amount} {row['currency'] or ''}".strip()
    if key == "gamut_volume":
        return f"{value:,.0f}".replace(",", "\u2009")
    if key in _SIGNED:
        return signed(value)
    if key.startswith(_OF_WEIGHTS):
        return numeral(value, ".2f")
    if key in _DECIMALS:
        return numeral(value, f".{_DECIMALS[key]}f")
    return str(value)

"""Why a paper stands where it stands, in a sentence that a photographer would say."""

from __future__ import annotations

from workbench.analysis.advice import DEEP_DENSITY, SHALLOW_DENSITY
from workbench.analysis.order import CRITERIA
from workbench.analysis.printed_black import PICTURE_BLACK
from workbench.analysis.words import percent, tint_words
from workbench.language import tr

# a mark this near the best is a strength, one this far behind a weakness (our choice)
_NEAR, _BEHIND = 0.05, 0.10
# units of a*b* by which light colours turn that are not worth a word
_UNSEEN = 1.0
#: What the columns that tell best and worst are about, as `Comparison.sentence` says it.
NAMES = {
    "share_outside": tr("colours held"),
    "contrast_seen": tr("blacks as seen in the place"),
    "mark_whites": tr("the white that you prefer"),
    "price": "price",
}
_MANY_OUTSIDE = 0.25
# what a white is by itself has other words, so that no paper is warm here and cooler there
_MORE = {"warm": "yellower", "cool": "bluer", "greenish": "greener", "pinkish": "pinker"}


def reason(number: int, rows, marks, weights, wish: str) -> str:
    """One or two sentences on a row of a comparison among its rows, by what matters.

    Strengths and weaknesses are meant among the papers compared: a mark within 0.05 of
    the best, or more than 0.10 behind it.  Criteria of no weight are passed over; without
    weights all count.

    Parameters
    ----------
    number : of the row in ``rows``.
    marks : {criterion: mark} of each row.
    weights : from `checked_weights`.
    wish : the white that the person prefers; with "any" a tint is told, never blamed.

    Returns
    -------
    The sentences; of figures that no real sheet has, only why they tell nothing.
    """
    row = rows[number]
    if row.white.doubt:
        return row.white.doubt
    good: list[tuple[str, str]] = []
    bad: list[tuple[str, str]] = []
    middling: list[tuple[str, str]] = []
    unknown: list[str] = []
    for name in CRITERIA:
        if weights is not None and weights[name] == 0:
            continue
        mark = marks[number][name]
        if name == "whites" and wish == "any" and row.white.white_is_known:
            middling.append(_whites(row, rows, 0.0)[:2])
            continue
        if mark is None:
            if name != "price" or weights is not None:
                unknown.append(_UNKNOWN[name])
            continue
        gap = max(m[name] for m in marks if m[name] is not None) - mark
        subject, predicate, is_bad = _CLAUSES[name](row, rows, gap)
        clause = subject, predicate
        if is_bad:
            bad.append(clause)
        elif gap <= _NEAR or name == "colour":
            good.append(clause)
        else:
            middling.append(clause)
    good = good if good or bad else middling
    sentences = list(unknown)
    if good or bad:
        strong, weak = _listed(good, first=True), _listed(bad, first=not good)
        sentences.insert(
            0,
            tr("{strong}, but {weak}", strong=strong, weak=weak)
            if strong and weak
            else strong or weak,
        )
    return " ".join(f"{each[0].upper()}{each[1:]}." for each in sentences)


def _listed(clauses, *, first: bool) -> str:
    """(subject, predicate) pairs as one clause; "it" is left out where it stands already."""
    texts, before = [], "it" if first else ""
    for subject, predicate in clauses:
        texts.append(predicate if subject == before == "it" else f"{subject} {predicate}")
        before = subject
    if len(texts) < 2:
        return "".join(texts)
    comma = "" if before == "it" else ","  # another subject begins a clause of its own
    return tr(
        "{listed}{comma} and {texts}", listed=", ".join(texts[:-1]), comma=comma, texts=texts[-1]
    )


def _colour(row, rows, gap: float) -> tuple[str, str, bool]:
    gamut = row.gamut
    is_bad = gap > _BEHIND or gamut.share_outside > _MANY_OUTSIDE
    held = 1 - gamut.share_outside
    text = tr(
        "holds {part}{percent}",
        part="only " if is_bad and held < 0.95 else "",
        percent=percent(held),
    )
    text += tr(" of this picture's colours")
    if is_bad:
        text += tr(" (on average they move by {mean:.1f} CIEDE2000", mean=row.shift.mean)
        text += (
            tr(", {worst_colours} lose most)", worst_colours=gamut.worst_colours)
            if gamut.share_outside >= 0.01
            else ")"
        )
    return "it", text, is_bad


def _blacks(row, rows, gap: float) -> tuple[str, str, bool]:
    contrast = row.contrast_seen
    black = f"{PICTURE_BLACK[0].lower()}{PICTURE_BLACK[1:]}"
    if row.black is None:
        black = tr("its darkest printable colour")
    figure = (
        tr("{contrast:.0f}:1", contrast=contrast)
        if contrast >= 20
        else tr("{contrast:.1f}:1", contrast=contrast)
    )
    density = row.darkest_density if row.black_density is None else row.black_density
    figure = tr("{figure} in its place, density {density:.2f}", figure=figure, density=density)
    if gap > _BEHIND:
        lost = _share_lost(row)
        lost_words = tr(", {percent} merges in it", percent=percent(lost)) if lost >= 0.01 else ""
        shallow = density <= SHALLOW_DENSITY
        return (
            black,
            tr(
                "is {part} ({figure}{lost})",
                part="shallow" if shallow else "less deep",
                figure=figure,
                lost=lost_words,
            ),
            True,
        )
    if "contrast_seen" in row.best and len(rows) > 1:
        among = sum("contrast_seen" in each.best for each in rows)
        how = tr("the deepest") if among == 1 else tr("as deep as any here")
        return black, tr("is {how} ({figure})", how=how, figure=figure), False
    return (
        black,
        tr("is deep enough ({figure})", figure=figure)
        if density >= DEEP_DENSITY
        else tr("has {figure}", figure=figure),
        False,
    )


def _share_lost(row) -> float:
    """Share of the picture that merges in the paper's black, beyond what does in itself."""
    if row.black is None or row.black.share_merged is None:
        return 0.0
    return row.black.share_merged - row.black.share_merged_in_picture


def _whites(row, rows, gap: float) -> tuple[str, str, bool]:
    is_bad = gap > _BEHIND
    if row.light_shift is None:
        return tr("its white"), tr("is {tint}", tint=row.white.tint), is_bad
    units, turn = row.light_shift
    if units < _UNSEEN:
        return (
            tr("its white"),
            tr("leaves the {light_colour} nearly as they are", light_colour=row.light_colour),
            is_bad,
        )
    word = "unit" if round(units) == 1 else "units"
    turned = _MORE[tint_words(turn, small=0.0).split()[-1]]
    return (
        tr("its white"),
        tr(
            "turns the {light_colour} {units:.0f} {word} {turned}",
            light_colour=row.light_colour,
            units=units,
            word=word,
            turned=turned,
        ),
        is_bad,
    )


def _price(row, rows, gap: float) -> tuple[str, str, bool]:
    amounts = [r.price.amount for r in rows if r.price is not None]
    least = min(amounts)
    if row.price.amount <= least:
        end = tr(", the least of all") if len(amounts) > 1 else ""
        return "it", tr("costs {price}{end}", price=_price_words(row), end=end), False
    times = tr(", {amount:.1f} times the least", amount=row.price.amount / least) if least else ""
    return "it", tr("costs {price}{times}", price=_price_words(row), times=times), gap > _BEHIND


def _price_words(row) -> str:
    how = "" if row.price.how == "as given" else f" ({row.price.how})"
    return tr("{text_} at this size{how}", text_=row.price.text, how=how)


_CLAUSES = {"colour": _colour, "blacks": _blacks, "whites": _whites, "price": _price}
_UNKNOWN = {
    "colour": tr("it needs a profile to tell how many of this picture's colours it holds"),
    "blacks": tr("its black was not read, so nothing is known of its depth"),
    "whites": tr("its profile does not state its white, so the tint is unknown"),
    "price": tr("its price at this size is not known"),
}

"""Why a paper stands where it stands, in a sentence that a photographer would say."""

from __future__ import annotations

from workbench.analysis.advice import DEEP_DENSITY, SHALLOW_DENSITY
from workbench.analysis.order import CRITERIA, CRITERION_NAMES
from workbench.analysis.price import AS_GIVEN
from workbench.analysis.printed_black import PICTURE_BLACK
from workbench.analysis.words import TURNED, begin_large, begin_small, listed, percent, tint_parts
from workbench.language import numeral, tr

# a mark this near the best is a strength, one this far behind a weakness (our choice)
_NEAR, _BEHIND = 0.05, 0.10
# units of a*b* by which light colours turn that are not worth a word
_UNSEEN = 1.0
#: What the columns that tell best and worst are about, as `Comparison.sentence` says it.
NAMES = {
    "share_outside": tr("colours held"),
    "contrast_seen": tr("blacks as seen in the place"),
    "mark_whites": tr("the white that you prefer"),
    "price": CRITERION_NAMES["price"],
}
_MANY_OUTSIDE = 0.25
# the paper, as the subject of a clause
_IT = tr("it")


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
    return " ".join(f"{begin_large(each)}." for each in sentences)


def _listed(clauses, *, first: bool) -> str:
    """(subject, predicate) pairs as one clause; "it" is left out where it stands already."""
    texts, before = [], _IT if first else ""
    for subject, predicate in clauses:
        texts.append(predicate if subject == before == _IT else f"{subject} {predicate}")
        before = subject
    if len(texts) < 2 or before == _IT:
        return listed(texts)
    # another subject begins a clause of its own
    return tr("{first}, and {last}", first=", ".join(texts[:-1]), last=texts[-1])


def _colour(row, rows, gap: float) -> tuple[str, str, bool]:
    gamut = row.gamut
    is_bad = gap > _BEHIND or gamut.share_outside > _MANY_OUTSIDE
    held = 1 - gamut.share_outside
    share = percent(held)
    if is_bad and held < 0.95:
        text = tr("holds only {share} of this picture's colours", share=share)
    else:
        text = tr("holds {share} of this picture's colours", share=share)
    if is_bad and gamut.share_outside >= 0.01:
        text += tr(
            " (on average they move by {mean:.1f} CIEDE2000; {worst_colours} are lost most often)",
            mean=row.shift.mean,
            worst_colours=gamut.worst_colours,
        )
    elif is_bad:
        text += tr(" (on average they move by {mean:.1f} CIEDE2000)", mean=row.shift.mean)
    return _IT, text, is_bad


def _blacks(row, rows, gap: float) -> tuple[str, str, bool]:
    contrast = row.contrast_seen
    black = begin_small(PICTURE_BLACK)
    if row.black is None:
        black = tr("its darkest printable colour")
    figure = f"{numeral(contrast, '.0f' if contrast >= 20 else '.1f')}:1"
    density = row.darkest_density if row.black_density is None else row.black_density
    figure = tr("{figure} in its place, density {density:.2f}", figure=figure, density=density)
    if gap > _BEHIND:
        lost = _share_lost(row)
        if lost >= 0.01:
            figure = tr("{figure}, {lost} merges in it", figure=figure, lost=percent(lost))
        return (
            black,
            tr("is shallow ({figure})", figure=figure)
            if density <= SHALLOW_DENSITY
            else tr("is less deep ({figure})", figure=figure),
            True,
        )
    if "contrast_seen" in row.best and len(rows) > 1:
        among = sum("contrast_seen" in each.best for each in rows)
        return (
            black,
            tr("is the deepest ({figure})", figure=figure)
            if among == 1
            else tr("is as deep as any here ({figure})", figure=figure),
            False,
        )
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
    said = {"light_colour": row.light_colour, "units": units, "turned": TURNED[tint_parts(turn)[1]]}
    return (
        tr("its white"),
        tr("turns the {light_colour} {units:.0f} unit {turned}", **said)
        if round(units) == 1
        else tr("turns the {light_colour} {units:.0f} units {turned}", **said),
        is_bad,
    )


def _price(row, rows, gap: float) -> tuple[str, str, bool]:
    amounts = [r.price.amount for r in rows if r.price is not None]
    least = min(amounts)
    if row.price.amount <= least:
        if len(amounts) > 1:
            return _IT, tr("costs {price}, the least of all", price=_price_words(row)), False
        return _IT, tr("costs {price}", price=_price_words(row)), False
    if not least:
        return _IT, tr("costs {price}", price=_price_words(row)), gap > _BEHIND
    return (
        _IT,
        tr(
            "costs {price}, {times:.1f} times the least",
            price=_price_words(row),
            times=row.price.amount / least,
        ),
        gap > _BEHIND,
    )


def _price_words(row) -> str:
    how, price = row.price.how, row.price.text
    if how == AS_GIVEN:
        return tr("{price} at this size", price=price)
    return tr("{price} at this size ({how})", price=price, how=how)


_CLAUSES = {"colour": _colour, "blacks": _blacks, "whites": _whites, "price": _price}
_UNKNOWN = {
    "colour": tr("it needs a profile to tell how many of this picture's colours it holds"),
    "blacks": tr("its black was not read, so nothing is known of its depth"),
    "whites": tr("its profile does not state its white, so the tint is unknown"),
    "price": tr("its price at this size is not known"),
}

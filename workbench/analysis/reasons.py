"""Why a paper stands where it stands, in a sentence that a photographer would say."""

from __future__ import annotations

from workbench.analysis.advice import DEEP_DENSITY, SHALLOW_DENSITY
from workbench.analysis.order import CRITERIA
from workbench.analysis.printed_black import PICTURE_BLACK
from workbench.analysis.words import percent, tint_words

# a mark this near the best is a strength, one this far behind a weakness (our choice)
_NEAR, _BEHIND = 0.05, 0.10
# units of a*b* by which light colours turn: none worth a word, and one that always has one
_UNSEEN, _PLAIN = 1.0, 4.0
_MANY_OUTSIDE = 0.25
_MORE = {"warm": "warmer", "cool": "cooler", "greenish": "greener", "pinkish": "pinker"}


def reason(row, rows, weights) -> str:
    """One or two sentences on a row of a comparison among its rows, by what matters.

    Strengths and weaknesses are meant among the papers compared: a mark within 0.05 of
    the best, or more than 0.10 behind it.  Criteria of no weight are passed over.
    """
    good, bad, middling, unknown = [], [], [], []
    for name in CRITERIA:
        if weights[name] == 0:
            continue
        mark = row.score.marks[name]
        if mark is None:
            unknown.append(_UNKNOWN[name])
            continue
        gap = max(r.score.marks[name] for r in rows if r.score.marks[name] is not None) - mark
        *clause, is_bad = _CLAUSES[name](row, rows, gap)
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
        sentences.insert(0, f"{strong}, but {weak}" if strong and weak else strong or weak)
    return " ".join(f"{each[0].upper()}{each[1:]}." for each in sentences)


def _listed(clauses, *, first: bool) -> str:
    """(subject, predicate) pairs as one clause; "it" is left out where it stands already."""
    texts, before = [], "it" if first else ""
    for subject, predicate in clauses:
        texts.append(predicate if subject == before == "it" else f"{subject} {predicate}")
        before = subject
    if len(texts) < 2:
        return "".join(texts)
    return f"{', '.join(texts[:-1])} and {texts[-1]}"


def _colour(row, rows, gap: float) -> tuple[str, str, bool]:
    gamut = row.gamut
    is_bad = gap > _BEHIND or gamut.share_outside > _MANY_OUTSIDE
    held = 1 - gamut.share_outside
    text = f"holds {'only ' if is_bad and held < 0.95 else ''}{percent(held)}"
    text += " of this picture's colours"
    if is_bad:
        text += f" (on average they move by {row.shift.mean:.1f} CIEDE2000"
        text += f", {gamut.worst_colours} lose most)" if gamut.share_outside >= 0.01 else ")"
    return "it", text, is_bad


def _blacks(row, rows, gap: float) -> tuple[str, str, bool]:
    density = row.deepest_density
    others = [r.deepest_density for r in rows if r.deepest_density is not None]
    black = f"{PICTURE_BLACK[0].lower()}{PICTURE_BLACK[1:]}"
    if row.black is None:
        black = "its darkest printable colour"
    if gap > _BEHIND:
        text = (
            f"is {'shallow' if density <= SHALLOW_DENSITY else 'less deep'} (density {density:.2f}"
        )
        lost = _share_lost(row)
        return (
            black,
            text + (f", {percent(lost)} merges in it)" if lost >= 0.01 else ")"),
            True,
        )
    if len(others) > 1 and density >= max(others) - 0.005:
        return black, f"is the deepest (density {density:.2f})", False
    deep = "is deep, with" if density >= DEEP_DENSITY else "has"
    return black, f"{deep} density {density:.2f}", False


def _share_lost(row) -> float:
    """Share of the picture that merges in the paper's black, beyond what does in itself."""
    if row.black is None or row.black.share_merged is None:
        return 0.0
    return row.black.share_merged - row.black.share_merged_in_picture


def _whites(row, rows, gap: float) -> tuple[str, str, bool]:
    if row.light_shift is None:
        is_bad = gap > _BEHIND or row.white.seen_chroma >= _PLAIN
        return "its white", f"is {row.white.tint}", is_bad
    units, turn = row.light_shift
    is_bad = gap > _BEHIND or units >= _PLAIN
    darker = 100 - row.white.seen_lab[0]
    if units < _UNSEEN:
        if is_bad and darker >= 1:
            return "its white", f"is {darker:.0f} units darker than the white beside it", True
        return "its white", f"leaves the {row.light_colour} nearly as they are", is_bad
    word = "unit" if round(units) == 1 else "units"
    turned = _MORE[tint_words(turn, small=0.0).split()[-1]]
    return "its white", f"turns the {row.light_colour} {units:.0f} {word} {turned}", is_bad


def _price(row, rows, gap: float) -> tuple[str, str, bool]:
    amounts = [r.price.amount for r in rows if r.price is not None]
    least = min(amounts)
    if row.price.amount <= least:
        end = ", the least of all" if len(amounts) > 1 else ""
        return "it", f"costs {row.price.text} at this size{end}", False
    times = f", {row.price.amount / least:.1f} times the least" if least else ""
    return "it", f"costs {row.price.text} at this size{times}", gap > _BEHIND


_CLAUSES = {"colour": _colour, "blacks": _blacks, "whites": _whites, "price": _price}
_UNKNOWN = {
    "colour": "it needs a profile to tell how many of this picture's colours it holds",
    "blacks": "its black was not read, so nothing is known of its depth",
    "whites": "its profile does not state its white, so the tint is unknown",
    "price": "its price at this size is not known",
}

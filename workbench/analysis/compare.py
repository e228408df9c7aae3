"""Papers side by side for one picture, in figures that can each be traced to a function."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from workbench.analysis import doubts
from workbench.analysis.adaptation import UNTINTED_COTTON, as_seen
from workbench.analysis.advice import advise
from workbench.analysis.black import BlackPoint, black_point
from workbench.analysis.character import describe
from workbench.analysis.comparison import Comparison, PaperRow
from workbench.analysis.crops import lightness_tally
from workbench.analysis.gamut import colour_shift, gamut_report
from workbench.analysis.order import checked_weights
from workbench.analysis.price import given_price, price_on
from workbench.analysis.screen import print_in_place
from workbench.analysis.shadows import shadow_tally
from workbench.analysis.white import PaperWhite, highlights, paper_white
from workbench.characteristics import Known
from workbench.colour.difference import delta_e_2000
from workbench.colour.engine import check_intent
from workbench.colour.lab import lab_to_xyz, triple
from workbench.decisions import DECISIONS
from workbench.errors import Cancelled, PaperError, WorkbenchError
from workbench.language import tr
from workbench.paper_readings import AnyPaper, MeasuredPaper
from workbench.picture.picture import Picture
from workbench.rendering import DEFAULTS, Rendering
from workbench.surface.sheet import surface_of


def compare(
    picture: Picture,
    papers,
    *,
    weights: Mapping | None = None,
    white_wish: str = str(DECISIONS["white_wish"].default),
    intent: str = DEFAULTS.intent,
    black_point_compensation: bool = DEFAULTS.black_point_compensation,
    threshold: float = DEFAULTS.threshold,
    tolerance: float = DEFAULTS.tolerance,
    highlight_lightness: float = DEFAULTS.highlight_lightness,
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
    tolerance : of greys that merge in black, as for `black_point`.
    highlight_lightness : from which on a print takes the paper's tint, as for `highlights`.
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
        limits = threshold, tolerance, highlight_lightness
        rows.append(_row(picture, paper, character, limits, reference, place, price, asked))
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
    picture: Picture, paper: AnyPaper, character, limits, reference, place, price, asked
) -> PaperRow:
    threshold, tolerance, highlights_from = limits
    white = paper_white(paper, reference=reference, adaptation=0.0)
    known = white.white_is_known
    gamut = shift = light = black = None
    if not isinstance(paper, MeasuredPaper):
        how = {k: asked[k] for k in ("intent", "black_point_compensation")}
        work = {k: asked[k] for k in ("exact", "cancelled")}
        gamut = gamut_report(picture, paper, threshold=threshold, **work)
        shift = colour_shift(picture, paper, threshold=threshold, **asked)
        tally = lightness_tally(picture, paper, **asked)
        light = highlights(picture, paper, lightness=highlights_from, tally=tally, **how)
        shadows = shadow_tally(picture, **work)
        black = black_point(paper, picture, tolerance=tolerance, shadows=shadows, **how)
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
        surface=_surface(paper),
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


def _surface(paper: AnyPaper):
    """The sheet's surface; None where its file cannot be read, or nothing is known of it."""
    try:
        return surface_of(paper) if isinstance(paper, Known) else None
    except WorkbenchError:
        return None


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
        raise WorkbenchError(tr("There is no paper to compare; give at least one."))
    for paper in papers:
        if not (isinstance(paper, MeasuredPaper) or hasattr(paper, "profile")):
            raise WorkbenchError(
                tr("{paper!r} is not a paper; open one with open_paper first.", paper=paper)
            )
    return papers


def _checked_prices(prices, papers) -> dict:
    """{id of a paper: its price}."""
    if prices is None:
        return {}
    if not isinstance(prices, Mapping):
        raise WorkbenchError(tr("Prices are given for each paper, as {name: price of this print}."))
    found = {}
    for key, value in prices.items():
        named = [p for p in papers if p is key or p.name == key]
        if not named:
            raise WorkbenchError(
                tr(
                    "There is a price for “{name}”, which is not among the papers.",
                    name=getattr(key, "name", key),
                )
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
        raise WorkbenchError(
            tr("A size is a width and a height in mm, not {size!r}.", size=size)
        ) from None
    return width_mm, height_mm

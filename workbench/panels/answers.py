"""The desk's answers: a line for each question, which opens to its whole sentence."""

from __future__ import annotations

from workbench.analysis.black import BlackPoint, black_point
from workbench.analysis.crop import ppi_text
from workbench.analysis.gamut import GamutReport, gamut_report
from workbench.analysis.screen import SEEN_IN, print_in_place
from workbench.analysis.screen_answer import SAME_STOPS, ScreenMatch
from workbench.analysis.shadows import shadow_tally
from workbench.analysis.sheets import area_text
from workbench.analysis.size_answer import PrintSize
from workbench.analysis.white import PaperWhite, paper_white
from workbench.analysis.words import percent, signed
from workbench.language import tr
from workbench.panels import parts
from workbench.panels.registry import page_title
from workbench.panels.view import View

# an answer -> its label, and the page that tells its reason
PAGES = {
    "size": (tr("Size"), "size"),
    "gamut": (tr("Gamut"), "gamut"),
    "white": (tr("Paper white"), "white"),
    "black": (tr("Black point"), "black"),
    "light": (tr("Light"), "screen"),
}


class Answers:
    """A line for each question; ``lines`` has them by the words of `PAGES`.

    Parameters
    ----------
    front, plan : of the desk.
    go : (page) brings the page of a reason into view, ``title`` is what it is called.
    """

    def __init__(self, front, plan, go):
        self._front, self._plan = front, plan
        self.lines = {
            name: parts.AnswerLine(
                front, label, go(page), tr("Show: {title}", title=page_title(page))
            )
            for name, (label, page) in PAGES.items()
        }
        for line in self.lines.values():
            line.say(tr("Waiting for a picture"))

    def shows(self) -> tuple[View, ...]:
        """What the desk declares of them."""
        say = {name: line.say for name, line in self.lines.items()}
        return (
            View("gamut", self._gamut, _gamut_words, lambda said: say["gamut"](*said)),
            View("white", self._white, _white_words, lambda said: say["white"](*said)),
            View("black", self._black, _black_words, lambda said: say["black"](*said)),
            View("light", self._light, _light_words, lambda said: say["light"](*said), keep=8),
            # rather than an answer that no longer holds, none
            View("size", self._size, _size_words, lambda said: say["size"](*said),
                 forget=lambda: say["size"]("…")),
        )  # fmt: skip

    def gamut(self) -> GamutReport:
        plan = self._plan
        return self._front.counting.of(
            gamut_report, plan.picture, plan.paper, threshold=plan.threshold
        )

    def _gamut(self) -> tuple:
        return self.gamut(), bool(self._plan.adjustments)

    def _white(self) -> tuple:
        return self._plan.paper, self._plan.reference, self._plan.adaptation

    def _black(self) -> tuple:
        plan = self._plan
        shadows = self._front.counting.of(shadow_tally, plan.picture)
        how = *plan.rendering.way.values(), plan.tolerance
        return plan.paper, plan.picture, shadows, *how, bool(plan.adjustments)

    def _size(self) -> tuple:
        return self._plan.print_size(), self._plan.unit

    def _light(self) -> tuple:
        return self._plan.paper, self._plan.rendering.only(*SEEN_IN)


# sentence, mark, second line, and all as short as one line takes


def _size_words(asked: tuple) -> tuple[str, str, str, str]:
    size, unit = asked
    return size.sentence(unit), "", "", short_size(size, unit)


def _gamut_words(asked: tuple) -> tuple[str, str, str, str]:
    report, adjusted = asked
    before = parts.BEFORE if adjusted else ""
    return report.sentence, parts.count_mark(report.exact), before, short_gamut(report)


def _white_words(asked: tuple) -> tuple[str, str, str, str]:
    paper, reference, adaptation = asked
    white = paper_white(paper, reference=reference, adaptation=adaptation)
    return white.sentence, "", "", short_white(white)


def _light_words(asked: tuple) -> tuple[str, str, str, str]:
    match = print_in_place(*asked)
    return match.sentence, tr("absolute"), match.contrast_sentence, short_light(match)


def _black_words(asked: tuple) -> tuple[str, str, str, str]:
    paper, picture, shadows, intent, compensate, tolerance, adjusted = asked
    black = black_point(
        paper, picture, intent=intent, black_point_compensation=compensate, tolerance=tolerance,
        shadows=shadows,
    )  # fmt: skip
    mark = parts.count_mark(black.share_exact)
    return black.sentence, mark, parts.BEFORE if adjusted else "", short_black(black)


def short_size(size: PrintSize, unit: str) -> str:
    """Area, resolution and sheet."""
    fit = size.chosen or size.best_fit
    area = area_text(size.width_mm, size.height_mm, unit)
    said = tr("{area}, {ppi} ppi", area=area, ppi=ppi_text(size.ppi))
    if fit is None:
        return said
    if fit.fits:
        return tr("{said}, on {sheet}", said=said, sheet=fit.sheet.label)
    if fit.refused:
        return tr("{said}; the printer does not take {sheet}", said=said, sheet=fit.sheet.label)
    return tr("{said}, too large for {sheet}", said=said, sheet=fit.sheet.label)


def short_gamut(report: GamutReport) -> str:
    """Share, and what colours most of it."""
    if not report.share_outside:
        return tr("nothing out of gamut")
    return tr(
        "{share} out, above all {colours}: {reason}",
        share=percent(report.share_outside),
        colours=report.worst_colours,
        reason=report.worst_reason,
    )


def short_white(white: PaperWhite) -> str:
    """Tint and Lab."""
    if not white.white_is_known:
        return tr("not told by the profile")
    lightness, a, b = white.white_lab
    return tr(
        "{tint}: L* {lightness:.0f}, a* {a}, b* {b} (absolute)",
        tint=white.tint,
        lightness=lightness,
        a=signed(a),
        b=signed(b),
    )


def short_black(black: BlackPoint) -> str:
    """Density, and the levels that merge."""
    lost = black.merged_levels
    merged = tr("every level kept")
    if lost > black.merged_levels_in_picture:
        merged = tr("last {lost} levels merge", lost=lost) if lost > 1 else tr("last level merges")
    return tr(
        "density {density:.2f} (absolute), {merged}", density=black.black_density, merged=merged
    )


def short_light(match: ScreenMatch) -> str:
    """What the screen should be set to, what it has where that is right, or how far it is off."""
    lux = tr("{lux:,.0f} lux", lux=match.illuminance_lux)
    stops = match.stops_too_dark
    if match.illuminance_given and stops is not None and abs(stops) >= SAME_STOPS:
        if stops > 0:
            return tr("{lux}: print {stops:.1f} stops darker than screen", lux=lux, stops=stops)
        return tr("{lux}: print {stops:.1f} stops brighter than screen", lux=lux, stops=-stops)
    advised = match.advised_cd_m2 if stops is None else match.screen_luminance_cd_m2
    return tr("{lux}: screen at {advised:.0f} cd/m²", lux=lux, advised=advised)

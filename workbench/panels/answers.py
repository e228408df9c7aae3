"""The desk's answers, as short as one line takes; each opens to its whole sentence."""

from __future__ import annotations

from workbench.analysis.black import BlackPoint
from workbench.analysis.gamut import GamutReport
from workbench.analysis.screen_answer import ScreenMatch
from workbench.analysis.sheets import area_text
from workbench.analysis.size import PrintSize
from workbench.analysis.white import PaperWhite
from workbench.analysis.words import percent, signed

# a stop's tenth, below which screen and print look alike
_SAME_STOPS = 0.1


def short_size(size: PrintSize, unit: str) -> str:
    """Area, resolution and sheet."""
    fit = size.chosen or size.best_fit
    said = f"{area_text(size.width_mm, size.height_mm, unit)}, {size.ppi:.0f} ppi"
    if fit is None:
        return said
    return f"{said}, {'on' if fit.fits else 'too large for'} {fit.name}"


def short_gamut(report: GamutReport) -> str:
    """Share, and what colours most of it."""
    if not report.share_outside:
        return "nothing out of gamut"
    return f"{percent(report.share_outside)} out: {report.worst_colours}, {report.worst_reason}"


def short_white(white: PaperWhite) -> str:
    """Tint and Lab."""
    if not white.white_is_known:
        return "not told by the profile"
    lightness, a, b = white.white_lab
    return f"{white.tint}: L* {lightness:.0f}, a* {signed(a)}, b* {signed(b)}"


def short_black(black: BlackPoint) -> str:
    """Density, and the levels that merge."""
    lost = black.merged_levels
    merged = "every level kept"
    if lost > black.merged_levels_in_picture:
        merged = f"last {lost} levels merge" if lost > 1 else "last level merges"
    return f"density {black.black_density:.2f}, {merged}"


def short_light(match: ScreenMatch) -> str:
    """What the screen should be set to, or how far it is off."""
    lux = f"{match.illuminance_lux:,.0f} lux"
    stops = match.stops_too_dark
    if match.illuminance_given and stops is not None and abs(stops) >= _SAME_STOPS:
        way = "darker" if stops > 0 else "brighter"
        return f"{lux}: print {abs(stops):.1f} stops {way} than screen"
    return f"{lux}: screen at {match.advised_cd_m2:.0f} cd/m²"

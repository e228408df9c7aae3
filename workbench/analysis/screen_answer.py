"""The answer of a screen match, and how one would say it."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from workbench.analysis.glass import HungPrint, behind_words
from workbench.analysis.light import Light
from workbench.analysis.place import Place
from workbench.analysis.place_tones import middle_lighter
from workbench.analysis.targets import PROOFING_CD_M2, Target
from workbench.language import numeral, tr
from workbench.rendering import DEFAULTS
from workbench.results import Result

# Differences in brightness under this are not worth a word (common practice, no source).
SAME_STOPS = 0.1


@dataclass(frozen=True)
class TargetBeside:
    """A target next to the person's own print.

    ``luminance_cd_m2`` is the screen white that it comes to, (from, to) with None for an open
    end; for a target that sets the print's light, the white of this print in that light.
    ``stops`` says how far the person's own matching screen white lies below (negative) or above
    (positive) that range, 0 inside it; None where the target sets no luminance.
    """

    target: Target
    luminance_cd_m2: tuple[float | None, float | None] | None
    stops: float | None

    @property
    def sentence(self) -> str:
        """Name, numbers and purpose."""
        t = self.target
        parts = [t.white]
        if t.illuminance_lux and t.applies_to == "print":
            parts.append(tr("{span} lux", span=_span(t.illuminance_lux)))
        if self.luminance_cd_m2:
            parts.append(tr("{span} cd/m²", span=_span(self.luminance_cd_m2)))
        return tr(
            "{name}: {asked} — for {purpose}.",
            name=t.name,
            asked=", ".join(parts),
            purpose=t.purpose,
        )


@dataclass(frozen=True)
class ScreenMatch(Result):
    """A print in its light, and the screen that matches it.

    Attributes
    ----------
    light : the light; see `Light`.
    illuminance_lux : on the print, that all figures are for.
    illuminance_given : False where it was found from the screen's luminance.
    screen_luminance_cd_m2 : of the person's screen white, or None.
    hung : the print in its place, with glass and mirrored room.
    paper_luminance_cd_m2 : of the bare paper in that light, E·ρ/π.
    screen_white_luminance_cd_m2, screen_black_luminance_cd_m2 : of a screen that matches: the
        print's white and black as hung.  What to set it to is `advised_cd_m2`.
    white_xy, white_cct_k, white_duv : the white point to set: chromaticity (CIE 1931), its
        correlated colour temperature and its distance from the Planckian locus.  An estimate:
        the paper's white under D50, carried to this light by a Bradford adaptation, since
        nothing is known of its spectrum.
    print_contrast_ratio : as measured; hung_contrast_ratio as seen in its place.
    matching_screen_contrast : the contrast ratio the screen, or the soft proof on it, should
        have: that of the print as hung.
    screen_contrast_ratio : of the person's screen, or None.
    matching_illuminance_lux : the light in which the print looks as bright as the person's
        screen; without a screen, ``illuminance_lux``; None where the mirrored room alone is
        brighter than the screen.
    stops_too_dark : how much darker than the screen the print looks, in photographic stops;
        negative if it is brighter; None unless screen and light are both known.  A ratio of
        luminances: an eye that has adapted to the room makes less of it.
    targets : standards beside it; see `TargetBeside`.
    notes : sentences on what was taken for granted.
    caution : a sentence on fading in bright light, or None.
    bare_lab, surface_mirror, wall_reflectance : absolute Lab of paper and black, what its surface
        mirrors, and the wall around it.
    """

    _drawn_by = "workbench.figures.screen:LadderFigure"

    light: Light
    illuminance_lux: float
    illuminance_given: bool
    screen_luminance_cd_m2: float | None
    hung: HungPrint
    paper_luminance_cd_m2: float
    screen_white_luminance_cd_m2: float
    screen_black_luminance_cd_m2: float
    white_xy: tuple[float, float]
    white_cct_k: float
    white_duv: float
    print_contrast_ratio: float
    hung_contrast_ratio: float
    matching_screen_contrast: float
    screen_contrast_ratio: float | None
    matching_illuminance_lux: float | None
    stops_too_dark: float | None
    targets: tuple[TargetBeside, ...]
    notes: tuple[str, ...]
    caution: str | None
    bare_lab: tuple = field(repr=False, default=())
    surface_mirror: float = 0.0
    wall_reflectance: float = DEFAULTS.wall_reflectance

    @property
    def advised_cd_m2(self) -> float:
        """White to set the screen to: the print's, kept within `PROOFING_CD_M2`."""
        low, high = PROOFING_CD_M2
        return min(max(self.screen_white_luminance_cd_m2, low), high)

    @property
    def lighter_by(self) -> float:
        """L* by which the print's middle tones may be lighter for its place: `middle_lighter`."""
        lux = max(self.illuminance_lux, 1.0)
        veil = self.hung.room_luminance_cd_m2 * math.pi / self.illuminance_lux
        place = Place(
            self.light, lux, wall_reflectance=self.wall_reflectance, glass=self.hung.glass,
            veil_share=min(veil, 10.0),
        )  # fmt: skip
        white, black = self.bare_lab
        return max(middle_lighter(white, black, place, surface_mirror=self.surface_mirror), 0.0)

    @property
    def sentence(self) -> str:
        """The answer, as one would say it."""
        place = tr(
            "{lux:,.0f} lux of {light}",
            lux=self.illuminance_lux,
            light=self.light.words,
        )
        screen = self.screen_luminance_cd_m2
        if not self.illuminance_given:
            white = cd_words(self.screen_white_luminance_cd_m2)
            return tr(
                "The print looks as bright as the screen at {white} in {place}.",
                white=white,
                place=place,
            )
        if screen is None or self.stops_too_dark is None:
            return self._setting(place)
        if abs(self.stops_too_dark) < SAME_STOPS:
            return tr(
                "In {place} the print looks as bright as the screen at {cd}.",
                place=place,
                cd=cd_words(screen),
            )
        change = self._change(screen)
        if self.matching_illuminance_lux is not None:
            change = tr(
                "{change}, or view the print in {lux:,.0f} lux",
                change=change,
                lux=self.matching_illuminance_lux,
            )
        said = {
            "place": place,
            "stops": _stops(abs(self.stops_too_dark)),
            "cd": cd_words(screen),
            "change": change,
        }
        if self.stops_too_dark > 0:
            return tr(
                "In {place} the print looks {stops} darker than the screen at {cd}: {change}.",
                **said,
            )
        return tr(
            "In {place} the print looks {stops} brighter than the screen at {cd}: {change}.",
            **said,
        )

    def _setting(self, place: str) -> str:
        white = cd_words(self.screen_white_luminance_cd_m2)
        if self.advised_cd_m2 == self.screen_white_luminance_cd_m2:
            return tr(
                "In {place}, set the screen's white to {white} and about {white_cct_k:.0f} K, "
                "with a contrast of about {ratio}.",
                place=place,
                white=white,
                white_cct_k=round(self.white_cct_k, -2),
                ratio=_ratio(self.matching_screen_contrast),
            )
        said = {
            "place": place,
            "white": white,
            "span": _span(PROOFING_CD_M2),
            "cd": cd_words(self.advised_cd_m2),
            "make": self._make(),
        }
        if self.advised_cd_m2 > self.screen_white_luminance_cd_m2:
            return tr(
                "In {place} the print's white has {white}, below the {span} cd/m² that screens "
                "are proofed at: keep the screen at {cd} and {make}.",
                **said,
            )
        return tr(
            "In {place} the print's white has {white}, above the {span} cd/m² that screens are "
            "proofed at: keep the screen at {cd} and {make}.",
            **said,
        )

    def _change(self, screen: float) -> str:
        """What to do where print and screen differ."""
        low, high = PROOFING_CD_M2
        advised = self.advised_cd_m2
        if advised == self.screen_white_luminance_cd_m2:
            return tr("set the screen to {cd}", cd=cd_words(advised))
        if low <= screen <= high:
            return tr(
                "keep the screen within {span} cd/m² and {make}",
                span=_span(PROOFING_CD_M2),
                make=self._make(),
            )
        return tr("bring the screen to {cd} and {make}", cd=cd_words(advised), make=self._make())

    def _make(self) -> str:
        if self.screen_white_luminance_cd_m2 > PROOFING_CD_M2[1]:
            return tr("judge the print's lightness there")
        text, lighter = tr("make the print for its place"), round(self.lighter_by)
        if not lighter:
            return text
        return tr(
            "{make}, its middle tones about {lighter} L* lighter to begin with",
            make=text,
            lighter=lighter,
        )

    @property
    def place_sentence(self) -> str:
        """How the print looks in its place, in one sentence."""
        hung = self.hung
        ratio = _ratio(self.hung_contrast_ratio)
        if hung.stops_lost >= SAME_STOPS:
            measured = _ratio(self.print_contrast_ratio)
            ratio = tr("{ratio} ({measured} as measured)", ratio=ratio, measured=measured)
        return tr(
            "In {lux:,.0f} lux of {light} {behind}, the print's contrast is {ratio} and its white "
            "has {cd}.",
            lux=self.illuminance_lux,
            light=self.light.words,
            behind=behind_words(hung.glass),
            ratio=ratio,
            cd=cd_words(self.screen_white_luminance_cd_m2),
        )

    @property
    def white_sentence(self) -> str:
        """The white point to set."""
        x, y = self.white_xy
        lean = ""
        if self.white_duv > 0.008:
            lean = tr(", greener than daylight")
        elif self.white_duv < -0.004:
            lean = tr(", pinker than daylight")
        return tr(
            "White point to set: x {x:.3f}, y {y:.3f}, about {white_cct_k:.0f} K{lean}; an "
            "estimate, to be trimmed by eye beside the bare paper.",
            x=x,
            y=y,
            white_cct_k=round(self.white_cct_k, -2),
            lean=lean,
        )

    @property
    def contrast_sentence(self) -> str:
        """The print's contrast as measured, as hung, and against the screen's."""
        measured, hung = _ratio(self.print_contrast_ratio), _ratio(self.hung_contrast_ratio)
        behind = behind_words(self.hung.glass)
        lost = self.hung.stops_lost
        if lost < SAME_STOPS:
            said = {"behind": behind, "measured": measured}
            text = (
                tr(
                    "Hung {behind} the print keeps nearly all of its measured contrast of "
                    "{measured}.",
                    **said,
                )
                if lost > 0.005
                else tr(
                    "Hung {behind} the print keeps its measured contrast of {measured}.", **said
                )
            )
        else:
            text = tr(
                "The print's contrast is {measured} as measured and {hung} as hung {behind}: "
                "{stops} less.",
                measured=measured,
                hung=hung,
                behind=behind,
                stops=_stops(lost),
            )
        if self.screen_contrast_ratio is None:
            return text
        apart = math.log2(self.screen_contrast_ratio / self.hung_contrast_ratio)
        screen = _ratio(self.screen_contrast_ratio)
        if apart > SAME_STOPS:
            return tr(
                "{told} The screen's {screen} makes its blacks {stops} deeper than the "
                "print's, unless the soft proof shows the paper's black.",
                told=text,
                screen=screen,
                stops=_stops(apart),
            )
        if apart < -SAME_STOPS:
            return tr(
                "{told} The screen's {screen} cannot show blacks as deep as the print's.",
                told=text,
                screen=screen,
            )
        return tr("{told} The screen's {screen} matches it.", told=text, screen=screen)

    @property
    def sentences(self) -> tuple[str, ...]:
        """Everything worth saying, the answer first."""
        said = (self.sentence, self.white_sentence, self.contrast_sentence, *self.notes)
        return (*said, self.caution) if self.caution else said


def cd_words(luminance: float) -> str:
    """A luminance as it is said: whole numbers from 10 on, two digits below."""
    return (
        tr("{luminance:.0f} cd/m²", luminance=luminance)
        if luminance >= 10
        else tr("{luminance:.2g} cd/m²", luminance=luminance)
    )


def _ratio(ratio: float) -> str:
    return f"{numeral(ratio, ',.0f' if ratio >= 20 else '.1f')}:1"


def _stops(stops: float) -> str:
    return tr("1.0 stop") if round(stops, 1) == 1 else tr("{stops:.1f} stops", stops=stops)


def _span(span) -> str:
    low, high = span
    if high is None:
        return tr("at least {low:,.0f}", low=low)
    if low is None:
        return tr("at most {high:,.0f}", high=high)
    if round(low) == round(high):
        return numeral(low, ",.0f")
    return f"{numeral(low, ',.0f')}–{numeral(high, ',.0f')}"

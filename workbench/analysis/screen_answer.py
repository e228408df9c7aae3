"""The answer of a screen match, and how one would say it."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from workbench.analysis.glass import Glass, HungPrint
from workbench.analysis.light import Light
from workbench.analysis.place import Place
from workbench.analysis.place_tones import middle_lighter
from workbench.analysis.targets import PROOFING_CD_M2, Target
from workbench.results import Result

# Differences in brightness under this are not worth a word (common practice, no source).
_SAME_STOPS = 0.1


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
            parts.append(f"{_span(t.illuminance_lux)} lux")
        if self.luminance_cd_m2:
            parts.append(f"{_span(self.luminance_cd_m2)} cd/m²")
        return f"{t.name}: {', '.join(parts)} — for {t.purpose}."


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
    bare_lab, surface_mirror : absolute Lab of paper and black, and what its surface mirrors.
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

    @property
    def advised_cd_m2(self) -> float:
        """White to set the screen to: the print's, kept within `PROOFING_CD_M2`."""
        low, high = PROOFING_CD_M2
        return min(max(self.screen_white_luminance_cd_m2, low), high)

    @property
    def lighter_by(self) -> float:
        """L* by which the print's middle tones may be lighter for its place: `middle_lighter`."""
        lux = min(max(self.illuminance_lux, 1.0), 1e5)
        veil = self.hung.room_luminance_cd_m2 * math.pi / self.illuminance_lux
        place = Place(self.light, lux, glass=self.hung.glass, veil_share=min(veil, 10.0))
        white, black = self.bare_lab
        return max(middle_lighter(white, black, place, surface_mirror=self.surface_mirror), 0.0)

    @property
    def sentence(self) -> str:
        """The answer, as one would say it."""
        place = f"{self.illuminance_lux:,.0f} lux of {_light_words(self.light)}"
        screen = self.screen_luminance_cd_m2
        if not self.illuminance_given:
            white = cd_words(self.screen_white_luminance_cd_m2)
            return f"The print looks as bright as the screen at {white} in {place}."
        if screen is None or self.stops_too_dark is None:
            return self._setting(place)
        if abs(self.stops_too_dark) < _SAME_STOPS:
            return f"In {place} the print looks as bright as the screen at {cd_words(screen)}."
        way = "darker" if self.stops_too_dark > 0 else "brighter"
        either = ""
        if self.matching_illuminance_lux is not None:
            either = f", or view the print in {self.matching_illuminance_lux:,.0f} lux"
        return (
            f"In {place} the print looks {_stops(abs(self.stops_too_dark))} {way} than the screen "
            f"at {cd_words(screen)}: {self._change(screen)}{either}."
        )

    def _setting(self, place: str) -> str:
        white = cd_words(self.screen_white_luminance_cd_m2)
        if self.advised_cd_m2 == self.screen_white_luminance_cd_m2:
            return (
                f"In {place}, set the screen's white to {white} and about "
                f"{round(self.white_cct_k, -2):.0f} K, with a contrast of about "
                f"{_ratio(self.matching_screen_contrast)}."
            )
        side = "below" if self.advised_cd_m2 > self.screen_white_luminance_cd_m2 else "above"
        return (
            f"In {place} the print's white has {white}, {side} the {_span(PROOFING_CD_M2)} cd/m² "
            f"that screens are proofed at: keep the screen at {cd_words(self.advised_cd_m2)} and "
            f"{self._make()}."
        )

    def _change(self, screen: float) -> str:
        """What to do where print and screen differ."""
        low, high = PROOFING_CD_M2
        advised = self.advised_cd_m2
        if advised == self.screen_white_luminance_cd_m2:
            return f"set the screen to {cd_words(advised)}"
        if low <= screen <= high:
            return f"keep the screen within {_span(PROOFING_CD_M2)} cd/m² and {self._make()}"
        return f"bring the screen to {cd_words(advised)} and {self._make()}"

    def _make(self) -> str:
        if self.screen_white_luminance_cd_m2 > PROOFING_CD_M2[1]:
            return "judge the print's lightness there"
        text, lighter = "make the print for its place", round(self.lighter_by)
        if not lighter:
            return text
        return f"{text}, its middle tones about {lighter} L* lighter to begin with"

    @property
    def place_sentence(self) -> str:
        """How the print looks in its place, in one sentence."""
        hung = self.hung
        behind = f"behind {_glass_words(hung.glass)}" if hung.glass else "without glass"
        text = (
            f"In {self.illuminance_lux:,.0f} lux of {_light_words(self.light)} {behind}, the print's "
            f"contrast is {_ratio(self.hung_contrast_ratio)}"
        )
        if hung.stops_lost >= _SAME_STOPS:
            text += f" ({_ratio(self.print_contrast_ratio)} as measured)"
        return f"{text} and its white has {cd_words(self.screen_white_luminance_cd_m2)}."

    @property
    def white_sentence(self) -> str:
        """The white point to set."""
        x, y = self.white_xy
        lean = ""
        if self.white_duv > 0.008:
            lean = ", greener than daylight"
        elif self.white_duv < -0.004:
            lean = ", pinker than daylight"
        return (
            f"White point to set: x {x:.3f}, y {y:.3f}, about "
            f"{round(self.white_cct_k, -2):.0f} K{lean}; an estimate, to be trimmed by eye beside "
            "the bare paper."
        )

    @property
    def contrast_sentence(self) -> str:
        """The print's contrast as measured, as hung, and against the screen's."""
        measured, hung = _ratio(self.print_contrast_ratio), _ratio(self.hung_contrast_ratio)
        behind = f"behind {_glass_words(self.hung.glass)}" if self.hung.glass else "without glass"
        lost = self.hung.stops_lost
        if lost < _SAME_STOPS:
            nearly = "nearly all of " if lost > 0.005 else ""
            text = f"Hung {behind} the print keeps {nearly}its measured contrast of {measured}."
        else:
            text = (
                f"The print's contrast is {measured} as measured and {hung} as hung {behind}: "
                f"{_stops(lost)} less."
            )
        if self.screen_contrast_ratio is None:
            return text
        apart = math.log2(self.screen_contrast_ratio / self.hung_contrast_ratio)
        screen = _ratio(self.screen_contrast_ratio)
        if apart > _SAME_STOPS:
            return (
                f"{text} The screen's {screen} makes its blacks {_stops(apart)} deeper than the "
                "print's, unless the soft proof shows the paper's black."
            )
        if apart < -_SAME_STOPS:
            return f"{text} The screen's {screen} cannot show blacks as deep as the print's."
        return f"{text} The screen's {screen} matches it."

    @property
    def sentences(self) -> tuple[str, ...]:
        """Everything worth saying, the answer first."""
        said = (self.sentence, self.white_sentence, self.contrast_sentence, *self.notes)
        return (*said, self.caution) if self.caution else said


def _light_words(light: Light) -> str:
    if light.name.startswith("x ") or light.name.endswith("light"):
        return light.name
    return f"{light.name} light"


def _glass_words(glass: Glass) -> str:
    return glass.name if glass.name.endswith(("acrylic", "glass")) else f"{glass.name} glass"


def cd_words(luminance: float) -> str:
    """A luminance as it is said: whole numbers from 10 on, two digits below."""
    return f"{luminance:.0f} cd/m²" if luminance >= 10 else f"{luminance:.2g} cd/m²"


def _ratio(ratio: float) -> str:
    return f"{ratio:,.0f}:1" if ratio >= 20 else f"{ratio:.1f}:1"


def _stops(stops: float) -> str:
    return "1.0 stop" if round(stops, 1) == 1 else f"{stops:.1f} stops"


def _span(span) -> str:
    low, high = span
    if high is None:
        return f"at least {low:,.0f}"
    if low is None:
        return f"at most {high:,.0f}"
    return f"{low:,.0f}" if round(low) == round(high) else f"{low:,.0f}–{high:,.0f}"

"""Screen and print beside each other: how bright and how white the screen should be.

A print's white has the luminance L = E·ρ/π (Lambert): illuminance on it, times the paper's
luminance factor, over π.  A screen matches when its white has that luminance and the colour of
the paper in that light.  Standards disagree, so none is preferred here: the answer is computed
from the person's own light, with the targets beside it.  Where that light is too dim or too bright
for a screen to be proofed at, the screen stays in its range and the print is made for its place.
"""

from __future__ import annotations

import math
from typing import Any

from workbench.analysis.cct import cct_mccamy_k, duv
from workbench.analysis.glass import (
    PICTURE_REFLECTANCE,
    SURFACE_MIRROR,
    check_print,
    find_glass,
    hang,
    light_path,
    surface_mirror,
)
from workbench.analysis.light import ROOM_SHARE, find_light, light_caution, usual_room_share
from workbench.analysis.screen_answer import ScreenMatch, TargetBeside, cd_words
from workbench.analysis.targets import TARGETS, Target
from workbench.colour.difference import delta_e_2000
from workbench.colour.lab import D50_XYZ, lab_to_xyz, luminance_factor
from workbench.colour.spaces import bradford
from workbench.decisions import BRIGHTEST_LUX
from workbench.errors import WorkbenchError
from workbench.language import tr
from workbench.numbers import number
from workbench.paper_readings import AnyPaper
from workbench.rendering import DEFAULTS, Rendering

__all__ = ["SEEN_IN", "ScreenMatch", "TargetBeside", "illuminance_lux_for",
           "paper_luminance_cd_m2", "print_in_place", "screen_match", "white_point_xy"]  # fmt: skip

# Whites as bluish as this are usually brightened (common practice, no source).
_BRIGHTENED_B = -3.0
# Under this, screens are hardly ever set as warm as the light (common practice, no source).
_WARM_K = 4000.0

# What a `Rendering` holds of a print's place, and of the screen beside it
SEEN_IN = ("illuminance_lux", "light", "glass", "room_share", "wall_reflectance",
           "screen_luminance_cd_m2", "screen_contrast_ratio")  # fmt: skip

# What is said of things taken for granted.
_WHITE_UNTOLD = tr(
    "The profile does not state how light or what colour its paper is; it is taken for a perfect "
    "white, so the print will look a little darker than computed."
)
_BRIGHTENED = tr(
    "This white is bluish, as papers with optical brighteners are. Behind UV-filtering glass such "
    "a paper looks warmer and a little darker; by how much, only a measurement without "
    "ultraviolet can tell."
)
_FINISH_UNKNOWN = tr(
    "The paper's finish is not known, so its surface is taken to mirror nothing, as a matte one; "
    "a glossy print loses more contrast."
)
_ROOM_UNKNOWN = tr(
    "Nothing is known of the room, so no light mirrored in the print's surface is counted; hung "
    "in a room it shows less contrast. Name the place to see how much."
)
_ROOM_ASSUMED = tr(
    "The room mirrored in the glass is taken to be {room_share:.0%} as bright as a "
    "white sheet beside the print; name the place or measure it for a better "
    "figure.",
    room_share=ROOM_SHARE,
)
_WARM_SCREEN = tr(
    "A screen this warm is for comparing side by side in that light only: seen apart, the eye "
    "adapts to each white, and the brightness is what counts."
)


def paper_luminance_cd_m2(illuminance_lux: float, reflectance: float) -> float:
    """Luminance of a matte surface: E·ρ/π (Lambert).

    illuminance_lux from 0.1 to 200,000; reflectance is the luminance factor ρ, 0 to 1.3
    (brightened papers pass 1 in some light).  Raises WorkbenchError outside.
    """
    lux = number(illuminance_lux, tr("illuminance"), low=0.1, high=BRIGHTEST_LUX, unit="lux")
    return lux * number(reflectance, tr("reflectance"), low=0, high=1.3) / math.pi


def illuminance_lux_for(luminance_cd_m2: float, reflectance: float) -> float:
    """Illuminance that gives a surface this luminance; the inverse of `paper_luminance_cd_m2`."""
    luminance = number(luminance_cd_m2, tr("luminance"), low=0.01, high=1e5, unit="cd/m²")
    return luminance * math.pi / number(reflectance, tr("reflectance"), low=0.01, high=1.3)


def screen_match(
    paper: AnyPaper | tuple,
    *,
    illuminance_lux: float | None = None,
    screen_luminance_cd_m2: float | None = None,
    light="D50",
    glass=None,
    room_share: float | None = None,
    room_luminance_cd_m2: float | None = None,
    wall_reflectance: float = DEFAULTS.wall_reflectance,
    screen_contrast_ratio: float | None = None,
    finish: str | None = None,
    picture_reflectance: float = PICTURE_REFLECTANCE,
    white_lab_uv_cut=None,
) -> ScreenMatch:
    """The screen that matches a print in its light, or the light that matches a screen.

    Give the illuminance, the screen's luminance, or both for a comparison; a place or a viewing
    condition as ``light`` brings its usual illuminance along.

    Parameters
    ----------
    paper : a Paper, or a pair (white_lab, black_lab), absolute Lab (D50, 2 degrees).
    illuminance_lux : on the print, measured in front of the glass, 0.1 to 200,000.
    screen_luminance_cd_m2 : of the screen's white, 1 to 10,000.
    light : an illuminant ("D50", "A", "FL11", "LED-B1" …), a colour temperature in kelvin
        (2000 to 10000), "ISO 3664 P1" or "ISO 3664 P2", a place ("gallery", "living room",
        "office", "daylight" …), or a measured chromaticity (x, y).
    glass : "plain", "anti-reflection", "acrylic", a `Glass`, or None.
    room_share : luminance of what glass and gloss mirror, as a share of what a white sheet in
        the print's place would have, 0 to 5; or
    room_luminance_cd_m2 : the same as a luminance, 0 to 10,000.  Without either: the place's
        own; else a quarter behind glass, and nothing without glass.
    wall_reflectance : of the wall around the print, 0.01 to 0.95; it counts for `lighter_by`.
    screen_contrast_ratio : of the screen, white over black, above 1.
    finish : "gloss", "satin" or "matte"; by default the paper's.
    picture_reflectance : average luminance factor of the picture, 0 to 1.
    white_lab_uv_cut : the paper's white measured without ultraviolet (ISO 13655, M2), for
        UV-filtering glass.

    Returns
    -------
    A ScreenMatch.

    Raises
    ------
    WorkbenchError
        where neither illuminance nor screen luminance is known, or a value is impossible.

    Examples
    --------
    >>> match = wb.screen_match(papers[0], illuminance_lux=500)
    >>> 120 < match.paper_luminance_cd_m2 < 160
    True
    """
    light, glass = find_light(light), find_glass(glass)
    wall = number(wall_reflectance, tr("wall's reflectance"), low=0.01, high=0.95)
    white, black, notes = _print_labs(paper)
    if glass is not None and glass.filters_uv:
        white, said = _behind_uv_filter(white, white_lab_uv_cut)
        check_print(white, black)
        notes += said
    own, said = _own_mirror(paper, finish)
    share, fixed, more = _room(light, glass, own, room_share, room_luminance_cd_m2)
    if share or fixed:
        notes += said
    notes += more

    signal, mirror = light_path(glass, surface_mirror=own, picture_reflectance=picture_reflectance)
    factor = float(luminance_factor(white[0]))
    screen = matching = None
    if screen_luminance_cd_m2 is not None:
        screen = number(
            screen_luminance_cd_m2, tr("screen luminance"), low=1, high=1e4, unit="cd/m²"
        )
        matching = (screen - mirror * fixed) * math.pi / (signal * factor + mirror * share)
        if matching <= 0:
            matching = None
    lux = illuminance_lux if illuminance_lux is not None else light.illuminance_lux
    known = lux is not None
    lux = number(
        lux if known else _solved_lux(screen, matching),
        tr("illuminance"),
        low=0.1,
        high=BRIGHTEST_LUX,
        unit="lux",
    )
    hung = hang(
        white,
        black,
        illuminance_lux=lux,
        room_luminance_cd_m2=fixed + share * lux / math.pi,
        glass=glass,
        surface_mirror=own,
        picture_reflectance=picture_reflectance,
    )
    if screen_contrast_ratio is not None:
        screen_contrast_ratio = number(
            screen_contrast_ratio, tr("screen contrast ratio"), low=1.01, high=1e8
        )
    xy = white_point_xy(hung.white_lab, light)
    seen = hung.white_luminance_cd_m2
    if cct_mccamy_k(xy) < _WARM_K:
        notes += (_WARM_SCREEN,)
    return ScreenMatch(
        light=light,
        illuminance_lux=lux,
        illuminance_given=known,
        screen_luminance_cd_m2=screen,
        hung=hung,
        paper_luminance_cd_m2=lux * factor / math.pi,
        screen_white_luminance_cd_m2=seen,
        screen_black_luminance_cd_m2=hung.black_luminance_cd_m2,
        white_xy=xy,
        white_cct_k=cct_mccamy_k(xy),
        white_duv=duv(xy),
        print_contrast_ratio=hung.measured_contrast_ratio,
        hung_contrast_ratio=hung.contrast_ratio,
        matching_screen_contrast=hung.contrast_ratio,
        screen_contrast_ratio=screen_contrast_ratio,
        matching_illuminance_lux=lux if screen is None else matching,
        stops_too_dark=math.log2(screen / seen) if known and screen is not None else None,
        targets=tuple(_beside(target, seen, factor) for target in TARGETS),
        notes=notes,
        caution=light_caution(lux),
        bare_lab=(white, black),
        surface_mirror=own,
        wall_reflectance=wall,
    )


def print_in_place(paper: Any, rendering: Rendering = DEFAULTS) -> ScreenMatch:
    """How a print looks in the place that a plan tells of; ``place_sentence`` says it in one.

    Parameters
    ----------
    paper : as for `screen_match`, or whatever has its ``white_lab``, ``black_lab`` and ``finish``.
    rendering : a plan's, ``plan.rendering``; only what `SEEN_IN` names counts.

    Returns
    -------
    A ScreenMatch.

    Raises
    ------
    WorkbenchError
        as `screen_match`.

    Examples
    --------
    >>> wb.print_in_place(papers[0]).place_sentence.startswith("In 500 lux")
    True
    """
    asked = {name: getattr(rendering, name) for name in SEEN_IN}
    for name in ("screen_luminance_cd_m2", "screen_contrast_ratio"):
        asked[name] = asked[name] or None  # 0 is not known
    return screen_match(paper, **asked)


def white_point_xy(white_lab, light="D50") -> tuple[float, float]:
    """Chromaticity of a paper's white in a light.

    ``white_lab`` is absolute (D50); ``light`` as for `find_light`.  An estimate: the D50 colour
    is carried to the light by a Bradford adaptation (ICC.1:2022 annex E), since only the paper's
    spectrum could say more.
    """
    light = find_light(light)
    big_x, big_y, big_z = bradford(D50_XYZ, light.white_xyz) @ lab_to_xyz(white_lab)
    total = big_x + big_y + big_z
    return float(big_x / total), float(big_y / total)


def _print_labs(paper: Any):
    if hasattr(paper, "white_lab"):
        white, black = paper.white_lab, paper.black_lab
    else:
        try:
            white, black = paper
        except (TypeError, ValueError):
            raise WorkbenchError(
                tr("Give a paper, or its white and its black as a pair of absolute Lab colours.")
            ) from None
    check_print(white, black)
    if getattr(paper, "white_is_known", True):
        return white, black, ()
    return white, black, (_WHITE_UNTOLD,)


def _behind_uv_filter(white, uv_cut):
    if uv_cut is not None:
        apart = float(delta_e_2000(_lab(white), _lab(uv_cut)))
        said = tr(
            "Behind UV-filtering glass the white measured without ultraviolet counts; it "
            "lies {apart:.1f} ΔE2000 away.",
            apart=apart,
        )
        return uv_cut, (said,)
    return white, (_BRIGHTENED,) if float(white[2]) <= _BRIGHTENED_B else ()


def _lab(lab):
    check_print(lab, (0.0, 0.0, 0.0))
    return tuple(float(v) for v in lab)


def _own_mirror(paper: AnyPaper | tuple, finish):
    """(share that the print's own surface mirrors, notes)."""
    if finish is not None and finish not in SURFACE_MIRROR:
        raise WorkbenchError(
            tr(
                "“{finish}” is not a finish known here; choose {listed}.",
                finish=finish,
                listed=", ".join(SURFACE_MIRROR),
            )
        )
    known = surface_mirror(finish or getattr(paper, "finish", None))
    return (0.0, (_FINISH_UNKNOWN,)) if known is None else (known, ())


def _solved_lux(screen, matching) -> float:
    if screen is None:
        raise WorkbenchError(
            tr(
                "Give the illuminance on the print in lux, the luminance of the screen in cd/m², or "
                "a place such as “gallery”."
            )
        )
    if matching is None or matching < 0.1:
        raise WorkbenchError(
            tr(
                "The room mirrored in the print is by itself as bright as the screen at {cd}, "
                "so no light on the print makes the two match. Dim the room or set the screen "
                "brighter.",
                cd=cd_words(screen),
            )
        )
    if matching > BRIGHTEST_LUX:
        raise WorkbenchError(
            tr(
                "No usual light makes this print as bright as the screen at {cd}: it would "
                "take {matching:,.0f} lux. Set the screen darker.",
                cd=cd_words(screen),
                matching=matching,
            )
        )
    return matching


def _room(light, glass, own, share, fixed):
    """(share, luminance, notes) of what is mirrored: one of the two is 0."""
    if share is not None and fixed is not None:
        raise WorkbenchError(tr("Give the room's share or its luminance, not both."))
    if fixed is not None:
        return 0.0, number(fixed, tr("room's luminance"), low=0, high=1e4, unit="cd/m²"), ()
    if share is not None:
        return number(share, tr("room's share"), low=0, high=5), 0.0, ()
    share = usual_room_share(light, glass)
    if light.room_share is not None:
        return share, 0.0, ()
    if glass is None:
        return share, 0.0, (_ROOM_UNKNOWN,) if own else ()
    return share, 0.0, (_ROOM_ASSUMED,)


def _beside(target: Target, seen: float, factor: float) -> TargetBeside:
    span = target.luminance_cd_m2
    if span is None and target.illuminance_lux is not None:
        low, high = (
            None if lux is None else lux * factor / math.pi for lux in target.illuminance_lux
        )
        span = low, high
    if span is None:
        return TargetBeside(target, None, None)
    low, high = span
    stops = 0.0
    if low is not None and seen < low:
        stops = math.log2(seen / low)
    elif high is not None and seen > high:
        stops = math.log2(seen / high)
    return TargetBeside(target, span, stops)

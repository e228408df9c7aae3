"""The few rules that lead from a picture's character to advice about a paper.

Rules of thumb stand here and nowhere else, each with its source.  They add sentences;
they never enter a paper's place in a comparison, which comes from measured figures only.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from workbench.analysis.character import Character
from workbench.analysis.words import COMMON_PRACTICE, percent, tint_words
from workbench.errors import PaperError
from workbench.language import tr
from workbench.paper_readings import AnyPaper

# from which a picture's darks are served, and up to which they suffer: the densities of
# glossy and of matte papers (M. McNamee 2010, a published test of inkjet papers)
DEEP_DENSITY, SHALLOW_DENSITY = 2.0, 1.7
# what one polished surface of refractive index 1.52 mirrors, ((n − 1)/(n + 1))²
# (Fresnel's equations, optics textbooks)
GLOSS_MIRRORS = ((1.52 - 1) / (1.52 + 1)) ** 2
# chroma from which a white is called clearly tinted, as in `words.tint_words`
CLEAR_TINT = 4.0
# smooth areas darker than this hide a texture
_TEXTURE_SEEN_FROM = 30.0


@dataclass(frozen=True)
class Advice:
    """A rule that applies to a picture and a paper.

    Attributes
    ----------
    rule : name of the rule in `RULES`.
    verdict : "suits", "beware" or "taste".
    sentence : for a photographer.
    source : where the rule comes from.
    """

    rule: str
    verdict: str
    sentence: str
    source: str


@dataclass(frozen=True)
class Rule:
    """A rule of thumb.

    Attributes
    ----------
    about_picture : what a picture asks for, in a sentence; None where the rule does not
        apply to it.
    about_paper : (verdict, sentence) on a paper for a picture that the rule applies to;
        None where there is nothing to say.
    """

    name: str
    source: str
    about_picture: Callable[[Character], str | None]
    about_paper: Callable[[Character, AnyPaper], tuple[str, str] | None]


def _has(paper: AnyPaper, field: str, *words: str) -> bool:
    text = (getattr(paper, field, None) or "").casefold()
    return any(word in text for word in words)


def _rough(paper: AnyPaper) -> bool:
    return _has(paper, "surface_texture", "heavy", "rough", "textured")


def _glossy(paper: AnyPaper) -> bool:
    return _has(paper, "finish", "gloss") and not _has(paper, "finish", "semi")


def _density(paper: AnyPaper) -> float | None:
    try:
        return paper.black_density
    except PaperError:
        return None  # its white was measured, its black was not


def _detail_wish(picture: Character) -> str | None:
    if not picture.is_detailed:
        return None
    return tr(
        "Small detail covers {percent} of it, which wants a smooth surface, as fine "
        "skin does ({common_practice}).",
        percent=percent(picture.share_detail),
        common_practice=COMMON_PRACTICE,
    )


def _detail(picture: Character, paper: AnyPaper) -> tuple[str, str] | None:
    share = percent(picture.share_detail)
    if _rough(paper):
        return "beware", (
            tr(
                "Its texture breaks up small detail, which covers {share} of the picture, and "
                "fine skin ({common_practice}).",
                share=share,
                common_practice=COMMON_PRACTICE,
            )
        )
    if _has(paper, "surface_texture", "smooth"):
        return (
            "suits",
            tr(
                "Its smooth surface keeps the small detail that covers {share} of the picture "
                "({common_practice}).",
                share=share,
                common_practice=COMMON_PRACTICE,
            ),
        )
    return None


def _smooth_wish(picture: Character) -> str | None:
    area = picture.smooth_area
    if not picture.has_smooth_area or area.lab is None or area.lab[0] < _TEXTURE_SEEN_FROM:
        return None
    return tr(
        "A broad tone of {colour} fills {percent} of it; there a paper's texture is "
        "seen. Texture suits landscape, architecture and broad tones; fine skin and "
        "small detail want a smooth sheet ({common_practice}).",
        colour=area.colour,
        percent=percent(area.share),
        common_practice=COMMON_PRACTICE,
    )


def _smooth(picture: Character, paper: AnyPaper) -> tuple[str, str] | None:
    if not _rough(paper):
        return None
    area = picture.smooth_area
    return "suits", (
        tr(
            "Its texture gives life to broad tones such as the {colour} that fill "
            "{percent} of the picture, if they are not fine skin ({common_practice}).",
            colour=area.colour,
            percent=percent(area.share),
            common_practice=COMMON_PRACTICE,
        )
    )


def _dark_wish(picture: Character) -> str | None:
    if not picture.is_dark:
        return None
    return tr(
        "It is dark, so look for a deep black: a density of {deep_density:g} or more. "
        "Behind plain glass in a lit room it makes little difference; see the contrast "
        "in its place.",
        deep_density=DEEP_DENSITY,
    )


def _dark(picture: Character, paper: AnyPaper) -> tuple[str, str] | None:
    density = _density(paper)
    if density is None:
        return None
    if density >= DEEP_DENSITY:
        return (
            "suits",
            tr(
                "Its darkest printable colour of density {density:.2f} carries a dark picture.",
                density=density,
            ),
        )
    if density <= SHALLOW_DENSITY:
        return "beware", (
            tr(
                "Its darkest printable colour of density {density:.2f} is shallow for a dark "
                "picture, which will look flatter.",
                density=density,
            )
        )
    return None


def _mirror_wish(picture: Character) -> str | None:
    if not picture.is_dark:
        return None
    return tr("Its dark areas will mirror the room on a glossy paper, or behind glass.")


def _mirror(picture: Character, paper: AnyPaper) -> tuple[str, str] | None:
    if not _glossy(paper):
        return None
    density = _density(paper)
    share = percent(GLOSS_MIRRORS)
    if density is None:
        return "beware", tr(
            "Gloss mirrors {share} of a window or lamp; hang a dark picture on it with care.",
            share=share,
        )
    return "beware", tr(
        "Gloss mirrors {share} of a window or lamp, {times:.0f} times what its darkest printable "
        "colour reflects; hang a dark picture on it with care.",
        share=share,
        times=GLOSS_MIRRORS * 10**density,
    )


def _light_wish(picture: Character) -> str | None:
    if not picture.is_light:
        return None
    return tr(
        "{percent} of it is highlight and takes the paper's tint: choose the white first.",
        percent=percent(picture.share_highlights),
    )


def _light(picture: Character, paper: AnyPaper) -> tuple[str, str] | None:
    if not paper.white_is_known or float(np.hypot(*paper.white_lab[1:])) < CLEAR_TINT:
        return None
    return "taste", (
        tr(
            "Its {tint} white shows in the {percent} of the picture that are highlights.",
            tint=tint_words(paper.white_lab),
            percent=percent(picture.share_highlights),
        )
    )


RULES = (
    Rule(tr("small detail"), COMMON_PRACTICE, _detail_wish, _detail),
    Rule(tr("broad tones"), COMMON_PRACTICE, _smooth_wish, _smooth),
    Rule(
        tr("dark pictures"),
        tr(
            "densities of matte and glossy papers, M. McNamee 2010; that dark pictures need depth, "
            "common practice, no source"
        ),
        _dark_wish,
        _dark,
    ),
    Rule(
        tr("reflections"),
        tr("Fresnel's equations for a refractive index of 1.52, optics textbooks"),
        _mirror_wish,
        _mirror,
    ),
    Rule(
        tr("light pictures"),
        tr(
            "what prints lighter than L* 90 takes the paper's tint, as measured; from which chroma it "
            "is worth a word, our own choice"
        ),
        _light_wish,
        _light,
    ),
)


def advise(character: Character, paper: AnyPaper) -> tuple[Advice, ...]:
    """What the rules say of a paper for a picture; may be empty.

    Parameters
    ----------
    character : from `describe`.
    paper : a Paper, or one known by readings; it is not asked for what it does not know.

    Returns
    -------
    An Advice for each thing worth saying, the weightiest first; often none.

    Raises
    ------
    Nothing.

    Examples
    --------
    >>> advice = wb.advise(wb.describe(picture), papers[6])
    >>> all(each.sentence for each in advice)
    True
    """
    return tuple(
        Advice(rule.name, *found, rule.source)
        for rule in RULES
        if rule.about_picture(character) and (found := rule.about_paper(character, paper))
    )


def wishes(character: Character) -> tuple[str, ...]:
    """What a picture asks of its paper by the same rules, in sentences; may be empty."""
    found = (rule.about_picture(character) for rule in RULES)
    return tuple(sentence for sentence in found if sentence)

"""A paper that does not exist, from a white, a black, a saturation and a finish."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from workbench.analysis.printed_black import DARKEST
from workbench.analysis.words import lab_text, listed, signed, volume_words
from workbench.characteristics import BLACK_INKS, word_of
from workbench.colour.difference import delta_e_2000
from workbench.colour.inkmodel import FINISHES, model_profile
from workbench.colour.lab import density, lightness_of_density, luminance_factor
from workbench.language import numeral, tr
from workbench.paper import Paper

NAME = tr("What-if paper (a model)")

# nodes a side of the model's tables: quick while a knob moves, close when it rests
GRID_MOVING, GRID_RESTING = 9, 17
# what the model and the knobs take
LIGHTEST, DARKEST_WHITE, MOST_TINT = 100.0, 60.0, 30.0
LEAST_DENSITY, MOST_DENSITY = 0.5, 3.0


@dataclass(frozen=True)
class Settings:
    """All that makes a what-if paper.

    Attributes
    ----------
    white_lightness, white_a, white_b : absolute L*, a*, b* of the bare paper.
    black_density : absolute density of its darkest printable colour.
    black_a, black_b : tint of that black, absolute.
    saturation : factor on the chroma of the model's inks.
    finish : "gloss", "satin" or "matte".
    """

    white_lightness: float = 96.0
    white_a: float = 0.0
    white_b: float = 0.0
    black_density: float = 2.2
    black_a: float = 0.0
    black_b: float = 0.0
    saturation: float = 1.0
    finish: str = "gloss"

    @property
    def white_lab(self) -> tuple[float, float, float]:
        """Absolute Lab of the bare paper."""
        return self.white_lightness, self.white_a, self.white_b

    @property
    def black_lab(self) -> tuple[float, float, float]:
        """Absolute Lab of the darkest printable colour."""
        return float(lightness_of_density(self.black_density)), self.black_a, self.black_b

    @property
    def contrast_ratio(self) -> float:
        """Luminance of white over luminance of black."""
        white, black = luminance_factor([self.white_lightness, self.black_lab[0]])
        return float(white / black)

    def paper(self, grid: int = GRID_RESTING) -> Paper:
        """The paper, its profile built with ``grid`` nodes a side (see `model_profile`).

        Raises
        ------
        PaperError
            for values that no paper has.
        """
        profile = model_profile(
            self.white_lab,
            self.black_lab,
            finish=self.finish,
            saturation=self.saturation,
            name=NAME,
            grid=grid,
        )
        return Paper(
            name=NAME,
            profile=profile,
            finish=self.finish,
            black_ink=BLACK_INKS[1] if self.finish == "matte" else BLACK_INKS[0],
            invented=True,
            notes=tr("A model, not a measurement: {words}.", words=self.words),
        )

    @property
    def words(self) -> str:
        """All settings in a line."""
        tint = ""
        if self.black_a or self.black_b:
            tint = f" (a* {signed(self.black_a)}, b* {signed(self.black_b)})"
        return tr(
            "white L* {lightness:.1f}, a* {a}, b* {b}; black density {density:.2f}{tint}; "
            "saturation {saturation:.0f} %; {finish}",
            lightness=self.white_lightness,
            a=signed(self.white_a),
            b=signed(self.white_b),
            density=self.black_density,
            tint=tint,
            saturation=100 * self.saturation,
            finish=word_of(self.finish),
        )


def settings_of(paper: Paper, before: Settings | None = None) -> Settings:
    """The white and black of a paper as settings; what it does not tell is left as it was.

    Parameters
    ----------
    paper : a `Paper`, or a `MeasuredPaper` with a white and a black.
    before : where the saturation comes from, and the finish where the paper states none.

    Raises
    ------
    PaperError
        if it has no black.
    """
    before = before or Settings()
    white, black = paper.white_lab, paper.black_lab
    finish = paper.finish if paper.finish in FINISHES else before.finish
    return Settings(
        white_lightness=_between(white[0], DARKEST_WHITE, LIGHTEST),
        white_a=_between(white[1], -MOST_TINT, MOST_TINT),
        white_b=_between(white[2], -MOST_TINT, MOST_TINT),
        black_density=_between(float(density(black[0])), LEAST_DENSITY, MOST_DENSITY, 2),
        black_a=_between(black[1], -MOST_TINT, MOST_TINT),
        black_b=_between(black[2], -MOST_TINT, MOST_TINT),
        saturation=before.saturation,
        finish=finish,
    )


def _between(value: float, low: float, high: float, decimals: int = 1) -> float:
    return round(min(max(value, low), high), decimals) + 0.0


# field, words, how its difference is said
_PARTS = (
    ("white_lightness", tr("the white's L*"), signed),
    ("white_a", tr("the white's a*"), signed),
    ("white_b", tr("the white's b*"), signed),
    (
        "black_density",
        tr("the density of its darkest printable colour"),
        lambda d: numeral(d, "+.2f").replace("-", "−"),
    ),
    ("black_a", tr("the a* of that colour"), signed),
    ("black_b", tr("the b* of that colour"), signed),
    (
        "saturation",
        tr("the saturation"),
        lambda d: tr("{change:+.0f} %", change=100 * d).replace("-", "−"),
    ),
)


def changes_words(start: Settings, now: Settings, name: str) -> str:
    """What differs from where one started, in a sentence.

    Parameters
    ----------
    name : of the paper at the start.
    """
    said = [
        f"{words} ({shown(getattr(now, field) - getattr(start, field))})"
        for field, words, shown in _PARTS
        if abs(getattr(now, field) - getattr(start, field)) > 1e-6
    ]
    if now.finish != start.finish:
        said.append(
            tr(
                "the finish ({finish} instead of {before})",
                finish=word_of(now.finish),
                before=word_of(start.finish),
            )
        )
    if not said:
        return tr("As “{name}” in white and black; its inks are the model's own.", name=name)
    if len(said) == 1:
        return tr(
            "One property alone differs from “{name}”: {property}.", name=name, property=said[0]
        )
    return tr("Differs from “{name}” in {listed}.", name=name, listed=listed(said))


def compared(start_paper, settings: Settings, paper: Paper | None) -> list[tuple[str, str, str]]:
    """(name, start paper, what-if paper) rows of what can be said of both.

    Parameters
    ----------
    paper : the what-if paper, or None before it is built.
    """
    # the start as it is, not as the knobs round it: its figures stand elsewhere too
    first, now = start_paper, settings
    distance = float(delta_e_2000(np.array(first.white_lab), np.array(now.white_lab)))
    rows = [
        (tr("White (absolute)"), lab_text(first.white_lab), lab_text(now.white_lab)),
        (
            tr("Between the whites (absolute)"),
            "",
            tr("{distance:.1f} CIEDE2000", distance=distance),
        ),
        (
            tr("{darkest} (absolute)", darkest=DARKEST),
            lab_text(first.black_lab),
            lab_text(now.black_lab),
        ),
        (
            tr("{darkest}, density (absolute)", darkest=DARKEST),
            numeral(first.black_density, ".2f"),
            numeral(now.black_density, ".2f"),
        ),
        (
            tr("Contrast ratio (absolute)"),
            f"{numeral(first.contrast_ratio, '.0f')}:1",
            f"{numeral(now.contrast_ratio, '.0f')}:1",
        ),
    ]
    before, after = (
        volume_words(each.gamut_volume) if isinstance(each, Paper) else "–"
        for each in (start_paper, paper)
    )
    return [*rows, (tr("Gamut volume (absolute)"), before, after)]


def with_lightness(settings: Settings, lightness: float) -> Settings:
    """The same with a black of this absolute L*."""
    return replace(settings, black_density=float(density(max(lightness, 0.9))))

"""Whether a paper's figures can be those of a real sheet at all."""

from __future__ import annotations

from workbench.errors import PaperError
from workbench.language import tr
from workbench.paper_readings import AnyPaper

# Common practice, no source: white papers lie above L* 85, brown wrapping paper near 60
# and below a chroma of 25; prints of the deepest blacks stay below a density of 3
_LEAST_LIGHTNESS = 60.0
_MOST_CHROMA = 25.0
_MOST_DENSITY = 3.5


def implausible(paper: AnyPaper) -> tuple[str, ...]:
    """Why a paper's figures cannot be those of a real sheet; empty where they can.

    Parameters
    ----------
    paper : a Paper or a `MeasuredPaper`.

    Returns
    -------
    Clauses such as “its white has L* 42”.
    """
    lightness, a, b = paper.white_lab
    strength = (a * a + b * b) ** 0.5
    found = []
    if not paper.white_is_known:
        found.append(tr("its white is that of the perfect diffuser (100, 0, 0)"))
    if lightness < _LEAST_LIGHTNESS:
        found.append(tr("its white has L* {lightness:.0f}", lightness=lightness))
    if strength > _MOST_CHROMA:
        found.append(tr("its white has a chroma of {strength:.0f}", strength=strength))
    try:
        density = getattr(paper, "black_density", None)
    except PaperError:  # its black was not read
        density = None
    if density is not None and density > _MOST_DENSITY:
        contrast = round(paper.contrast_ratio, -3)
        found.append(
            tr(
                "its darkest printable colour has a density of {density:.1f} (contrast "
                "{contrast:,.0f} to 1)",
                density=density,
                contrast=contrast,
            )
        )
    return tuple(found)


def doubt_words(paper: AnyPaper) -> str:
    """The reasons in a sentence; empty where there are none.

    Parameters as for `implausible`.
    """
    found = implausible(paper)
    if not found:
        return ""
    said, *more = found
    for each in more:
        said = tr("{first}, and {last}", first=said, last=each)
    return tr(
        "The figures of “{name}” tell nothing about a real sheet: {signs}. Choose a profile that "
        "was made from a print on your paper.",
        name=paper.name,
        signs=said,
    )

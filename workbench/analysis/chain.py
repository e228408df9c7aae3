"""A printed patch that shows by eye whether its colours were converted once, twice or not at all.

One half is a solid colour, the other fine lines of two others.  Seen from a distance, the
lines mix in the eye as light does; the solid half goes through the tables alone.  The two
agree only where the numbers reach the ink by the road that they were worked out for: a
conversion more, or one less, moves the solid and the mean of the lines differently.  The
colours are searched for each paper: those that a wrong road parts most, for the least harm that
spreading ink does to the lines.

Mixing by area in tristimulus values is Grassmann's law; what light does under the edges of
lines (Yule and Nielsen, 1951) is not told by a profile, so lines are wide, their edges
are blurred by as much as ink is taken to spread, and how far that alone parts the halves is stated.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np

from workbench.analysis.eye import distance_text, sharp_from_mm
from workbench.analysis.sheets import MM_PER_INCH
from workbench.analysis.words import SHORT_INTENT_NAMES, signed
from workbench.colour.difference import delta_e_2000
from workbench.colour.engine import check_intent, transform
from workbench.colour.lab import lab_to_xyz, triple, xyz_to_lab
from workbench.colour.profile import read_profile
from workbench.colour.spaces import standard_profile
from workbench.errors import PaperError
from workbench.language import tr
from workbench.paper import Paper
from workbench.rendering import DEFAULTS
from workbench.results import Result

#: width of a line; two of them make a period
LINE_MM = 0.5
#: CIEDE2000 between the halves from which on they are plainly told apart (common practice, no source)
TOLD_APART = 3.0
# ink's spread by finish, mm, standard deviation (our own guess, as for sharpening)
_SPREAD_MM = {"gloss": 0.020, "satin": 0.025, "matte": 0.040}
_ASSUMED = ("sRGB", "opRGB")
_LEVELS = 6  # of each channel, from which lines are chosen
_SOLVED = 600  # of the most promising pairs
_ENOUGH = 12.0  # a wrong road need not part the halves further; then less harm counts more
_PHASES = 40

Road = Callable[[np.ndarray], np.ndarray]


@dataclass(frozen=True)
class ChainCase:
    """What becomes of the patch on one road.

    Attributes
    ----------
    kind : "right", "same profile", "twice", "not at all" or "another paper".
    name : of the road, in words.
    difference : CIEDE2000 between the halves.
    solid_lab, lines_lab : media-relative Lab of the halves, the lines as they mix.
    told : whether the difference is beyond `TOLD_APART` and what spreading ink does.
    """

    kind: str
    name: str
    difference: float
    solid_lab: tuple[float, float, float]
    lines_lab: tuple[float, float, float]
    told: bool


@dataclass(frozen=True)
class ChainPatch(Result):
    """Two halves that agree only when the chain is right.

    Attributes
    ----------
    paper_name : that it was worked out for.
    converts : who brings its colours to the paper, "workbench" or "driver".
    solid, lines : (3,) and (2, 3) numbers 0..1 of the file, as tuples.
    spread : CIEDE2000 by which the halves differ on the right road if ink spreads as is
        taken to be usual on such a sheet.
    cases : the right road first.
    profile : ICC bytes of the file's colours.
    """

    paper_name: str
    converts: str
    solid: tuple[float, float, float]
    lines: tuple[tuple[float, float, float], tuple[float, float, float]]
    spread: float
    cases: tuple[ChainCase, ...]
    profile: bytes = field(repr=False)

    @property
    def distance_mm(self) -> float:
        """From where lines of whatever contrast are too fine to be seen, and merge."""
        return sharp_from_mm(MM_PER_INCH / LINE_MM, contrast=1.0)

    def pixels(self, ppi: float, size_mm: tuple[float, float]) -> np.ndarray:
        """The patch for the file: lines left, solid right.

        Parameters
        ----------
        ppi : of the file.
        size_mm : width and height of both halves together.

        Returns
        -------
        (rows, cols, 3) uint16.
        """
        width, height = (max(2, round(side / MM_PER_INCH * ppi)) for side in size_mm)
        line = max(1, round(LINE_MM / MM_PER_INCH * ppi))
        solid, *lines = (np.rint(np.array(c) * 65535).astype(np.uint16) for c in
                         (self.solid, *self.lines))  # fmt: skip
        out = np.empty((height, width, 3), np.uint16)
        out[:] = solid
        which = np.arange(height) // line % 2
        out[:, : width // 2] = np.stack(lines)[which][:, None]
        return out

    def sentences(self, unit: str = "cm") -> tuple[str, ...]:
        """How to look at it, and what it then says."""
        twice = min(c.difference for c in self.cases if c.kind == "twice")
        none = min(c.difference for c in self.cases if c.kind == "not at all")
        others = [c for c in self.cases if c.kind == "another paper"]
        said = [
            tr(
                "Look from {distance_text} or further, where the lines merge: the two halves "
                "look alike when the chain is right.",
                distance_text=distance_text(self.distance_mm, unit),
            ),
            tr(
                "Converted twice, they differ by at least {twice:.0f} CIEDE2000; not converted "
                "at all, by {none:.0f}. Ink that spreads may part them by about {spread:.1f} "
                "(our estimate), so a faint difference does not count.",
                twice=twice,
                none=none,
                spread=self.spread,
            ),
        ]
        if missed := sum(not c.told for c in others):
            said.append(
                tr(
                    "The profiles of {missed} of the {count} other papers at hand would go "
                    "unnoticed in its place: too much like this one.",
                    missed=missed,
                    count=len(others),
                )
            )
        return tuple(said)

    @property
    def sentence(self) -> str:
        """How to look at it, for a notebook."""
        return self.sentences()[0]

    def table(self) -> list[dict]:
        """Each road of the colours: CIEDE2000 between the halves, and what is seen."""
        return [
            {"road": c.name, "difference": c.difference, "seen": _seen(c, self)} for c in self.cases
        ]


def chain_patch(
    paper: Paper,
    *,
    source=None,
    others: tuple[Paper, ...] = (),
    intent: str = DEFAULTS.intent,
    black_point_compensation: bool = DEFAULTS.black_point_compensation,
) -> ChainPatch:
    """Work out a patch whose halves agree only when colours are converted as they should be.

    Parameters
    ----------
    paper : to be printed on; its printer must take RGB.
    source : None where the file holds the paper's own colours, so that the driver must not
        convert; profile bytes of an RGB picture where the driver is to convert.
    others : papers that might lie in the printer, or in the driver's list, instead.
    intent, black_point_compensation : of the driver's conversion, where there is one.

    Returns
    -------
    A ChainPatch.

    Raises
    ------
    PaperError
        for a paper without a profile, and for printers that take CMYK.
    ProfileError
        for tables that cannot be used, or an intent that is none.

    Examples
    --------
    >>> patch = wb.chain_patch(papers[0])
    >>> patch.cases[0].difference < 0.3 and all(c.told for c in patch.cases if c.kind == "twice")
    True
    """
    if not isinstance(paper, Paper):
        raise PaperError(tr("The patch needs the paper's profile; this paper has none."))
    space = read_profile(paper.profile).space
    if space != "RGB":
        raise PaperError(
            tr(
                "“{name}” is printed in {space}; the patch is made for printers that take RGB.",
                name=paper.name,
                space=space,
            )
        )
    if source is not None and read_profile(source).space != "RGB":
        source = standard_profile("sRGB")
    rgb = [o for o in others if isinstance(o, Paper) and o.profile != paper.profile]
    found = tuple((o.name, o.profile) for o in rgb if read_profile(o.profile).space == "RGB")
    return _searched(
        paper.name, paper.profile, paper.finish or "", source, found,
        check_intent(intent), bool(black_point_compensation),
    )  # fmt: skip


@lru_cache(maxsize=8)
def _searched(name, paper, finish, source, others, intent, bpc) -> ChainPatch:
    roads = _roads(paper, source, others, intent, bpc)
    right = roads[0][2]
    level = np.linspace(0, 1, _LEVELS)
    ends = np.stack(np.meshgrid(level, level, level, indexing="ij"), -1).reshape(-1, 3)
    one, two = np.triu_indices(len(ends), 1)
    laid = [road(ends) for *_, road in roads]
    target = _mixed(laid[0][one], laid[0][two])
    start = np.clip(transform(target, "lab", source or paper), 0, 1)
    wrong = [n for n, (kind, *_) in enumerate(roads) if kind in ("twice", "not at all")]
    rough = np.min([_parted(roads[n][2], laid[n], start, one, two) for n in wrong], axis=0)
    # where the start is far off, the mean lies outside what the paper holds
    rough[delta_e_2000(right(start), target) > TOLD_APART] = 0
    best = np.argsort(-rough)[:_SOLVED]
    one, two, target = one[best], two[best], target[best]
    solid = _solved(right, target, start[best])
    left = delta_e_2000(right(solid), target)
    parts = np.stack(
        [_parted(road, laid[n], solid, one, two) for n, (*_, road) in enumerate(roads)]
    )
    spread = delta_e_2000(_spread(right, ends[one], ends[two], finish), target)
    papers = [n for n, (kind, *_) in enumerate(roads) if kind == "another paper"]
    score = np.minimum(parts[wrong].min(axis=0), _ENOUGH) / (0.5 + spread + 5 * left)
    if papers:
        score = score + parts[papers].mean(axis=0) / (0.5 + spread)
    at = int(np.argmax(score))
    cases = []
    for n, (kind, words, road) in enumerate(roads):
        solid_lab = road(solid[at : at + 1])[0]
        lines_lab = _mixed(laid[n][one[at]], laid[n][two[at]])
        apart = float(delta_e_2000(solid_lab, lines_lab))
        told = apart >= TOLD_APART + spread[at]
        cases.append(
            ChainCase(kind, words, apart, triple(solid_lab), triple(lines_lab), bool(told))
        )
    return ChainPatch(
        name, "workbench" if source is None else "driver", triple(solid[at]),
        (triple(ends[one[at]]), triple(ends[two[at]])), float(spread[at]), tuple(cases),
        source or paper,
    )  # fmt: skip


def _roads(paper, source, others, intent, bpc) -> list[tuple[str, str, Road]]:
    """(kind, name, file's numbers -> printed Lab) of each road, the right one first."""

    def printed(numbers, sheet=paper):
        return transform(numbers, sheet, "lab")

    def turned(numbers, start, end, how=intent, black=bpc):
        done = transform(numbers, start, end, intent=how, black_point_compensation=black)
        return np.clip(done, 0, 1)

    def by(first, *steps):
        """Conversions one after another, then the paper's own table."""

        def road(numbers):
            for step in (first, *steps):
                numbers = turned(numbers, *step)
            return printed(numbers)

        return road

    spaces = [(name, standard_profile(name)) for name in _ASSUMED]
    srgb = spaces[0][1]
    ways = (("relative", True), ("perceptual", False))
    if source is None:
        return [
            ("right", tr("Right: the numbers reach the printer as they are"), printed),
            ("same profile", tr("The paper's profile as source and destination"),
             by((paper, paper, "relative", False))),
            *(("twice", tr("Converted twice, taken for {name}, {how}", name=name, how=SHORT_INTENT_NAMES[how]),
               by((space, paper, how, black)))
              for name, space in spaces for how, black in ways),
            ("not at all", tr("Turned into sRGB on the way, and not converted again"),
             by((paper, srgb, "relative", True))),
            *(("another paper", tr("The profile of “{each}” instead", each=each), lambda numbers, sheet=sheet: printed(numbers, sheet))
              for each, sheet in others),
        ]  # fmt: skip
    first = (source, paper, intent, bpc)
    return [
        ("right", tr("Right: the driver converts, once"), by(first)),
        *(("twice", tr("Converted twice, taken for {name} the second time, {how}", name=name, how=SHORT_INTENT_NAMES[how]),
           by(first, (space, paper, how, black)))
          for name, space in spaces for how, black in ways),
        ("not at all", tr("Not converted at all"), printed),
        *(("another paper", tr("The profile of “{each}” instead", each=each), by((source, sheet, intent, bpc))) for each, sheet in others),
    ]  # fmt: skip


def _mixed(one, two) -> np.ndarray:
    """Lab of equal areas of two colours, seen from where they merge."""
    return xyz_to_lab((lab_to_xyz(one) + lab_to_xyz(two)) / 2)


def _parted(road: Road, laid, solid, one, two) -> np.ndarray:
    return delta_e_2000(road(solid), _mixed(laid[one], laid[two]))


def _solved(road: Road, target, numbers) -> np.ndarray:
    """Numbers that print the target, by Newton's method; clipped to what a file can hold."""
    numbers, far = numbers.copy(), 0.01
    for _ in range(6):
        now = road(numbers)
        slope = np.empty((len(numbers), 3, 3))
        for channel in range(3):
            step = np.where(numbers[:, channel] > 0.5, -far, far)
            moved = numbers.copy()
            moved[:, channel] += step
            slope[:, :, channel] = (road(moved) - now) / step[:, None]
        # a little damping, where a channel has no effect
        normal = np.swapaxes(slope, 1, 2) @ slope + 1e-3 * np.eye(3)
        wanted = np.swapaxes(slope, 1, 2) @ (target - now)[..., None]
        numbers += np.clip(np.linalg.solve(normal, wanted)[..., 0], -0.1, 0.1)
        numbers = np.clip(numbers, 0, 1)
    # as the file holds them
    return np.rint(numbers * 65535) / 65535


def _spread(road: Road, one, two, finish: str) -> np.ndarray:
    """Lab of lines whose edges run into each other as ink is taken to spread."""
    from scipy.special import ndtr

    sigma, period = _SPREAD_MM.get(finish, _SPREAD_MM["satin"]), 2 * LINE_MM
    at = (np.arange(_PHASES) + 0.5) / _PHASES * period
    share = sum(
        ndtr((at - n * period) / sigma) - ndtr((at - LINE_MM - n * period) / sigma)
        for n in range(-1, 3)
    )
    mean = sum(lab_to_xyz(road(one + (two - one) * each)) for each in share) / _PHASES
    return xyz_to_lab(mean)


def _seen(case: ChainCase, patch: ChainPatch) -> str:
    if case.kind in ("right", "same profile"):
        return tr("the halves agree") if case.difference < TOLD_APART else tr("the halves differ")
    if not case.told:
        return tr("too close to tell")
    lightness, a, b = np.subtract(case.solid_lab, case.lines_lab)
    if np.hypot(a, b) > abs(lightness):
        return tr("the solid half is off by a* {a}, b* {b}", a=signed(a), b=signed(b))
    return tr("the solid half is lighter") if lightness > 0 else tr("the solid half is darker")


#: The way through drivers that do not let a file pass, for panel and job sheet.
SAME_PROFILE = tr(
    "Where the driver's conversion cannot be switched off, name the paper's own profile both as "
    "source and as destination, with relative colorimetric intent: from a space into itself "
    "hardly anything changes."
)

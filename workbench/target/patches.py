"""The target: which colours it holds, and what each should measure on a paper.

The choice of patches, their names and their order are our own.  Greys are steps of picture
lightness; primaries and secondaries are those of the target's own RGB space; the memory
colours are Lab values that we have chosen for what they are named after, measured nowhere.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np

from workbench.analysis.words import INTENT_NAMES
from workbench.colour.engine import check_intent, transform
from workbench.colour.lab import relative_to_absolute
from workbench.colour.spaces import standard_profile
from workbench.colour.trip import white_xyz
from workbench.errors import TargetError
from workbench.language import tr
from workbench.paper import Paper

# its tone curve is L*, so that equal numbers are greys in even steps of lightness
SPACE = tr("eciRGB v2")
COLUMNS = 12
GREYS = tuple(range(0, 101, 5))
NEAR_WHITE = (99, 98, 97, 96, 94, 92)
NEAR_BLACK = (1, 2, 3, 4, 6, 8, 12)
BLACK, WHITE = tr("Black"), tr("Paper white")

_INKS = (
    (tr("Red"), (1, 0, 0)),
    (tr("Yellow"), (1, 1, 0)),
    (tr("Green"), (0, 1, 0)),
    (tr("Cyan"), (0, 1, 1)),
    (tr("Blue"), (0, 0, 1)),
    (tr("Magenta"), (1, 0, 1)),
)
# media-relative Lab, our own choice
_MEMORY = (
    (tr("Fair skin"), (79, 13, 17)),
    (tr("Tanned skin"), (66, 17, 22)),
    (tr("Brown skin"), (47, 16, 21)),
    (tr("Deep skin"), (31, 11, 13)),
    (tr("Lips"), (51, 38, 17)),
    (tr("Sunlit leaves"), (57, -26, 38)),
    (tr("Leaves in shade"), (33, -16, 17)),
    (tr("Summer meadow"), (68, -17, 44)),
    (tr("Clear sky"), (62, -7, -32)),
    (tr("Hazy sky"), (80, -6, -14)),
    (tr("Deep water"), (32, -7, -21)),
    (tr("Oak wood"), (52, 11, 28)),
    (tr("Brick"), (43, 30, 27)),
    (tr("Evening sun"), (74, 24, 62)),
)
# measured twice, to see how far two readings of one colour lie apart
_AGAIN = (BLACK, WHITE, tr("Grey 50"), tr("Grey 25"), tr("Tanned skin"), tr("Blue, dark"))


@dataclass(frozen=True, eq=False)
class Target:
    """A target for one paper and one way of converting to it.

    Attributes
    ----------
    paper_name, intent, black_point_compensation : what it is for.
    ids : of the patches, by row and column: "A1", "A2" … in reading order.
    names : of the patches, such as "Grey 50" or "Clear sky".
    groups : one of `GROUPS` for each patch.
    rgb : (n, 3) values 0..1 in `SPACE`, exact in 16 bits.
    device : (n, channels) values 0..1 of the paper's device, as the print file has them.
    reference_lab : (n, 3) absolute Lab, D50, 2 degrees, that the print should measure:
        the paper profile's colorimetric table at ``device``.
    repeats : (copy, original) index pairs of patches that hold the same colour.
    """

    paper_name: str
    intent: str
    black_point_compensation: bool
    ids: tuple[str, ...]
    names: tuple[str, ...]
    groups: tuple[str, ...]
    rgb: np.ndarray = field(repr=False)
    device: np.ndarray = field(repr=False)
    reference_lab: np.ndarray = field(repr=False)
    repeats: tuple[tuple[int, int], ...] = field(repr=False)

    def __len__(self) -> int:
        return len(self.ids)

    @property
    def conversion(self) -> str:
        """What it is for in words: “relative colorimetric, black point compensation”."""
        compensated = tr(", black point compensation") if self.black_point_compensation else ""
        return f"{INTENT_NAMES[self.intent]}{compensated}"

    def index(self, name: str) -> int:
        """Place of the first patch of a name; KeyError if there is none."""
        try:
            return self.names.index(name)
        except ValueError:
            raise KeyError(name) from None

    def group(self, *groups: str) -> np.ndarray:
        """(n,) mask of the patches of some groups."""
        return np.isin(self.groups, groups)

    @property
    def neutrals(self) -> np.ndarray:
        """(n,) mask of all greys, without black, white and repeats."""
        ends = np.isin(self.names, (BLACK, WHITE))
        return self.group("greys", tr("near black"), tr("near white")) & ~ends


GROUPS = (
    "greys", tr("near white"), tr("near black"), tr("full colours"), tr("half colours"), tr("dark colours"),
    tr("memory colours"), "repeats",
)  # fmt: skip


@lru_cache(maxsize=1)
def _recipe() -> tuple[tuple[str, ...], tuple[str, ...], np.ndarray]:
    """Names, groups and 16-bit RGB of all patches, in order."""
    rows: list[tuple[str, str, tuple]] = []

    def greys(group: str, steps) -> None:
        for step in steps:
            name = {0: BLACK, 100: WHITE}.get(step, f"Grey {step}")
            rows.append((name, group, (step / 100,) * 3))

    greys("greys", GREYS)
    greys(tr("near white"), NEAR_WHITE)
    greys(tr("near black"), NEAR_BLACK)
    for name, rgb in _INKS:
        rows.append((tr("{name}, full", name=name), tr("full colours"), rgb))
    for name, rgb in _INKS:
        rows.append(
            (tr("{name}, half", name=name), tr("half colours"), tuple((1 + v) / 2 for v in rgb))
        )
    for name, rgb in _INKS:
        rows.append((tr("{name}, dark", name=name), tr("dark colours"), tuple(v / 2 for v in rgb)))
    memory = transform([lab for _, lab in _MEMORY], "lab", standard_profile(SPACE))
    for (name, _), rgb in zip(_MEMORY, memory, strict=True):
        rows.append((name, tr("memory colours"), tuple(rgb)))
    known = {name: rgb for name, _, rgb in rows}
    for name in _AGAIN:
        rows.append((tr("{name}, again", name=name), "repeats", known[name]))
    names, groups, rgb = zip(*rows, strict=True)
    exact = np.rint(np.clip(np.array(rgb, float), 0, 1) * 65535).astype(np.uint16)
    exact.flags.writeable = False
    return names, groups, exact


def patch_ids(count: int) -> tuple[str, ...]:
    """Names of places in reading order: rows are letters, columns are numbers from 1."""
    return tuple(f"{chr(ord('A') + i // COLUMNS)}{i % COLUMNS + 1}" for i in range(count))


def target_for(
    paper: Paper, intent: str = "relative", black_point_compensation: bool = True
) -> Target:
    """The target for a paper, with the Lab that each patch should measure.

    Parameters
    ----------
    paper : a Paper.
    intent, black_point_compensation : of the conversion to the paper; the print file of
        the target must be made with the same, as `write_target` does.

    Returns
    -------
    A Target: patches, and what the profile predicts for each.

    Raises
    ------
    TargetError
        if there is no paper.
    PaperError
        for a paper known by readings only, which has no profile.
    ProfileError
        for an unknown intent or a profile that the engine cannot use.

    Examples
    --------
    >>> len(wb.target_for(papers[0]).ids) > 50
    True
    """
    profile = getattr(paper, "profile", None)
    if profile is None:
        raise TargetError(
            tr(
                "A target needs a paper with a profile, because the profile says what each patch "
                "should measure; choose one."
            )
        )
    check_intent(intent)
    names, groups, pixels = _recipe()
    # in 16 bits through the engine's fast tables, as a print file is made
    inks = transform(
        pixels[None],
        standard_profile(SPACE),
        profile,
        intent=intent,
        black_point_compensation=black_point_compensation,
    )[0]
    device = inks / 65535
    reference = relative_to_absolute(transform(device, profile, "lab"), white_xyz(profile))
    place = {name: i for i, name in enumerate(names)}
    return Target(
        paper_name=paper.name,
        intent=intent,
        black_point_compensation=bool(black_point_compensation) and intent != "absolute",
        ids=patch_ids(len(names)),
        names=names,
        groups=groups,
        rgb=pixels / 65535,
        device=device,
        reference_lab=reference,
        repeats=tuple((place[f"{name}, again"], place[name]) for name in _AGAIN),
    )

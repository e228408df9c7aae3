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
SPACE = "eciRGB v2"
COLUMNS = 12
GREYS = tuple(range(0, 101, 5))
NEAR_WHITE = (99, 98, 97, 96, 94, 92)
NEAR_BLACK = (1, 2, 3, 4, 6, 8, 12)
BLACK, WHITE = "Black", "Paper white"

_INKS = (
    ("Red", (1, 0, 0)),
    ("Yellow", (1, 1, 0)),
    ("Green", (0, 1, 0)),
    ("Cyan", (0, 1, 1)),
    ("Blue", (0, 0, 1)),
    ("Magenta", (1, 0, 1)),
)
# media-relative Lab, our own choice
_MEMORY = (
    ("Fair skin", (79, 13, 17)),
    ("Tanned skin", (66, 17, 22)),
    ("Brown skin", (47, 16, 21)),
    ("Deep skin", (31, 11, 13)),
    ("Lips", (51, 38, 17)),
    ("Sunlit leaves", (57, -26, 38)),
    ("Leaves in shade", (33, -16, 17)),
    ("Summer meadow", (68, -17, 44)),
    ("Clear sky", (62, -7, -32)),
    ("Hazy sky", (80, -6, -14)),
    ("Deep water", (32, -7, -21)),
    ("Oak wood", (52, 11, 28)),
    ("Brick", (43, 30, 27)),
    ("Evening sun", (74, 24, 62)),
)
# the names above as people read them; they are compared and kept in files in English
_LABELS = {
    BLACK: tr("Black"), WHITE: tr("Paper white"),
    "Red": tr("Red"), "Yellow": tr("Yellow"), "Green": tr("Green"),
    "Cyan": tr("Cyan"), "Blue": tr("Blue"), "Magenta": tr("Magenta"),
    "Fair skin": tr("Fair skin"), "Tanned skin": tr("Tanned skin"),
    "Brown skin": tr("Brown skin"), "Deep skin": tr("Deep skin"), "Lips": tr("Lips"),
    "Sunlit leaves": tr("Sunlit leaves"), "Leaves in shade": tr("Leaves in shade"),
    "Summer meadow": tr("Summer meadow"), "Clear sky": tr("Clear sky"),
    "Hazy sky": tr("Hazy sky"), "Deep water": tr("Deep water"), "Oak wood": tr("Oak wood"),
    "Brick": tr("Brick"), "Evening sun": tr("Evening sun"),
    "full": tr("full"), "half": tr("half"), "dark": tr("dark"), "again": tr("again"),
}  # fmt: skip
# measured twice, to see how far two readings of one colour lie apart
_AGAIN = (BLACK, WHITE, "Grey 50", "Grey 25", "Tanned skin", "Blue, dark")


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
        intent = INTENT_NAMES[self.intent]
        if not self.black_point_compensation:
            return intent
        return tr("{intent}, black point compensation", intent=intent)

    @property
    def labels(self) -> tuple[str, ...]:
        """The patches' names as people read them; files keep ``names``."""
        return tuple(map(patch_label, self.names))

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
        return self.group("greys", "near black", "near white") & ~ends


GROUPS = (
    "greys", "near white", "near black", "full colours", "half colours", "dark colours",
    "memory colours", "repeats",
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
    greys("near white", NEAR_WHITE)
    greys("near black", NEAR_BLACK)
    for name, rgb in _INKS:
        rows.append((f"{name}, full", "full colours", rgb))
    for name, rgb in _INKS:
        rows.append((f"{name}, half", "half colours", tuple((1 + v) / 2 for v in rgb)))
    for name, rgb in _INKS:
        rows.append((f"{name}, dark", "dark colours", tuple(v / 2 for v in rgb)))
    memory = transform([lab for _, lab in _MEMORY], "lab", standard_profile(SPACE))
    for (name, _), rgb in zip(_MEMORY, memory, strict=True):
        rows.append((name, "memory colours", tuple(rgb)))
    known = {name: rgb for name, _, rgb in rows}
    for name in _AGAIN:
        rows.append((f"{name}, again", "repeats", known[name]))
    names, groups, rgb = zip(*rows, strict=True)
    exact = np.rint(np.clip(np.array(rgb, float), 0, 1) * 65535).astype(np.uint16)
    exact.flags.writeable = False
    return names, groups, exact


def patch_label(name: str) -> str:
    """A patch's name as people read it, such as “Blue, dark, again”."""
    return ", ".join(
        tr("Grey {step}", step=part[5:]) if part.startswith("Grey ") else _LABELS.get(part, part)
        for part in name.split(", ")
    )


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

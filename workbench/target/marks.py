"""Finding the target's corner marks in a scan or photograph, whichever way it is turned.

A mark is a black disc on bare paper with one to four holes.  Seen at an angle a disc becomes
an ellipse and keeps its holes, so that shape and number tell a mark, and the number tells its
corner.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np

from workbench.analysis.words import listed
from workbench.errors import TargetError
from workbench.language import tr
from workbench.target.geometry import MARK, MARK_HOLES, Geometry

# of the picture's long side: sizes that a mark may have
_SMALLEST, _LARGEST = 0.012, 0.25
_LONGEST_SHAPE = 3.0
# filled area over that of the ellipse with its second moments; a square has 0.955
_ELLIPSE = (0.965, 1.03)
# of a mark's disc: a hole, all holes
_HOLE_LEAST, _HOLES = 0.015, (0.12, 0.6)
_HOLES_ALIKE = 3.5
# dark is what is darker than this share of its surroundings' mean
_SHARES = (0.6, 0.75, 0.45, 0.85)
_AROUND = (1 / 6, 1 / 14)
_SIZES_ALIKE, _PAGE_ALIKE = 2.5, 2.2
_CORNERS = (tr("upper left"), tr("upper right"), tr("lower right"), tr("lower left"))


@dataclass(frozen=True)
class Mark:
    """Something that looks like a corner mark.

    Attributes
    ----------
    x, y : its middle, in pixels.
    area : of its disc, in pixels.
    holes : in it.
    """

    x: float
    y: float
    area: float
    holes: int


def find_marks(grey: np.ndarray, page: Geometry) -> np.ndarray:
    """The four corner marks: (4, 2) x and y in pixels, upper left of the page first, clockwise.

    Parameters
    ----------
    grey : (rows, cols) lightness, any scale, dark is low; some 1000 to 2000 pixels long.

    Raises
    ------
    TargetError
        if they are not there, with what was seen instead.
    """
    seen: set[int] = set()
    mirrored = False
    for around, share in itertools.product(_AROUND, _SHARES):
        marks = candidates(grey, share, around)
        seen |= {mark.holes for mark in marks}
        best, flipped = _best(marks, page)
        mirrored |= flipped
        if best is not None:
            return np.array([(mark.x, mark.y) for mark in best])
    if mirrored:
        raise TargetError(
            tr("The scan is mirrored; turn the sheet over, or flip the picture back.")
        )
    missing = [name for name, holes in zip(_CORNERS, MARK_HOLES, strict=True) if holes not in seen]
    if missing:
        what = (
            tr("not found: {listed}", listed=listed(missing))
            if len(missing) < 4
            else tr("not found")
        )
    else:
        what = tr("seen, but not as the corners of one page")
    raise TargetError(
        tr(
            "The target's corner marks were {what}. All four discs must be in the picture, "
            "sharp, whole and on bare paper; scan the page again, or photograph it from "
            "straight above.",
            what=what,
        )
    )


def candidates(grey: np.ndarray, share: float, around: float) -> list[Mark]:
    """All that looks like a corner mark where dark is below a share of the surroundings' mean."""
    from scipy import ndimage

    grey = np.asarray(grey, np.float32)
    long_side = max(grey.shape)
    mean = ndimage.uniform_filter(grey, max(15, int(long_side * around)), mode="nearest")
    dark = grey < share * mean
    labels, _ = ndimage.label(dark, np.ones((3, 3)))
    found = []
    for number, place in enumerate(ndimage.find_objects(labels), 1):
        rows, cols = (part.stop - part.start for part in place)
        if not _SMALLEST * long_side <= max(rows, cols) <= _LARGEST * long_side:
            continue
        if max(rows, cols) > _LONGEST_SHAPE * min(rows, cols):
            continue
        if mark := _mark(labels[place] == number):
            x, y, area, holes = mark
            found.append(Mark(x + place[1].start, y + place[0].start, area, holes))
    return found


def _mark(shape: np.ndarray):
    """Middle, area and holes of a shape if it is an ellipse with fitting holes; else None."""
    from scipy import ndimage

    filled = ndimage.binary_fill_holes(shape)
    area = int(filled.sum())
    y, x = np.nonzero(filled)
    # a pixel has a size of its own
    spread = np.cov(np.stack([x, y]), bias=True) + np.eye(2) / 12
    ellipse = 4 * np.pi * np.sqrt(np.linalg.det(spread))
    if not _ELLIPSE[0] <= area / ellipse <= _ELLIPSE[1]:
        return None
    parts, count = ndimage.label(filled & ~shape)
    if not count:
        return None
    sizes = np.bincount(parts.ravel())[1:]
    sizes = sizes[sizes >= max(2, _HOLE_LEAST * area)]
    if not 1 <= len(sizes) <= max(MARK_HOLES):
        return None
    if not _HOLES[0] <= sizes.sum() / area <= _HOLES[1] or sizes.max() > _HOLES_ALIKE * sizes.min():
        return None
    return float(x.mean()), float(y.mean()), float(area), len(sizes)


def _best(marks: list[Mark], page: Geometry):
    """The four that make the most fitting page, and whether a mirrored one was seen."""
    by_holes = [[m for m in marks if m.holes == holes] for holes in MARK_HOLES]
    by_holes = [sorted(group, key=lambda m: -m.area)[:8] for group in by_holes]
    best, score, mirrored = None, np.inf, False
    wanted = _polygon_area(page.marks) / (np.pi / 4 * MARK**2)
    for four in itertools.product(*by_holes):
        sizes = np.array([m.area for m in four])
        if sizes.max() > _SIZES_ALIKE**2 * sizes.min():
            continue
        corners = np.array([(m.x, m.y) for m in four])
        turns = _turns(corners)
        if not (np.all(turns > 0) or np.all(turns < 0)):
            continue
        off = abs(np.log(abs(_polygon_area(corners)) / sizes.mean() / wanted))
        if off > np.log(_PAGE_ALIKE):
            continue
        if turns[0] < 0:
            mirrored = True
        elif off < score:
            best, score = four, off
    return best, mirrored


def _turns(corners: np.ndarray) -> np.ndarray:
    """Cross products at the corners; all above 0 for a page that goes round clockwise."""
    sides = np.roll(corners, -1, axis=0) - corners
    after = np.roll(sides, -1, axis=0)
    return sides[:, 0] * after[:, 1] - sides[:, 1] * after[:, 0]


def _polygon_area(corners: np.ndarray) -> float:
    x, y = np.asarray(corners, float).T
    return float((x * np.roll(y, -1) - np.roll(x, -1) * y).sum() / 2)


def homography(page_points: np.ndarray, pixel_points: np.ndarray) -> np.ndarray:
    """The 3×3 projective map that takes four points of the page to four of the picture."""
    rows = []
    for (x, y), (u, v) in zip(page_points, pixel_points, strict=True):
        rows.append([x, y, 1, 0, 0, 0, -u * x, -u * y])
        rows.append([0, 0, 0, x, y, 1, -v * x, -v * y])
    solved = np.linalg.solve(np.array(rows, float), np.asarray(pixel_points, float).ravel())
    return np.append(solved, 1.0).reshape(3, 3)


def project(matrix: np.ndarray, points) -> np.ndarray:
    """(..., 2) points through a projective map."""
    points = np.asarray(points, float)
    x, y, w = np.moveaxis(
        np.concatenate([points, np.ones((*points.shape[:-1], 1))], -1) @ matrix.T, -1, 0
    )
    return np.stack([x / w, y / w], -1)

"""Reading a target from a scan or photograph.  That is not a measurement, and says so."""

from __future__ import annotations

import os

import numpy as np

from workbench.colour.engine import transform
from workbench.colour.lab import lab_to_xyz, xyz_to_lab
from workbench.errors import TargetError
from workbench.language import tr
from workbench.picture.picture import Picture
from workbench.target.geometry import PATCH, geometry_of
from workbench.target.marks import find_marks, homography, project
from workbench.target.measured import Measured
from workbench.target.patches import WHITE, Target

CAVEAT = tr(
    "This is read from a picture and is not a measurement: scanners and cameras see colours by "
    "three filters of their own, light and gloss are in the picture too, and the paper's white "
    "is taken for granted. It shows coarse errors and changes, not CIEDE2000 to the decimal."
)
# pixels of the long side, for finding the marks and for reading the patches
_FIND_PX, _READ_PX = 1500, 3200
# of a patch: what is read of it, away from its edges
_INSIDE = 0.56
_POINTS = 15
# values from which the paper is burnt out; lightness under which it is too dark to read
_BURNT, _DARK = 0.995, 50.0
_LEAST_LIKENESS = 0.9


def read_scanned_target(source, target: Target, *, name: str = "") -> Measured:
    """What a scan or photograph shows of a target, scaled to the paper's white.

    Parameters
    ----------
    source : a Picture, or the path or bytes of one; it needs a colour profile.
    target : the `Target` that was printed.
    name : what to call it; by default the picture's name.

    Returns
    -------
    `Measured`, with a ``caveat``.  The paper around the patches, evened out over the page,
    is set to the white that the target's reference predicts, so that uneven light and a
    scanner's brightness drop out, and so does any error of the white itself.

    Raises
    ------
    TargetError
        if the corner marks are not found, or the patches are not this target's.
    PictureError, UntaggedPictureError
        if the picture cannot be read, or has no colour profile.

    Examples
    --------
    >>> files = wb.write_target(papers[0], folder / "page.tif", ppi=100)
    >>> target = wb.target_for(papers[0])
    >>> seen = wb.read_scanned_target(folder / "page.tif", target)
    >>> bool(seen.caveat)
    True
    """
    picture = _picture(source)
    profile = picture.require_profile()
    if picture.channels != 3:
        raise TargetError(tr("The scan is grey; scan the target in colour."))
    page = geometry_of(target)
    small = picture.preview(_FIND_PX)
    marks = find_marks(small.mean(axis=-1), page)
    pixels = picture.preview(_READ_PX)
    # middles of pixels, from one size to the other
    scale = np.array([pixels.shape[1] / small.shape[1], pixels.shape[0] / small.shape[0]])
    matrix = homography(page.marks, (marks + 0.5) * scale - 0.5)
    centres, bare = page.centres(len(target)), page.bare()
    values = _read(pixels, matrix, centres, PATCH * _INSIDE)
    paper = _read(pixels, matrix, bare, 0.25)
    xyz, paper_xyz = _xyz(values, profile), _xyz(paper, profile)
    whites = np.flatnonzero(target.rgb.min(axis=1) == 1)
    light = _even_light(
        np.concatenate([bare, centres[whites]]), np.concatenate([paper_xyz, xyz[whites]])
    )
    white = lab_to_xyz(target.reference_lab[target.index(WHITE)])
    lab = xyz_to_lab(np.maximum(xyz / light(centres), 0) * white)
    likeness = np.corrcoef(lab[:, 0], target.reference_lab[:, 0])[0, 1]
    if not likeness >= _LEAST_LIKENESS:
        raise TargetError(
            tr(
                "The corner marks are there, but what lies between them is not this target; choose "
                "the picture of this target, without anything lying on it."
            )
        )
    return Measured(
        name=name or picture.name or tr("Scan"),
        target=target,
        lab=lab,
        matched_by="corner marks",
        readings=1,
        scatter=0.0,
        largest_scatter=0.0,
        stated=tr("scan or photograph"),
        notes=tuple(_notes(paper, paper_xyz, picture)),
        caveat=CAVEAT,
    )


def _picture(source):
    from workbench.picture import open_picture

    if isinstance(source, (str, bytes, bytearray, memoryview, os.PathLike)):
        return open_picture(source)
    return source


def _read(pixels: np.ndarray, matrix: np.ndarray, centres: np.ndarray, side: float) -> np.ndarray:
    """(n, 3) medians 0..1 of squares of the page around some points."""
    from scipy.ndimage import map_coordinates

    steps = (np.arange(_POINTS) + 0.5) / _POINTS - 0.5
    across, down = np.meshgrid(steps * side, steps * side)
    points = centres[:, None, None, :] + np.stack([across, down], -1)
    at = project(matrix, points)
    height, width = pixels.shape[:2]
    if at.min() < -1 or at[..., 0].max() > width or at[..., 1].max() > height:
        raise TargetError(
            tr("A part of the target lies outside the picture; scan or photograph the whole page.")
        )
    places = np.stack([at[..., 1], at[..., 0]])
    full = float(np.iinfo(pixels.dtype).max)
    planes = [
        map_coordinates(pixels[..., c].astype(np.float32), places, order=1, mode="nearest")
        for c in range(pixels.shape[-1])
    ]
    read = np.stack(planes, -1).reshape(len(centres), -1, len(planes))
    return np.median(read, axis=1) / full


def _xyz(values: np.ndarray, profile: bytes) -> np.ndarray:
    return lab_to_xyz(transform(values.astype(np.float64), profile, "lab"))


def _even_light(places: np.ndarray, xyz: np.ndarray):
    """A function from places of the page to the XYZ that bare paper would show there.

    The logarithm of each channel is fitted by a polynomial of second degree, twice: a
    shadow or a fold falls out of the second fit.
    """
    middle, size = places.mean(axis=0), np.ptp(places, axis=0).max() / 2

    def terms(points):
        x, y = ((points - middle) / size).T
        return np.stack([np.ones_like(x), x, y, x * x, x * y, y * y], -1)

    known, kept = np.log(np.maximum(xyz, 1e-6)), np.ones(len(xyz), bool)
    for _ in range(2):
        factors = np.linalg.lstsq(terms(places[kept]), known[kept], rcond=None)[0]
        away = np.abs(known - terms(places) @ factors).max(axis=1)
        kept = away <= max(3 * np.median(away), 0.01)
    return lambda points: np.exp(terms(points) @ factors)


def _notes(paper: np.ndarray, paper_xyz: np.ndarray, picture: Picture):
    if (paper.max(axis=1) >= _BURNT).mean() > 0.1:
        yield (
            tr(
                "The paper is burnt out in the picture, so that highlights cannot be told from it: "
                "scan or photograph it darker, with all automatic corrections off."
            )
        )
    lightness = float(np.median(xyz_to_lab(paper_xyz)[:, 0]))
    if lightness < _DARK:
        yield tr(
            "The picture is dark (its paper has L* {lightness:.0f}); give it more light.",
            lightness=lightness,
        )
    if picture.profile_assumed:
        yield tr(
            "The picture's profile, {profile_name}, was assumed.", profile_name=picture.profile_name
        )

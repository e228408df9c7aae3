"""How much of what sharpening does to a part of the print is seen, from three distances."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from workbench.analysis.eye import eye_blur_mm
from workbench.analysis.seen import place_text, places, thresholds
from workbench.analysis.sheets import MM_PER_INCH
from workbench.analysis.spectrum import light_spectrum
from workbench.analysis.words import percent
from workbench.language import tr
from workbench.output.light import Light, light_of
from workbench.output.patch import Patch
from workbench.output.solved import Solved, solve
from workbench.planned import Planned
from workbench.results import Result


@dataclass(frozen=True)
class SharpeningSeen(Result):
    """What is seen of the sharpening from one place.

    Attributes
    ----------
    place, distance_mm : in words, and from the eye to the print.
    share_seen : of the contrast energy of the difference, what lies above the eye's
        threshold, 0..1.
    times_threshold : the strongest of the difference, as a multiple of that threshold; below 1
        nothing of it is seen.
    """

    place: str
    distance_mm: float
    share_seen: float
    times_threshold: float

    def sentence(self, unit: str = "cm") -> str:
        """Such as "26 % at arm's length (60 cm)"."""
        seen = tr("nothing") if self.times_threshold < 1 else percent(self.share_seen)
        return f"{seen} {place_text(self.place, self.distance_mm, unit)}"


def seen_words(found: tuple[SharpeningSeen, ...], unit: str = "cm") -> str:
    """A sentence on all places; empty where nothing is sharpened."""
    if not any(each.times_threshold for each in found):
        return ""
    return tr(
        "Of this difference the eye sees {listed}.",
        listed=", ".join(each.sentence(unit) for each in found),
    )


def sharpening_seen(plan: Planned | Solved, patch: Patch) -> tuple[SharpeningSeen, ...]:
    """How much of a patch's sharpening is seen in the hand, at arm's length, across the room.

    The difference between before and after is taken apart by fineness in tiles of 64 print
    pixels, and held against the eye's threshold (Barten 1999) for an even grey; in the midst
    of detail, which hides some of it, less is seen.

    Parameters
    ----------
    plan : that the patch is of, or what it was `solve`d to.
    patch : from `patch_of`.

    Returns
    -------
    One answer for each place.

    Raises
    ------
    OutputError, SizeError, UntaggedPictureError, WorkbenchError
        as `solve`.

    Examples
    --------
    >>> from workbench.output.patch import patch_of
    >>> from workbench.output.seen_patch import sharpening_seen
    >>> plan = wb.Plan(picture=picture, paper=papers[0], sharpening=1.0)
    >>> hand, arm, room = sharpening_seen(plan, patch_of(plan))
    >>> hand.times_threshold > room.times_threshold
    True
    """
    solved = solve(plan)
    light = _light(solved)
    before, after = (_luminance(pixels, light) for pixels in (patch.before, patch.after))
    # the difference about nothing, as contrast over the light that it is added to
    difference = light_spectrum(after - before, before)
    total = difference.power.sum()
    found = []
    for place, distance_mm in places(solved.viewing_distance_mm):
        times = thresholds(difference, solved.layout.ppi, distance_mm)
        share = difference.power[times >= 1].sum() / total if total else 0.0
        found.append(SharpeningSeen(place, distance_mm, float(share), float(times.max())))
    return tuple(found)


def as_seen(plan: Planned | Solved, pixels: np.ndarray, distance_mm: float) -> np.ndarray:
    """Print pixels as the eye has them from a distance: light spread as the eye spreads it.

    Parameters
    ----------
    plan : that they are of, or what it was `solve`d to.
    pixels : (rows, cols, channels) uint16 in the picture's own space, such as a patch's.
    distance_mm : from the eye to the print.

    Returns
    -------
    The same kind of array.

    Raises
    ------
    OutputError, SizeError, UntaggedPictureError, WorkbenchError
        as `solve`, and for a distance that is not above 0.
    """
    from scipy.ndimage import gaussian_filter

    solved = solve(plan)
    light = _light(solved)
    blur_px = eye_blur_mm(distance_mm) / MM_PER_INCH * solved.layout.ppi
    out = np.empty_like(pixels)
    for channel in range(pixels.shape[-1]):
        plane = gaussian_filter(light.decode(pixels[..., channel], channel), blur_px)
        out[..., channel] = np.rint(light.encode(plane, channel) * 65535)
    return out


def _light(solved: Solved) -> Light:
    picture = solved.job.picture
    return light_of(picture.require_profile(), picture.channels)


def _luminance(pixels: np.ndarray, light: Light) -> np.ndarray:
    """(rows, cols) light of print pixels, 0..1."""
    planes = (
        light.decode(pixels[..., channel], channel) * weight
        for channel, weight in enumerate(light.weights)
    )
    return np.sum(list(planes), axis=0)

"""How a proof is looked at: what the eye takes for white, and on which display.

The display is a standard space or the person's own monitor profile; what it cannot
show is measured as for a paper, by a trip to the display's values and back.
"""

from __future__ import annotations

import os
from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np

from workbench.analysis.adaptation import Eye, eye_beside
from workbench.colour.difference import delta_e_2000
from workbench.colour.engine import transform
from workbench.colour.profile import read_profile
from workbench.colour.spaces import RGB_SPACES, standard_profile
from workbench.colour.trip import noise_floor
from workbench.errors import ProfileError, WorkbenchError
from workbench.files import clean_text, path_of, shown
from workbench.language import tr
from workbench.rendering import DEFAULTS

_MATRIX_TAGS = ("rXYZ", "gXYZ", "bXYZ", "rTRC", "gTRC", "bTRC")
# between the lightest and the darkest a screen shows there is at least this much L*
_LEAST_RANGE = 20.0


@dataclass(frozen=True)
class Display:
    """A display by its profile.

    Attributes
    ----------
    name : of the standard space, or what the profile calls itself.
    profile : ICC bytes; embed them wherever pixels for this display go.
    kind : "matrix" (three primaries and curves) or "tables".
    black_lightness : L* of its black over its own white, as the profile has it.
    noise_floor : CIEDE2000, 95th percentile, that the profile moves colours it can show.
    """

    name: str
    profile: bytes = field(repr=False)
    kind: str
    black_lightness: float
    noise_floor: float


def find_display(display=DEFAULTS.display) -> Display:
    """The display that a name, a profile or a path stands for.

    Parameters
    ----------
    display : one of `workbench.colour.spaces.RGB_SPACES`, a display profile's bytes or
        path, or a `Display`.

    Returns
    -------
    A Display.

    Raises
    ------
    WorkbenchError
        for an unknown name.
    ProfileError
        if the profile is damaged, missing, or not that of an RGB display.

    Examples
    --------
    >>> wb.find_display("Display P3").name
    'Display P3'
    """
    if isinstance(display, Display):
        return display
    if isinstance(display, (bytes, bytearray, memoryview)):
        return _display(bytes(display), "")
    if isinstance(display, str) and display in RGB_SPACES:
        return _display(standard_profile(display), display)
    if isinstance(display, os.PathLike) or (isinstance(display, str) and _is_path(display)):
        path = path_of(display, ProfileError)
        return _display(read_profile(path).data, clean_text(path.stem))
    raise WorkbenchError(
        tr(
            "“{display}” is not a display the workbench knows; choose one of {names} or "
            "give the path or the bytes of your monitor's profile.",
            display=shown(display),
            names=", ".join(RGB_SPACES),
        )
    )


def _is_path(text: str) -> bool:
    return text.lower().endswith((".icc", ".icm")) or "/" in text or "\\" in text


@lru_cache(maxsize=64)
def _display(data: bytes, fallback: str) -> Display:
    profile = read_profile(data)
    name = profile.description or fallback or tr("Display without a name")
    if profile.space != "RGB":
        raise ProfileError(
            tr(
                "“{name}” is a profile in {space}, and a display profile must be RGB; choose "
                "your monitor's own.",
                name=name,
                space=profile.space,
            )
        )
    if profile.device_class not in ("display", "space"):
        raise ProfileError(
            tr(
                "“{name}” is an {device_class} profile, not a display's; choose your monitor's "
                "own, or sRGB.",
                name=name,
                device_class=profile.device_class,
            )
        )
    tables = "B2A0" in profile.tags or "B2A1" in profile.tags
    if not tables and any(tag not in profile.tags for tag in _MATRIX_TAGS):
        raise ProfileError(
            tr(
                "“{name}” does not say how colours get onto the display; have the monitor "
                "measured again, or choose another profile.",
                name=name,
            )
        )
    black, white = transform(np.array([[0.0] * 3, [1.0] * 3]), profile.data, "lab")[:, 0]
    shown = transform(np.array([[0.0, 0, 0], [100.0, 0, 0]]), "lab", profile.data).mean(axis=1)
    if white - black < _LEAST_RANGE or shown[1] <= shown[0]:
        raise ProfileError(
            tr(
                "“{name}” describes no display: its white is hardly lighter than its black; "
                "have the monitor measured again.",
                name=name,
            )
        )
    kind = "tables" if tables else "matrix"
    return Display(name, profile.data, kind, float(black), noise_floor(profile.data))


@dataclass(frozen=True)
class Viewing:
    """One pair of eyes before one display, whose own white stands for what they take for white."""

    eye: Eye
    display: Display

    def seen(self, printed, paper_xyz) -> np.ndarray:
        """Lab as seen of media-relative print colours (..., 3), see `Eye.seen`."""
        return self.eye.seen(printed, paper_xyz)

    def shown(self, seen) -> np.ndarray:
        """The display's values for Lab as seen: (..., 3) float32, 0..1, the nearest it has."""
        device = transform(np.asarray(seen, np.float32), "lab", self.display.profile)
        return np.clip(device, 0, 1)

    def beyond(self, seen) -> np.ndarray:
        """(...) CIEDE2000 from Lab as seen to the nearest that the display shows."""
        seen = np.asarray(seen, np.float32)
        return delta_e_2000(seen, transform(self.shown(seen), self.display.profile, "lab"))


def viewing(
    *,
    adaptation: float = DEFAULTS.adaptation,
    reference=DEFAULTS.reference,
    display=DEFAULTS.display,
) -> Viewing:
    """A `Viewing` from what a person chooses.

    Parameters
    ----------
    adaptation : 0..1.
    reference : one of `adaptation.REFERENCE_WHITES` or a paper; None for the print alone, to
        which the eye is fully adapted.
    display : as for `find_display`.

    Raises
    ------
    WorkbenchError, ProfileError
    """
    return Viewing(eye_beside(reference, adaptation), find_display(display))

"""What a print is seen beside, and what the eye takes for white there.

Every picture, plot and sentence about a print as it is seen asks here.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from workbench.colour.lab import lab_to_xyz, scale_light, triple
from workbench.errors import WorkbenchError
from workbench.language import tr
from workbench.rendering import DEFAULTS

PERFECT_DIFFUSER = "perfect diffuser"
UNTINTED_COTTON = "untinted cotton"
BRIGHTENED_CARD = "brightened card"

# absolute Lab of what a paper may lie beside: cotton without brightener or dye (common
# practice, no source), the white of brightened coated stock in the FOGRA51
# characterisation data (from memory), and the perfect diffuser
REFERENCE_WHITES = {
    UNTINTED_COTTON: (96.0, 0.0, 2.0),
    BRIGHTENED_CARD: (95.0, 1.5, -6.0),
    PERFECT_DIFFUSER: (100.0, 0.0, 0.0),
}

_WHITE = (100.0, 0.0, 0.0)
#: the same, as they are read
REFERENCE_WORDS = {
    UNTINTED_COTTON: tr("untinted cotton"),
    BRIGHTENED_CARD: tr("brightened card"),
    PERFECT_DIFFUSER: tr("perfect diffuser"),
}


@dataclass(frozen=True)
class Eye:
    """One pair of eyes, and what lies beside the print that it looks at.

    Attributes
    ----------
    adaptation : 0 keeps to the reference .. 1 fully adapted to the paper.
    reference : name of the white that lies beside the print.
    reference_lab : its absolute Lab.
    """

    adaptation: float
    reference: str
    reference_lab: tuple[float, float, float]

    def white(self, paper_xyz) -> np.ndarray:
        """(3,) XYZ that it takes for white before a paper of this white.

        The reference at 0, the paper at 1, in between a straight mixture of their light.
        Y is 1 for the perfect diffuser.
        """
        reference_xyz = lab_to_xyz(self.reference_lab)
        return (1 - self.adaptation) * reference_xyz + self.adaptation * np.asarray(paper_xyz)

    def seen(self, lab, paper_xyz) -> np.ndarray:
        """Lab as seen of media-relative print colours (..., 3) on a paper of this white.

        Fully adapted it is ``lab`` itself, to the last bit; not at all, and beside the perfect
        diffuser, ICC-absolute Lab (XYZ scaled by the white, ICC.1:2022 section 6.3.2).

        >>> eye_beside(PERFECT_DIFFUSER, 0).seen([100, 0, 0], lab_to_xyz([95, 1, -3])).round(6).tolist()
        [95.0, 1.0, -3.0]
        """
        return as_seen(lab, paper_xyz, self.white(paper_xyz))


def as_seen(lab, paper_xyz, eye_xyz) -> np.ndarray:
    """Lab as seen of media-relative print colours by an eye that takes ``eye_xyz`` for white.

    Parameters
    ----------
    lab : (..., 3); float32 stays float32.
    paper_xyz, eye_xyz : (3,) each, Y = 1 for the perfect diffuser.
    """
    gain = np.asarray(paper_xyz, float) / eye_xyz
    return np.asarray(lab) if np.all(gain == 1) else scale_light(lab, gain)


def white_seen(paper_xyz, eye_xyz) -> np.ndarray:
    """(3,) Lab as seen of a bare sheet by an eye that takes ``eye_xyz`` for white."""
    return as_seen(_WHITE, paper_xyz, eye_xyz)


def reference_white(reference) -> tuple[str, tuple[float, float, float]]:
    """Name and absolute Lab of a white to compare with: a name, a paper, or None.

    Without a reference, whites are told by untinted cotton.

    Raises
    ------
    WorkbenchError
        for anything else.
    """
    reference = UNTINTED_COTTON if reference is None else reference
    if hasattr(reference, "white_lab"):
        return reference.name, triple(reference.white_lab)
    if isinstance(reference, str) and reference in REFERENCE_WHITES:
        return reference, REFERENCE_WHITES[reference]
    raise WorkbenchError(
        tr(
            "“{reference}” is not a white to compare with; choose {listed} or give a paper.",
            reference=reference,
            listed=", ".join(REFERENCE_WHITES),
        )
    )


def eye_beside(reference=DEFAULTS.reference, adaptation: float = DEFAULTS.adaptation) -> Eye:
    """The eye that looks at a print, from what a person chooses.

    Parameters
    ----------
    reference : one of `REFERENCE_WHITES` or a paper; None for the print alone, to which the
        eye is fully adapted.
    adaptation : 0 = side by side with the reference, 1 = fully adapted to the paper.

    Raises
    ------
    WorkbenchError
        for an unknown reference or an adaptation outside 0..1.
    """
    if reference is None:
        adaptation = 1.0
    try:
        adaptation = float(adaptation)
    except (TypeError, ValueError):
        adaptation = -1.0
    if not 0 <= adaptation <= 1:
        raise WorkbenchError(
            tr("Adaptation must lie between 0 (side by side) and 1 (fully adapted to the paper).")
        )
    return Eye(adaptation, *reference_white(reference))

"""How a picture is rendered onto a paper and looked at: one value with the only defaults.

>>> DEFAULTS.intent, DEFAULTS.black_point_compensation, DEFAULTS.threshold
('relative', True, 2.0)
>>> replace(DEFAULTS, intent="perceptual").way
{'intent': 'perceptual', 'black_point_compensation': True}
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import Any

from workbench.decisions import DECISIONS, default_of
from workbench.planned import Planned


@dataclass(frozen=True)
class Rendering:
    """What answers about a picture on a paper depend on, apart from these two.

    Every field is declared in `workbench.decisions`: its limits, unit and default stand
    there, and nothing outside them can be held.

    Attributes
    ----------
    intent, black_point_compensation : the way from picture to paper.
    threshold : CIEDE2000 above which a colour counts as out of gamut.
    tolerance : CIEDE2000 below which two greys cannot be told apart.
    adaptation, reference : how far the eye takes the paper for white, and what lies
        beside it: a name, a Paper or None.
    highlight_lightness : relative L* above which a print takes the paper's tint.
    display : what shows the proof, as for `find_display`.
    illuminance_lux, light, glass, room_share, wall_reflectance : where the print is looked at.
    screen_luminance_cd_m2, screen_contrast_ratio : the screen beside it; 0 not known.

    Raises
    ------
    PlanError
        for a value that a decision cannot have.
    """

    intent: str = default_of("intent")
    black_point_compensation: bool = default_of("black_point_compensation")
    threshold: float = default_of("threshold")
    tolerance: float = default_of("tolerance")
    adaptation: float = default_of("adaptation")
    reference: Any = default_of("reference")
    highlight_lightness: float = default_of("highlight_lightness")
    display: Any = default_of("display")
    illuminance_lux: float = default_of("illuminance_lux")
    light: str = default_of("light")
    glass: str = default_of("glass")
    room_share: float | None = default_of("room_share")
    wall_reflectance: float = default_of("wall_reflectance")
    screen_luminance_cd_m2: float = default_of("screen_luminance_cd_m2")
    screen_contrast_ratio: float = default_of("screen_contrast_ratio")

    def __post_init__(self):
        for name in NAMES:
            object.__setattr__(self, name, DECISIONS[name].check(getattr(self, name)))

    @classmethod
    def of(cls, plan: Planned, *names: str) -> Rendering:
        """That of a plan; of these fields only, if some are named, with the others' defaults."""
        return cls(**{name: getattr(plan, name) for name in names or NAMES})

    @property
    def way(self) -> dict:
        """Intent and compensation, as functions take them."""
        return {
            "intent": self.intent,
            "black_point_compensation": self.black_point_compensation,
        }

    def keys(self) -> tuple[str, ...]:
        """Of `way`, so that ``**rendering`` hands functions the way to the paper."""
        return ("intent", "black_point_compensation")

    def __getitem__(self, name: str):
        return self.way[name]

    def only(self, *names: str) -> Rendering:
        """This in a few respects, the defaults in all others: for what depends on no more.

        >>> Rendering(threshold=5, intent="perceptual").only("threshold") == Rendering(threshold=5)
        True
        """
        return Rendering(**{name: getattr(self, name) for name in names})

    @property
    def eye(self) -> dict:
        """What lies beside the print and how used to it the eye is, as functions take them."""
        return {"reference": self.reference, "adaptation": self.adaptation}


NAMES = tuple(field.name for field in fields(Rendering))

#: What every function, panel and new plan begins with.
DEFAULTS = Rendering()

__all__ = ["DEFAULTS", "NAMES", "Rendering", "replace"]

"""What a form asks to be measured: photographs, marks and the lamp's places, as they were typed."""

from __future__ import annotations

from dataclasses import dataclass

from workbench.errors import WorkbenchError
from workbench.language import tr
from workbench.surface.marks import (
    ball_between,
    evenly_round,
    pairs_of,
    part_between,
    pin_with,
    point_of,
)
from workbench.surface.photographs import FEWEST
from workbench.surface.stereo import Measured, measure_surface

#: how the lamp's places are known
EVEN, TYPED, BALL, PIN = "even", "typed", "ball", "pin"
#: what is marked in photographs, besides the ball
RULER, CORNERS, FOOT, TIPS = "ruler", "corners", "foot", "tips"


@dataclass(frozen=True)
class Asked:
    """A form's fields.

    Attributes
    ----------
    paths : of the photographs.
    way : `EVEN`, `TYPED`, `BALL` or `PIN`.
    marks : (name, text) of `RULER`, `CORNERS`, `BALL`, `FOOT` and `TIPS`, in pixels, see
        `pairs_of`.  Without corners the whole photographs are measured.
    ruler_mm : between the ruler's points.
    scale : mm of a pixel as typed; empty for what the ruler tells.
    first_deg, elevation_deg, clockwise : of the lamp in even steps.
    places : azimuth and elevation of each, as typed.
    shiny : of the ball.
    pin_mm : height of the pin.
    alpha, kind : of the paper's gloss, which photographs do not tell.
    """

    paths: tuple[str, ...]
    way: str = EVEN
    marks: tuple[tuple[str, str], ...] = ()
    ruler_mm: float = 100.0
    scale: str = ""
    first_deg: float = 90.0
    elevation_deg: float = 35.0
    clockwise: bool = False
    places: str = ""
    shiny: bool = True
    pin_mm: float = 10.0
    alpha: float = 0.55
    kind: str = ""

    def check(self) -> dict:
        """What `measure_surface` takes besides the photographs.

        Raises
        ------
        WorkbenchError
            for what is missing or cannot be read, in a sentence.
        """
        if len(self.paths) < FEWEST:
            raise WorkbenchError(
                tr(
                    "A sheet is measured from at least {fewest} photographs, six to eight are "
                    "good; there are {count}.",
                    fewest=FEWEST,
                    count=len(self.paths),
                )
            )
        text = dict(self.marks)
        how: dict = {"alpha": self.alpha, "kind": self.kind}
        how |= self._scale(text.get(RULER, ""))
        if text.get(CORNERS, "").strip():
            corners = pairs_of(text[CORNERS], tr("corners of bare sheet"))
            if len(corners) != 2:
                raise WorkbenchError(tr("Bare sheet is marked by two opposite corners."))
            how["part"] = part_between(*corners)
        return how | self._lamps(text)

    def _scale(self, ruler: str) -> dict:
        if self.scale.strip():
            try:
                return {"mm_per_px": float(self.scale.replace(",", "."))}
            except ValueError:
                raise WorkbenchError(
                    tr(
                        "The scale is a number of mm per pixel such as 0.025, not “{scale}”.",
                        scale=self.scale[:40],
                    )
                ) from None
        points = pairs_of(ruler, tr("ruler's points"))
        if len(points) != 2:
            raise WorkbenchError(
                tr(
                    "Mark two points of the ruler and say how far they lie apart, or type the scale."
                )
            )
        return {"ruler": (*points, self.ruler_mm)}

    def _lamps(self, text: dict[str, str]) -> dict:
        count = len(self.paths)
        if self.way == BALL:
            points = pairs_of(text.get(BALL, ""), tr("points of the ball"))
            if len(points) != 2:
                raise WorkbenchError(tr("Mark the ball's middle and a point on its edge."))
            return {"ball": ball_between(*points, self.shiny)}
        if self.way == PIN:
            foot = point_of(text.get(FOOT, ""), tr("pin's foot"))
            tips = pairs_of(text.get(TIPS, ""), tr("tips of the shadow"))
            if len(tips) != count:
                raise WorkbenchError(
                    tr(
                        "Mark the tip of the pin's shadow in each photograph: there are {count} "
                        "photographs and {tips} tips.",
                        count=count,
                        tips=len(tips),
                    )
                )
            return {"pin": pin_with(foot, self.pin_mm, tips)}
        if self.way == TYPED:
            return {"directions": pairs_of(self.places, tr("lamp's places"))}
        even = evenly_round(count, self.first_deg, self.elevation_deg, self.clockwise)
        return {"directions": even}

    def measured(self, cancelled, progress) -> Measured:
        """Measure it.

        Parameters
        ----------
        cancelled : () -> whether to give up.
        progress : (share, text), told how far it is.

        Raises
        ------
        WorkbenchError, PictureError, Cancelled
        """
        how = self.check()
        return measure_surface(
            self.paths, cancelled=cancelled,
            progress=lambda share: progress(share, tr("Measuring")), **how,
        )  # fmt: skip

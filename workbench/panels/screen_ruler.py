"""The screen's resolution, with a bar to hold a ruler against: for panels that show true size."""

from __future__ import annotations

from workbench.analysis.sheets import MM_PER_INCH
from workbench.decisions import DECISIONS
from workbench.language import tr
from workbench.panels import parts
from workbench.panels.knobs import told

USUAL_PPI = 96.0  # of a CSS pixel, by definition; real screens differ


class ScreenRuler:
    """A slider for the screen's resolution over a bar that is 10 cm long where it is right.

    Parameters
    ----------
    owner : a panel, with ``plan``, ``front`` and ``safely``.
    """

    def __init__(self, owner):
        self._plan, self._front = owner.plan, owner.front
        label, help = told("screen_ppi")
        self.slider = parts.slider(
            owner.front, label, value=USUAL_PPI, min=60, max=300, step=0.5, unit="ppi",
            typed=(DECISIONS["screen_ppi"].low, DECISIONS["screen_ppi"].high),
            help=tr("{help}, or move it until the bar below is 10 cm long", help=help),
        )  # fmt: skip
        self._bar = parts.html("")
        note = tr(
            "Hold a ruler against the screen: this bar is 10 cm long if the resolution is right."
        )
        self.widget = parts.column(self.slider, parts.html(note, "wb-muted"), self._bar)
        self.show(False)
        self.slider.on_change(owner.safely(self._given))
        follow = owner.safely(self._follow)
        self._plan.observe(follow, names=["screen_ppi"])
        self._front.observe(follow, "pixel_ratio")
        self._follow()

    @property
    def ppi(self) -> float:
        """Pixels of the screen to an inch; the usual where nobody has said."""
        return self.slider.value

    @property
    def checked(self) -> bool:
        """Whether the person has ever given it."""
        return self._plan.screen_ppi is not None

    def show(self, shown: bool) -> None:
        """Show it or not."""
        self.widget.layout.display = "" if shown else "none"

    def _given(self, value) -> None:
        self._plan.screen_ppi = value

    def _follow(self, change=None) -> None:
        self.slider.value = self._plan.screen_ppi or USUAL_PPI * self._front.pixel_ratio
        self._bar.value = ruler_html(self.slider.value, self._front.pixel_ratio)


def ruler_html(screen_ppi: float, pixel_ratio: float) -> str:
    """A bar that is 10 cm long on a screen of this resolution, with a line at each centimetre."""
    width = 100 / MM_PER_INCH * screen_ppi / max(pixel_ratio, 0.25)
    lines = "repeating-linear-gradient(90deg,#1f1f1f 0 1px,transparent 1px 10%)"
    label = tr("A bar of 10 centimetres")
    return (
        f'<div role="img" aria-label="{label}" class="wb-ruler" style="width:'
        f'{width:.1f}px;height:22px;border:1px solid #1f1f1f;background:{lines},#f4f4f4"></div>'
    )

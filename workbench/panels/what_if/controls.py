"""The knobs of the what-if paper, labelled and explained."""

from __future__ import annotations

from workbench.analysis.what_if import (
    DARKEST_WHITE,
    LEAST_DENSITY,
    LIGHTEST,
    MOST_DENSITY,
    MOST_TINT,
    Settings,
    with_lightness,
)
from workbench.characteristics import word_of
from workbench.colour.inkmodel import FINISHES
from workbench.colour.lab import lightness_of_density
from workbench.language import tr
from workbench.panels import parts

_TINT = {"step": 0.1, "typed": (-MOST_TINT, MOST_TINT)}


class Knobs:
    """A control for each of a what-if paper's `Settings`.

    ``settings`` reads and sets all of them; ``on_change`` is as for one control.
    """

    def __init__(self, front):
        start = Settings()
        self.lightness = parts.slider(
            front, tr("White: lightness"), unit=tr("L*, absolute"), value=start.white_lightness,
            min=85, max=100, step=0.1, typed=(DARKEST_WHITE, LIGHTEST),
            help=tr("How light the bare paper is; most photo papers lie between 93 and 98"),
        )  # fmt: skip
        self.white_a = parts.slider(
            front, tr("White: green to pink"), unit=tr("a*, absolute"), value=0, min=-6, max=6, **_TINT,
            help=tr("Below 0 the bare paper is greenish, above 0 pinkish"),
        )  # fmt: skip
        self.white_b = parts.slider(
            front, tr("White: blue to yellow"), unit=tr("b*, absolute"), value=0, min=-12, max=12, **_TINT,
            help=tr("Below 0 the bare paper is bluish, as brighteners make it; above 0 it is warm"),
        )  # fmt: skip
        self.black_density = parts.slider(
            front, tr("Darkest printable colour: density"), unit=tr("D, absolute"), value=start.black_density,
            min=1.0, max=2.8, step=0.01, typed=(LEAST_DENSITY, MOST_DENSITY),
            help=tr("Of the darkest printable colour: about 1.6 on matte papers, 2.2 and more on glossy ones"),
        )  # fmt: skip
        self.black_lightness = parts.slider(
            front, tr("Darkest printable colour: lightness"), unit=tr("L*, absolute"),
            value=float(lightness_of_density(start.black_density)),
            min=2, max=40, step=0.1,
            typed=tuple(round(float(lightness_of_density(d)), 1) for d in (MOST_DENSITY, LEAST_DENSITY)),
            help=tr("Of the darkest printable colour; the same as its density, on another scale"),
        )  # fmt: skip
        self.saturation = parts.slider(
            front, tr("Saturation of the inks"), unit="%", value=100, min=50, max=150, typed=(20, 150),
            help=tr("100 % is what the model expects on this finish"),
        )  # fmt: skip
        self.finish = parts.choice(
            front, tr("Finish of the what-if paper"), options=[(word_of(each), each) for each in FINISHES], value=start.finish,
            help=tr("Decides how far dots spread and how strong the inks are"),
        )  # fmt: skip
        self.black_a = parts.slider(
            front, tr("Darkest printable colour: green to pink"), unit=tr("a*, absolute"), value=0, min=-6, max=6, **_TINT,
            help=tr("Tint of the darkest printable colour"),
        )  # fmt: skip
        self.black_b = parts.slider(
            front, tr("Darkest printable colour: blue to yellow"), unit=tr("b*, absolute"), value=0, min=-6, max=6, **_TINT,
            help=tr("Tint of the darkest printable colour"),
        )  # fmt: skip
        # two scales of one thing
        self.black_density.on_change(self._follow_density)
        self.black_lightness.on_change(self._follow_lightness)
        white = parts.row(self.lightness, self.white_a, self.white_b)
        black = parts.row(self.black_density, self.black_lightness)
        inks = parts.row(self.saturation, self.finish)
        tint = parts.row(self.black_a, self.black_b)
        for each in (white, black, inks, tint):
            each.add_class("wb-knobs")
        self.tint = parts.fold(tr("A black that is not neutral"), tint, front=front)
        self.widget = parts.column(white, black, inks, self.tint)

    @property
    def settings(self) -> Settings:
        """What all knobs say together."""
        return Settings(
            white_lightness=self.lightness.value,
            white_a=self.white_a.value,
            white_b=self.white_b.value,
            black_density=self.black_density.value,
            black_a=self.black_a.value,
            black_b=self.black_b.value,
            saturation=self.saturation.value / 100,
            finish=self.finish.value,
        )

    @settings.setter
    def settings(self, settings: Settings) -> None:
        self.lightness.value = settings.white_lightness
        self.white_a.value, self.white_b.value = settings.white_a, settings.white_b
        self.black_density.value = settings.black_density
        self.black_lightness.value = settings.black_lab[0]
        self.black_a.value, self.black_b.value = settings.black_a, settings.black_b
        self.saturation.value = round(100 * settings.saturation)
        self.finish.value = settings.finish

    def on_change(self, callback) -> None:
        """Call callback(settings) whenever the person moves one."""
        for knob in (
            self.lightness, self.white_a, self.white_b, self.black_density, self.black_lightness,
            self.saturation, self.finish, self.black_a, self.black_b,
        ):  # fmt: skip
            knob.on_change(lambda value: callback(self.settings))

    def _follow_density(self, density: float) -> None:
        self.black_lightness.value = float(lightness_of_density(density))

    def _follow_lightness(self, lightness: float) -> None:
        self.black_density.value = with_lightness(self.settings, lightness).black_density

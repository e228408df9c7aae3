"""The target's figures: what is drawn is what was found, and words have room at every width."""

import numpy as np
import pytest
from figure_helpers import assert_words_have_room
from matplotlib.colors import to_rgb
from target.makers import matte_target, measured_as

from workbench.figures.on_screen import screen_rgb
from workbench.figures.style import colour
from workbench.figures.target import PatchesFigure, held_drift, held_verdict
from workbench.figures.target_limits import LimitsFigure
from workbench.figures.target_shift import ShiftFigure, exaggeration
from workbench.target.drift import drift
from workbench.target.patches import WHITE
from workbench.target.tolerances import TOLERANCES
from workbench.target.verdict import verdict

FIGURES = (PatchesFigure, LimitsFigure, ShiftFigure)
WIDTHS = (1040, 700, 520, 380)


@pytest.fixture(scope="module")
def target():
    return matte_target()


def held(target, scatter=1.0, shift=(0, 0, 0), tolerances=TOLERANCES[0]):
    rng = np.random.default_rng(8)
    lab = target.reference_lab + rng.normal(0, scatter, (72, 3)) + shift
    measured = measured_as(target, lab)
    return held_verdict(measured, verdict(measured, target, tolerances))


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("kind", FIGURES)
@pytest.mark.parametrize("scatter", [0.0, 1.0, 9.0])
def test_words_have_room(target, kind, width, scatter):
    figure = kind()
    figure.set_size(width)
    figure.update(held(target, scatter))
    assert_words_have_room(figure)


def test_patches_are_split_into_expected_and_found(target):
    figure, shown = PatchesFigure(), held(target, shift=(0, 6, 0))
    figure.update(shown)
    tints = figure._cells.get_facecolor()[:, :3]
    assert np.allclose(tints[0::2], screen_rgb(target.reference_lab), atol=1e-6)
    assert np.allclose(tints[1::2], screen_rgb(shown.found), atol=1e-6)
    numbers = [text.get_text() for text in figure._numbers]
    assert numbers == [f"{v:.1f}" for v in shown.difference]


def test_a_patch_has_the_two_colours_in_its_two_corners(target):
    figure = PatchesFigure()
    shown = held(target, scatter=0, shift=(-25, 0, 0))
    figure.update(shown)
    pixels = figure.pixels() / 255
    index = target.index(WHITE)
    # from data to pixels, upper left and lower right of the cell, inside of its frame
    for (x, y), lab in (((0.18, 0.2), shown.expected), ((0.82, 0.8), shown.found)):
        at = figure.axes.transData.transform((index % 12 + x, index // 12 + y))
        seen = pixels[figure.size_px[1] - int(at[1]), int(at[0])]
        assert seen == pytest.approx(screen_rgb(lab[index]), abs=0.01)


def test_patches_beyond_the_limit_are_framed_and_bold(target):
    figure, shown = PatchesFigure(), held(target, scatter=3.0)
    figure.update(shown)
    beyond = shown.difference > 6  # the limit of a careful home print for its worst patch
    assert 0 < beyond.sum() < 72
    assert np.array_equal(np.array(figure._frames.get_linewidths()) > 0, beyond)
    assert [t.get_fontweight() == "bold" for t in figure._numbers] == beyond.tolist()
    assert f"{beyond.sum()} are over 6" in figure.alt_text(shown)


def test_narrow_patches_have_no_numbers(target):
    figure = PatchesFigure()
    figure.update(held(target))
    figure.set_size(380)
    assert not any(text.get_visible() for text in figure._numbers)
    figure.set_size(1040)
    assert all(text.get_visible() for text in figure._numbers)


@pytest.mark.parametrize("tolerances", TOLERANCES)
def test_every_limit_has_its_bar(target, tolerances):
    figure, shown = LimitsFigure(), held(target, scatter=2.0, tolerances=tolerances)
    figure.update(shown)
    bars = figure.limits.patches[0::2]
    outcomes = shown.judged.outcomes
    assert len(bars) == len(outcomes)
    for bar, outcome in zip(bars, outcomes, strict=True):
        assert bar.get_width() == pytest.approx(min(outcome.value / outcome.at_most, 2))
        role = "good" if outcome.passed else "problem"
        assert bar.get_facecolor()[:3] == pytest.approx(to_rgb(colour(role)))
        # not by colour alone
        assert bool(bar.get_hatch()) != outcome.passed
    said = [text.get_text() for text in figure.limits.texts]
    assert any(f"of {outcomes[0].at_most:g}" in words for words in said)


def test_columns_count_all_patches(target):
    figure, shown = LimitsFigure(), held(target, scatter=9.0)
    figure.update(shown)
    assert sum(bar.get_height() for bar in figure.counts.patches) == 72
    assert shown.difference.max() > 12  # farther off than the axis goes
    assert figure.counts.get_xticklabels()[-1].get_text() == "12+"


def test_arrows_are_exaggerated_as_said(target):
    figure, shown = ShiftFigure(), held(target, scatter=0.3, shift=(0, 1, 2))
    figure.update(shown)
    times = exaggeration((shown.found - shown.expected)[:, 1:])
    assert times == 5 and "drawn 5 times as long" in figure.note.get_text()
    arrows = next(c for c in figure.plane.collections if hasattr(c, "U"))
    assert arrows.U == pytest.approx(times * (shown.found - shown.expected)[:, 1])
    assert arrows.V == pytest.approx(times * (shown.found - shown.expected)[:, 2])


@pytest.mark.parametrize(("long", "times"), [(0.0, 20), (1.0, 10), (3.0, 3), (50.0, 1)])
def test_exaggeration_keeps_arrows_on_the_page(long, times):
    assert exaggeration(np.full((10, 2), (long, 0))) == times


@pytest.mark.parametrize("width", WIDTHS)
def test_both_axes_of_the_plane_have_one_scale(target, width):
    figure = ShiftFigure()
    figure.set_size(width)
    figure.update(held(target))
    a, b = (figure.plane.transData.transform(p) for p in ((0, 0), (10, 10)))
    assert b[0] - a[0] == pytest.approx(b[1] - a[1], rel=1e-6)


def test_greys_are_drawn_over_their_lightness(target):
    figure, shown = ShiftFigure(), held(target, scatter=0, shift=(1, -2, 3))
    figure.update(shown)
    curves = {line.get_label()[:3]: line for line in figure.greys.lines}
    for name, value in (("ΔL*", 1), ("Δa*", -2), ("Δb*", 3)):
        assert curves[name].get_ydata() == pytest.approx(np.full(34, value))
        assert np.all(np.diff(curves[name].get_xdata()) >= 0)
    assert "L* +1.0, a* −2.0, b* +3.0" in figure.alt_text(shown)


def test_drift_uses_the_same_figures(target):
    before = measured_as(target, target.reference_lab)
    now = measured_as(target, target.reference_lab + (0, 0, 2))
    shown = held_drift(now, before, drift(now, before))
    figure = ShiftFigure()
    figure.update(shown)
    assert "before → now" in figure.note.get_text()
    patches = PatchesFigure()
    patches.update(shown)
    assert not np.any(patches._frames.get_linewidths())

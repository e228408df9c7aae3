"""How prints came out over time, drawn from one to a hundred of them."""

from datetime import UTC, datetime, timedelta
from types import SimpleNamespace

import numpy as np
import pytest
from figure_helpers import assert_words_inside

from workbench.figures.record import NAMED, RecordFigure, alt_text, series_of
from workbench.figures.style import BLUE, CARD, VERMILION

START = datetime(2026, 3, 1, 12, tzinfo=UTC)


def made(days, mean=1.0, paper="Fen", passed=True):
    return SimpleNamespace(
        when=START + timedelta(days=days), mean_de00=mean, paper_name=paper, passed=passed
    )


def points(figure):
    """(x, y, marker, face, edge) of every point drawn in the axes, lines left out."""
    from matplotlib.colors import to_hex
    from matplotlib.dates import num2date

    return [
        (num2date(x), y, line.get_marker(), to_hex(line.get_markerfacecolor()),
         to_hex(line.get_markeredgecolor()))
        for line in figure._axes.lines
        if line in figure._artists and line.get_linestyle() == "None"
        for x, y in zip(line.get_xdata(orig=False), line.get_ydata(), strict=True)
    ]  # fmt: skip


def names(figure):
    return [text.get_text() for text in figure._page.texts]


def test_each_print_stands_at_its_day_and_difference():
    notes = [made(0, 1.2), made(30, 2.8, passed=False), made(10, 0.9, "Moor", None)]
    figure = RecordFigure()
    figure.update(notes)
    drawn = {(x, y): (marker, face, edge) for x, y, marker, face, edge in points(figure)}
    assert {(x.isoformat(), y) for x, y in drawn} == {
        (note.when.isoformat(), note.mean_de00) for note in notes
    }
    fen, moor = BLUE.lower(), VERMILION.lower()
    assert drawn[(START, 1.2)][1:] == (fen, fen)
    # what did not pass is hollow
    assert drawn[(START + timedelta(days=30), 2.8)][1:] == (CARD, fen)
    marker, face, _ = drawn[(START + timedelta(days=10), 0.9)]
    assert face == moor and marker != drawn[(START, 1.2)][0]
    low, high = figure._axes.get_ylim()
    assert low < 0 and high >= 2.8
    assert names(figure) == ["Fen", "Moor", "hollow or ×: not as planned"]


def test_prints_judged_by_eye_stand_below_zero():
    figure = RecordFigure()
    figure.update([made(0), made(1, None, passed=False), made(2, None, passed=True)])
    below = [(marker, y) for _, y, marker, *_ in points(figure) if y < 0]
    assert {marker for marker, _ in below} == {"x", "|"}
    assert figure._axes.get_ylim()[0] < min(y for _, y in below)
    assert "at the foot: judged by eye only" in names(figure)


def test_the_papers_with_most_prints_have_a_colour_of_their_own():
    many = [made(n, paper=f"Paper {n % 9}") for n in range(60)] + [made(99, paper="Paper 8")] * 5
    series = series_of(many)
    assert len(series) == NAMED + 1 and series[0][0] == "Paper 8"
    assert series[-1][0] == "other papers"
    assert sum(len(theirs) for _, theirs in series) == len(many)
    assert all(
        [note.when for note in theirs] == sorted(note.when for note in theirs)
        for _, theirs in series
    )
    # one more than have colours needs no "others"
    assert len(series_of([made(n, paper=f"Paper {n}") for n in range(NAMED + 1)])) == NAMED + 1


@pytest.mark.parametrize("count", [0, 1, 2, 100])
@pytest.mark.parametrize("span_days", [0, 0.001, 3, 900, 12_000])
def test_any_number_of_prints_over_any_time_is_drawn(count, span_days):
    rng = np.random.default_rng(count)
    figure = RecordFigure(500 if count == 2 else 720)
    notes = [
        made(span_days * n / max(count - 1, 1), abs(rng.normal(1.5, 1)), f"Paper {n % 4}")
        for n in range(count)
    ]
    figure.update(notes)
    pixels = figure.pixels()
    assert pixels.shape[1::-1] == figure.size_px
    assert len(points(figure)) == count
    labels = [tick.get_text() for tick in figure._axes.get_xticklabels()]
    assert (count == 0) == (not any(labels))
    # shown again with fewer, nothing of the former is left
    figure.update(notes[:1])
    figure.pixels()
    assert len(points(figure)) == min(count, 1)


def test_names_stand_under_the_plot_where_it_is_narrow():
    figure = RecordFigure()
    figure.update([made(0), made(1, paper="Moor"), made(2, paper="A paper of a very long name")])
    high = figure.size_px[1]
    figure.set_size(360)
    assert figure.size_px[0] == 360 and figure.size_px[1] > high
    assert_words_inside(figure)
    figure.set_size(720)
    assert figure.size_px == (720, high)
    assert_words_inside(figure)


def test_the_words_say_the_main_figures():
    assert alt_text([made(0, None)]) == "No print of these was measured."
    said = alt_text([made(0, 1.26), made(5, 0.8), made(9, 2.0), made(3, 1.0, "Moor")])
    assert said == (
        "Mean CIEDE2000 of 4 measured prints over time. Fen: 2.0 at last, 0.8 to 2.0 in 3 prints; "
        "Moor: 1.0."
    )

"""Papers in order for one picture, each figure from its own function."""

import pytest
from pictures import colourful

import workbench as wb
from workbench.errors import WorkbenchError


@pytest.fixture(scope="module")
def comparison():
    return wb.compare(colourful(), wb.demo_papers())


def test_each_figure_is_that_of_its_function(comparison):
    picture = colourful()
    row = comparison.rows[0]
    report = wb.gamut_report(
        picture, row.paper, exact=False, black_point_compensation=True
    )
    assert row.gamut.share_outside == pytest.approx(report.share_outside, abs=0.01)
    assert row.black.black_density == wb.black_point(
        row.paper, picture, black_point_compensation=True
    ).black_density


def test_order_is_the_mean_shift(comparison):
    shifts = [row["mean_shift"] for row in comparison.table()]
    assert shifts == sorted(shifts)


def test_a_colourful_picture_suits_glossy_papers_better(comparison):
    # common practice, no source: glossy papers hold more colour than matte ones
    finishes = [row.paper.finish for row in comparison.rows]
    assert set(finishes[:2]) == {"gloss", "satin"}


def test_reasons_are_sentences(comparison):
    for row in comparison.table():
        assert row["reason"].startswith("Holds ") and row["reason"].endswith(".")


def test_no_papers():
    with pytest.raises(WorkbenchError, match="no paper"):
        wb.compare(colourful(), [])

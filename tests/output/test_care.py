"""Paper handling and words of caution on the job sheet: each where it belongs, nowhere else."""

from __future__ import annotations

import pytest
from output.makers import as_picture, matte_paper, scene

from workbench.figures.job_sheet import job_sheet_figure
from workbench.output.care import care_rows
from workbench.output.job_sheet import job_sheet
from workbench.plan import Plan


def plan_of(paper: dict | None = None, **more) -> Plan:
    return Plan(picture=as_picture(scene()), paper=matte_paper().with_details(**(paper or {})),
                size_from="size", long_side_mm=150, **more)  # fmt: skip


def test_a_paper_thicker_than_the_printer_takes_is_not_fed():
    sheet = job_sheet(plan_of({"thickness_mm": 0.6}, thickest_mm=0.5))
    assert any("0.6 mm thick" in each and "0.5 mm" in each for each in sheet.cautions)
    assert sheet.value("Feed") == "rear or front, for 0.6 mm; takes up to 0.5 mm"
    thin = job_sheet(plan_of({"thickness_mm": 0.2}, thickest_mm=0.5))
    assert not any("thick" in each for each in thin.cautions)
    assert thin.value("Feed") == "usual, for 0.2 mm; takes up to 0.5 mm"
    # nothing is said of what is not known
    assert job_sheet(plan_of()).value("Feed") == "usual"


@pytest.mark.parametrize(
    ("paper", "said"),
    [
        ({"coated_side": "one side"}, "moist fingertip"),
        ({"coated_side": "both sides"}, "both take the ink"),
        ({"curl": "curls strongly"}, "strikes the print head"),
        ({"drying_hours": 36.0}, "for 36 hours"),
    ],
)
def test_what_is_known_of_the_paper_is_in_the_steps(paper, said):
    assert any(said in step for step in job_sheet(plan_of(paper)).checklist)
    assert not any(said in step for step in job_sheet(plan_of()).checklist)


@pytest.mark.parametrize(
    ("plan", "rows"),
    [
        ({"on_sheet": True, "glass": "plain glass"}, {"Glass"}),
        ({"on_sheet": True}, {"Varnish, sprays"}),
        ({"glass": "plain glass", "mount_overlap_mm": 3.0}, {"Glass", "Cutting"}),
        ({"bar_depth_mm": 20.0}, {"Cutting", "Varnish, sprays"}),
    ],
)
def test_caution_where_work_can_hurt(plan, rows):
    sheet = job_sheet(plan_of(**plan))
    care = next(dict(group.rows) for group in sheet.groups if group.title == "With care")
    assert set(care) == rows
    # whole on the page: longer words would be cut
    assert all(len(words) <= 110 for words in care.values())
    html = sheet.html()
    assert all(words in html for words in care.values())


@pytest.mark.parametrize(
    ("plan", "cut"),
    [
        ({"sheet": "A4"}, True),  # the paper around it
        ({"sheet": "A4", "on_sheet": True}, False),
        ({"sheet": "A4", "on_sheet": True, "bleed_mm": 4.0}, True),  # the bleed
        ({"sheet": "24 in roll"}, True),
        (
            {
                "sheet": "A4",
                "size_from": "sheet",
                "crop_ratio": "297:210",
                "feed_path": "borderless",
            },
            False,  # it is full
        ),
        ({"sheet": "A4", "size_from": "sheet", "crop_ratio": "1:1"}, True),
    ],
)
def test_cutting_is_spoken_of_where_something_is_cut(plan, cut):
    rows = dict(care_rows(plan_of().copy(**plan).solved()))
    assert ("Cutting" in rows) == cut


def test_a_full_sheet_stays_on_its_page():
    plan = plan_of(
        {"thickness_mm": 0.6, "coated_side": "one side", "curl": "curls strongly"},
        thickest_mm=0.5, bar_depth_mm=20.0, bleed_mm=25.0, mount_overlap_mm=3.0, copies=10,
        ink_ml_per_m2=12.0, ink_price_per_ml=0.5, test_strips=2, reject_share=0.1,
        glass="plain glass", notes="north wall\nsecond row",
    )  # fmt: skip
    figure = job_sheet_figure(job_sheet(plan))
    lowest = min(text.get_position()[1] for text in figure.axes[0].texts)
    highest = max(text.get_position()[1] for text in figure.axes[0].texts)
    assert 0 < lowest and highest < 297

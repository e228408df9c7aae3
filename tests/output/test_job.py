"""What is not a print job is told in a sentence, before any work is done."""

from __future__ import annotations

from pathlib import Path

import pytest
from output.makers import as_picture, job, matte_paper, scene

from workbench.errors import OutputError
from workbench.output.adjust import Adjustments
from workbench.output.job import PrintJob
from workbench.output.job_sheet import job_sheet


@pytest.mark.parametrize("paper", ["matte.icc", Path("matte.icc"), matte_paper().profile, 3])
def test_a_path_or_a_number_is_no_paper(paper):
    with pytest.raises(OutputError, match="is not a paper; open it"):
        job(paper=paper).checked()


@pytest.mark.parametrize("picture", ["harbour.tif", Path("harbour.tif"), scene(4, 3), 3])
def test_a_path_or_an_array_is_no_picture(picture):
    with pytest.raises(OutputError, match="is not a picture; open it"):
        PrintJob(picture, paper=matte_paper()).checked()


def test_a_description_is_text():
    with pytest.raises(OutputError, match="description is text"):
        job(description=5).checked()
    picture = as_picture(scene(4, 3))
    assert PrintJob(picture, converts="driver", description="x").checked().description == "x"


def test_of_colours_nothing_is_adjusted_or_said_in_a_grey_picture():
    asked = Adjustments(mid_tones=2, warmth=3, chroma_gain=1.3)
    grey = job(scene()[..., 0], adjustments=asked).checked()
    assert grey.adjustments == Adjustments(mid_tones=2)
    assert job_sheet(grey).value("Adjustments") == "middle tones +2.0 L*"
    assert job(adjustments=asked).checked().adjustments == asked

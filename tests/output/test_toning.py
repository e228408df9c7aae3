"""How neutral greys print, and that toning stays inside the paper's gamut."""

from __future__ import annotations

import imagecodecs
import numpy as np
import pytest
import tifffile
from figure_helpers import assert_words_have_room
from output.makers import job, matte_paper

import workbench as wb
from workbench.colour.difference import delta_e_2000
from workbench.figures.neutrality import NeutralityFigure
from workbench.output.adjust import Adjustments
from workbench.output.job import PrintJob
from workbench.output.print_file import write_print_file
from workbench.output.toning import inside_gamut, neutrality

BPC = int(imagecodecs.CMS.FLAGS.BLACKPOINTCOMPENSATION)
LAB = imagecodecs.cms_profile("lab4")


def through(paper, lab, *, flags=0):
    """Lab to the paper's ink and back, by Little CMS and nothing else."""
    lab = np.atleast_2d(lab)[None].astype(float)
    ink = imagecodecs.cms_transform(
        lab, LAB, paper.profile, colorspace="lab", outcolorspace="rgb", intent=1, flags=flags
    )
    return imagecodecs.cms_transform(
        ink, paper.profile, LAB, colorspace="rgb", outcolorspace="lab", intent=1
    )[0]


@pytest.mark.parametrize("number", [0, 3, 5])
def test_the_ramp_is_that_of_the_paper_s_own_tables(number):
    paper = wb.demo_papers()[number]
    found = neutrality(paper)
    ramp = np.stack([np.linspace(0, 100, 101), np.zeros(101), np.zeros(101)], -1)
    theirs = through(paper, ramp, flags=BPC)
    assert found.lab == pytest.approx(theirs, abs=0.1)
    off = np.hypot(theirs[:, 1], theirs[:, 2])
    assert found.off[found.worst] == pytest.approx(off.max(), abs=0.1)
    assert ("tinted" in found.sentence) == (off.max() >= 1)


@pytest.mark.parametrize("hues", [(100, 70), (260, 40), (0, 200)])
def test_toning_is_lowered_to_what_the_paper_holds_and_no_further(hues):
    paper = matte_paper()
    asked = Adjustments(
        black_and_white="lightness", shadow_hue=hues[0], shadow_chroma=40, highlight_hue=hues[1],
        highlight_chroma=40,
    )  # fmt: skip
    held = inside_gamut(asked, paper, "relative", True)
    assert (held.shadow_hue, held.highlight_hue) == hues
    assert 0 < held.shadow_chroma < 40 and 0 < held.highlight_chroma <= 40
    lightness = np.linspace(12, 90, 14)
    neutral = through(paper, np.stack([lightness, 0 * lightness, 0 * lightness], -1), flags=BPC)

    def missed(made):
        colours = made.toning(lightness)
        colours[:, 0] = neutral[:, 0]
        return delta_e_2000(colours, through(paper, colours))

    floor = delta_e_2000(neutral * [1, 0, 0], through(paper, neutral * [1, 0, 0])).max()
    assert missed(held).max() <= 1.2 + floor
    assert missed(asked).max() > 2
    # what is held already is left as it is
    little = Adjustments(black_and_white="mix", shadow_chroma=2, shadow_hue=hues[0])
    assert inside_gamut(little, paper, "relative", True) == little


def test_the_print_file_is_toned_no_more_than_the_paper_holds(tmp_path):
    asked = Adjustments(black_and_white="lightness", shadow_chroma=40, shadow_hue=100)
    work = job(adjustments=asked)
    held = PrintJob(**vars(work)).checked().adjustments
    assert held == inside_gamut(asked, matte_paper(), "relative", True) != asked
    files = [
        tifffile.imread(write_print_file(job(adjustments=each), tmp_path / f"{n}.tif").path)
        for n, each in enumerate((asked, held))
    ]
    assert np.array_equal(*files)


@pytest.mark.parametrize("width", [620, 360])
def test_the_figure_shows_the_ramp_and_its_words_have_room(width):
    toned = Adjustments(black_and_white="lightness", shadow_chroma=9, shadow_hue=250)
    found = neutrality(matte_paper(), toned)
    figure = NeutralityFigure()
    figure.set_size(width)
    figure.update(found)
    assert np.array_equal(figure.lines["b*", "printed"].get_ydata(), found.lab[:, 2])
    assert np.array_equal(figure.lines["b*", "asked"].get_ydata(), found.asked[:, 1])
    assert figure.worst.get_xdata()[0] == found.lab[found.worst, 0]
    assert_words_have_room(figure)

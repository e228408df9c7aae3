"""The screen plots, the pictures' light and the check sheet: what is drawn is what was found."""

import re

import numpy as np
import pytest
from figure_helpers import assert_words_have_room, shown_words

from workbench.analysis.glass import glare_lab
from workbench.analysis.screen import screen_match
from workbench.colour.lab import D50_XYZ, lab_to_xyz, luminance_factor, xyz_to_lab
from workbench.errors import WorkbenchError
from workbench.figures.screen import SPAN_CD_M2, LadderFigure, gap_words, range_words
from workbench.figures.screen_contrast import (
    LIGHTEST,
    ContrastFigure,
    contrast_words,
    shadow_lightness,
)
from workbench.figures.screen_picture import (
    beside,
    grey_of_lightness,
    light_to_srgb,
    srgb_to_light,
)
from workbench.figures.screen_sheet import (
    GREYS,
    HOW_TO,
    NEAR_BLACK,
    NEAR_WHITE,
    RAMP_STEPS,
    check_sheet,
    check_sheet_html,
    grey_codes,
    paper_codes,
)

PRINT = ((96.0, 0.0, -3.0), (5.0, 0.0, 0.0))


def match(**changes):
    how = {
        "illuminance_lux": 200,
        "light": "3000 K",
        "glass": "plain",
        "room_share": 0.3,
        "screen_luminance_cd_m2": 120,
        "screen_contrast_ratio": 1000,
        "finish": "gloss",
    }
    return screen_match(PRINT, **(how | changes))


# the ladder -------------------------------------------------------------------------


def test_the_ladder_marks_print_screen_and_targets():
    found = match()
    figure = LadderFigure(found)
    seen = found.screen_white_luminance_cd_m2
    assert figure.print_mark.get_xdata() == pytest.approx([seen])
    assert figure.print_line.get_xdata() == pytest.approx([seen, seen])
    assert figure.screen_mark.get_xdata() == pytest.approx([120])
    assert figure.bare_mark.get_xdata() == pytest.approx([found.paper_luminance_cd_m2])
    assert list(figure.gap.get_xdata()) == pytest.approx([seen, 120])
    assert len(figure.bars) == len(found.targets)
    by_name = dict(zip((b.target.name for b in found.targets), figure.bars, strict=True))
    alone = by_name["ISO 3664, screen by itself"]
    assert alone.get_x() == 80 and alone.get_x() + alone.get_width() == SPAN_CD_M2[1]
    # E·ρ/π (Lambert) of this paper in ISO 3664 P2
    white = float(luminance_factor(96.0)) / np.pi
    assert by_name["ISO 3664 P2"].get_x() == pytest.approx(375 * white)
    assert not by_name["ISO 14861"].get_visible()
    assert by_name["ISO 12646"].get_x() + by_name["ISO 12646"].get_width() == SPAN_CD_M2[1]


def test_a_doubled_light_moves_the_print_by_one_stop_and_redraws_no_axes():
    figure = LadderFigure(match())
    before, first = figure.pixels(), figure.print_mark.get_xdata()[0]
    draws = figure.still_draws
    figure.update(match(illuminance_lux=400))
    after = figure.pixels()
    assert np.log2(figure.print_mark.get_xdata()[0] / first) == pytest.approx(1)
    assert not np.array_equal(before, after)
    assert figure.still_draws == draws


def test_what_lies_beyond_the_axis_rests_at_its_edge():
    figure = LadderFigure(match(illuminance_lux=1))
    assert figure.print_mark.get_xdata() == [SPAN_CD_M2[0]]
    figure.update(match(illuminance_lux=100_000, screen_luminance_cd_m2=None))
    assert figure.print_mark.get_xdata() == [SPAN_CD_M2[1]]
    assert len(figure.screen_mark.get_xdata()) == len(figure.gap.get_xdata()) == 0
    assert "not known" in figure.alt_text(match(screen_luminance_cd_m2=None))


def test_the_headline_says_which_is_darker():
    found = match()
    assert (
        gap_words(found) == f"The print is {found.stops_too_dark:.1f} stops darker than the screen"
    )
    assert "brighter" in gap_words(match(illuminance_lux=2000))
    level = match(screen_luminance_cd_m2=found.screen_white_luminance_cd_m2)
    assert gap_words(level) == "The print is as bright as the screen"
    assert gap_words(found) in LadderFigure(found).alt_text(found)
    # what the sentence calls as bright, the headline does not call darker
    for stops in (-0.12, -0.09, 0.06, 0.12):
        near = match(screen_luminance_cd_m2=2**stops * found.screen_white_luminance_cd_m2)
        assert ("as bright as" in gap_words(near)) == ("as bright as" in near.sentence)
    assert range_words((80, None)) == "80 or more" and range_words((80, 100)) == "80–100"


@pytest.mark.parametrize("width", [720, 480, 300])
@pytest.mark.parametrize("kind", [LadderFigure, ContrastFigure])
def test_words_have_room(kind, width):
    figure = kind(match())
    figure.set_size(width)
    assert len(shown_words(figure)) > 10
    assert_words_have_room(figure)


# contrast -----------------------------------------------------------------------------


def test_bars_are_the_stops_of_the_three_contrasts():
    found = match()
    figure = ContrastFigure(found)
    ratios = (found.print_contrast_ratio, found.hung_contrast_ratio, 1000)
    assert [bar.get_width() for bar in figure.bars] == pytest.approx(np.log2(ratios))
    assert [text.get_text() for text in figure.figures] == [contrast_words(r) for r in ratios]
    figure.update(match(screen_contrast_ratio=None))
    assert figure.bars[2].get_width() == 0 and figure.figures[2].get_text() == "not known"


def test_shadows_are_lifted_as_the_veil_lifts_them():
    found = match()
    bare, seen = shadow_lightness(found)
    black_y = luminance_factor(5.0) / luminance_factor(96.0)
    assert bare[0] == pytest.approx(float(xyz_to_lab(black_y * D50_XYZ)[0]))
    assert bare[-1] == LIGHTEST
    assert np.all(seen > bare) and np.all(np.diff(seen) > 0)
    # black by the analysis itself, over the white as hung
    hung = found.hung
    direct = lab_to_xyz(glare_lab(PRINT[1], hung)) / lab_to_xyz(hung.white_lab)[1]
    assert seen[0] == pytest.approx(float(xyz_to_lab(direct)[0]), abs=1e-6)
    without = shadow_lightness(match(glass=None, room_share=0))
    assert without[1] == pytest.approx(without[0])


def test_another_room_changes_the_patches_only():
    figure = ContrastFigure(match())
    before, draws = figure.pixels(), figure.still_draws
    figure.update(match(room_share=0.9))
    assert not np.array_equal(before, figure.pixels())
    assert figure.still_draws == draws


# the pictures -------------------------------------------------------------------------


def test_the_light_of_print_and_screen_stand_in_the_ratio_of_their_luminances():
    found = match(glass=None, room_share=0)
    seen = beside(found)
    assert seen.dim == 1
    ratio = srgb_to_light(seen.print_table[255] / 255) * np.pi * 120 / 200
    assert ratio == pytest.approx(1, abs=0.01)  # 255 is the perfect diffuser: 200/π cd/m²
    white = srgb_to_light(seen.paper).mean()
    assert white == pytest.approx(found.screen_white_luminance_cd_m2 / 120, rel=0.02)
    assert seen.screen == pytest.approx([1, 1, 1])


def test_the_veil_lifts_black_and_the_screens_contrast_sets_its_own():
    found = match(room_share=1.0)
    seen = beside(found)
    veil = found.hung.veil * 200 / np.pi / 120
    assert srgb_to_light(seen.print_table[0] / 255) == pytest.approx(veil, abs=0.002)
    assert beside(match(glass=None, room_share=0)).print_table[0] == 0
    assert srgb_to_light(seen.screen_table[0] / 255) == pytest.approx(1 / 1000, abs=2e-4)
    assert beside(match(screen_contrast_ratio=None)).screen_table[0] == 0
    assert np.all(np.diff(seen.print_table.astype(int)) >= 0)


def test_a_brighter_print_dims_the_screen_beside_it():
    found = match(illuminance_lux=2000)
    seen = beside(found)
    assert seen.dim == pytest.approx(2.0**-found.stops_too_dark, rel=0.06)  # its tint adds a little
    assert seen.paper.max() == pytest.approx(1)
    assert srgb_to_light(seen.screen) == pytest.approx(1 / seen.dim)
    assert srgb_to_light(seen.screen_table[255] / 255) == pytest.approx(1 / seen.dim, abs=0.01)


def test_a_screen_set_as_advised_is_as_bright_as_the_print():
    found = match(illuminance_lux=400)
    advised = match(illuminance_lux=400, screen_luminance_cd_m2=found.screen_white_luminance_cd_m2)
    for each in (advised, match(illuminance_lux=400, screen_luminance_cd_m2=None)):
        seen = beside(each)
        # Y of linear sRGB, IEC 61966-2-1
        weights = (0.2126, 0.7152, 0.0722)
        paper = srgb_to_light(seen.paper) @ weights
        assert paper == pytest.approx(srgb_to_light(seen.screen).mean(), rel=0.02)


def test_srgb_curve_and_greys():
    values = np.linspace(0, 1, 101)
    assert light_to_srgb(srgb_to_light(values)) == pytest.approx(values, abs=1e-6)
    assert grey_of_lightness(0.0) == 0 and grey_of_lightness(100.0) == pytest.approx(1)
    # L* 50 is sRGB 119 of 255 (CIE 15 and IEC 61966-2-1 together)
    assert round(255 * grey_of_lightness(50.0)) == 119


# the check sheet ------------------------------------------------------------------------


def test_the_sheet_holds_every_step():
    white = (94.6, 0.6, 4.0)
    sheet = check_sheet(white, 960, 600)
    assert sheet.shape == (600, 960, 3) and sheet.dtype == np.uint8
    assert [tuple(v) for v in sheet[5, [0, -1]]] == [(0, 0, 0), (255, 255, 255)]
    assert len(np.unique(sheet[5, :, 0])) == 256
    assert len(np.unique(sheet[100, :, 0])) == RAMP_STEPS
    near = sheet[round(0.39 * 600)]
    assert set(np.unique(near[:480])) == {0, *NEAR_BLACK}
    assert set(np.unique(near[480:])) == {255, *NEAR_WHITE}
    below = sheet[340:]
    assert np.all(below[:, :480] == 255)
    shown = {tuple(int(v) for v in code) for code in below[:, 480:].reshape(-1, 3)}
    assert shown == {tuple(int(v) for v in c) for c in (paper_codes(white), *grey_codes(white))}
    assert len(shown) == len(GREYS) + 1


def test_the_papers_white_is_the_screens_of_that_colour():
    from workbench.colour.engine import transform
    from workbench.colour.spaces import standard_profile

    white = (94.6, 0.6, 4.0)
    direct = transform(np.array(white), "lab", standard_profile("sRGB"), intent="relative")
    assert paper_codes(white) / 255 == pytest.approx(direct, abs=1.5 / 255)
    assert list(paper_codes((100.0, 0.0, 0.0))) == [255, 255, 255]
    bright = paper_codes((99.0, 1.0, -9.0))  # beyond the screen: its tint stays
    assert bright[2] == 255 and bright[0] < 250


def test_the_page_needs_no_other_file_and_says_what_to_look_for():
    page = check_sheet_html((94.6, 0.6, 4.0), 'Rag <b>&"1"')
    assert "Rag &lt;b&gt;&amp;" in page and '<b>&"' not in page
    assert not re.search(r"<(script|link|img)|https?:|url\(", page)
    for value in (*NEAR_BLACK, *NEAR_WHITE):
        assert f"rgb({value},{value},{value})" in page
    for sentence in HOW_TO:
        assert sentence.replace("'", "&#x27;") in page
    assert "rgb({},{},{})".format(*paper_codes((94.6, 0.6, 4.0))) in page


@pytest.mark.parametrize("size", [(20, 600), (960, 9000)])
def test_a_sheet_of_no_use_is_refused(size):
    with pytest.raises(WorkbenchError, match="check sheet"):
        check_sheet((100.0, 0.0, 0.0), *size)

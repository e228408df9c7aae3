"""Figures to take away: whole files with their captions, and the numbers that were drawn."""

from __future__ import annotations

import io

import numpy as np
import pytest
from panel_helpers import settle
from PIL import Image
from pypdf import PdfReader

import workbench as wb
from workbench.errors import OutputError
from workbench.figures.gamut import DistributionFigure, ReasonsFigure
from workbench.figures.gamut_solid import SolidFigure
from workbench.figures.live import LiveFigure
from workbench.figures.style import add_axes, line
from workbench.figures.take import TITLES, figure_bytes, table_of

CAPTION = "Deep blues are beyond this paper, " * 6


class Curve(LiveFigure):
    IN_UNITS = True

    def __init__(self):
        super().__init__(600, 300)
        axes = add_axes(self.figure, xlabel="in", ylabel="out")
        axes.set_title("Curve")
        axes.set(xlim=(0, 2), ylim=(0, 2))
        self.curve = self.moving(line(axes, [], [], "paper"))
        self.curve.set_label("paper")
        self.dots = self.moving(axes.scatter([1, np.nan], [2, 3], label="dots"))

    def update(self, result):
        self.curve.set_data(*result)


@pytest.fixture
def curve():
    figure = Curve()
    figure.update(([0, 1, 2], [0, 0.5, 2]))
    return figure


def test_the_table_holds_what_was_drawn(curve):
    rows = [dict(zip(TITLES, row, strict=True)) for row in table_of(curve)]
    line_rows = [r for r in rows if r["Series"] == "paper"]
    assert [(r["Across, value"], r["Up, value"]) for r in line_rows] == [(0, 0), (1, 0.5), (2, 2)]
    assert {(r["Plot"], r["Across"], r["Up"]) for r in rows} == {("Curve", "in", "out")}
    # a dot that stands nowhere is not told
    assert [(r["Across, value"], r["Up, value"]) for r in rows if r["Series"] == "dots"] == [(1, 2)]


def test_bent_scales_are_told_straight():
    picture, paper = wb.demo_picture(), wb.demo_papers()[0]
    report = wb.gamut_report(picture, paper, exact=False)
    bars = ReasonsFigure()
    assert table_of(bars) == []
    bars.update(report)
    told = {(row[1], row[5]) for row in table_of(bars)}
    assert ("too saturated", report.share_too_saturated) in told
    assert ("blues", report.hues["blues"]) in told
    distances = DistributionFigure()
    distances.update((report, wb.colour_shift(picture, paper, exact=False)))
    shares = [row[5] for row in table_of(distances) if row[1] == "beyond the paper"]
    assert shares == sorted(shares, reverse=True) and shares[0] == pytest.approx(1)
    at_limit = shares[round(report.limit / 0.1)]
    assert at_limit == pytest.approx(report.share_outside, abs=0.01)


def test_drawings_have_no_table():
    assert table_of(SolidFigure()) == []


def test_moving_parts_and_caption_are_in_every_file(curve):
    before = curve.pixels()
    plain = Image.open(io.BytesIO(figure_bytes(curve, "png")))
    told = Image.open(io.BytesIO(figure_bytes(curve, "png", CAPTION)))
    assert plain.size == (1200, 600)  # 6 by 3 inches, 200 dots each
    assert told.width == 1200 and told.height > 640
    below = np.asarray(told.convert("L"))[600:]
    assert (below < 100).sum() > 500  # words
    green = np.asarray(plain.convert("RGB")).astype(int)
    assert ((green[..., 1] - green[..., 0]) > 100).sum() > 300  # the moving curve
    svg = figure_bytes(curve, "svg", CAPTION).decode()
    assert "Deep blues are beyond this paper" in svg and "<script" not in svg
    pdf = PdfReader(io.BytesIO(figure_bytes(curve, "pdf", CAPTION)))
    assert "Deep blues" in pdf.pages[0].extract_text()
    # on the page nothing has changed
    assert np.array_equal(curve.pixels(), before)


def test_the_same_figure_is_the_same_file(curve):
    for kind in ("png", "svg", "pdf"):
        assert figure_bytes(curve, kind, CAPTION) == figure_bytes(curve, kind, CAPTION)


def test_another_kind_is_refused(curve):
    with pytest.raises(OutputError, match="png, svg, pdf"):
        figure_bytes(curve, "gif")


def test_a_panel_saves_the_figures_that_it_shows(tmp_path):
    panel = wb.gamut_panel(wb.demo_picture(), wb.demo_papers()[0])._panel
    settle(panel)
    panel.taking.folder.value = str(tmp_path)
    for kind, start in (("png", b"\x89PNG"), ("pdf", b"%PDF"), ("csv", b"\xef\xbb\xbfPlot,Series")):
        panel.taking.save(kind)
        settle(panel)
        files = sorted(tmp_path.glob(f"*.{kind}"))
        assert len(files) >= 2 and all(f.read_bytes().startswith(start) for f in files)
        assert f"{len(files)} files are saved in {tmp_path}" in panel.taking.said.text
    before = {path: path.read_bytes() for path in tmp_path.iterdir()}
    panel.taking.save("png")
    settle(panel)
    assert all(path.read_bytes() == data for path, data in before.items())

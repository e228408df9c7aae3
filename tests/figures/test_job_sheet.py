"""The job sheet as a page of A4: one page, nothing over the edge, nothing on top of another."""

from __future__ import annotations

import io
import random
import re
from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
from pypdf import PdfReader

from workbench.figures.job_sheet import A4_MM, job_sheet_figure, job_sheet_pdf, wrapped
from workbench.output.job_facts import COST, Group
from workbench.output.job_sheet import JobSheet

STEPS = tuple(
    f"Step {n}: do what is said here, with some more words so that it takes two lines or three."
    for n in range(11)
)


def a_sheet(**more) -> JobSheet:
    """A sheet with as many rows as there can be; its words are invented."""
    groups = [
        Group("Set at the printer", tuple((f"Setting {n}", f"value {n}") for n in range(9))),
        Group("Paper", tuple((f"Fact {n}", f"fact {n}") for n in range(4))),
        Group("Picture and print", tuple((f"Print {n}", f"print {n}") for n in range(7))),
        Group("Colour", tuple((f"Colour {n}", f"colour {n}") for n in range(4))),
        Group("Expected on paper", tuple((f"Figure {n}", f"figure {n}") for n in range(4))),
        Group("File", tuple((f"File {n}", f"file {n}") for n in range(3))),
        Group(COST, tuple((f"Cost {n}", f"cost {n}") for n in range(3))),
    ]
    values = {
        "title": "A harbour",
        "subtitle": "400.0 × 300.0 mm on Invented matte",
        "groups": tuple(groups),
        "checksums": (
            ("SHA-256 of the print file", "ab" * 32),
            ("SHA-256 of the profile", "cd" * 32),
        ),
        "checklist": STEPS,
        "cautions": (),
        "notes": "",
    }
    return JobSheet(**{**values, **more})


def full(letters: int, seed: int, **more) -> JobSheet:
    """Every value a text of up to so many letters, in long and short words."""
    chance = random.Random(seed)

    def text(most: int) -> str:
        words = ""
        while len(words) < most:
            words += chance.choice(("mild ", "W" * chance.randint(1, 60) + " ", "i l, ", "Größe "))
        return words[: chance.randint(most // 2, most)]

    sheet = a_sheet()
    groups = tuple(
        Group(group.title, tuple((label, text(letters)) for label, _ in group.rows))
        for group in sheet.groups
    )
    values = {
        "title": text(letters),
        "subtitle": text(letters),
        "groups": groups,
        "checklist": tuple(text(letters + 60) for _ in STEPS),
        "cautions": (text(90), text(90)),
        "notes": text(40 * letters),
    }
    return replace(sheet, **{**values, **more})


PICTURE = np.full((300, 420, 3), 120, np.uint8)
SHEETS = {
    "usual": a_sheet(notes="Warmer next time."),
    "cautioned": a_sheet(cautions=("The print does not fit A4.", "Look at it first.")),
    "no paper, no costs": a_sheet(groups=a_sheet().groups[:1], checksums=a_sheet().checksums[:1]),
    **{f"{letters} letters, {seed}": full(letters, seed)
       for letters, seed in ((20, 1), (60, 2), (60, 3), (120, 4), (200, 5), (200, 6))},
}  # fmt: skip


def boxes(figure):
    """(words, left, top, right, bottom in mm) of each line of text, as it is drawn."""
    # fine enough that letters keep their own widths, as they do in a PDF
    figure.set_dpi(600)
    renderer = figure.canvas.get_renderer()
    height = figure.bbox.height
    found = []
    for text in figure.findobj(lambda artist: hasattr(artist, "get_text")):
        if text.get_text().strip():
            box = text.get_window_extent(renderer)
            scale = 25.4 / figure.dpi
            found.append(
                (
                    text.get_text(),
                    box.x0 * scale,
                    (height - box.y1) * scale,
                    box.x1 * scale,
                    (height - box.y0) * scale,
                )
            )
    return found


@pytest.mark.parametrize("name", SHEETS)
@pytest.mark.parametrize("picture", [PICTURE, PICTURE[:, :80], None])
def test_nothing_runs_over_the_edge_or_over_anything_else(name, picture):
    figure = job_sheet_figure(SHEETS[name], picture)
    assert figure.get_size_inches() * 25.4 == pytest.approx(A4_MM)
    drawn = boxes(figure)
    for words, left, top, right, bottom in drawn:
        assert left >= 13.5 and right <= A4_MM[0] - 13.5, words
        assert top >= 12 and bottom <= A4_MM[1] - 12, words
    for (words, l0, t0, r0, b0), (others, l1, t1, r1, b1) in combinations(drawn, 2):
        # ascenders and descenders of two lines may touch, letters may not lie on letters
        across, down = min(r0, r1) - max(l0, l1), min(b0, b1) - max(t0, t1)
        assert across < 0.3 or down < 0.9, (words, others)


@pytest.mark.parametrize("name", SHEETS)
def test_words_keep_off_the_picture(name):
    figure = job_sheet_figure(SHEETS[name], PICTURE)
    (axes,) = figure.axes
    (image,) = axes.images
    left, right, bottom, top = image.get_extent()
    for words, l0, t0, r0, b0 in boxes(figure):
        assert min(r0, right) - max(l0, left) < 0 or min(b0, bottom) - max(t0, top) < 0, words
    # in its own proportions
    assert (right - left) / (bottom - top) == pytest.approx(420 / 300)


def test_everything_is_said_where_there_is_room():
    sheet = a_sheet(notes="Warmer next time.", cautions=("It does not fit A4.",))
    drawn = " ".join(words for words, *_ in boxes(job_sheet_figure(sheet, PICTURE)))
    for label, value in sheet.rows:
        assert label in drawn and value in drawn
    for words in (sheet.title, sheet.subtitle, sheet.notes, *sheet.cautions, sheet.footnote):
        assert words in drawn
    assert all(step.split(":")[0] in drawn for step in sheet.checklist)
    assert "Printed on" in drawn


def test_there_is_a_box_to_tick_for_each_step():
    from matplotlib.patches import Rectangle

    figure = job_sheet_figure(a_sheet(), None)
    (axes,) = figure.axes
    squares = [
        patch
        for patch in axes.patches
        if isinstance(patch, Rectangle) and patch.get_width() == patch.get_height() == 3.0
    ]
    assert len(squares) == len(STEPS)
    places = [square.get_y() for square in squares]
    assert places == sorted(places) and min(np.diff(places)) > 3.5


# -- wrapping


@pytest.mark.parametrize("size", [6.2, 9.0, 17.0])
def test_lines_are_as_long_as_fits_and_no_longer(size):
    from matplotlib.font_manager import FontProperties
    from matplotlib.textpath import TextPath

    text = "Many words of some length and a " + "W" * 90 + " in between, then the end"
    lines = wrapped(text, size, 50.0)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")
    font = FontProperties(family="DejaVu Sans", size=size)
    widths = [TextPath((0, 0), line, prop=font).get_extents().width / 72 * 25.4 for line in lines]
    assert max(widths) <= 50.0
    # one more word would not have fitted
    for line, width, following in zip(lines, widths, lines[1:], strict=False):
        word = following.split(" ")[0]
        longer = TextPath((0, 0), f"{line} {word}", prop=font).get_extents().width / 72 * 25.4
        assert longer > 49.0, (line, width)


def test_too_many_lines_end_in_an_ellipsis():
    lines = wrapped("word " * 60, 9.0, 40.0, most=2)
    assert len(lines) == 2 and lines[1].endswith("…") and "…" not in lines[0]
    assert wrapped("one line", 9.0, 40.0, most=1) == ("one line",)
    assert wrapped("", 9.0, 40.0) == ("",)


def test_letters_that_the_type_lacks_are_replaced():
    # Chinese is not in DejaVu Sans; German and Greek are
    assert wrapped("Größe 漢 Ω", 9.0, 60.0) == ("Größe \N{REPLACEMENT CHARACTER} Ω",)


def test_dollars_and_underscores_are_no_formulas():
    sheet = a_sheet(title="$x_1$ and $y^2$ \\alpha")
    assert job_sheet_pdf(sheet)
    drawn = " ".join(words for words, *_ in boxes(job_sheet_figure(sheet)))
    assert "$x_1$ and $y^2$ \\alpha" in drawn


# -- PDF


@pytest.mark.filterwarnings("error")
def test_pdf_is_one_page_of_a4_with_its_type_embedded():
    data = job_sheet_pdf(a_sheet(notes="Größe, Ω, 5 µm"), PICTURE)
    assert data.startswith(b"%PDF")
    assert len(re.findall(rb"/Type /Page\b(?!s)", data)) == 1
    (box,) = re.findall(rb"/MediaBox \[([^\]]*)\]", data)
    # A4 is 210 x 297 mm (ISO 216); a point is 1/72 in
    expected = [0, 0, 210 / 25.4 * 72, 297 / 25.4 * 72]
    assert [float(v) for v in box.split()] == pytest.approx(expected, abs=0.01)
    fonts = re.findall(rb"/Type /Font\b.*?>>", data, re.DOTALL)
    assert fonts
    # outlines travel in the file: as procedures (Type 3) or as an embedded program
    assert b"/CharProcs" in data or b"/FontFile2" in data
    assert data.count(b"/Subtype /Type3") + data.count(b"/FontFile2") >= len(fonts) - 1
    assert b"CreationDate" not in data


def test_same_sheet_gives_the_same_bytes():
    assert job_sheet_pdf(a_sheet(), PICTURE) == job_sheet_pdf(a_sheet(), PICTURE)
    assert job_sheet_pdf(a_sheet(), PICTURE) != job_sheet_pdf(a_sheet(title="Another"), PICTURE)


def test_words_can_be_taken_from_the_pdf():
    sheet = a_sheet(notes="Warmer next time.")
    (page,) = PdfReader(io.BytesIO(job_sheet_pdf(sheet, PICTURE))).pages
    words = " ".join(page.extract_text().split())
    for label, value in sheet.rows:
        assert label in words and value in words
    assert "A harbour" in words and "Warmer next time." in words
    assert "In the printer's dialog" in words and "Step 10:" in words

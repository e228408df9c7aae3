"""Opening files, the question about colours, and what is known of a paper; no browser."""

from __future__ import annotations

import struct
import threading
import time
from types import SimpleNamespace

import ipywidgets as widgets
import numpy as np
import pytest
from helpers import coated_profile
from panel_helpers import choose, open_typed, send_file, type_in
from picture.makers import exif_block, pillow_bytes, png_header, tiff_bytes

from workbench.analysis.printed_black import DARKEST
from workbench.characteristics import in_section
from workbench.colour.inkmodel import model_profile
from workbench.colour.lab import lab_to_xyz
from workbench.colour.profile import read_profile
from workbench.colour.spaces import (
    GREY_SPACES,
    RGB_SPACES,
    space_hint,
    space_label,
    standard_profile,
)
from workbench.colour.writer import xyz as xyz_tag
from workbench.errors import Cancelled, WorkbenchError
from workbench.panels.parts.facts import facts_table
from workbench.panels.sources import panel as sources_panel
from workbench.panels.sources.panel import Sources
from workbench.paper import open_paper
from workbench.picture import cost, limits, open_picture, room
from workbench.plan import Plan

BLACK = f"{DARKEST} (absolute)"


def pixels(height=20, width=30, seed=4):
    return np.random.default_rng(seed).integers(0, 255, (height, width, 3), np.uint8)


def tagged(space="sRGB", **options):
    return tiff_bytes(pixels(), iccprofile=standard_profile(space), **options)


@pytest.fixture(scope="module")
def papers():
    """A paper of which nothing is known, and one whose finish is."""
    return (
        open_paper(model_profile((96, 0, -4), 2.3, finish="gloss", grid=9), name="Gloss"),
        open_paper(
            model_profile((95, 1, 3), 1.6, finish="matte", grid=9), name="Rag", finish="matte"
        ),
    )


@pytest.fixture
def plan(papers):
    return Plan(papers=papers, paper=papers[0], picture=open_picture(tagged(), name="first.tif"))


@pytest.fixture
def sources(plan, front, status):
    return Sources(plan, front, status)


def send(sources, chooser, name, data, widget=None, event="files"):
    """As the page sends a file."""
    widget = chooser.upload.button if widget is None else widget
    send_file(sources._front, widget, name, data, event=event, piece=2**21)


def facts(sources):
    """{name: value} of the table; names that come twice keep the last value."""
    tables = sources.facts.value + sources.papers.facts.value
    rows = tables.replace("\u00a0", " ").split("<tr>")[1:]
    cells = (row.split("</th><td>") for row in rows)
    return {
        name.split(">")[1].replace("&#x27;", "'"): value.split("</td>")[0].replace("&#x27;", "'")
        for name, value in cells
    }


# -- pictures


def test_a_picture_by_its_path(sources, plan, tmp_path):
    path = tmp_path / "own.tif"
    path.write_bytes(tagged("opRGB"))
    open_typed(sources.picture, path)
    assert plan.picture.path == path
    assert sources.picture.status.text == "“own.tif” is on the desk."
    assert facts(sources)["Colour space"] == "opRGB"


def test_what_takes_long_is_told_before_and_opens_in_the_background(
    sources, plan, tmp_path, monkeypatch
):
    monkeypatch.setattr(cost, "_AT_ONCE", -1)
    begun, go_on = threading.Event(), threading.Event()

    def slowly(*given, **named):
        begun.set()
        assert go_on.wait(10)
        return open_picture(*given, **named)

    monkeypatch.setattr(sources_panel, "open_picture", slowly)
    path, before = tmp_path / "own.tif", plan.picture
    path.write_bytes(tagged("opRGB"))
    open_typed(sources.picture, path)
    assert begun.wait(10) and plan.picture is before
    line = sources.picture.status
    assert line.kind == "work" and "30 × 20 pixels" in line.text and "memory" in line.text
    assert sources.stop.layout.display == ""
    go_on.set()
    assert sources._opening.wait_until_idle()
    assert plan.picture.path == path and line.kind == "remark"
    assert sources.stop.layout.display == "none"


def test_opening_can_be_stopped(sources, plan, tmp_path, monkeypatch):
    monkeypatch.setattr(cost, "_AT_ONCE", -1)
    begun = threading.Event()

    def endless(*given, cancelled, **named):
        begun.set()
        while not cancelled():
            time.sleep(0.001)
        raise Cancelled

    monkeypatch.setattr(sources_panel, "open_picture", endless)
    path, before = tmp_path / "own.tif", plan.picture
    path.write_bytes(tagged())
    open_typed(sources.picture, path)
    assert begun.wait(10)
    sources.stop.click()
    assert sources._opening.wait_until_idle()
    assert plan.picture is before and sources.stop.layout.display == "none"
    assert sources.picture.status.kind == "remark"


def test_what_the_computer_cannot_hold_is_told_beside_the_field(sources, plan, monkeypatch):
    monkeypatch.setattr(limits, "free_memory", lambda: 10**9)
    monkeypatch.setattr(room, "free_disk", lambda: 0)
    before = plan.picture
    send(sources, sources.picture, "huge.png", png_header(30_000, 30_000, bits=16))
    assert plan.picture is before and sources.stop.layout.display == "none"
    assert sources.picture.status.kind == "problem" and "5.5 GB" in sources.picture.status.text


def test_a_small_picture_by_its_bytes(sources, plan):
    send(sources, sources.picture, "sent.tif", tagged("Display P3"))
    assert (plan.picture.name, plan.picture.profile_name) == ("sent.tif", "Display P3")
    assert plan.picture.path is None


def test_a_sent_picture_is_read_from_the_disk_while_it_is_held(sources, plan):
    send(sources, sources.picture, "sent.tif", tagged("Display P3"))
    twin = open_picture(tagged("Display P3"))
    assert (plan.picture.preview(200) == twin.preview(200)).all()


def test_files_dropped_on_the_desk_go_where_they_belong(sources, plan, gloss):
    root = widgets.Box()
    sources.take_drops(root)
    send(sources, None, "dropped.tif", tagged("Display P3"), root, "drop")
    assert plan.picture.name == "dropped.tif"
    send(sources, None, "Dropped.ICC", gloss.profile, root, "drop")
    assert plan.paper.profile == gloss.profile
    send(sources, None, "letter.txt", b"Dear", root, "drop")
    assert sources.picture.status.kind == "problem" and plan.picture.name == "dropped.tif"


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"II*\0" + bytes(40), "damaged"),
        (b"no picture at all", "TIFF, PNG"),
        (b"", "empty"),
    ],
)
def test_what_is_no_picture_is_told_and_nothing_changes(
    sources, plan, status, tmp_path, content, said
):
    before = plan.picture, sources.facts.value
    (tmp_path / "bad.tif").write_bytes(content)
    open_typed(sources.picture, tmp_path / "bad.tif")
    assert sources.picture.status.kind == "problem"
    assert said in sources.picture.status.text
    assert (plan.picture, sources.facts.value) == before
    assert status.text == ""
    # and the next one that is good takes the sentence away
    (tmp_path / "good.tif").write_bytes(tagged())
    open_typed(sources.picture, tmp_path / "good.tif")
    assert sources.picture.status.kind == "remark"


def test_a_path_that_leads_nowhere(sources, plan, tmp_path):
    before = plan.picture, plan.papers
    open_typed(sources.picture, tmp_path / "missing.tif")
    assert "There is no file “missing.tif”" in sources.picture.status.text
    open_typed(sources.papers.chooser, tmp_path / "missing.icc")
    assert "There is no file “missing.icc”" in sources.papers.chooser.status.text
    assert (plan.picture, plan.papers) == before


# -- the question


def untagged(channels=3, **options):
    image = pixels() if channels == 3 else pixels()[..., 0]
    return open_picture(pillow_bytes(image, "JPEG", **options), name="old scan.jpg")


def buttons(sources):
    """{label: button} of the question."""
    found = {}
    stack = list(sources.question.children)
    while stack:
        widget = stack.pop()
        stack += getattr(widget, "children", ())
        if type(widget).__name__ == "Button":
            found[widget.description] = widget
    return found


def images(sources):
    found, stack = [], list(sources.question.children)
    while stack:
        widget = stack.pop()
        stack += getattr(widget, "children", ())
        if type(widget).__name__ == "Image":
            found.append(widget)
    return found


@pytest.mark.parametrize(("channels", "spaces"), [(3, RGB_SPACES), (1, GREY_SPACES)])
def test_a_picture_without_a_profile_is_asked_about(sources, plan, channels, spaces):
    before = plan.picture
    picture = untagged(channels)
    sources.offer(picture)
    assert plan.picture is before
    assert sources.question.layout.display == ""
    assert set(buttons(sources)) == {*map(space_label, spaces), "Put it away"}
    shown = images(sources)
    assert len({image.value for image in shown}) == len(spaces)  # no two look alike
    alts = {sources._front.attributes(image)["alt"] for image in shown}
    assert alts == {f"The picture, if its colours are {space}" for space in spaces}
    assert "“old scan.jpg” does not say what its numbers mean" in sources.question.children[0].value
    chosen = buttons(sources)[space_label(spaces[1])]
    assert space_hint(spaces[1]) in chosen.tooltip
    chosen.click()
    assert plan.picture.profile_name == spaces[1]
    assert plan.picture.profile_assumed
    assert sources.question.layout.display == "none"
    assert facts(sources)["Colour space"] == f"{spaces[1]}, chosen by you"
    assert sources.picture.status.text == f"“old scan.jpg” is on the desk, as {spaces[1]}."


def test_the_question_may_be_left(sources, plan):
    before = plan.picture
    sources.offer(untagged())
    buttons(sources)["Put it away"].click()
    assert sources.question.layout.display == "none"
    assert plan.picture is before
    with pytest.raises(WorkbenchError, match="No picture is waiting"):
        sources.assume("sRGB")


def test_there_is_nothing_to_leave_it_for_without_another_picture(sources, plan):
    plan.picture = None
    sources.offer(untagged())
    assert set(buttons(sources)) == set(map(space_label, RGB_SPACES))


def test_a_weaker_hint_is_told_and_not_followed(sources, plan):
    # EXIF 2.3 with DCF: colour space 65535 and interoperability R03 point to opRGB
    exif = exif_block(colour_space=65535, interoperability="R03")
    sources.offer(untagged(exif=exif))
    assert "A weaker note in the file points to opRGB" in (sources.question.children[0].value)
    assert plan.picture.name == "first.tif"


def test_a_tagged_picture_takes_the_question_away(sources, plan):
    sources.offer(untagged())
    tagged_one = open_picture(tagged(), name="second.tif")
    sources.offer(tagged_one)
    assert sources.question.layout.display == "none"
    assert plan.picture is tagged_one


def test_a_path_to_a_picture_that_asks_says_so(sources, tmp_path):
    path = tmp_path / "scan.tif"
    path.write_bytes(tiff_bytes(pixels()))
    open_typed(sources.picture, path)
    assert sources.picture.status.text == "“scan.tif” needs an answer from you; see below."
    buttons(sources)["Put it away"].click()
    assert sources.picture.status.text == ""


# -- papers


def test_a_paper_by_its_path_is_chosen(sources, plan, papers, tmp_path):
    path = tmp_path / "press.icc"
    path.write_bytes(coated_profile())
    open_typed(sources.papers.chooser, path)
    assert plan.papers[:2] == papers
    assert plan.paper is plan.papers[2]
    assert plan.paper.name == "FOGRA39L Coated"
    assert sources.papers.chooser.status.text == "“FOGRA39L Coated” is on the desk, and chosen."


def test_the_same_paper_again_is_chosen_and_not_doubled(sources, plan, papers, tmp_path):
    path = tmp_path / "press.icc"
    path.write_bytes(coated_profile())
    open_typed(sources.papers.chooser, path)
    type_in(sources.papers.details["weight_g_m2"], "115")
    plan.paper = papers[0]
    open_typed(sources.papers.chooser, path)
    assert len(plan.papers) == 3
    assert plan.paper is plan.papers[2]
    assert plan.paper.weight_g_m2 == 115  # what was known of it is kept
    assert "on the desk already" in sources.papers.chooser.status.text


def test_a_paper_by_its_bytes(sources, plan):
    send(sources, sources.papers.chooser, "press.icc", coated_profile())
    assert plan.paper.name == "FOGRA39L Coated"


def test_a_sent_profile_without_a_description_is_called_after_its_file(sources, plan):
    data = bytearray(model_profile((96, 0, 0), 2.0, finish="gloss", grid=9))
    data = data.replace(b"desc", b"dscX", 1)  # its place in the table of tags
    assert read_profile(bytes(data)).description == ""
    send(sources, sources.papers.chooser, "fen rag <b>.icc", bytes(data))
    assert plan.paper.name == "fen rag <b>"
    assert "without a description" in facts(sources)["Profile"]


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"no profile " * 20, "not an ICC colour profile"),
        (standard_profile("sRGB"), "not a paper on a printer"),
    ],
)
def test_what_is_no_paper_is_told_and_nothing_changes(sources, plan, tmp_path, content, said):
    before = plan.paper, plan.papers
    (tmp_path / "bad.icc").write_bytes(content)
    open_typed(sources.papers.chooser, tmp_path / "bad.icc")
    assert sources.papers.chooser.status.kind == "problem"
    assert said in sources.papers.chooser.status.text
    assert (plan.paper, plan.papers) == before


# -- characteristics


def test_what_is_known_of_the_chosen_paper_is_shown(sources, plan, papers):
    assert "What you know about Gloss" in sources.papers.known.title
    assert sources.papers.details["finish"].value == ""
    plan.paper = papers[1]
    assert "What you know about Rag" in sources.papers.known.title
    assert sources.papers.details["finish"].value == "matte"
    assert sources.papers.details["black_ink"].value == "matte black"  # follows from the finish


def test_a_chosen_characteristic_makes_another_paper_in_its_place(sources, plan, papers):
    choose(sources.papers.details["finish"], "satin")
    assert plan.paper.finish == "satin"
    assert plan.papers == (plan.paper, papers[1])
    # frozen: the old one is as it was
    assert papers[0].finish is None
    assert plan.paper is not papers[0]
    assert plan.paper.profile == papers[0].profile


def test_a_typed_characteristic_and_one_taken_back(sources, plan):
    type_in(sources.papers.details["base"], " hemp ")
    assert plan.paper.base == "hemp"
    assert sources.papers.details["base"].typed.visible
    choose(sources.papers.details["base"], "not known")
    assert plan.paper.base is None
    assert not sources.papers.details["base"].typed.visible


@pytest.mark.parametrize(
    ("name", "typed", "kept", "shown"),
    [
        ("surface_texture", "leather", "leather", "leather"),
        ("weight_g_m2", "247", 247.0, "247"),
        ("weight_g_m2", "92.5", 92.5, "92.5"),
        ("printer", "the wide one", "the wide one", "the wide one"),
        ("media_setting", "Rag 300\x07\x1b", "Rag 300", "Rag 300"),
    ],
)
def test_characteristics_stay_with_their_paper(sources, plan, papers, name, typed, kept, shown):
    type_in(sources.papers.details[name], typed)
    assert getattr(plan.paper, name) == kept
    plan.paper = papers[1]
    assert sources.papers.details[name].value == ""
    plan.paper = plan.papers[0]
    assert sources.papers.details[name].value == shown
    assert getattr(plan.paper, name) == kept


@pytest.mark.parametrize("typed", ["3", "99999", "-200", "heavy", "247 g", "nan"])
def test_an_impossible_weight_is_told_and_the_old_one_shown_again(sources, plan, typed):
    type_in(sources.papers.details["weight_g_m2"], "260")
    before = plan.paper
    type_in(sources.papers.details["weight_g_m2"], typed)
    assert plan.paper is before
    assert sources.papers.details_status.kind == "problem"
    assert (
        "Weight" in sources.papers.details_status.text
        and "g/m²" in sources.papers.details_status.text
    )
    assert sources.papers.details["weight_g_m2"].field.value == "260"
    type_in(sources.papers.details["weight_g_m2"], "300")
    assert sources.papers.details_status.kind == ""
    assert plan.paper.weight_g_m2 == 300


def test_the_sentence_stands_below_the_fields(sources):
    fields, status = sources.papers.known.inside.children
    assert sources.papers.details["finish"].widget in fields.children
    assert status is sources.papers.details_status.widget


def test_the_paper_beside_and_the_other_paper_are_replaced_too(sources, plan, papers):
    plan.reference = plan.other_paper = papers[0]
    choose(sources.papers.details["finish"], "gloss")
    assert plan.reference is plan.paper
    assert plan.other_paper is plan.paper
    plan.paper = papers[1]
    choose(sources.papers.details["base"], "cotton")
    assert plan.reference is plan.papers[0]  # of another paper: left alone


def test_the_same_value_again_makes_no_other_paper(sources, plan):
    choose(sources.papers.details["finish"], "satin")
    before = plan.paper
    type_in(sources.papers.details["finish"], "satin")
    assert plan.paper is before
    assert sources.papers.details["finish"].choice.field.label == "satin"


def test_without_a_paper_there_is_nothing_to_know(front, status):
    sources = Sources(Plan(), front, status)
    assert facts(sources) == {}
    choose(sources.papers.details["finish"], "satin")
    assert "Choose a paper first" in sources.papers.details_status.text


def test_every_field_has_a_name_and_help(sources, front):
    fields = []
    for control in sources.papers.details.values():
        fields += [control.choice, control.typed] if hasattr(control, "choice") else [control]
    assert set(sources.papers.details) == set(in_section("packet", "hand", "printer"))
    for control in fields:
        assert front.attributes(control.field)["aria-label"] == control.name
        assert len(control.help) > 10
    assert sources.papers.details["weight_g_m2"].name == "Weight (g/m²)"


# -- facts


def test_the_facts_of_a_picture(sources, plan):
    data = tagged("ROMM RGB", resolution=(300, 300), resolutionunit="INCH")
    plan.picture = open_picture(data, name="a & b.tif")
    table = facts(sources)
    assert table["Picture"] == "a &amp; b.tif"
    assert table["Pixels"] == "30 × 20 (0.0 MP), 8 bits, RGB"
    assert table["Colour space"] == "ROMM RGB"
    assert table["Resolution noted in the file"] == "300 ppi"


def test_the_facts_of_a_press_condition(sources, plan):
    plan.paper = open_paper(coated_profile())
    table, told = facts(sources), plan.paper.facts
    assert table["Paper"] == "FOGRA39L Coated"
    assert table["Profile"] == "FOGRA39L Coated, ICC version 2.2, CMYK"
    # the profile's three pairs of tables are the same one
    assert table["Tables for"] == (
        "relative colorimetric; perceptual shares those of relative colorimetric; saturation "
        "shares those of relative colorimetric"
    )
    # FOGRA39L: paper white 95, 0, -2, the measured data beside the profile in tests/data
    assert table["White (absolute)"] == "L* 95.0, a* 0.0, b* −2.0"
    assert table[BLACK].startswith(f"L* {told.black_lab[0]:.1f}, a* +0.4, b* −1.0; density 2.03")
    assert table["Contrast ratio, white to darkest (absolute)"] == "94:1"
    volume = table["Gamut volume"].replace("\u2009", "")
    assert volume == f"{told.gamut_volume / 1000:.0f}000 cubic Lab units (absolute)"
    # offset on coated stock: about 0.4 million (common practice, no source)
    assert 350_000 < int(volume.split()[0]) < 450_000
    assert table["Cast of the grey scale (relative)"].endswith(
        f"on average, chroma up to {told.neutral_cast_chroma:.1f}"
    )
    assert table["Noise of the profile's tables"] == f"{told.noise_floor:.1f} CIEDE2000"
    assert "White by the profile's tag (absolute)" not in table


def test_density_and_contrast_follow_from_the_lab_that_is_shown(sources, plan, papers):
    # CIE 15: Y from L*; density is -log10 of it, contrast the ratio of the two
    def luminance(lightness):
        return lab_to_xyz(np.array([lightness, 0.0, 0.0]))[1]

    plan.paper = papers[1]
    table = facts(sources)
    white, black = (
        float(table[row].split("L* ")[1].split(",")[0]) for row in ("White (absolute)", BLACK)
    )
    density = float(table[BLACK].split("density ")[1].split(";")[0])
    assert density == pytest.approx(-np.log10(luminance(black)), abs=0.01)
    ratio = float(table["Contrast ratio, white to darkest (absolute)"].split(":")[0])
    assert ratio == pytest.approx(luminance(white) / luminance(black), rel=0.02)


def test_invented_papers_say_so(sources, plan, papers):
    assert "invented" not in facts(sources)["Paper"]
    plan.paper = papers[0].with_details(invented=True)
    assert "(invented: a model, not a product)" in facts(sources)["Paper"]


def with_white_tag(data, lab):
    """The profile with another white point tag."""
    offset, size = read_profile(data).tags["wtpt"]
    return data[:offset] + xyz_tag(lab_to_xyz(np.array(lab, float)))[:size] + data[offset + size :]


def with_bare_paper_at(data, lab):
    """The profile with another media-relative colour where no ink is printed.

    Works on the lutAToBType of `A2B1` with its 16-bit table (ICC.1:2022, 10.12): the
    corner of full RGB is the last entry of the table.
    """
    profile = read_profile(data)
    offset, _ = profile.tags["A2B1"]
    (clut_at,) = struct.unpack_from(">I", data, offset + 24)
    grid = data[offset + clut_at]
    last = offset + clut_at + 20 + 6 * (grid**3 - 1)
    entry = struct.pack(
        ">3H", *(round(v * 65535) for v in (lab[0] / 100, *((x + 128) / 255 for x in lab[1:])))
    )
    return data[:last] + entry + data[last + 6 :]


def test_a_white_tag_that_differs_from_the_tables_is_shown_beside_it(sources, plan):
    data = model_profile((96, 0, -4), 2.0, finish="gloss", grid=9)
    plan.paper = open_paper(with_bare_paper_at(data, (98, 1, 3)), name="At odds")
    table = facts(sources)
    assert table["White by the profile's tag (absolute)"] == "L* 96.0, a* 0.0, b* −4.0"
    assert table["White (absolute)"] != table["White by the profile's tag (absolute)"]
    # 98, 1, 3 on a white of 96, 0, -4: XYZ multiply
    absolute = lab_to_xyz(np.array([98.0, 1, 3])) * lab_to_xyz(np.array([96.0, 0, -4]))
    absolute /= lab_to_xyz(np.array([100.0, 0, 0]))
    lightness = 116 * absolute[1] ** (1 / 3) - 16  # CIE 15
    assert table["White (absolute)"].startswith(f"L* {lightness:.1f}, ")


def test_a_profile_that_states_no_white_says_so(sources, plan):
    data = model_profile((96, 0, -4), 2.0, finish="gloss", grid=9)
    plan.paper = open_paper(with_white_tag(data, (100, 0, 0)), name="Silent")
    assert "its white is that of the perfect diffuser" in facts(sources)["Caution"]


def test_names_from_files_are_escaped_everywhere(sources, plan, front):
    evil = "<img src=x onerror=alert(1)>\x07"
    data = model_profile((96, 0, 0), 2.0, finish="gloss", grid=9, name=evil)
    send(sources, sources.papers.chooser, "x.icc", data)
    send(sources, sources.picture, evil + ".tif", tagged())
    said = [sources.facts.value, sources.papers.facts.value]
    said += [sources.papers.chooser.status._line.value, sources.picture.status._line.value]
    sources.offer(open_picture(tiff_bytes(pixels()), name=evil))
    said.append(sources.question.children[0].value)
    for html in said:
        assert "<img" not in html and "&lt;img src=x" in html
        assert not any(ord(c) < 32 for c in html)


def test_tables_leave_dollar_signs_alone():
    # JupyterLab would set "$x$" as a formula
    html = facts_table([("Name <", "$x^2$ & more")])
    assert "tex2jax_ignore" in html and "mathjax_ignore" in html
    assert '<th scope="row">Name &lt;</th><td>$x^2$ &amp; more</td>' in html


def test_what_cannot_be_measured_is_a_sentence(sources, plan, status):
    class Broken(SimpleNamespace):
        @property
        def facts(self):
            raise WorkbenchError("“Odd” has no profile; open one.")

    assert sources.papers  # which tell of the chosen one
    plan.paper = Broken(name="Odd", icc=None)
    assert status.text == "“Odd” has no profile; open one."
    plan.paper = plan.papers[0]
    assert status.text == ""

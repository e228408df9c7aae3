"""The desk in a real browser: files from disk, a knob in each panel, bad input."""

from __future__ import annotations

import zlib

import numpy as np
import pytest
from browser.lab import (
    IN_PANEL,
    go_to,
    lab_errors,
    pictures,
    wait_for_kernel,
    wait_for_new_picture,
)
from helpers import DATA
from picture.makers import png_chunk, png_header

from workbench.colour.spaces import standard_profile

VISIBLE = "element => element.offsetParent !== null"


@pytest.fixture(scope="module")
def picture_file(tmp_path_factory):
    import tifffile
    from scipy.ndimage import zoom

    random = np.random.default_rng(21)
    field = np.stack([zoom(random.random((6, 9)), (100, 100), order=1) for _ in range(3)], -1)
    path = tmp_path_factory.mktemp("pictures") / "colour fields.tif"
    tifffile.imwrite(
        path,
        np.round(field * 65535).astype(np.uint16),
        photometric="rgb",
        iccprofile=standard_profile("opRGB"),
        resolution=(300, 300),
        resolutionunit="INCH",
    )
    return path


@pytest.fixture(scope="module")
def untagged_file(tmp_path_factory):
    import tifffile

    path = tmp_path_factory.mktemp("untagged") / "old scan.tif"
    fields = np.linspace(0, 255, 90 * 60 * 3).reshape(60, 90, 3).astype(np.uint8)
    tifffile.imwrite(path, fields, photometric="rgb")
    return path


def handle(page, name):
    return page.locator(f'.wb-desk [role=slider][aria-label="{name}"]:visible')


def move(page, name, kind, key="ArrowRight", times=4):
    """Move a slider with the keyboard and see pictures of that kind change."""
    handle(page, name).focus()
    for _ in range(times):
        # what a busy machine still changes is not this key's doing, and a slider that follows a
        # choice may not take a key before that has been seen to
        wait_for_kernel(page)
        before = pictures(page, kind=kind)
        page.keyboard.press(key)
        wait_for_new_picture(page, before, kind=kind)


def sentence(page, label):
    return page.locator(".wb-desk-answers .wb-answer", has_text=label).inner_text()


def wait_for_new_sentence(page, before):
    page.wait_for_function(
        """before => ![...document.querySelectorAll('.wb-desk-answers .wb-answer')].some(
            e => e.innerText === before)""",
        arg=before,
    )


def open_file(page, label, path):
    field = page.get_by_label(label, exact=True)
    field.fill(str(path))
    field.press("Enter")


def test_files_from_disk_and_a_knob_in_every_panel(shared_desk, picture_file):
    page = shared_desk.page
    go_to(page, "file")
    open_file(page, "Picture file (TIFF, PNG, JPEG)", picture_file)
    page.get_by_text("colour fields.tif on").wait_for()
    page.locator(".wb-facts", has_text="opRGB").first.wait_for()
    go_to(page, "shelf")
    open_file(page, "Paper profile (ICC output profile)", DATA / "FOGRA39L_coated.icc")
    page.get_by_text("colour fields.tif on FOGRA39L Coated").wait_for()
    go_to(page, "size")
    before = sentence(page, "Size")
    move(page, "Picture resolution (ppi)", "wb-plot", key="ArrowLeft")
    wait_for_new_sentence(page, before)

    go_to(page, "gamut")
    move(page, "Out-of-gamut threshold (CIEDE2000)", "wb-plot")
    move(page, "Out-of-gamut threshold (CIEDE2000)", "wb-picture")
    before = sentence(page, "Black point")  # what is out of gamut does not follow the intent
    page.get_by_label("Rendering intent", exact=True).select_option("perceptual")
    wait_for_new_sentence(page, before)

    go_to(page, "white")
    page.get_by_label("Seen beside", exact=True).select_option("brightened card")
    before = pictures(page)
    move(page, "Adaptation to paper white (%)", "wb-plot", key="PageUp")
    move(page, "Adaptation to paper white (%)", "wb-picture", key="PageUp")

    go_to(page, "black")
    before = sentence(page, "Black point")
    move(page, "Greys merge when closer than (CIEDE2000)", "wb-plot", key="PageUp")
    wait_for_new_sentence(page, before)
    before = pictures(page)
    page.get_by_label("Paper", exact=True).select_option(index=3)
    wait_for_new_picture(page, before)
    page.get_by_text("colour fields.tif on Invented").first.wait_for()

    page.locator(IN_PANEL).get_by_text("whole picture, every pixel").locator(
        "visible=true"
    ).first.wait_for()
    assert lab_errors(page) == []


def test_a_picture_without_a_profile_is_asked_about(desk_page, untagged_file):
    page = desk_page(image=untagged_file, papers=[DATA / "FOGRA39L_coated.icc"])
    page.get_by_text("does not say what its numbers mean").wait_for()
    shown = pictures(page, kind="wb-assumption")
    assert len(shown) == len(set(shown)) == 5
    page.get_by_role("button", name="ROMM RGB (ISO 22028-2)", exact=True).click()
    page.get_by_text("old scan.tif on FOGRA39L Coated").wait_for()
    page.locator(".wb-facts", has_text="ROMM RGB, chosen by you").first.wait_for()
    assert lab_errors(page) == []


def test_bad_files_get_a_sentence_and_the_desk_keeps_its_state(shared_desk, tmp_path):
    broken = tmp_path / "broken.tif"
    broken.write_bytes(b"II*\0" + bytes(40))
    text = tmp_path / "paper.icc"
    text.write_text("no profile at all " * 20)
    page = shared_desk.page
    go_to(page, "file")
    before = pictures(page)
    open_file(page, "Picture file (TIFF, PNG, JPEG)", broken)
    page.locator(".wb-problem:visible").first.wait_for()
    go_to(page, "shelf")
    open_file(page, "Paper profile (ICC output profile)", text)
    page.get_by_text("not an ICC colour profile").wait_for()
    assert pictures(page) == before
    assert lab_errors(page) == []


def test_lengths_stay_when_the_unit_changes_and_typed_numbers_as_typed(shared_desk, picture_file):
    page = shared_desk.page
    go_to(page, "file")
    open_file(page, "Picture file (TIFF, PNG, JPEG)", picture_file)
    go_to(page, "shelf")
    open_file(page, "Paper profile (ICC output profile)", DATA / "FOGRA39L_coated.icc")
    go_to(page, "size")
    page.get_by_text("colour fields.tif on FOGRA39L Coated").wait_for()

    def field(name):
        return page.locator(f'input[aria-label="{name}"]')

    # between two steps of the slider, which must not answer with the nearest
    field("Picture resolution (ppi)").fill("123.4")
    field("Picture resolution (ppi)").press("Enter")
    page.locator(".wb-desk-answers").get_by_text("18.5 × 12.4 cm, 123 ppi").wait_for()
    decides = page.get_by_label("What decides the size", exact=True)
    decides.select_option("the length of the long side")
    field("Long side (cm)").wait_for()
    assert field("Long side (cm)").input_value() == "18.5"
    unit = page.get_by_label("Show sizes in", exact=True)
    for name, said in (
        ("inches", "7.29 × 4.86 in"),
        ("mm", "185 × 124 mm"),
        ("cm", "18.5 × 12.4 cm"),
    ):
        unit.select_option(name)
        page.locator(".wb-desk-answers").get_by_text(f"{said}, 123 ppi").wait_for()
    decides.select_option("the resolution you choose")
    field("Picture resolution (ppi)").wait_for()
    assert field("Picture resolution (ppi)").input_value() == "123.4"
    assert lab_errors(page) == []


def test_opening_that_takes_long_is_stopped_by_its_button(shared_desk, tmp_path):
    page = shared_desk.page
    # 600 MB of nothing, in a file of 600 kB
    side, pack = 10_000, zlib.compressobj(1)
    rows = b"".join(pack.compress(bytes(6 * side + 1)) for _ in range(side)) + pack.flush()
    empty = png_chunk(b"IDAT", zlib.compress(bytes(100)))
    long = tmp_path / "long.png"
    long.write_bytes(png_header(side, side, 16).replace(empty, png_chunk(b"IDAT", rows)))
    go_to(page, "file")
    before = pictures(page)
    open_file(page, "Picture file (TIFF, PNG, JPEG)", long)
    page.get_by_text("10,000 × 10,000 pixels").first.wait_for()
    stop = page.get_by_role("button", name="Stop opening", exact=True)
    stop.click()
    page.get_by_text("Opening was stopped").wait_for()
    stop.wait_for(state="hidden")
    assert pictures(page) == before
    assert lab_errors(page) == []

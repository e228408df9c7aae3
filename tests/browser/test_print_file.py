"""From a picture to the written file, its job sheet and the record, in a real browser."""

from __future__ import annotations

import hashlib
import re

import tifffile
from browser.lab import go_to, lab_errors

import workbench as wb

IN_PANEL = ".wb-desk .wb-stage"


def test_from_picture_to_written_file_job_sheet_and_record(desk_page, open_page, tmp_path):
    folder = tmp_path / "for the printer"
    folder.mkdir()
    page = desk_page()

    # a strip first, whose step is liked and taken into the plan
    go_to(page, "strip")
    page.locator(f'{IN_PANEL} .wb-plot[aria-label*="as planned"]:visible').wait_for()
    page.get_by_label("Folder for the strip", exact=True).fill(str(folder))
    page.get_by_role("button", name="Write the strip").click()
    page.get_by_text(re.compile("Written")).first.wait_for()
    assert len(list(folder.glob("*.tif"))) == 1
    choice = page.get_by_label("Preferred step", exact=True)
    label = next(each for each in choice.locator("option").all_text_contents() if "lighter" in each)
    choice.select_option(label=label)
    page.get_by_text("with your adjustments").wait_for()

    go_to(page, "print_file")
    page.get_by_text("A TIFF file of 900 × 600 pixels").wait_for()
    page.get_by_label("Folder", exact=True).fill(str(folder))
    page.get_by_role("button", name="Write file, job sheet and plan").click()
    page.get_by_text("File, job sheet and plan are in").wait_for()
    (plan_path,) = folder.glob("*plan.toml")
    stem = plan_path.name.removesuffix(" plan.toml")
    written, html, pdf = (
        folder / f"{stem}{end}" for end in (".tif", " job sheet.html", " job sheet.pdf")
    )
    assert pdf.read_bytes().startswith(b"%PDF")
    with tifffile.TiffFile(written) as file:
        tags = file.pages[0].tags
        assert (tags["ImageWidth"].value, tags["ImageLength"].value) == (900, 600)
        assert tags["XResolution"].value == (360, 1)
    checksum = hashlib.sha256(written.read_bytes()).hexdigest()

    # the plan, opened without a browser, still holds the step that was liked
    assert wb.open_plan(plan_path).adjustments.mid_tones > 0

    sheet = open_page(html.as_uri())
    said = sheet.locator("body").inner_text()
    assert checksum[:8] in said.replace(" ", "") and "meadow" in said
    assert sheet.locator("img").evaluate("i => i.naturalWidth") > 100

    go_to(page, "record")
    page.get_by_text("Noted with it").wait_for()
    page.get_by_label("To change next time", exact=True).fill("A little warmer")
    page.get_by_role("button", name="Note this print").click()
    page.get_by_text("is in the record").wait_for()
    page.get_by_text("1 print").first.wait_for()
    assert lab_errors(page) == []

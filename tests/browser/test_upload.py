"""Files of any size from the browser: chosen, dragged onto the desk, cancelled."""

from __future__ import annotations

import numpy as np
import pytest
import tifffile
from browser.lab import go_to, lab_errors

from workbench.colour.spaces import standard_profile

# three and more times what one message may hold
LARGE_MB = 36


@pytest.fixture(scope="module")
def large(tmp_path_factory):
    path = tmp_path_factory.mktemp("large") / "moor.tif"
    rng = np.random.default_rng(5)
    pixels = rng.integers(0, 65535, (2000, 3000, 3), dtype=np.uint16)
    tifffile.imwrite(path, pixels, photometric="rgb", iccprofile=standard_profile("opRGB"))
    assert path.stat().st_size > LARGE_MB * 1_000_000 * 0.99
    return path


def on_the_desk(page, name):
    page.get_by_text(f"“{name}” is on the desk.").first.wait_for(state="attached", timeout=90_000)


@pytest.mark.long
def test_a_large_file_is_chosen(desk_page, large):
    page = desk_page()
    go_to(page, "file")
    with page.expect_file_chooser() as chosen:
        page.locator(".wb-desk button:visible", has_text="Send a file").first.click()
    chosen.value.set_files(str(large))
    on_the_desk(page, large.name)
    assert lab_errors(page) == []


def test_a_large_file_is_dragged_onto_the_desk(desk_page, large):
    page = desk_page()
    # playwright fills a file field; the drop itself is the page's own event with that file
    page.evaluate(
        """() => {
            const field = Object.assign(document.createElement('input'), {type: 'file'});
            field.id = 'from-the-desktop';
            document.body.append(field);
        }"""
    )
    page.locator("#from-the-desktop").set_input_files(str(large))
    over = page.evaluate(
        """() => {
            const data = new DataTransfer();
            data.items.add(document.getElementById('from-the-desktop').files[0]);
            const desk = document.querySelector('.wb-desk :is(img, canvas)');
            const tell = kind => desk.dispatchEvent(new DragEvent(
                kind, {dataTransfer: data, bubbles: true, cancelable: true}));
            tell('dragover');
            const outlined = document.querySelector('.wb-drop') !== null;
            tell('drop');
            return outlined;
        }"""
    )
    assert over
    on_the_desk(page, large.name)
    assert page.locator(".wb-drop").count() == 0
    assert lab_errors(page) == []

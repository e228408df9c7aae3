"""The start command: from an address on the terminal to a desk, without a click."""

from __future__ import annotations

import json
import re
import urllib.error
import urllib.request
from urllib.parse import urlsplit

import pytest
from browser.lab import (
    ROOT,
    START_COMMAND,
    fresh_clone,
    go_to,
    interrupt,
    lab_errors,
    run_by_hand,
    running_workbench,
    wait_for_desk,
    wait_for_kernel,
)

# stands in for the desk: a picture, a slider, and what the kernel knows of its start
SMALL_DESK = """\
import io, json
import ipywidgets as widgets
import workbench
from PIL import Image
file = io.BytesIO()
Image.new("RGB", (8, 8), "grey").save(file, "PNG")
slider, value = widgets.IntSlider(description="Level"), widgets.Label("0")
slider.observe(lambda change: setattr(value, "value", f"level {change.new}"), "value")
from workbench.files.session import named_here
named = named_here()
facts = [workbench.__file__, named.picture, named.papers]
with open("facts.json", "w") as told:
    json.dump(facts, told)
box = widgets.VBox([widgets.Image(value=file.getvalue()), slider, value])
box.add_class("wb-desk")
box
"""


def write_notebook(path, *sources):
    from workbench.launch.folder import desk_notebook

    notebook = desk_notebook()
    cell = notebook["cells"].pop()
    for number, source in enumerate(sources):
        notebook["cells"].append({**cell, "id": f"cell{number}", "metadata": {}, "source": source})
    path.write_text(json.dumps(notebook), encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return tmp_path_factory.mktemp("somebody's")


@pytest.fixture(scope="module")
def small_desk(folder):
    return write_notebook(folder / "small.ipynb", SMALL_DESK)


@pytest.fixture(scope="module")
def named(folder):
    """Picture and papers that are named on the command line."""
    names = ["a picture.tif", "paper one.icc", "papér:two.icc"]
    for name in names:
        (folder / name).write_bytes(b"any")
    return [str(folder / name) for name in names]


@pytest.fixture(scope="module")
def workbench(folder, small_desk, named):
    """One workbench with somebody's notebook for all tests that look at how it starts."""
    image, *papers = named
    arguments = ["--notebook", str(small_desk), image]
    for paper in papers:
        arguments += ["--paper", paper]
    with running_workbench(arguments, folder / "jupyter") as running:
        yield running


def press_first_slider(page, key="ArrowRight"):
    page.locator(".wb-desk .noUi-handle").first.focus()
    page.keyboard.press(key)


def desk_texts(page):
    return page.locator(".wb-desk").all_inner_texts()


def test_readme_names_the_command_that_these_tests_start():
    blocks = re.findall(
        r"^```\w*\n(.*?)\n```$", (ROOT / "README.md").read_text("utf-8"), re.M | re.S
    )
    assert "python " + " ".join(START_COMMAND[1:]) in blocks


# a page that is busy for three seconds when the state of its widgets comes, which it does not
# before Lab has begun to wait for them
SLOW_STATE = """
const kept = Object.getOwnPropertyDescriptor(WebSocket.prototype, 'onmessage');
const waiting = '.jp-OutputArea-output';
Object.defineProperty(WebSocket.prototype, 'onmessage', {...kept, set(handle) {
  let before = Promise.resolve();
  kept.set.call(this, handle && (event => before = before.then(async () => {
    const {data} = event;
    const text = typeof data === 'string' ? data : new TextDecoder().decode(data);
    if (text.includes('"update_states"')) {
      while (!document.querySelector(waiting)) await new Promise(go => setTimeout(go, 50));
      await new Promise(go => setTimeout(go, 500));
      const until = performance.now() + 3000;
      while (performance.now() < until);
    }
    handle.call(this, event);
  })));
}});
"""


def test_nobody_else_s_cell_runs_without_a_click(open_page, workbench, folder, named):
    page = open_page(workbench.address)
    wait_for_kernel(page)
    assert not (folder / "facts.json").exists()
    run_by_hand(page)
    wait_for_desk(page)
    press_first_slider(page)
    page.get_by_text("level 1", exact=True).wait_for()
    assert page.locator(".jp-OutputPrompt").all_inner_texts() == ["[1]:"]
    assert lab_errors(page) == []

    # the kernel got the files and this package
    package, image, papers = json.loads((folder / "facts.json").read_text())
    assert package == str(ROOT / "workbench" / "__init__.py")
    assert [image, *papers] == named

    # a page that is loaded again keeps the knobs, even where reading its state takes so long
    # that Lab gives the widget up
    page.keyboard.press("Control+s")
    page.get_by_text("Saving completed").wait_for()
    page.add_init_script(SLOW_STATE)
    given_up = []
    page.on("console", lambda said: given_up.append(said.text) if "not found" in said.text else 0)
    page.reload()
    wait_for_desk(page)
    assert any("widget model not found" in text for text in given_up)
    page.get_by_text("level 1", exact=True).wait_for()
    assert page.locator(".jp-OutputPrompt").all_inner_texts() == ["[1]:"]  # run once, not again
    # what Lab remembered of the page for this goes with the server: next time it starts afresh
    assert not (folder / "jupyter" / "workspaces").exists()


def test_a_move_of_a_slider_has_nothing_else_fetched_or_measured(open_page, workbench):
    page = open_page(workbench.address)
    run_by_hand(page)
    wait_for_desk(page)
    wait_for_kernel(page)
    assert page.locator(".jp-NotebookPanel-toolbar [data-jp-item-name]").count() > 5
    assert page.locator("[data-jp-item-name=executionProgress]").count() == 0
    asked = []
    page.on("request", lambda request: asked.append(request.url))
    said = page.get_by_text(re.compile(r"^level \d+$"))
    before = said.inner_text() if said.count() else ""
    press_first_slider(page)
    page.wait_for_function(
        "before => [...document.querySelectorAll('.wb-desk .widget-label')]"
        ".some(({textContent: said}) => said.startsWith('level') && said !== before)",
        arg=before,
    )
    wait_for_kernel(page)
    assert [url for url in asked if "favicon" in url] == []


def test_only_the_desk_is_run_by_opening_it(open_page, workbench, small_desk, folder):
    other = write_notebook(folder / "other.ipynb", "open('ran.txt', 'w').close()", "'by hand'")
    own = f"workspaces/other/tree/{other.name}"  # where the first notebook is not open beside it
    page = open_page(workbench.address.replace(f"tree/{small_desk.name}", own))
    wait_for_kernel(page)
    page.locator(".jp-Cell .jp-InputPrompt").last.click()
    page.locator(".jp-Cell.jp-mod-selected .jp-InputArea", has_text="by hand").wait_for()
    page.keyboard.press("Control+Enter")
    prompts = page.locator(".jp-OutputPrompt")
    prompts.first.wait_for()
    # the first thing that the kernel was given is the cell that was run by hand
    assert prompts.all_inner_texts() == ["[1]:"]
    assert not (folder / "ran.txt").exists()


LECTURE = (
    "import workbench as wb\nlecture = wb.lecture(wb.demo_picture(), wb.demo_papers())\nlecture",
    "lecture.guess('Which?', ['this', 'that'], 1, 'That, by far.')",
    "lecture.knob(lambda limit: f'at {limit:g}', threshold=(1, 2, 4))",
)


def test_a_lecture_is_presented_by_keyboard(open_page, workbench, small_desk, folder):
    notebook = write_notebook(folder / "lecture.ipynb", *LECTURE)
    content = json.loads(notebook.read_text())
    heads = [
        {"cell_type": "markdown", "id": f"head{number}", "metadata": {}, "source": words}
        for number, words in enumerate(("# What is it?", "## Your guess", "## Turn the knob"))
    ]
    content["cells"] = [cell for pair in zip(heads, content["cells"], strict=True) for cell in pair]
    notebook.write_text(json.dumps(content))
    own = f"workspaces/lecture/tree/{notebook.name}"
    page = open_page(workbench.address.replace(f"tree/{small_desk.name}", own), (1280, 720))
    wait_for_kernel(page)
    page.locator(".jp-Notebook .jp-Cell").first.click()
    page.get_by_role("menuitem", name="Run", exact=True).click()
    page.get_by_text("Run All Cells", exact=True).click()
    page.get_by_text("at 1", exact=True).wait_for()
    page.get_by_role("button", name="Present").click()
    foot = page.locator(".wb-stage-foot")
    page.get_by_text(re.compile(r"^1 / 3")).wait_for()

    def seen(words):
        return page.locator(".wb-stage :is(h1, h2, p)", has_text=words).first.is_visible()

    # one idea, large, and nothing else: neither code nor what surrounds the notebook
    assert seen("What is it?") and not seen("Your guess")
    assert page.locator(".wb-stage .jp-InputArea-editor:visible").count() == 0
    covered = "([x, y]) => document.elementFromPoint(x, y).closest('.wb-stage') !== null"
    assert all(page.evaluate(covered, at) for at in ([5, 5], [1275, 5], [5, 715], [1275, 715]))
    high = {}
    for size in ((1280, 720), (1920, 1080)):
        page.set_viewport_size(dict(zip(("width", "height"), size, strict=True)))
        page.wait_for_function("high => innerHeight === high", arg=size[1])
        high[size] = page.locator(".wb-stage h1").bounding_box()["height"]
    assert high[1280, 720] > 50
    assert high[1920, 1080] == pytest.approx(1.5 * high[1280, 720], rel=0.02)

    page.keyboard.press("PageDown")
    page.get_by_role("button", name="that", exact=True).click()
    page.get_by_text("1 vote", exact=True).wait_for()
    assert page.get_by_text("That, by far.", exact=True).count() == 0
    page.keyboard.press("r")
    page.get_by_text("That, by far.", exact=True).wait_for()
    page.keyboard.press("ArrowRight")
    page.get_by_text(re.compile(r"^3 / 3")).wait_for()
    slider = page.get_by_role("slider", name="Out-of-gamut threshold")
    slider.press("ArrowRight")
    page.get_by_text("at 2", exact=True).wait_for()
    # a knob keeps its arrows; remote controls send Page Up
    page.keyboard.press("PageUp")
    page.keyboard.press("0")
    page.get_by_text("1 vote", exact=True).wait_for(state="hidden")
    assert foot.inner_text().startswith("1 / 3")
    page.keyboard.press("End")
    page.get_by_text("at 1", exact=True).wait_for()
    page.keyboard.press("Escape")
    assert page.locator(".wb-stage").count() == 0 and foot.count() == 0
    assert lab_errors(page) == []


def test_no_token_no_answer_and_ctrl_c_ends_everything(workbench):
    address = urlsplit(workbench.address)
    assert address.hostname == "127.0.0.1"
    contents = f"http://{address.netloc}/api/contents"
    with urllib.request.urlopen(f"{contents}?{address.query}", timeout=10) as answer:
        assert answer.status == 200
    with pytest.raises(urllib.error.HTTPError, match="403"):
        urllib.request.urlopen(contents, timeout=10)
    interrupt(workbench.process)
    assert workbench.process.wait(timeout=15) == 0
    assert "Traceback" not in workbench.text()
    assert "has ended" in workbench.text()


def test_the_page_asks_this_machine_only_and_the_person_nothing(open_page, meadow, tmp_path):
    hosts = set()
    own = ["--notebook", str(tmp_path / "my-desk.ipynb"), str(meadow)]
    with running_workbench(own, tmp_path / "jupyter") as workbench:
        page = open_page("about:blank")
        page.on("request", lambda request: hosts.add(urlsplit(request.url).hostname))
        page.goto(workbench.address)
        wait_for_desk(page)
        # the side bar makes room, and no question is asked
        assert not page.locator("#jp-left-stack").is_visible()
        assert page.locator(".jp-Dialog").count() == 0
        assert page.locator(".Toastify__toast").count() == 0
    assert hosts - {None} == {"127.0.0.1"}


def test_a_fresh_clone_opens_a_desk_that_answers(open_page, tmp_path):
    clone = fresh_clone(tmp_path)
    with running_workbench([], tmp_path / "jupyter", cwd=clone) as workbench:
        page = open_page(workbench.address)
        wait_for_desk(page)
        go_to(page, "size")
        page.locator(".wb-desk .noUi-handle").first.wait_for()
        before = desk_texts(page)
        press_first_slider(page)
        page.wait_for_function(
            "before => document.querySelector('.wb-desk').innerText !== before", arg=before[0]
        )
        assert lab_errors(page) == []
    assert (clone / "notebooks" / "my-desk.ipynb").is_file()

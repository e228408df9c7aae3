"""A plot's pixels in a real browser: to the bit those of the figure, whatever came when."""

from __future__ import annotations

import base64

import numpy as np
import pytest
from browser.lab import bare_page, pixels_of

from workbench.figures import style
from workbench.figures.live import LiveFigure
from workbench.panels import parts
from workbench.panels.parts.plot_image import PlotImage

# a model as the page has it: what it was sent is handed on in the order in which it came
PAGE = """
async source => {
  const url = URL.createObjectURL(new Blob([source], { type: "text/javascript" }));
  const { render } = (await import(url)).default;
  const view = text => {
    const data = Uint8Array.from(atob(text), c => c.charCodeAt(0));
    const apart = new Uint8Array(data.length + 3); /* not where whole numbers may begin */
    apart.set(data, 3);
    return new DataView(apart.buffer, 3, data.length);
  };
  window.begin = () => {
    document.body.replaceChildren();
    const hears = { "change:whole": [], "msg:custom": [] };
    let whole = {};
    window.asked = [];
    const model = {
      get: () => whole,
      on: (event, does) => hears[event].push(does),
      off: (event, does) => { hears[event] = hears[event].filter(each => each !== does); },
      send: content => asked.push(content.have),
    };
    window.open_view = () => render({ model, el: document.body.appendChild(document.createElement("div")) });
    window.hear = messages => {
      for (const { kind, number, buffers, ...more } of messages) {
        if (kind === "whole") {
          whole = { ...more, number, data: view(buffers[0]) };
          for (const does of hears["change:whole"]) does();
        } else for (const does of hears["msg:custom"]) does({ number }, buffers.map(view));
      }
    };
  };
  window.canvases = () => [...document.querySelectorAll("canvas")];
  window.read = which => {
    const canvas = canvases()[which];
    const { width, height } = canvas;
    const { data } = canvas.getContext("2d").getImageData(0, 0, width, height);
    return { data: coded(data), width, height };
  };
}
"""


class Wave(LiveFigure):
    def __init__(self):
        super().__init__(420, 240)
        self.axes = style.add_axes(self.figure, xlim=(0, 1), ylim=(-1, 1), xlabel="across")
        self.line = self.moving(style.line(self.axes, [], [], "paper"))
        self.said = self.moving(style.words(self.axes, 0.1, 0.8, ""))

    def update(self, phase):
        x = np.linspace(0, 1, 200)
        self.line.set_data(x, np.sin(9 * x + phase))
        self.said.set_text(f"phase {phase:.2f}")


def coded(data) -> str:
    return base64.b64encode(bytes(data)).decode()


class Sent(PlotImage):
    """Keeps what it sends."""

    def __init__(self):
        self.messages = []
        super().__init__(parts.Front())
        self.observe(self._whole, "whole")

    def _whole(self, _):
        facts = dict(self.whole)
        self.messages.append({"kind": "whole", "buffers": [coded(facts.pop("data"))], **facts})

    def send(self, content, buffers=None):
        if buffers:
            self.messages.append({"kind": "change", "buffers": [*map(coded, buffers)], **content})

    def taken(self):
        messages, self.messages = self.messages, []
        return messages


@pytest.fixture(scope="module")
def without_jupyter(chromium):
    with bare_page(chromium, PAGE, PlotImage._esm) as page:
        yield page


@pytest.fixture
def page(without_jupyter):
    without_jupyter.evaluate("begin()")
    yield without_jupyter
    assert without_jupyter.errors == []


@pytest.fixture
def plot():
    figure, image = Wave(), Sent()

    def show(phase, size=None):
        if size:
            figure.set_size(*size)
        figure.update(phase)
        image.show(figure.rgba(), figure.size_px)
        return image.taken()

    show.figure, show.image = figure, image
    return show


def assert_shown(page, plot, which=0):
    page.wait_for_function(
        "([which, n]) => canvases()[which]?.dataset.frame?.endsWith(`frame ${n}`)",
        arg=[which, plot.image.number],
        timeout=5_000,
    )
    drawn = pixels_of(page.evaluate("which => read(which)", which))
    assert (drawn == plot.figure.rgba()).all()


def test_every_move_is_shown_to_the_bit(page, plot):
    page.evaluate("void open_view()")
    assert page.locator("canvas").is_hidden()  # nothing to see yet
    kinds = set()
    for phase in np.linspace(0, 2, 12):
        messages = plot(phase)
        kinds |= {each["kind"] for each in messages}
        page.evaluate("hear", messages)
        assert_shown(page, plot)
    assert kinds == {"whole", "change"}
    assert page.locator("canvas").bounding_box()["width"] == 420


def test_changes_wait_for_a_picture_that_is_still_being_decoded(page, plot):
    page.evaluate("void open_view()")
    page.evaluate("hear", [*plot(0), *plot(0.1), *plot(0.2), *plot(0.3, (360, 200)), *plot(0.4)])
    assert_shown(page, plot)
    assert page.evaluate("asked") == [0]  # only as it was opened


def test_what_a_page_has_missed_it_asks_for(page, plot):
    page.evaluate("void open_view()")
    page.evaluate("hear", plot(0))
    assert_shown(page, plot)
    plot(0.5)  # never comes
    page.evaluate("hear", [*plot(1.0), *plot(1.1)])
    assert page.evaluate("asked") == [0, 1]  # once
    plot.image._handle_custom_msg({"have": 1}, [])
    # it moves on before the answer is there: changes overtake a whole on their way
    answer, moved = plot.image.taken(), plot(1.2)
    page.evaluate("hear", [*moved, *answer])
    assert_shown(page, plot)
    plot(1.3)
    page.evaluate("hear", plot(1.4))
    assert page.evaluate("asked") == [0, 1, 6]  # and again, if it lacks something again


def test_a_view_opened_later_says_what_it_has(page, plot):
    page.evaluate("hear", [*plot(0), *plot(0.5)])  # nobody looks
    page.evaluate("void open_view()")
    page.wait_for_function("asked.length > 0")
    assert page.evaluate("asked") == [1]
    plot.image._handle_custom_msg({"have": 1}, [])
    page.evaluate("hear", plot.image.taken())
    assert_shown(page, plot)
    page.evaluate("void open_view()")
    for phase in (0.6, 0.7):
        page.evaluate("hear", plot(phase))
    assert_shown(page, plot, 0)
    assert_shown(page, plot, 1)

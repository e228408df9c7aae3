"""What of a plot is sent to the page when it changes."""

from __future__ import annotations

import io

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from PIL import Image

from workbench.panels import parts
from workbench.panels.parts.plot_image import PlotImage, changed_runs

pixel = st.integers(0, 3)


@given(st.lists(st.tuples(pixel, pixel), min_size=1, max_size=80))
def test_runs_bring_a_picture_up_to_date(pairs):
    before, now = np.array(pairs, np.uint32).T
    assume((before != now).any())
    runs, values = changed_runs(before != now, now)
    brought, at = before.copy(), 0
    for start, length in runs:
        brought[start : start + length] = values[at : at + length]
        at += length
    assert at == len(values) and (brought == now).all()


def test_changes_far_apart_are_sent_alone():
    before = np.zeros((100, 200), np.uint32)
    now = before.copy()
    now[10, 20:30] = 7
    now[10, 34] = 7  # so near that it costs less to send what lies between
    now[90, 199] = 8
    runs, values = changed_runs(before != now, now)
    assert runs.tolist() == [[2020, 15], [18199, 1]]
    assert values.tolist() == [7] * 10 + [0] * 4 + [7, 8]


@pytest.fixture
def image(monkeypatch):
    image = PlotImage(parts.Front())
    image.sent = []
    monkeypatch.setattr(image, "send", lambda content, buffers: image.sent.append(buffers))
    return image


def shown(grey, width=60, height=40):
    rgba = np.full((height, width, 4), 255, np.uint8)
    rgba[..., :3] = grey
    return rgba


def test_the_first_state_and_another_size_are_sent_whole(image):
    assert not image.shown and image.value == b""
    image.show(shown(10), (60, 40))
    assert (image.whole["number"], image.whole["width"], image.sent) == (1, 60, [])
    assert (
        np.asarray(Image.open(io.BytesIO(image.whole["data"]))).tolist()
        == np.full((40, 60, 3), 10).tolist()
    )
    image.show(shown(10), (30, 20))  # as many pixels, on a finer screen
    assert (image.whole["number"], image.whole["width"], image.sent) == (2, 30, [])
    image.show(shown(10, 90), (30, 20))
    assert (image.whole["number"], image.sent) == (3, [])


def test_then_only_what_changes_and_nothing_where_nothing_does(image):
    image.show(shown(10), (60, 40))
    other = shown(10)
    other[5, 7] = 99, 98, 97, 255
    image.show(other, (60, 40))
    ((runs, values),) = image.sent
    assert np.frombuffer(runs, np.uint32).tolist() == [5 * 60 + 7, 1]
    assert list(values) == [99, 98, 97, 255]  # as a canvas has them
    image.show(other.copy(), (60, 40))
    assert len(image.sent) == 1 and image.number == 2
    assert Image.open(io.BytesIO(image.value)).getpixel((7, 5)) == (99, 98, 97)
    assert image.whole["number"] == 1


def test_a_large_change_is_sent_compressed(image):
    image.show(shown(10, 600, 400), (600, 400))
    image.show(shown(11, 600, 400), (600, 400))
    assert (image.sent, image.whole["number"]) == ([], 2)


def test_a_page_that_lacks_something_is_sent_all(image):
    image._handle_custom_msg({"have": 0}, [])
    assert image.whole == {}  # nothing is shown yet
    image.show(shown(10), (60, 40))
    image.show(shown(20), (60, 40))
    image._handle_custom_msg({"have": 2}, [])
    assert image.whole["number"] == 1
    image._handle_custom_msg({"have": 1}, [])
    assert image.whole["number"] == 3
    assert Image.open(io.BytesIO(image.whole["data"])).getpixel((0, 0)) == (20, 20, 20)

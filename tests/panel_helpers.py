"""What the page and its reader do to a panel, without a browser."""

from __future__ import annotations

import io

import numpy as np
from PIL import Image


def settle(panel):
    """Wait until no lane has anything to do; what one finds may set another to work."""
    for _ in range(3):
        assert panel.front.scheduler.wait_until_idle(60)


def choose(control, label):
    """Pick the entry of this label, in a list or in a list with a field."""
    field = getattr(control, "choice", control).field
    labels = [option if isinstance(option, str) else option[0] for option in field.options]
    field.set_state({"index": labels.index(label)})


def slide(control, value):
    control.slider.set_state({"value": value})


def type_in(control, text):
    """Type into a field, or into the one that the last entry of a list opens."""
    if hasattr(control, "choice"):
        field = control.choice.field
        field.set_state({"index": len(field.options) - 1})
        control = control.typed
    control.field.set_state({"value": text})


def open_typed(chooser, path):
    """Type a path and press the button beside it."""
    type_in(chooser.path, str(path))
    chooser.open_button.click()


def page_says(front, widget, event, data=None, **content):
    """Send the message the page would send for a tagged widget."""
    name = next(c for c in widget._dom_classes if c.startswith("wb-id-"))
    buffers = [] if data is None else [memoryview(data)]
    front._handle_custom_msg({"class": name, "event": event, **content}, buffers)


def send_file(front, widget, name, data, *, upload="u", event="files", size=None, piece=4):
    """Send a file as the page does, all pieces that it gets answers for."""
    told = {"name": name, "size": len(data) if size is None else size, "upload": upload}
    page_says(front, widget, event, **told)
    for at in range(0, len(data), piece):
        page_says(front, widget, event, data[at : at + piece], offset=at, **told)


def rows(panel) -> list[str]:
    """The lines of a panel's table."""
    return [label.replace("\u00a0", " ") for label, _ in panel.view.table.list.options]


def pick(panel, index):
    """Go to a line of a panel's table, as the arrow keys do."""
    panel.view.table.list.set_state({"index": index})


def decoded(image) -> np.ndarray:
    """(h, w, 3) uint8 of an image on the page."""
    return np.asarray(Image.open(io.BytesIO(bytes(image.value))).convert("RGB"))


def shown(view) -> np.ndarray:
    """(h, w, 3) uint8 of a picture view, or of a live one that shows pictures, once it is lossless."""
    view = getattr(view, "flat", view)
    assert view.wait_until_settled()
    return decoded(view.image)

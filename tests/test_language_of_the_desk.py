"""Whatever the desk says is in the language in use: every text of every panel, in two languages."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys

import pytest
from babel.messages.pofile import read_po

from workbench.language import CATALOGS

# all that a desk with every panel open shows or has read aloud, piece by piece
TEXTS = r"""
import json, re, time
import numpy as np
from ipywidgets.widgets.widget import _instances
from workbench.panels.desk import Desk
from workbench.panels.registry import PANELS
from workbench.picture import from_pixels

found = set()

def keep(value):
    if isinstance(value, str):
        found.update(part.strip() for part in re.split("<style>.*?</style>|<[^>]*>", value, flags=re.S))
    elif isinstance(value, (list, tuple)):
        for each in value:
            keep(each)

across, down = np.meshgrid(np.linspace(0, 1, 360), np.linspace(0, 1, 240))
pixels = np.stack([across, down, across * down], -1) * 65535
desk = Desk(from_pixels(pixels.astype(np.uint16), "ROMM RGB", name="Invented slope"))
for name in PANELS:
    desk.go_to(name)
deadline, waiting = time.monotonic() + 60, True
while waiting and time.monotonic() < deadline:
    time.sleep(0.5)
    waiting = any("wb-status-work" in getattr(w, "_dom_classes", ()) for w in _instances.values())
for widget in list(_instances.values()):
    for trait in ("description", "tooltip", "placeholder", "_options_labels"):
        keep(getattr(widget, trait, ""))
    if type(widget).__name__ == "HTML":
        keep(widget.value)
    for tab in getattr(widget, "tabs", ()):
        keep(tab[1:3])
for mark in desk.front.marks.values():
    for attribute in ("aria-label", "title", "alt"):
        keep(mark.get(attribute, ""))
print(json.dumps(sorted(found)))
"""
# names, formats and standards are the same in every language
NAMES = re.compile(
    r"(\d\. )?Invented |ROMM RGB|opRGB|eciRGB|sRGB|Display P3|ISO |CIE |XYZ|LED-|[AB]\d \(ISO|\d+ ppi"
    r"|EUR$|Letter$|Lab$|\d Proof$|TIFF|PNG|~?/|WORKBENCH_|D50, |40 x 60 cm"
)


def texts(language: str) -> set[str]:
    done = subprocess.run(
        [sys.executable, "-c", TEXTS],
        env=os.environ | {"WORKBENCH_LANGUAGE": language},
        capture_output=True,
        text=True,
        timeout=300,
    )
    assert done.returncode == 0, done.stderr
    return {text for text in json.loads(done.stdout) if re.search("[A-Za-z]{3}", text)}


@pytest.mark.slow
def test_everything_that_is_said_is_said_in_german():
    german, english = texts("de"), texts("en")
    assert len(german) > 1000 and len(english) > 1000
    with open(CATALOGS / "de.po", "rb") as file:
        same = {each.id for each in read_po(file, locale="de") if each.id == each.string}
    left = {text for text in german & english if text not in same and not NAMES.match(text)}
    assert left == set()

"""What many tests start from: two papers, a picture, a plan of both, and panels at rest."""

from __future__ import annotations

import re
import sys
from contextlib import ExitStack

import english  # noqa: F401 (before the workbench is loaded)
import numpy as np
import pytest
from helpers import coated_profile, model_paper
from panel_helpers import settle

from workbench.panels import parts
from workbench.paper import open_paper
from workbench.picture import from_pixels
from workbench.plan import Plan

# marks of whole folders and files, and of cases of a test; what is one test carries its own
_MARKED = {
    "slow": (
        r"attacks/",
        r"test_notebooks.py",
        r"test_one_answer.py",
        r"library/test_(edits_random|crash).py",
        r"record/test_record_(crash|damage).py",
        r"target/test_scan.py",
    ),
    "long": (
        r"test_wheel.py",
        # cases that say little that their like, which always run, do not say
        r"attacks/test_writers.py::test_a_disk_that_refuses.*-(5|122)]",
        r"attacks/test_.*_of_strangers.py::test_(tables_run|the_job_sheet_holds|texts_of_a_picture).*"
        r"\[(quotes|controls|half letters|command|template)]",
        r"attacks/test_desk_under_fire.py::test_a_storm.*\[(white|black|size)]",
        r"output/test_let_go.py::.*\[(telling|suggested)]",
        r"output/test_solved.py::test_a_print_has_one_price\[changes[1357]-",
    ),
}


def pytest_collection_modifyitems(items):
    for item in items:
        name = item.nodeid.removeprefix("tests/")
        for mark, names in _MARKED.items():
            if any(re.match(each, name) for each in names):
                item.add_marker(mark)


@pytest.fixture(scope="session", autouse=True)
def own_cache(tmp_path_factory):
    """What is remembered between sessions is not the person's own."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_CACHE_HOME", str(tmp_path_factory.mktemp("cache")))
        patch.setenv("XDG_DATA_HOME", str(tmp_path_factory.mktemp("data")))
        yield


@pytest.fixture(scope="module", autouse=True)
def widgets_go():
    """A file's widgets end with it: ipywidgets keeps each that is not closed, with all it shows."""
    yield
    if "ipywidgets" in sys.modules:
        sys.modules["ipywidgets"].Widget.close_all()


@pytest.fixture(scope="session")
def gloss():
    return model_paper("Gloss", (96, 0, -4), 2.3, "gloss")


@pytest.fixture(scope="session")
def matte():
    return model_paper("Rag", (95, 1, 4), 1.6, "matte")


@pytest.fixture(scope="session")
def coated():
    """The open coated press condition: a CMYK profile that others have made."""
    return open_paper(coated_profile())


@pytest.fixture(scope="session")
def papers(gloss, matte):
    return gloss, matte


@pytest.fixture(scope="session")
def picture():
    """A dark lower half with fine detail, a light upper half."""
    rng = np.random.default_rng(3)
    pixels = rng.integers(120, 240, (700, 1000, 3), dtype=np.uint8)
    pixels[350:] = rng.integers(0, 40, (350, 1000, 1), dtype=np.uint8)
    return from_pixels(pixels, "sRGB", name="half dark")


@pytest.fixture
def plan(papers, picture):
    return Plan(papers=papers, paper=papers[0], picture=picture)


@pytest.fixture
def open_panel():
    """`open_panel(kind, plan)`: a panel at rest, whose threads end with the test."""
    with ExitStack() as stack:

        def open_panel(kind, *given, **named):
            panel = kind(*given, **named)
            stack.callback(panel.front.scheduler.close)
            settle(panel)
            return panel

        yield open_panel


@pytest.fixture
def front():
    made = parts.Front()
    yield made
    made.scheduler.close()


@pytest.fixture
def status(front):
    return parts.StatusLine(front)

"""Words that were given up for our own or for a standard's do not come back.

Names, labels, keys and outlines on this list belong to somebody else, or coincide with
theirs; what is seen or read by a person goes without them.
"""

import ast
import json
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]

RETIRED = (
    # labels and keys
    r"^Leave it$",
    r"(?i)\bhold[ _]against\b",
    r"(?i)\bdevelop it first\b",
    r"^Rating\b",
    r"(?i)\bworking[ -]spaces?\b",
    r"(?i)\boffice sheet\b",
    # encodings of colour
    r"(?i)\badobe[ -]?rgb\b",
    r"(?i)\bpro[ -]?photo\b",
    r"(?i)\bgr[ea]y gamma\b",
    # an outline and its count
    r"(?i)\bfive[ -]characteristics\b",
    r"(?i)\bcharacteristics of (a )?(fine[ -]art )?papers?\b",
    # papers, and what their packets say
    r"(?i)\b(tarn gloss|heron satin|linden smooth|ochre rag|quartz bright)\b",
    r"(?i)\b310 ?g(sm|/m)",
    r"(?i)\b(semi-?gloss photo|glossy photo|fine art) paper\b",
    # opinions that stood as targets
    r"(?i)\breference print of wide\b",
    # endings and heads of files
    r"(?i)\.(ti[123]|mxf|cie)\b",
    # English that nobody speaks
    r"(?<![Tt]here )\b(is|are) no (?!longer\b)",
    r"^Waits\b",
    # marks and their parts
    r"(?i)\bspokes?\b",
)
# so that files of former versions open; it writes none of its names
FORMER = "workbench/plan_file/former_names.py"


def literals(path: Path):
    """Every string of a module, its docstrings among them, parts of f-strings one by one."""
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Constant) and isinstance(node.value, str):
            yield node.value


def sources(path: Path):
    """The text of a notebook's cells."""
    for cell in json.loads(path.read_text("utf-8"))["cells"]:
        yield "".join(cell["source"])


def read_by_people():
    """(where, text) of all that a person may come to see."""
    for path in sorted((ROOT / "workbench").rglob("*")):
        where = path.relative_to(ROOT).as_posix()
        if "__pycache__" in path.parts:
            continue
        yield where, where
        if path.suffix == ".py":
            if where != FORMER:
                yield from ((where, text) for text in literals(path))
        elif path.suffix in (".js", ".css", ".json"):
            yield where, path.read_text("utf-8")
    for path in sorted((ROOT / "notebooks").rglob("*")):
        where = path.relative_to(ROOT).as_posix()
        if ".ipynb_checkpoints" in path.parts:
            continue
        yield where, where
        if path.suffix == ".ipynb":
            yield from ((where, text) for text in sources(path))
        elif path.suffix == ".md" and "_build" not in path.parts:
            yield where, path.read_text("utf-8")
    for name in ("README.md", "DEVELOPERS.md", "pyproject.toml", "environment.yml"):
        yield name, (ROOT / name).read_text("utf-8")
    for path in sorted((ROOT / "tests").rglob("*")):
        if "__pycache__" not in path.parts:
            yield "tests", path.relative_to(ROOT).as_posix()


@pytest.fixture(scope="module")
def seen():
    return tuple(read_by_people())


@pytest.mark.parametrize("word", RETIRED)
def test_no_retired_word_is_read_by_people(word, seen):
    pattern = re.compile(word, re.MULTILINE)
    found = {f"{where}: {text[:80]!r}" for where, text in seen if pattern.search(text)}
    assert not found


def test_the_search_sees_what_people_see(seen):
    """Labels, cells, styles, file names and docstrings are all among what is searched."""
    texts = {text for _, text in seen}
    places = {where for where, _ in seen}
    assert "Put it away" in texts
    assert {"README.md", "workbench/panels/parts/style.css", "notebooks/workbench.ipynb"} <= places
    assert any(text.startswith("Words that were given up") for text in literals(Path(__file__)))
    assert any(re.search(RETIRED[0], text) for text in ("a label\nLeave it\n".splitlines()))

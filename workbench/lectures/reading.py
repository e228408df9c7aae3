"""A lecture taken out of its notebook: steps of words, figures, tables and questions."""

from __future__ import annotations

import json
import re
from dataclasses import dataclass, field

from workbench.errors import FileError, WorkbenchError
from workbench.files import path_of, read_regular
from workbench.language import tr
from workbench.lectures.shown import MIME

MOST_BYTES = 512 * 2**20
# headings of what belongs to the room, not to a sheet of paper: as the lectures that come with
# the workbench have them, whatever the language in use, and as lectures in that language do
_LEFT_OUT = (
    *("On a projector", "What no projector shows", "Go on"),
    *(tr("On a projector"), tr("What no projector shows"), tr("Go on")),
)
_SECONDS = 600


@dataclass
class Step:
    """What is on the screen at a time.

    Attributes
    ----------
    title, level : of its heading; 1 for the lecture's own.
    parts : dicts with a ``kind``: "words" and "point" with ``text``, "source" with ``text``,
        and what `Shown` and the widgets tell.
    """

    title: str
    level: int
    parts: list[dict] = field(default_factory=list)


def read_lecture(notebook) -> list[Step]:
    """A lecture's steps, in order, without those that are of no use on paper.

    Parameters
    ----------
    notebook : path of a notebook, or its content as a dict. One that was saved without outputs
        is run first, in its own folder, and left as it is.

    Raises
    ------
    FileError
        for a file that is not a notebook or cannot be read.
    WorkbenchError
        for a notebook that does not run to its end, or has no heading.
    """
    content = notebook if isinstance(notebook, dict) else _loaded(notebook)
    cells = content.get("cells", [])
    if not any(cell.get("outputs") for cell in cells):
        folder = None if isinstance(notebook, dict) else str(path_of(notebook).parent)
        cells = _run(content, folder)
    steps: list[Step] = []
    for cell in cells:
        source = "".join(cell["source"])
        if cell["cell_type"] == "markdown":
            for found in markdown_parts(source):
                if found["kind"] == "heading":
                    steps.append(Step(found["text"], found["level"]))
                elif steps:
                    steps[-1].parts.append(found)
        elif steps:
            for output in cell.get("outputs", ()):
                told = output.get("data", {}).get(MIME)
                if told is not None:
                    steps[-1].parts.append(told)
    if not steps or steps[0].level != 1:
        raise WorkbenchError(
            tr("This notebook does not begin with a heading, so it is not a lecture.")
        )
    return [step for step in steps if step.title not in _LEFT_OUT]


def markdown_parts(source: str) -> list[dict]:
    """The few kinds of Markdown that lectures are written in, as parts.

    >>> [part["kind"] for part in markdown_parts("## Why\\n\\nSo **it** is.\\n\\n- a\\n- b")]
    ['heading', 'words', 'point', 'point']
    >>> markdown_parts("<details><summary>Source</summary>\\n\\nISO 5-1.\\n\\n</details>")
    [{'kind': 'source', 'text': 'ISO 5-1.'}]
    """
    parts: list[dict] = []
    inside = False
    for block in re.split(r"\n\s*\n", source.strip()):
        lines = block.strip().splitlines()
        if not lines:
            continue
        if lines[0].startswith("<details"):
            inside = True
        elif lines[0].startswith("</details"):
            inside = False
        elif head := re.match(r"(#{1,6}) +(.*)", lines[0]):
            parts.append({"kind": "heading", "level": len(head[1]), "text": plain(head[2])})
        elif re.match(r"[-*] ", lines[0]):
            for point in re.split(r"\n(?=[-*] )", "\n".join(lines)):
                parts.append({"kind": "point", "text": plain(point[2:])})
        else:
            parts.append({"kind": "source" if inside else "words", "text": plain(" ".join(lines))})
    return parts


def letter(place: int) -> str:
    """What an option is called on paper, by its place from 0."""
    return chr(ord("A") + place)


def under_picture(part: dict) -> str:
    """What stands below a figure, or below a knob as it was left; "" for nothing."""
    told = part.get("caption") or part.get("said") or ""
    if part["kind"] == "knob":
        return f"{part['label']}: {part['stops'][part['at']]}. {told}"
    return told


def plain(text: str) -> str:
    """Markdown's marks taken away.

    >>> plain("A b\\\\* below *zero*, `x`")
    'A b* below zero, x'
    """
    text = " ".join(text.split())
    text = re.sub(r"(?<!\\)(\*\*|`)", "", text)
    text = re.sub(r"(?<![\\\w])\*(\S[^*]*?)(?<!\\)\*(?!\w)", r"\1", text)
    return text.replace("\\*", "*")


def _loaded(path) -> dict:
    file = path_of(path)
    try:
        content = json.loads(read_regular(file, MOST_BYTES))
        whole = all({"cell_type", "source"} <= cell.keys() for cell in content["cells"])
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        whole = False
    if not whole:
        raise FileError(tr("“{name}” is not a notebook that can be read.", name=file.name))
    return content


def _run(content: dict, folder: str | None) -> list:
    import nbformat
    from nbclient import NotebookClient
    from nbclient.exceptions import CellExecutionError

    notebook = nbformat.from_dict(content)
    where = {"metadata": {"path": folder}} if folder else {}
    try:
        NotebookClient(notebook, timeout=_SECONDS, kernel_name="python3", resources=where).execute()
    except CellExecutionError as problem:
        raise WorkbenchError(
            tr(
                "The notebook does not run to its end: {error}: {why}",
                error=problem.ename,
                why=problem.evalue,
            )
        ) from None
    return notebook["cells"]

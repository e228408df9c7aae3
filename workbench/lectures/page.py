"""A lecture as one HTML file that needs neither Python nor network, nor any script."""

from __future__ import annotations

from html import escape

from workbench.errors import OutputError
from workbench.files import check_target, write_whole
from workbench.language import LANGUAGE, tr
from workbench.lectures.reading import Step, letter, read_lecture, under_picture

MOST_BYTES = 10_000_000
_STYLE = """
body { font: 17px/1.5 system-ui, sans-serif; color: #1f1f1f; background: #fff; max-width: 820px;
  margin: 0 auto; padding: 16px; }
img { max-width: 100%; height: auto; } figure { margin: 12px 0; }
table { border-collapse: collapse; font-size: 15px; display: block; overflow-x: auto; }
th, td { text-align: left; padding: 4px 16px 4px 0; border-bottom: 1px solid #ccc; }
details { margin: 8px 0; } summary { cursor: pointer; color: #00527f; }
.question { font-weight: 600; }
"""


def write_lecture_page(notebook, path, *, overwrite: bool = False):
    """Write a lecture as one HTML file to take home, made from its notebook.

    Figures and knobs are still pictures; answers and sources open with a click. The page has
    no scripts and asks nobody for anything: its content security policy forbids both.

    Parameters
    ----------
    notebook : path of the notebook, or its content as a dict; one without outputs is run first.
    path : of the file; must end in .html.
    overwrite : a file of that name may be replaced.

    Returns
    -------
    The path written.

    Raises
    ------
    OutputError
        for another ending, a page beyond 10 MB, or where it cannot be written.
    FileError, WorkbenchError
        for what is not a notebook, or one that does not run to its end.

    Examples
    --------
    >>> notebook = {"cells": [{"cell_type": "markdown", "source": "# Why?", "outputs": [0]}]}
    >>> wb.write_lecture_page(notebook, folder / "why.html").name
    'why.html'
    """
    target = check_target(path, overwrite=overwrite)
    if target.suffix.lower() not in (".html", ".htm"):
        raise OutputError(
            tr("“{name}” is a web page; let its name end in .html.", name=target.name)
        )
    data = lecture_page(read_lecture(notebook)).encode()
    if len(data) > MOST_BYTES:
        raise OutputError(
            tr(
                "The page would be {megabytes:.0f} MB large; show fewer or smaller figures, up to "
                "{most:.0f} MB.",
                megabytes=len(data) / 1e6,
                most=MOST_BYTES / 1e6,
            )
        )
    return write_whole(target, data, overwrite=overwrite)


def lecture_page(steps: list[Step]) -> str:
    """The page of a lecture's steps, all words escaped."""
    title = escape(steps[0].title)
    body = "\n".join(_step(step) for step in steps)
    return (
        f'<!doctype html><html lang="{LANGUAGE}"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width">'
        '<meta http-equiv="Content-Security-Policy" '
        "content=\"default-src 'none'; img-src data:; style-src 'unsafe-inline'\">"
        f"<title>{title}</title><style>{_STYLE}</style></head>\n<body><main>{body}</main></body></html>\n"
    )


def _step(step: Step) -> str:
    level = min(step.level, 3)
    return f"<h{level}>{escape(step.title)}</h{level}>" + "".join(map(_part, step.parts))


def _part(part: dict) -> str:
    kind = part["kind"]
    if kind == "words":
        return f"<p>{escape(part['text'])}</p>"
    if kind == "point":
        return f"<ul><li>{escape(part['text'])}</li></ul>"
    if kind == "source":
        return _hidden(tr("Source"), part["text"])
    if kind == "said":
        return "".join(f"<p>{escape(each)}</p>" for each in part["sentences"])
    if kind in ("figure", "knob"):
        return _figure(part)
    if kind == "table":
        rows = "".join(f"<tr>{_cells(row, 'td')}</tr>" for row in part["rows"])
        caption = f"<p>{escape(part['caption'])}</p>" if part.get("caption") else ""
        return f"<table><tr>{_cells(part['heads'], 'th')}</tr>{rows}</table>{caption}"
    if kind in ("guess", "exercise"):
        options = "".join(f"<li>{escape(each)}</li>" for each in part.get("options") or ())
        listed = f'<ol type="A">{options}</ol>' if options else ""
        right = f"{letter(part['right'])}. " if options else ""
        return f'<p class="question">{escape(part["question"])}</p>{listed}' + _hidden(
            tr("Answer"), right + part["answer"]
        )
    return ""


def _figure(part: dict) -> str:
    picture = ""
    if part.get("png"):
        picture = (
            f'<img alt="{escape(part["alt"])}" src="data:image/png;base64,{escape(part["png"])}">'
        )
    return f"<figure>{picture}<figcaption>{escape(under_picture(part))}</figcaption></figure>"


def _hidden(summary: str, text: str) -> str:
    return f"<details><summary>{escape(summary)}</summary><p>{escape(text)}</p></details>"


def _cells(cells, name: str) -> str:
    return "".join(f"<{name}>{escape(cell)}</{name}>" for cell in cells)

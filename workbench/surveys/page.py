"""A survey as one page of thumbnails: for each paper, those with most of a figure first."""

from __future__ import annotations

import base64
import heapq
from html import escape
from pathlib import Path

from workbench.analysis.gamut import counted_words
from workbench.errors import WorkbenchError
from workbench.files import clean_text
from workbench.files.writing import check_target, written_whole
from workbench.language import LANGUAGE, tr
from workbench.surveys.judging import COLUMNS, KEYS, UNIT_WORDS

_NUMBERS = {column.key: column for column in COLUMNS if column.kind is float}
# what hangs on the threshold of colours out of gamut
_BEYOND = ("share_outside", "share_too_saturated", "share_too_dark", "share_too_light")

_HEAD = """<!doctype html><html lang="{language}"><meta charset="utf-8">
<meta http-equiv="Content-Security-Policy"
 content="default-src 'none'; img-src data:; style-src 'unsafe-inline'">
<meta name="viewport" content="width=device-width">
<title>{title}</title><style>
body{{font:15px/1.4 system-ui,sans-serif;margin:2rem;background:#eee;color:#222}}
ul{{list-style:none;padding:0;display:grid;gap:1rem;
grid-template-columns:repeat(auto-fill,minmax(170px,1fr))}}
li{{background:#fff;padding:5px}}img{{display:block;margin:auto;max-width:100%}}
p{{margin:.4rem 0 0;overflow-wrap:anywhere}}b{{font-variant-numeric:tabular-nums}}
</style><h1>{title}</h1><p>{said}</p>"""


def write_page(survey, path, by: str, most: int, overwrite: bool) -> Path:
    """Write the page; whole or not at all.  WorkbenchError for a figure that is not one."""
    if by not in _NUMBERS:
        raise WorkbenchError(
            tr("Sort by one of {listed}, not by {by!r}.", listed=", ".join(_NUMBERS), by=by)
        )
    column, target = _NUMBERS[by], check_target(path, overwrite=overwrite)
    first = _first(survey, KEYS.index(by), max(1, int(most)))
    with written_whole(target, overwrite=overwrite) as unfinished:
        write = lambda text: unfinished.stream.write(text.encode())  # noqa: E731
        title = tr("{title}, picture by picture", title=column.title)
        said = survey.sentence
        if by in _BEYOND:
            said = f"{said} {counted_words(survey.threshold)}"
        write(_HEAD.format(language=LANGUAGE, title=escape(title), said=escape(said)))
        for paper, found in zip(survey.papers, first, strict=True):
            write(f"<h2>{escape(clean_text(paper))}</h2><ul>")
            for value, _, judged in found:
                write(_item(judged, value, column))
            write("</ul>")
        if survey.failures:
            write("<h2>" + escape(tr("Not judged")) + "</h2><ul>")
            for where, why in survey.failures[:most]:
                write(f"<li><p>{escape(_name(where))}</p><p>{escape(clean_text(why))}</p></li>")
            write("</ul>")
        write("</html>\n")
    return target


def _first(survey, at: int, most: int) -> list[list[tuple]]:
    """For each paper the pictures with most of a figure; only these are held."""
    heaps: list[list[tuple]] = [[] for _ in survey.papers]
    for number, judged in enumerate(survey.judged()):
        for heap, row in zip(heaps, judged.rows, strict=False):
            if row[at] is not None:
                item = (row[at], -number, judged)
                (heapq.heappush if len(heap) < most else heapq.heappushpop)(heap, item)
    return [sorted(heap, reverse=True) for heap in heaps]


def _item(judged, value: float, column) -> str:
    name = escape(_name(judged.path))
    data = base64.b64encode(judged.thumb).decode()
    told = (
        tr("{value:.1f} %", value=100 * value)
        if column.unit == "share"
        else tr("{value:.4g} {unit}", value=value, unit=UNIT_WORDS.get(column.unit, column.unit))
    )
    return (
        f'<li><img alt="{name}" src="data:image/jpeg;base64,{data}">'
        f"<p>{name}<br><b>{escape(told)}</b></p></li>"
    )


def _name(path: str) -> str:
    return clean_text(Path(path).name)

"""What a lecture shows beside its words: figures, tables and sentences, as HTML and as data.

Each output carries its parts as data under `MIME` as well; handouts and pages are made from these.
"""

from __future__ import annotations

import base64
import io
import re
from html import escape

from workbench.language import tr

MIME = "application/vnd.print-planning.lecture+json"
FIGURE_PX = (800, 400)
# so fine that it fills a projector of 1920 pixels
_SCALE = 2.4


class Shown:
    """One output of a lecture.

    Attributes
    ----------
    told : its parts: ``kind`` ("figure", "table", "said" or "source") and what belongs to it.
    """

    def __init__(self, told: dict, html: str):
        self.told, self._html = told, html

    def _repr_mimebundle_(self, **options) -> dict:
        return {
            "text/html": f'<div class="wb-lecture">{self._html}</div>',
            "text/plain": self.told.get("alt") or self.told["kind"],
            MIME: self.told,
        }


def figure_shown(thing, alt: str = "", caption: str = "", size_px=FIGURE_PX) -> Shown:
    """A figure, proof, picture or result as a picture of the page."""
    data, said = png_of(thing, size_px)
    alt, code = alt or said, base64.b64encode(data).decode()
    html = f'<figure><img alt="{escape(alt)}" src="data:image/png;base64,{code}">'
    if caption:
        html += f"<figcaption>{escape(caption)}</figcaption>"
    told = {"kind": "figure", "alt": alt, "caption": caption, "png": code}
    return Shown(told, html + "</figure>")


def table_shown(heads, rows, caption: str = "") -> Shown:
    """A small table; cells are words, numbers stand to the right."""
    heads, rows = [tidy(head) for head in heads], [[tidy(cell) for cell in row] for row in rows]
    head = "".join(f'<th scope="col">{escape(each)}</th>' for each in heads)
    body = "".join(
        "<tr>" + "".join(f"<td{_side(cell)}>{escape(cell)}</td>" for cell in row) + "</tr>"
        for row in rows
    )
    said = f"<caption>{escape(caption)}</caption>" if caption else ""
    html = f"<table>{said}<thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>"
    return Shown({"kind": "table", "heads": heads, "rows": rows, "caption": caption}, html)


def said_shown(sentences) -> Shown:
    """Sentences, one below the other."""
    sentences = [tidy(each) for each in sentences if str(each)]
    html = f"<p>{escape(sentences[0])}</p>" if len(sentences) == 1 else _listed(sentences)
    return Shown({"kind": "said", "sentences": sentences}, html)


def source_shown(sentences) -> Shown:
    """Sources behind a line that opens them."""
    sentences = [tidy(each) for each in sentences]
    html = f"<details><summary>{escape(tr('Source'))}</summary>{_listed(sentences)}</details>"
    return Shown({"kind": "source", "text": " ".join(f"{each}." for each in sentences)}, html)


def _listed(sentences) -> str:
    return "<ul>" + "".join(f"<li>{escape(each)}</li>" for each in sentences) + "</ul>"


def tidy(text) -> str:
    """Text as it is set: a space before the per cent sign, and a true minus.

    >>> tidy("-3.1%"), tidy("5 to 8"), tidy("black-and-white")
    ('−3.1 %', '5 to 8', 'black-and-white')
    """
    spaced = re.sub(r"(?<=\d)%", " %", str(text))
    return re.sub(r"(?<![\w.)])-(?=\d)", "−", spaced)


def is_number(cell: str) -> bool:
    """Whether a cell is a figure, perhaps with its unit.

    >>> is_number("−3.1 %"), is_number("4.1:1"), is_number("matte")
    (True, True, False)
    """
    return cell.lstrip("+−-–× ")[:1].isdigit() and sum(map(str.isalpha, cell)) < 6


def _side(cell: str) -> str:
    return ' class="wb-number-cell"' if is_number(cell) else ""


def png_of(thing, size_px=FIGURE_PX) -> tuple[bytes, str]:
    """Bytes of a PNG, and what it shows in words where the thing says so.

    Parameters
    ----------
    thing : a result with a plot, a live figure, a matplotlib Figure, a proof, an array of
        (h, w, 3) uint8 sRGB, or the bytes themselves.
    size_px : of the plot of a result, in CSS pixels.
    """
    from workbench.analysis.proof import Proof
    from workbench.analysis.words import SHORT_INTENT_NAMES
    from workbench.figures.live import LiveFigure, png_bytes
    from workbench.output.proof_file import proof_png
    from workbench.results import Result

    if isinstance(thing, bytes):
        return thing, ""
    if isinstance(thing, Proof):
        return proof_png(thing), tr(
            "The picture as it will print, {intent}", intent=SHORT_INTENT_NAMES[thing.intent]
        )
    said = ""
    if isinstance(thing, Result):
        said, thing = thing._said(), thing._drawn(*size_px)
    if isinstance(thing, LiveFigure):
        thing.set_scale(_SCALE)
        return thing.render(), said
    if hasattr(thing, "savefig"):
        out = io.BytesIO()
        thing.savefig(out, format="png", dpi=100 * _SCALE, facecolor=thing.get_facecolor())
        return out.getvalue(), getattr(thing, "alt_text", "")
    return png_bytes(thing), ""

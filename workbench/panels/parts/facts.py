"""Tables of figures as several panels show them."""

from __future__ import annotations

import re
from html import escape

from workbench.analysis.printed_black import DARKEST
from workbench.analysis.words import lab_text, volume_words
from workbench.language import tr

_LAB = re.compile(r"(?<=\b[Lab]\*) (?=[\d+−])")


def facts_table(rows, head=(), *, strong: int | None = None, css: str = "") -> str:
    """HTML of rows of texts, escaped; the first of each names its row.

    Parameters
    ----------
    rows : such as (name, value); all as long as ``head`` where there is one.
    head : titles of the columns.
    strong : index of the row that is the present choice.
    css : a class more, for a look of its own.

    Examples
    --------
    >>> facts_table([("Weight", "247 g/m²")]).count("<tr>")
    1
    """
    body = _line("th", "col", head) if head else ""
    for number, (name, *cells) in enumerate(rows):
        mark = ' style="font-weight:600" aria-current="true"' if number == strong else ""
        body += _line("td", "row", (name, *cells), mark)
    return (
        f'<table class="{f"wb-facts {css}".strip()} tex2jax_ignore mathjax_ignore">{body}</table>'
    )


def _line(kind: str, scope: str, cells, mark: str = "") -> str:
    # no line parts a coordinate from its value
    first, *others = (escape(_LAB.sub("\u00a0", str(cell))) for cell in cells)
    rest = ' scope="col"' if kind == "th" else ""
    # a column without a title has no header either
    begin = f'<th scope="{scope}">{first}</th>' if first else "<td></td>"
    return (
        f"<tr{mark}>{begin}"
        + "".join(f"<{kind}{rest}>{cell}</{kind}>" if cell else "<td></td>" for cell in others)
        + "</tr>"
    )


def profile_rows(told) -> tuple[tuple[str, str], ...]:
    """What a profile says of its paper's white, darkest colour and gamut, as (name, value)."""
    return (
        (
            tr("White (absolute)"),
            lab_text(told.white_lab) if told.white_is_known else tr("not stated by the profile"),
        ),
        (
            tr("{darkest} (absolute)", darkest=DARKEST),
            tr(
                "{lab}; density {density:.2f}",
                lab=lab_text(told.black_lab),
                density=told.black_density,
            ),
        ),
        (
            tr("Gamut volume"),
            tr("{volume} cubic Lab units (absolute)", volume=volume_words(told.gamut_volume)),
        ),
    )

"""Tables of figures, and Lab in words, as several panels show them."""

from __future__ import annotations

from html import escape

from workbench.analysis.words import signed


def facts_table(rows, head=()) -> str:
    """HTML of rows of texts, escaped; the first of each names its row.

    Parameters
    ----------
    rows : such as (name, value); all as long as ``head`` where there is one.
    head : titles of the columns.
    """
    top = "".join(f'<th scope="col">{escape(title)}</th>' for title in head)
    body = "".join(
        f'<tr><th scope="row">{escape(name)}</th>'
        + "".join(f"<td>{escape(cell)}</td>" for cell in cells)
        + "</tr>"
        for name, *cells in rows
    )
    top = f"<tr>{top}</tr>" if top else ""
    return f'<table class="wb-facts tex2jax_ignore mathjax_ignore">{top}{body}</table>'


def lab_text(lab) -> str:
    """Such as “L* 95.0, a* +0.1, b* −2.0”."""
    return f"L* {lab[0]:.1f}, a* {signed(lab[1])}, b* {signed(lab[2])}"

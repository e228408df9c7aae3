"""Tables of figures, and Lab in words, as several panels show them."""

from __future__ import annotations

from html import escape

from workbench.analysis.words import signed


def facts_table(rows) -> str:
    """HTML of (name, value) rows, escaped."""
    body = "".join(
        f'<tr><th scope="row">{escape(name)}</th><td>{escape(value)}</td></tr>'
        for name, value in rows
    )
    return f'<table class="wb-facts tex2jax_ignore mathjax_ignore">{body}</table>'


def lab_text(lab) -> str:
    """Such as “L* 95.0, a* +0.1, b* −2.0”."""
    return f"L* {lab[0]:.1f}, a* {signed(lab[1])}, b* {signed(lab[2])}"

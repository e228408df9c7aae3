"""What the target panel says: its tables and lists."""

from __future__ import annotations

from html import escape

from workbench.analysis.words import lab_text
from workbench.language import numeral, tr
from workbench.panels.parts.facts import facts_table
from workbench.target.measured import Measured
from workbench.target.patches import patch_label
from workbench.target.verdict import Verdict

_PLAIN = "tex2jax_ignore mathjax_ignore"


def limits_html(judged: Verdict) -> str:
    """HTML table of the limits: what was found, what is allowed, where the limit comes from."""
    return facts_table(
        [
            (
                o.name,
                numeral(o.value, ".2f"),
                numeral(o.at_most),
                o.unit,
                tr("yes") if o.passed else tr("no: over"),
                o.source,
            )
            for o in judged.outcomes
        ],
        (
            tr("Figure"),
            tr("Found (absolute)"),
            tr("At most"),
            tr("Unit"),
            tr("Kept"),
            tr("Source of the limit"),
        ),
    )


def patches_html(measured: Measured, judged: Verdict) -> str:
    """HTML table of every patch, the farthest off first."""
    target = measured.target
    return facts_table(
        [
            (
                target.ids[i],
                patch_label(target.names[i]),
                numeral(judged.difference[i], ".2f"),
                lab_text(target.reference_lab[i]),
                lab_text(measured.lab[i]),
            )
            for i in (-judged.difference).argsort(kind="stable")
        ],
        (tr("Patch"), tr("Colour"), "CIEDE2000", tr("Expected (absolute)"), tr("Found (absolute)")),
    )


def list_html(sentences) -> str:
    """HTML list of sentences; empty for none."""
    items = "".join(f'<li class="{_PLAIN}">{escape(said)}</li>' for said in sentences)
    return f'<ul style="margin: 4px 0">{items}</ul>' if items else ""


def read_words(measured: Measured) -> list[str]:
    """What was read, and how, in sentences."""
    if measured.caveat:
        return [measured.caveat, *measured.notes]
    said = tr("Read from “{name}” as {stated}", name=measured.name, stated=measured.stated)
    if measured.condition:
        said += tr(", measurement condition {condition} (ISO 13655)", condition=measured.condition)
    if measured.readings > 1:
        said += tr(
            "; {readings} readings of each patch, which scatter by {scatter:.2f} CIEDE2000 "
            "around their mean",
            readings=measured.readings,
            scatter=measured.scatter,
        )
    return [f"{said}.", *measured.notes]

"""The job sheet as a page of HTML: one text that needs no other file."""

from __future__ import annotations

from base64 import b64encode
from html import escape

from workbench.output.job_facts import COST

# longer words would push the page over its end; nothing that has to be set is longer
_LONGEST, _LONGEST_NOTES, _LONGEST_STEP = 90, 400, 220
# type sizes in points, largest first, with what the longer column may come to: lines of
# type on the shorter of the two usual pages (Letter), found with a full page in a browser
_SIZES = ((9.2, 50), (8.6, 54), (8.0, 59), (7.4, 65), (6.8, 73), (6.2, 200))
# letters in a line at 9.2 points: of a value, of a step
_VALUE_LETTERS, _STEP_LETTERS = 29, 46


def page(sheet, small_picture: bytes | None) -> str:
    """The page of a `JobSheet`.

    Parameters
    ----------
    small_picture : a PNG or JPEG file, or None.
    """
    first, *others = sheet.groups
    image = ""
    if small_picture is not None:
        kind = "png" if small_picture.startswith(b"\x89PNG") else "jpeg"
        data = b64encode(small_picture).decode("ascii")
        alt = escape(f"The print as it will look: {_cut(sheet.title)}")
        image = f'<img alt="{alt}" src="data:image/{kind};base64,{data}">'
    cautions = "".join(f"<p class=caution>{escape(_cut(each))}</p>" for each in sheet.cautions)
    notes = ""
    if sheet.notes:
        words = escape(_cut(" / ".join(sheet.notes.split("\n")), _LONGEST_NOTES))
        notes = f"<section><h2>Notes</h2><p>{words}</p></section>"
    return _PAGE.format(
        size=_type_size(sheet),
        title=escape(_cut(sheet.title)),
        subtitle=escape(_cut(sheet.subtitle)),
        image=f'<div class="picture">{image}</div>' if image else "",
        cautions=cautions,
        settings=_table(first, "settings"),
        steps="".join(
            "<li><label><input type=checkbox> "
            f"<span>{escape(_cut(step, _LONGEST_STEP))}</span></label></li>"
            for step in sheet.checklist
        ),
        groups="".join(_table(group) for group in others if group.title != COST),
        cost="".join(_table(group) for group in others if group.title == COST),
        notes=notes,
        checksums="".join(
            f"<p>{escape(label)} <code>{escape(value)}</code></p>"
            for label, value in sheet.checksums
        ),
        footnote=escape(sheet.footnote),
    )


def _table(group, kind: str = "") -> str:
    rows = "".join(
        f"<tr><th scope=row>{escape(label)}</th><td>{escape(_cut(value))}</td></tr>"
        for label, value in group.rows
    )
    mark = f' class="{kind}"' if kind else ""
    return f"<section{mark}><h2>{escape(group.title)}</h2><table>{rows}</table></section>"


def _cut(text: str, letters: int = _LONGEST) -> str:
    text = " ".join(text.split())
    return text if len(text) <= letters else text[: letters - 1].rstrip() + "…"


def _type_size(sheet) -> float:
    """The largest type with which the page stays one page, by counting lines."""
    for size, most in _SIZES:
        grown = 9.2 / size
        values = [
            _lines(_cut(value), _VALUE_LETTERS * grown)
            for group in sheet.groups
            if group.title != COST
            for _, value in group.rows
        ]
        facts = sum(values) + 2 * len(sheet.groups)
        steps = sum(_lines(step, _STEP_LETTERS * grown) + 0.35 for step in sheet.checklist)
        # the picture takes as much as some fifteen lines
        left = 17 + steps + 2 * len(sheet.groups[-1].rows) * (sheet.groups[-1].title == COST)
        left += 2 + _lines(sheet.notes[:_LONGEST_NOTES], _STEP_LETTERS * grown)
        above = 2 * len(sheet.cautions) + _lines(_cut(sheet.title), 48) * 1.5
        if max(facts, left) + above <= most:
            return size
    return _SIZES[-1][0]


def _lines(text: str, letters: float) -> int:
    return max(1, -(-len(text) // max(1, int(letters))))


_PAGE = """<!DOCTYPE html>
<html lang="en"><head><meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>Job sheet: {title}</title>
<style>
@page {{ margin: 11mm 12mm; }}
* {{ box-sizing: border-box; }}
html {{ background: #777; }}
body {{ margin: 0; color: #111; font: {size}pt/1.32 "DejaVu Sans", system-ui, sans-serif; }}
main {{ width: 202mm; margin: 6mm auto; padding: 10mm; background: #fff; }}
header {{ border-bottom: 1.5pt solid #111; padding-bottom: 1.5mm; margin-bottom: 3.5mm; }}
p {{ margin: 0; overflow-wrap: anywhere; }}
h1 {{ margin: 0; font-size: 17pt; line-height: 1.15; overflow-wrap: anywhere; }}
h2 {{ margin: 0 0 .3em; font-size: 1em; }}
.kind, th, footer {{ color: #555; }}
.kind {{ font-size: 8pt; }}
.columns {{ display: grid; grid-template-columns: 45% 1fr; gap: 0 8mm; }}
.picture {{ background: #777; padding: 3mm; margin-bottom: 4mm; }}
.picture img {{ max-width: 100%; max-height: 58mm; display: block; margin: auto; }}
section {{ margin-bottom: .8em; break-inside: avoid; }}
table {{ border-collapse: collapse; width: 100%; table-layout: fixed; }}
th, td {{ text-align: left; vertical-align: top; padding: .06em 0; overflow-wrap: anywhere; }}
th {{ font-weight: normal; width: 42%; padding-right: .5em; }}
th {{ font-size: .92em; line-height: 1.43; }}
.settings td {{ font-weight: 600; }}
.settings th {{ width: 34%; }}
.settings tr > * {{ padding: .18em 0; }}
.settings tr + tr > * {{ border-top: .4pt solid #ccc; }}
code {{ font: 7pt "DejaVu Sans Mono", ui-monospace, monospace; color: #111; }}
ul {{ list-style: none; margin: 0; padding: 0; }}
li {{ margin-bottom: .35em; break-inside: avoid; }}
label {{ display: grid; grid-template-columns: 5mm 1fr; overflow-wrap: anywhere; }}
input {{ appearance: none; width: 3.2mm; height: 3.2mm; margin: .3mm 0 0; }}
input {{ border: .9pt solid #111; }}
input:checked {{ background: #111; }}
input:focus-visible {{ outline: 2pt solid #0072B2; }}
.caution {{ border-left: 3pt solid #D55E00; padding-left: 2.5mm; margin-bottom: 2.5mm; }}
.caution {{ font-weight: 600; }}
.hand {{ display: flex; gap: 8mm; font-size: 8.5pt; margin: 0 0 3mm; }}
.hand span {{ flex: 1; border-bottom: .6pt solid #111; padding-bottom: 4.5mm; }}
footer {{ border-top: .4pt solid #999; padding-top: 1mm; font-size: 7pt; }}
@media screen and (max-width: 780px) {{
  main {{ width: auto; margin: 0; padding: 5mm; }}
  .columns {{ display: block; }}
}}
@media print {{
  html {{ background: #fff; }}
  main {{ width: auto; margin: 0; padding: 0; }}
  .picture {{ print-color-adjust: exact; -webkit-print-color-adjust: exact; }}
}}
</style></head><body><main>
<header><p class="kind">Job sheet</p><h1>{title}</h1><p>{subtitle}</p></header>
{cautions}
<div class="columns">
<div>{image}<section><h2>In the printer's dialog</h2><ul>{steps}</ul></section>{cost}{notes}</div>
<div>{settings}{groups}</div>
</div>
<p class="hand"><span>Printed on</span><span>By</span><span>Print no.</span></p>
<footer>{checksums}<p>{footnote}</p></footer>
</main></body></html>
"""

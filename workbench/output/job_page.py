"""The job sheet as a page of HTML: one text that needs no other file."""

from __future__ import annotations

from base64 import b64encode
from html import escape
from textwrap import wrap

from workbench.analysis.sheets import MM_PER_INCH
from workbench.language import LANGUAGE, tr
from workbench.output.job_facts import COST

# longer words are cut: nothing that has to be set is as long
_LONGEST, _LONGEST_NOTES, _LONGEST_STEP = 110, 400, 220
# type sizes in points with the lines that one value may take, in the order of trying:
# smaller type on a full page, and where that is not enough, values cut with "…"
_TRIED = ((9.2, 3), (8.8, 3), (8.4, 3), (8.0, 3), (7.6, 3), (7.2, 3), (6.8, 3), (6.8, 2),
          (6.4, 2), (6.2, 1))  # fmt: skip
_MM = MM_PER_INCH / 72
_LINE = 1.32
# of an em, letters of wide type on the average; bold ones are wider
_LETTER, _BOLD = 0.57, 0.64
# on the shorter of the two usual pages (Letter) and the narrower (A4), inside their margins
_PAGE_HEIGHT, _STEP_WIDTH, _VALUE_WIDTH, _SETTING_WIDTH = 256.0, 78.0, 54.0, 62.0
_PICTURE_WIDTH, _PICTURE, _AROUND, _HEAD, _FOOT = 77.7, 58.0, 10.0, 16.0, 26.0


def page(sheet, small_picture: bytes | None) -> str:
    """The page of a `JobSheet`.

    Parameters
    ----------
    small_picture : a PNG or JPEG file, or None.
    """
    first, *others = sheet.groups
    size, most = _fitting(sheet, _picture_mm(small_picture))
    image = ""
    if small_picture is not None:
        kind = "png" if small_picture.startswith(b"\x89PNG") else "jpeg"
        data = b64encode(small_picture).decode("ascii")
        alt = escape(tr("The print as it will look: {title}", title=_cut(sheet.title)))
        image = f'<img alt="{alt}" src="data:image/{kind};base64,{data}">'
    cautions = "".join(f"<p class=caution>{escape(_cut(each))}</p>" for each in sheet.cautions)
    notes = ""
    if sheet.notes:
        words = escape(_cut(" / ".join(sheet.notes.split("\n")), _LONGEST_NOTES))
        head = _html(tr("Notes"))
        notes = f"<section><h2>{head}</h2><p>{words}</p></section>"
    return _PAGE.format(
        size=size,
        most=most,
        most_step=most + 1,
        language=LANGUAGE,
        kind=_html(tr("Job sheet")),
        head=escape(tr("Job sheet: {title}", title=_cut(sheet.title))),
        dialog=_html(tr("In the printer's dialog")),
        printed_on=_html(tr("Printed on")),
        by=_html(tr("By")),
        number=_html(tr("Print no.")),
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


def _html(text: str) -> str:
    return escape(text, quote=False)


def _table(group, kind: str = "") -> str:
    rows = "".join(
        f"<tr><th scope=row>{escape(label)}</th><td><div>{escape(_cut(value))}</div></td></tr>"
        for label, value in group.rows
    )
    mark = f' class="{kind}"' if kind else ""
    return f"<section{mark}><h2>{escape(group.title)}</h2><table>{rows}</table></section>"


def _cut(text: str, letters: int = _LONGEST) -> str:
    text = " ".join(text.split())
    return text if len(text) <= letters else text[: letters - 1].rstrip() + "…"


def _picture_mm(small_picture: bytes | None) -> float:
    """How high the small picture stands on the page, with what is around it."""
    if small_picture is None:
        return 0.0
    if not small_picture.startswith(b"\x89PNG"):
        return _PICTURE + _AROUND
    # the first chunk begins with width and height (PNG, 11.2.1)
    width, height = (int.from_bytes(small_picture[at : at + 4], "big") for at in (16, 20))
    return min(_PICTURE, _PICTURE_WIDTH * height / max(width, 1)) + _AROUND


def _fitting(sheet, picture_mm: float) -> tuple[float, int]:
    """The largest type, and lines to a value, with which all stays on one page."""
    for size, most in _TRIED:
        if _height_mm(sheet, size, most, picture_mm) <= _PAGE_HEIGHT:
            return size, most
    return _TRIED[-1]


def _height_mm(sheet, size: float, most: int, picture_mm: float) -> float:
    """About how high the page gets, by counting letters."""
    em = size * _MM

    def lines(text: str, width: float, limit: int, letter: float = _LETTER) -> int:
        return min(limit, _lines(_cut(text, _LONGEST_STEP), width / (letter * em)))

    def table(group, width: float, letter: float, space: float) -> float:
        rows = [lines(value, width, most, letter) * _LINE + space for _, value in group.rows]
        return (sum(rows) + _LINE + 1.2) * em

    first, *others = sheet.groups
    right = table(first, _SETTING_WIDTH, _BOLD, 0.45)
    left = picture_mm
    steps = [lines(step, _STEP_WIDTH, most + 1) * _LINE + 0.4 for step in sheet.checklist]
    left += (sum(steps) + _LINE + 1.2) * em
    for group in others:
        height = table(group, _VALUE_WIDTH, _LETTER, 0.2)
        left, right = (left + height, right) if group.title == COST else (left, right + height)
    if sheet.notes:
        notes = _lines(_cut(sheet.notes, _LONGEST_NOTES), (_STEP_WIDTH + 5) / (_LETTER * em))
        left += (notes * _LINE + _LINE + 1.2) * em
    above = _HEAD + 7 * (_lines(_cut(sheet.title), 44) - 1)
    above += 4 * _lines(_cut(sheet.subtitle), 186 / (_LETTER * em))
    above += sum(
        _lines(_cut(each), 180 / (_BOLD * em)) * _LINE * em + 2.5 for each in sheet.cautions
    )
    return above + max(left, right) + _FOOT


def _lines(text: str, letters: float) -> int:
    """How many lines of so many letters a text takes."""
    letters = max(4, int(letters))
    return max(1, len(wrap(text, letters)))


_PAGE = """<!DOCTYPE html>
<html lang="{language}"><head><meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{head}</title>
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
header, .caution, .hand, footer {{ flex: none; }}
.kind {{ font-size: 8pt; }}
.columns {{ display: grid; grid-template-columns: 45% 1fr; gap: 0 8mm; }}
.picture {{ background: #777; padding: 3mm; margin-bottom: 4mm; }}
.picture img {{ max-width: 100%; max-height: 58mm; display: block; margin: auto; }}
section {{ margin-bottom: .8em; break-inside: avoid; }}
table {{ border-collapse: collapse; width: 100%; table-layout: fixed; }}
th, td {{ text-align: left; vertical-align: top; padding: .06em 0; overflow-wrap: anywhere; }}
th {{ font-weight: normal; width: 42%; padding-right: .5em; }}
th {{ font-size: .92em; line-height: 1.43; }}
td div, label span {{ display: -webkit-box; -webkit-box-orient: vertical; overflow: hidden; }}
td div {{ -webkit-line-clamp: {most}; }}
label span {{ -webkit-line-clamp: {most_step}; }}
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
  /* never more than one page, whatever has been typed: the columns give way */
  main {{ width: auto; height: 255mm; margin: 0; padding: 0; overflow: hidden; }}
  main {{ display: flex; flex-direction: column; }}
  .columns {{ flex: 0 1 auto; min-height: 0; overflow: hidden; }}
  .hand {{ padding-top: 1mm; }}
  .picture {{ print-color-adjust: exact; -webkit-print-color-adjust: exact; }}
}}
</style></head><body><main>
<header><p class="kind">{kind}</p><h1>{title}</h1><p>{subtitle}</p></header>
{cautions}
<div class="columns">
<div>{image}<section><h2>{dialog}</h2><ul>{steps}</ul></section>{cost}{notes}</div>
<div>{settings}{groups}</div>
</div>
<p class="hand"><span>{printed_on}</span><span>{by}</span><span>{number}</span></p>
<footer>{checksums}<p>{footnote}</p></footer>
</main></body></html>
"""

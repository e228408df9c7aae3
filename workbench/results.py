"""What every answer can do beside holding its figures: show itself, and become a table.

Figures of a result are drawn by the floor above, which is known here by name only.
"""

from __future__ import annotations

import base64
import re
from dataclasses import fields, is_dataclass
from html import escape
from importlib import import_module
from typing import Any, ClassVar

from workbench.errors import WorkbenchError
from workbench.language import LIST_MARK, numeral, tr

_PLAIN = re.compile(r"(float|int|str|bool|None|tuple\[[\w, .]+\])( \| (float|int|str|None))*")
# how a field's name ends, where it tells its unit
_UNITS = {
    "_cd_m2": "cd/m²", "_mm2": "mm²", "_mm": "mm", "_px": "px", "_ppi": "ppi", "_lux": "lx",
    "_lab": "Lab", "_ml": "ml", "_deg": "°", "_arcmin": "′", "_in": tr("inches"), "_k": "K",
    "_gsm": "g/m²", "_g_m2": "g/m²",
}  # fmt: skip
_MOST_ROWS = 40


class Result:
    """Base of the frozen dataclasses that answer a question.

    As the last line of a notebook cell a result shows its sentence, its figures and a small
    plot, where it has one.
    """

    __slots__ = ()
    #: "module:class" of the live figure that draws it, if there is one
    _drawn_by: ClassVar[str] = ""
    #: columns of its ``table()`` that are shown in a notebook; all, where there are none
    _most_told: ClassVar[tuple[str, ...]] = ()

    def to_dict(self) -> dict[str, Any]:
        """The plain figures and words by name; arrays, pictures and papers are left out.

        Returns
        -------
        A dict of numbers, words, None, and tuples and dicts of these.

        Examples
        --------
        >>> found = wb.gamut_report(picture, papers[0]).to_dict()
        >>> 0 <= found["share_outside"] <= 1
        True
        """
        found = {}
        for name in self._names():
            value = getattr(self, name)
            value = value.to_dict() if isinstance(value, Result) else value
            if _is_plain(value):
                found[name] = value
        return found

    def to_frame(self):
        """As a pandas data frame: the rows of its ``table()``, or one row of its figures.

        Raises
        ------
        WorkbenchError
            where pandas is not installed.
        """
        try:
            import pandas
        except ImportError:
            raise WorkbenchError(
                tr(
                    "Data frames are made by the package pandas, which is not installed: run "
                    "“pip install pandas”, or take to_dict()."
                )
            ) from None
        return pandas.DataFrame(self._rows())

    def figure(self, width_px: int = 800, height_px: int = 400):
        """Its plot, as a matplotlib Figure to be shown or saved.

        Raises
        ------
        WorkbenchError
            for results that have none.

        Examples
        --------
        >>> wb.gamut_report(picture, papers[0]).figure().savefig(folder / "reasons.svg")
        """
        return self._drawn(width_px, height_px).figure

    def _drawn(self, width_px: int, height_px: int):
        if not self._drawn_by:
            raise WorkbenchError(
                tr("There is no plot of a {name}; see its panel.", name=type(self).__name__)
            )
        module, name = self._drawn_by.split(":")
        return getattr(import_module(module), name).of(self, width_px, height_px)

    def _names(self) -> list[str]:
        """Of fields that show in its text, and of properties that say they are plain."""
        names = [f.name for f in fields(self) if f.repr] if is_dataclass(self) else []
        for kind in type(self).__mro__:
            for name, value in vars(kind).items():
                if isinstance(value, property) and not name.startswith("_") and name not in names:
                    told = getattr(value.fget, "__annotations__", {}).get("return", "")
                    if _PLAIN.fullmatch(str(told)):
                        names.append(name)
        return names

    def _rows(self) -> list[dict]:
        table = getattr(self, "table", None)
        return table() if callable(table) else [self.to_dict()]

    def _said(self) -> str:
        sentence = getattr(self, "sentence", "")
        return sentence() if callable(sentence) else sentence

    def _repr_html_(self) -> str:
        parts = [f"<p>{escape(self._said())}</p>"] if self._said() else []
        if callable(getattr(self, "table", None)):
            parts.append(_across(self._rows(), self._most_told))
        if self._drawn_by:
            data = base64.b64encode(self._drawn(640, 300).render()).decode()
            parts.append(f'<img alt="{escape(self._said())}" src="data:image/png;base64,{data}">')
        figures, title = _down(self.to_dict()), tr("All figures")
        parts.append(f"<details><summary>{title}</summary>{figures}</details>")
        return "".join(parts)


def _is_plain(value) -> bool:
    if isinstance(value, dict):
        return all(isinstance(key, str) and _is_plain(each) for key, each in value.items())
    if isinstance(value, tuple):
        return all(map(_is_plain, value))
    return value is None or type(value) in (bool, int, float, str)


def _down(found: dict) -> str:
    rows = [
        f'<tr><th scope="row" style="text-align:left">{escape(_label(name))}</th>'
        f'<td style="text-align:left">{escape(_told(name, value))}</td></tr>'
        for name, value in found.items()
        if name != "sentence" and value not in (None, "", ()) and not isinstance(value, dict)
    ]
    return f"<table>{''.join(rows)}</table>"


def _across(rows: list[dict], told: tuple[str, ...]) -> str:
    if not rows:
        return ""
    names = [name for name in rows[0] if name in told or not told]
    head = "".join(f'<th scope="col">{escape(_label(name))}</th>' for name in names)
    body = "".join(
        f"<tr>{''.join(f'<td>{escape(_told(name, row[name]))}</td>' for name in names)}</tr>"
        for row in rows[:_MOST_ROWS]
    )
    more = ""
    if len(rows) > _MOST_ROWS:
        more = "<p>" + tr("and {count:,} more", count=len(rows) - _MOST_ROWS) + "</p>"
    return f"<table><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>{more}"


def _unit(name: str) -> str:
    """How a field's name ends, if that is a unit."""
    return next((end for end in _UNITS if name.endswith(end)), "")


def _label(name: str) -> str:
    """A field's name as words, without its unit.

    >>> _label("share_outside"), _label("paper_luminance_cd_m2")
    ('Share outside', 'Paper luminance')
    """
    return name.removesuffix(_unit(name)).replace("_", " ").capitalize()


def _told(name: str, value) -> str:
    """A value with its unit.

    >>> _told("share_outside", 0.0312), _told("width_mm", 300.0), _told("black_density", None)
    ('3.1 %', '300 mm', '–')
    """
    if value is None or value == "":
        return "–"
    if isinstance(value, bool):
        return tr("yes") if value else tr("no")
    unit = _UNITS.get(_unit(name), "")
    if isinstance(value, tuple):
        if name.endswith("_lab"):
            return LIST_MARK.join(numeral(each, ".1f") for each in value)
        return f"{LIST_MARK.join(_told('', each) for each in value)} {unit}".strip()
    if isinstance(value, float):
        if name.startswith("share"):
            return tr("{value:.1f} %", value=100 * value)
        value = numeral(value, ".4g")
    return f"{value} {unit}".strip()

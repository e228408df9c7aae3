"""Tables of the guide that follow from the code: panels, keys of files, the public functions."""

from __future__ import annotations

import inspect
import re

import workbench
from workbench.characteristics import CHARACTERISTICS
from workbench.decisions import DECISIONS, SECTIONS
from workbench.library.fields import FIELDS
from workbench.panels.registry import PANELS, STAGES


def _table(heads, rows) -> str:
    cells = [heads, ["---"] * len(heads), *rows]
    return "\n".join("| " + " | ".join(_cell(each) for each in row) + " |" for row in cells)


def _cell(text) -> str:
    return str(text).replace("|", "\\|").replace("\n", " ")


def by_question() -> str:
    rows = [
        (entry.question, f"{STAGES[entry.stage].title} → {entry.title}", f"`wb.{entry.door}`")
        for entry in PANELS.values()
    ]
    return _table(("You ask", "On the desk", "Alone in a notebook"), rows)


def keys_of_a_plan() -> str:
    parts = []
    for section, about in SECTIONS.items():
        kept = [each for each in DECISIONS.values() if each.section == section and each.saved]
        if kept:
            rows = [
                (f"`{each.name}`", each.about or each.label, _allowed(each), f"`{each.default!r}`")
                for each in kept
            ]
            parts.append(f"### `[{section}]`\n\n{about}.\n")
            parts.append(_table(("Key", "What it is", "What it takes", "If left out"), rows) + "\n")
    return "\n".join(parts)


def _allowed(decision) -> str:
    if decision.choices:
        return ", ".join(f"`{value!r}`" for value, _ in decision.choices)
    if isinstance(decision.default, bool):
        return "`true`, `false`"
    if isinstance(decision.default, (int, float)) or decision.slider:
        low, high = f"{decision.low:g}", f"{decision.high:g}"
        limits = f"{'above ' if decision.above else ''}{low} to {high}"
        limits = f"from {low}" if high == "inf" else limits
        return f"{limits} {decision.unit}".strip()
    return "text"


def keys_of_the_shelf() -> str:
    return _table(("Key", "What it is"), [(f"`{key}`", doc) for key, doc in FIELDS.items()])


def characteristics() -> str:
    rows = [(each.label, each.help) for each in CHARACTERISTICS.values() if each.help]
    return _table(("On the packet", "What it tells"), rows)


def functions() -> str:
    """Directives for every public name, by the part of the package that it comes from."""
    groups: dict[str, list[str]] = {}
    for name, module in workbench._PUBLIC.items():
        part = module.split(".")[1]
        if not name.endswith("_panel"):
            groups.setdefault(part, []).append(name)
    parts = []
    for part, names in groups.items():
        parts.append(f"## {part.replace('_', ' ').capitalize()}\n\n```{{eval-rst}}")
        for name in sorted(names):
            value = getattr(workbench, name)
            where = f"{value.__module__}.{value.__qualname__}"
            if inspect.isclass(value):
                parts.append(f".. autoclass:: {where}\n   :members:\n")
            else:
                parts.append(f".. autofunction:: {where}\n")
        parts.append("```\n")
    return "\n".join(parts)


def results() -> str:
    return "```{eval-rst}\n.. autoclass:: workbench.results.Result\n   :members:\n```"


MARKERS = {
    "by question": by_question,
    "keys of a plan": keys_of_a_plan,
    "keys of the shelf": keys_of_the_shelf,
    "characteristics": characteristics,
    "functions": functions,
    "results": results,
}


def filled_in(text: str) -> str:
    """A page with its markers replaced; raises KeyError for one that is not known."""
    return re.sub(r"^%%(.+?)%%$", lambda found: MARKERS[found[1]](), text, flags=re.MULTILINE)


def fill_in(app, name: str, source: list[str]) -> None:
    """Sphinx asks for each page's text as it is read."""
    source[0] = filled_in(source[0])

"""Finding a control of any panel by its words, without making a panel.

What there is to find is read once from the panels' own source: every call that makes a
control names it there.  So a panel's controls can be found before it is first opened, and
no list has to be kept beside them.
"""

from __future__ import annotations

import ast
import re
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from workbench.characteristics import CHARACTERISTICS
from workbench.decisions import ADJUSTMENTS, DECISIONS
from workbench.language import tr
from workbench.panels.registry import PANELS, page_title

#: the page for what is always in view
ALWAYS = ""
_HERE = Path(__file__).parent
# what makes a control whose name is among its first arguments
_MAKERS = {
    "slider", "number", "choice", "tick", "text", "button", "fold", "ChoiceOrTyped", "LogNumber",
    "FileChooser", "Act",
}  # fmt: skip
# what makes the control of one decision
_KNOBS = {"sheet_knob": "sheet", "light_knob": "light", "glass_knob": "glass"}
# page -> modules and folders its controls are made in
_SOURCES = {
    ALWAYS: ("desk.py", "print_knobs.py"),
    "file": ("sources/panel.py",),
    "shelf": ("shelf", "sources/papers.py", "sources/readings.py"),
}


@dataclass(frozen=True)
class Findable:
    """A control that can be found.

    Attributes
    ----------
    page : of the desk that it stands on: a panel's name, "file", or "" for what is always
        in view.
    label : as it stands there, without the unit.
    help : what it is for.
    unit : such as "lux".
    """

    page: str
    label: str
    help: str = ""
    unit: str = ""

    @property
    def words(self) -> str:
        """All that it is found by."""
        return f"{self.label} {self.unit} {page_title(self.page)} {self.help}".casefold()


@lru_cache(maxsize=1)
def controls() -> tuple[Findable, ...]:
    """Every control of the desk, in the order of its pages.

    Examples
    --------
    >>> "Rendering intent" in {each.label for each in controls()}
    True
    """
    found: dict[tuple[str, str], Findable] = {}
    for page in (ALWAYS, "file", *PANELS):
        more = CHARACTERISTICS.values() if page == "shelf" else ()
        more = ADJUSTMENTS.values() if page == "print_file" else more
        named = [(each.label, getattr(each, "help", ""), each.unit) for each in more]
        modules = [ast.parse(path.read_text(encoding="utf-8")) for path in _modules(page)]
        constants = dict(each for module in modules for each in _constants(module))
        for module in modules:
            named += _in_module(module, constants)
        for label, *about in named:
            if (ALWAYS, label) not in found:
                found.setdefault((page, label), Findable(page, label, *about))
    return tuple(found.values())


def find_controls(words: str, most: int = 8) -> tuple[Findable, ...]:
    """The controls that a person may mean, the likeliest first.

    Parameters
    ----------
    words : or beginnings of words, of a label, a panel's title or a help text, in any order;
        all must be found.
    most : how many are wanted at most.

    Returns
    -------
    Controls whose labels hold the words come before those whose help does; none for no words.

    Examples
    --------
    >>> [each.label for each in find_controls("white bord")][:1]
    ['White border']
    """
    asked = re.findall(r"\w+", words.casefold())
    if not asked:
        return ()
    ranked = []
    for place, each in enumerate(controls()):
        if all(_begins(word, each.words) for word in asked):
            label = each.label.casefold()
            missed = sum(not _begins(word, label) for word in asked)
            ranked.append((missed, not label.startswith(asked[0]), len(label), place, each))
    return tuple(each for *_, each in sorted(ranked, key=lambda one: one[:-1])[:most])


def _begins(word: str, text: str) -> bool:
    return re.search(rf"\b{re.escape(word)}", text) is not None


def _modules(page: str):
    for name in _SOURCES.get(page, (page,)):
        path = _HERE / name
        yield from sorted(path.rglob("*.py")) if path.is_dir() else (path,)


def _constants(module: ast.Module):
    """(name, what it stands for) of a module, also where one text is split into several."""
    for line in module.body:
        if not isinstance(line, ast.Assign):
            continue
        target, value = line.targets[0], line.value
        if isinstance(target, ast.Name):
            yield target.id, value
        elif isinstance(value, ast.Call) and getattr(value.func, "attr", "") == "split":
            pieces = _text(value.func.value).split(_text(value.args[0]))
            yield from zip(
                [name.id for name in target.elts], map(ast.Constant, pieces), strict=True
            )


def _in_module(module: ast.Module, constants: dict):
    """(label, help, unit) of the controls that a module makes."""
    listed = [
        each.value
        for line in module.body
        if isinstance(line, ast.Assign) and isinstance(line.value, ast.Tuple)
        for each in line.value.elts
        if isinstance(each, ast.Constant) and each.value in DECISIONS
    ]
    for node in ast.walk(module):
        if isinstance(node, ast.Call):
            yield from _made_by(_with_values(node, constants), listed)
        elif isinstance(node, (ast.For, ast.GeneratorExp, ast.ListComp, ast.DictComp)):
            loop = node if isinstance(node, ast.For) else node.generators[0]
            for values in _gone_through(loop, constants):
                for call in ast.walk(node):
                    if isinstance(call, ast.Call):
                        yield from _made_by(_with_values(call, values), [])


def _gone_through(loop, constants: dict):
    """What a loop's names stand for, time after time, where its source says so."""
    names = loop.target.elts if isinstance(loop.target, ast.Tuple) else [loop.target]
    rows, given = loop.iter, loop.iter
    if isinstance(rows, ast.Call) and isinstance(rows.func, ast.Attribute):
        rows = rows.func.value  # of a dict's items
    if isinstance(rows, ast.Name):
        rows = constants.get(rows.id, rows)
    if isinstance(rows, ast.Dict):
        pairs = zip(rows.keys, rows.values, strict=True)
        listed = [
            [key, value] if given is not rows and len(names) > 1 else [key] for key, value in pairs
        ]
    else:
        listed = [
            row.elts if isinstance(row, ast.Tuple) else [row] for row in getattr(rows, "elts", ())
        ]
    for row in listed:
        if len(row) == len(names) and all(isinstance(each, ast.Name) for each in names):
            yield {name.id: value for name, value in zip(names, row, strict=True)}


def _with_values(call: ast.Call, values: dict) -> ast.Call:
    def put(node):
        return values.get(node.id, node) if isinstance(node, ast.Name) else node

    named = [ast.keyword(each.arg, put(each.value)) for each in call.keywords]
    return ast.Call(call.func, [put(each) for each in call.args], named)


def _made_by(call: ast.Call, listed: list[str]):
    maker = call.func.attr if isinstance(call.func, ast.Attribute) else getattr(call.func, "id", "")
    named = {each.arg: _text(each.value) for each in call.keywords}
    texts = [text for text in map(_text, call.args) if text]
    if maker in ("knob", "told", *_KNOBS):
        # where no name is given, those of a list are gone through
        names = [_KNOBS[maker]] if maker in _KNOBS else texts[:1] or listed
        for decision in (DECISIONS[name] for name in names if name in DECISIONS):
            label, help = named.get("label"), named.get("help")
            yield label or decision.label, help or decision.help, decision.unit
    elif maker == "bound_length" and texts[1:]:
        yield texts[1], "".join(texts[2:3]), ""
    elif maker in _MAKERS and texts:
        help = named.get("help") or (texts[1] if maker == "Act" and texts[1:] else "")
        yield texts[0], help, named.get("unit", "")
    elif maker == "SaveTo" and named.get("label"):
        yield named["label"], tr("Where what is written goes"), ""


def _text(node: ast.expr) -> str:
    """A text as it is shown; empty for what is only put together when it is."""
    if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "tr" and not node.keywords:
        return tr(_text(node.args[0]))
    return node.value if isinstance(node, ast.Constant) and isinstance(node.value, str) else ""

"""One field on the desk that finds a control of any panel by its words and leads there."""

from __future__ import annotations

import ipywidgets as widgets

from workbench.language import tr
from workbench.panels import parts
from workbench.panels.finding import ALWAYS, Findable, find_controls
from workbench.panels.registry import PANELS, STAGES, page_title

MOST = 8


class FindBox:
    """A field, and below it what was found; ``take_to(findable)`` leads a person there."""

    def __init__(self, front, take_to, safely):
        self._take_to, self._safely = take_to, safely
        self.found: tuple[Findable, ...] = ()
        self.field = widgets.Text(placeholder=tr("Find a control …"), continuous_update=True)
        self.field.add_class("wb-find-field")
        front.tag(
            self.field,
            aria_label=tr("Find a control"),
            title=tr("Words of its name or of what it is for, such as “border” or “ink price”"),
        )
        self.field.observe(safely(self._typed), "value")
        front.listen(self.field, "enter", safely(lambda content: self._go(0)))
        self.said = parts.html("", "wb-muted")
        front.tag(self.said, role="status", aria_live="polite")
        self.rows = []
        for place in range(MOST):
            made = parts.button(front, "", safely(lambda place=place: self._go(place)), help="…")
            made.add_class("wb-find-row")
            self.rows.append(made)
        self.list = parts.column(self.said, *self.rows)
        self.list.add_class("wb-find-list")
        self.widget = parts.column(self.field, self.list)
        self.widget.add_class("wb-find")
        front.tag(self.widget, role="search")
        self._typed()

    def _typed(self, change=None) -> None:
        words = self.field.value.strip()
        self.found = find_controls(words, MOST)
        self.list.layout.display = "" if words else "none"
        parts.set_html(self.said, _count_words(len(self.found)), "wb-muted")
        for place, row in enumerate(self.rows):
            here = place < len(self.found)
            row.layout.display = "" if here else "none"
            if here:
                found = self.found[place]
                row.description = f"{found.label} — {where(found)}"
                row.tooltip = found.help

    def _go(self, place: int) -> None:
        if place < len(self.found):
            found = self.found[place]
            self.field.value = ""
            self._take_to(found)


def where(found: Findable) -> str:
    """The stage and page of a control, in words.

    Examples
    --------
    >>> where(Findable("gamut", "Gamut overlay"))
    'Paper, Gamut'
    """
    if found.page == ALWAYS:
        return tr("always in view")
    stage = PANELS[found.page].stage if found.page in PANELS else "picture"
    return f"{STAGES[stage].title}, {page_title(found.page)}"


def locate(root: widgets.Widget, label: str, front) -> tuple[widgets.Widget, list] | None:
    """The control of a name below a widget, and the buttons of the closed folds around it.

    Returns
    -------
    (what takes the keyboard, buttons), or None where there is none, or it is not shown.
    """
    stack: list[tuple[widgets.Widget, list, bool]] = [(root, [], True)]
    while stack:
        widget, folds, shown = stack.pop()
        closed = getattr(widget.layout, "display", None) == "none"
        if closed and "wb-fold-inside" not in widget._dom_classes and widget is not root:
            shown = False
        if shown and _is_called(widget, label, front):
            return widget, folds
        children = list(getattr(widget, "children", ()))
        for child in reversed(children):
            opens = "wb-fold-inside" in child._dom_classes and child.layout.display == "none"
            stack.append((child, [*folds, children[0]] if opens else folds, shown))
    return None


def _is_called(widget: widgets.Widget, label: str, front) -> bool:
    if isinstance(widget, (widgets.Button, widgets.Checkbox)):
        return widget.description.lstrip("▸▾ ") == label
    if not any(name.startswith("wb-id-") for name in widget._dom_classes):
        return False
    name = front.attributes(widget).get("aria-label") or ""
    if not isinstance(name, str) or not hasattr(widget, "value"):
        return False
    return name == label or name.startswith(f"{label} (")


def _count_words(count: int) -> str:
    if not count:
        return tr("No control has these words; try others, or fewer.")
    return (
        tr("{count} found; Enter goes to the first.", count=count)
        if count > 1
        else tr("Enter goes there.")
    )

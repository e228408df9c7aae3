"""The live view's module for pages, in one piece."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

from workbench.live.worded import worded

_PARTS = (
    "shaders.js", "lamp_shaders.js", "program.js", "lamp.js", "engine.js", "lamp_hand.js", "live.js",
)  # fmt: skip


@cache
def module_source(more: str = "") -> str:
    """The text of one ES module that exports ``createLiveView(element, options)``.

    It needs nothing else: neither Jupyter nor files beside it.

    Parameters
    ----------
    more : that comes after it in the same module.

    Returns
    -------
    JavaScript.

    Examples
    --------
    >>> "export function createLiveView" in module_source()
    True
    """
    here = Path(__file__).parent
    joined = "\n".join((here / name).read_text(encoding="utf-8") for name in _PARTS)
    # they follow one another in one file, so that none is to be fetched
    alone = re.sub(r"^import \{[^}]*\} from \"\./[^\"]*\";\n", "", joined, flags=re.MULTILINE)
    return worded(alone + more)

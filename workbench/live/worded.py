"""What JavaScript says, in the language in use."""

from __future__ import annotations

import json
import re
from pathlib import Path

from workbench.language import DECIMAL, tr

_CALL = re.compile(r'\btr\(\s*("(?:[^"\\\n]|\\.)*")')


def words_before(source: str) -> str:
    """The module ``words.js`` with what ``source`` says; it goes before it, in one piece.

    Parameters
    ----------
    source : JavaScript that calls ``tr`` with texts as whole literals in double quotes.

    Returns
    -------
    JavaScript, from which no tag can end inside a page.

    Examples
    --------
    >>> "function tr(text" in words_before('tr("Larger")')
    True
    """
    texts = (json.loads(each) for each in _CALL.findall(source))
    words = {text: said for text in texts if (said := tr(text)) != text}
    made = (Path(__file__).parent / "words.js").read_text(encoding="utf-8")
    for name, value in (("WORDS", words), ("DECIMAL", DECIMAL)):
        literal = json.dumps(value, ensure_ascii=False).replace("<", "\\u003c")
        before, _, after = made.partition(f"const {name} = ")
        made = f"{before}const {name} = {literal}{after[after.index(';') :]}"
    return made


def worded(source: str) -> str:
    """``source`` with its words before it."""
    return f"{words_before(source)}\n{source}"

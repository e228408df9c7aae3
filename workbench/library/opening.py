"""The text of new shelf files and new entries."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path
from textwrap import wrap

from workbench import files
from workbench.files.toml_text import literal
from workbench.language import tr
from workbench.library.fields import FIELDS, OWN_FIELDS, checked, plain
from workbench.library.pieces import TABLE
from workbench.paper import Paper

PROFILES = "profiles"
_LETTERS = 80


def _comment(*paragraphs: str) -> str:
    """Comment lines; a paragraph is broken where it gets too long, an empty one is a line."""
    lines = [line for each in paragraphs for line in wrap(each, _LETTERS) or [""]]
    return "".join(f"# {line}".rstrip() + "\n" for line in lines)


REMOVED_HEAD = _comment(
    tr("Entries that were removed from the shelf, whole and with their comments."),
    tr("To have one back, copy it into shelf.toml."),
)


def _head() -> str:
    keys = []
    for key, what in FIELDS.items():
        first, *more = wrap(what, 66)
        keys += [f"#   {key:<17} {first}\n", *(f"# {' ' * 20}{each}\n" for each in more)]
    return (
        _comment(
            tr("The shelf: your papers, as the print-planning workbench keeps them."),
            "",
            tr(
                "This is plain TOML, and you may edit it by hand, also while the workbench runs. "
                "Your comments, your order and keys that the workbench does not know are kept. A "
                "slip in one entry is reported by its line and does not hide the others."
            ),
            "",
            tr("Each paper begins with a line [[paper]]. Below it, each on its own line:"),
        )
        + "".join(keys)
        + _comment(
            tr("Only name and profile matter for use; leave out what you do not know."),
            "",
            tr(
                "Before each change the workbench keeps the former file as shelf-former.toml; "
                "removed entries go to shelf-removed.toml."
            ),
        )
    )


def starting_text(papers: Iterable[Paper]) -> tuple[str, dict[str, bytes]]:
    """A new shelf file with these papers.

    Returns
    -------
    The text, and the profiles it names: path seen from the shelf's folder -> bytes.
    """
    text = f"{_head()}\nversion = 1\n"
    profiles: dict[str, bytes] = {}
    for paper in papers:
        name = Path(files.file_name(paper.name))
        paths = (each.as_posix() for each in files.numbered(PROFILES, name.stem, name.suffix))
        path = next(each for each in paths if profiles.get(each, paper.profile) == paper.profile)
        profiles[path] = paper.profile
        values = {**paper_values(paper), "profile": path}
        values["profile_sha256"] = files.checksum(paper.profile)
        text += "\n" + entry_text(values)
    return text, profiles


def paper_values(paper: Paper) -> dict:
    """What a paper says of itself, as an entry's values."""
    values = {key: checked(key, getattr(paper, key)) for key in FIELDS if key not in OWN_FIELDS}
    return {key: value for key, value in values.items() if value is not None}


def entry_text(values: Mapping) -> str:
    """A new entry; ``values`` as `checked` returns them."""
    lines = [
        f"{key} = {literal(plain(key, values[key]))}\n"
        for key in FIELDS
        if values.get(key) is not None
    ]
    return f"[[{TABLE}]]\n" + "".join(lines)

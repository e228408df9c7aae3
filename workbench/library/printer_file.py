"""The person's printer, kept in a plain text file beside the shelf."""

from __future__ import annotations

from pathlib import Path

from workbench import files
from workbench.decisions import DECISIONS
from workbench.errors import LibraryError, PlanError
from workbench.files.text import shown_value
from workbench.files.toml_text import layout, literal, load, remove_key, set_value
from workbench.language import tr
from workbench.library.shelf import shelf_path
from workbench.printer import NAMES, Printer

FILE_NAME = "printer.toml"
_MOST_BYTES = 2**20
_TABLE = "printer"
_COMMENT = tr(
    "Your printer, as the print-planning workbench keeps it; every new plan begins with it.\n\n"
    "This is plain TOML, and you may edit it by hand.  Lengths are in millimetres.  Your comments\n"
    "and keys that the workbench does not know are kept."
)
_HEAD = "".join(f"# {line}".rstrip() + "\n" for line in _COMMENT.split("\n")) + "\n[printer]\n"


def read_printer(folder=None) -> Printer | None:
    """The printer that was kept in a shelf's folder.

    Parameters
    ----------
    folder : of the shelf; by default the person's own.

    Returns
    -------
    A Printer; None where none has been kept.

    Raises
    ------
    LibraryError
        for a file that cannot be read, or a value in it that makes no sense.

    Examples
    --------
    >>> read_printer(folder / "another") is None
    True
    """
    path = _path(folder)
    text = _text(path)
    return None if text is None else Printer(**_values(path, text))


def keep_printer(printer: Printer, folder=None) -> Path:
    """Keep a printer in a shelf's folder; a person's own comments and keys stay.

    Parameters
    ----------
    printer : a Printer.
    folder : of the shelf; by default the person's own.  It is made where there is none.

    Returns
    -------
    The file's path.

    Raises
    ------
    LibraryError
        if the file that is there cannot be read; it is left as it is.
    OutputError
        if it cannot be written.

    Examples
    --------
    >>> from workbench.printer import Printer
    >>> keep_printer(Printer(printer_width_mm=432), folder).name
    'printer.toml'
    >>> read_printer(folder).printer_width_mm
    432.0
    """
    path = _path(folder)
    before = _text(path)
    if before is not None:
        _values(path, before)
    head, text = _apart(_HEAD if before is None else before)
    for name in NAMES:
        value = getattr(printer, name)
        if value is None:
            text = remove_key(text, _TABLE, name)
        elif before is None:
            text += f"{f'{name} = {literal(value)}':<34}  # {DECISIONS[name].comment}\n"
        else:
            text = set_value(text, _TABLE, name, literal(value), NAMES)
    path.parent.mkdir(parents=True, exist_ok=True)
    files.write_whole(path, (head + text).encode(), overwrite=True)
    return path


def _path(folder) -> Path:
    return shelf_path(folder).with_name(FILE_NAME)


def _text(path: Path) -> str | None:
    data = files.read_regular(path, _MOST_BYTES, LibraryError, missing_ok=True)
    try:
        return None if data is None else data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise LibraryError(
            tr(
                "“{path}” holds bytes that are not text; save it as UTF-8.",
                path=files.shown(path),
            )
        ) from None


def _values(path: Path, text: str) -> dict:
    """What a file says of the printer, checked."""
    try:
        table = load(text).get(_TABLE, {})
    except ValueError as problem:
        raise LibraryError(
            tr(
                "“{path}” is not whole: {problem}. Mend that line.",
                path=files.shown(path),
                problem=problem,
            )
        ) from None
    if not isinstance(table, dict):
        raise LibraryError(
            tr("“{path}”: “printer” is a table, under a line [printer].", path=files.shown(path))
        )
    values = {}
    for name in NAMES:
        if name not in table:
            continue
        try:
            values[name] = DECISIONS[name].check(table[name])
        except PlanError as problem:
            raise LibraryError(
                tr("“{path}”: {problem} Mend it there.", path=files.shown(path), problem=problem)
            ) from None
    return values


def _apart(text: str) -> tuple[str, str]:
    """What stands above the printer's table, and the rest; a table is begun where none is."""
    place = layout(text)
    starts = [start for start, _, table in place.headers if table == (_TABLE,)]
    if not starts:
        if any(each.table == () and each.key[0] == _TABLE for each in place.assignments):
            raise LibraryError(
                tr(
                    "Write {table} as a table, under a line [printer].",
                    table=shown_value(_TABLE),
                )
            )
        return text.rstrip("\n") + "\n\n", "[printer]\n"
    return text[: starts[0]], text[starts[0] :]

"""What an entry of the shelf may say: one rule for each key, for reading and for writing."""

from __future__ import annotations

import re

from workbench.characteristics import CHARACTERISTICS
from workbench.errors import LibraryError, PaperError
from workbench.files.text import shown_value as shown
from workbench.language import tr


def _path(key: str, value):
    if not isinstance(value, str) or not value.strip() or "\0" in value or len(value) > 4000:
        raise LibraryError(
            tr(
                "“{key}” takes the path of a profile in quotes, not {value}.",
                key=key,
                value=shown(value),
            )
        )
    return value


def _checksum(key: str, value):
    if not isinstance(value, str) or not re.fullmatch(r"[0-9a-fA-F]{64}", value):
        raise LibraryError(
            tr(
                "“{key}” takes the 64 hexadecimal digits of a SHA-256 checksum, not {value}.",
                key=key,
                value=shown(value),
            )
        )
    return value.lower()


# set together by the workbench, never singly
OWN_FIELDS = {"profile": _path, "profile_sha256": _checksum}

#: key -> what the file's own documentation says of it, in the order of writing
FIELDS = {
    "name": CHARACTERISTICS["name"].doc,
    "profile": tr("its ICC profile: a path, seen from this folder, or a whole one"),
    "profile_sha256": tr("the profile file's SHA-256 when you put it on the shelf"),
    **{key: each.doc for key, each in CHARACTERISTICS.items() if key != "name"},
}


def checked(key: str, value):
    """A field's value as entries hold it; None for "says nothing".

    Raises
    ------
    LibraryError
        for an unknown field, or a value that makes no sense in it.
    """
    if key not in FIELDS:
        raise LibraryError(
            tr(
                "The shelf has no “{key}”; an entry takes {known}.",
                key=key,
                known=", ".join(FIELDS),
            )
        )
    if value is None:
        return None
    if key in OWN_FIELDS:
        return OWN_FIELDS[key](key, value)
    try:
        return CHARACTERISTICS[key].check(value, key)
    except PaperError as problem:
        raise LibraryError(str(problem)) from None


def plain(key: str, value):
    """A checked value as it is written: lists, tables, numbers, text."""
    if key in ("price_per_sheet", "price_per_metre"):
        return value[0][1] if [size for size, _ in value] == [""] else dict(value)
    return list(value) if isinstance(value, tuple) else value

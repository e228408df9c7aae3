"""The library: a person's shelf of papers, and the profiles on their computer.

>>> from workbench.library import open_shelf, scan_profiles
>>> shelf = open_shelf()  # doctest: +SKIP
>>> papers = shelf.papers()  # doctest: +SKIP
>>> report = scan_profiles()  # doctest: +SKIP

`workbench.library.shelf` reads the shelf, `workbench.library.edits` changes it,
`workbench.library.scan` finds profiles.
"""

from __future__ import annotations

from importlib import import_module

_PUBLIC = {
    "FIELDS": "fields",
    "Problem": "pieces",
    "ShelfEntry": "entry",
    "Shelf": "shelf",
    "open_shelf": "shelf",
    "add_entry": "edits",
    "edit_entry": "edits",
    "remove_entry": "edits",
    "FoundProfile": "scan",
    "ScanReport": "scan",
    "scan_profiles": "scan",
    "measure_found": "scan",
    "install_profile": "profiles",
    "system_profile_folders": "folders",
    "user_profile_folder": "folders",
    "user_shelf_folder": "folders",
}

__all__ = list(_PUBLIC)


def __getattr__(name: str):
    if name not in _PUBLIC:
        raise AttributeError(f"module 'workbench.library' has no attribute {name!r}")
    value = getattr(import_module(f"workbench.library.{_PUBLIC[name]}"), name)
    globals()[name] = value
    return value


def __dir__():
    return sorted(set(globals()) | set(_PUBLIC))

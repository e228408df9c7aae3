"""The record of prints that were made, in a file of the person's own.

`open_record` opens it, `note_of` makes a `PrintNote` from a plan, and the `Record` keeps,
finds and counts them.
"""

from workbench.record.learn import InkUse
from workbench.record.note import PrintNote, note_of
from workbench.record.record import FILE_VARIABLE, Former, Record, open_record

__all__ = [
    "FILE_VARIABLE",
    "Former",
    "InkUse",
    "PrintNote",
    "Record",
    "note_of",
    "open_record",
]

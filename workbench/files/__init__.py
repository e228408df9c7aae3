"""Reading and writing files that anyone may have put there: nothing half done, nothing awaited.

`reading` is the one door through which a person's files are opened, `writing` the one way a
file comes to be, whole or not at all, and `names` finds names that are not taken.
"""

from workbench.files.checksums import checksum, file_checksum, fingerprint
from workbench.files.names import file_name, file_stem, free_path, numbered, place, save_new
from workbench.files.reading import (
    check_regular,
    open_regular,
    path_of,
    read_regular,
    status_of,
    why,
)
from workbench.files.shared import sole_writer
from workbench.files.text import clean_lines, clean_text, shown
from workbench.files.writing import (
    check_space,
    check_target,
    trouble,
    write_whole,
    written_whole,
)

__all__ = [
    "check_regular",
    "check_space",
    "check_target",
    "checksum",
    "clean_lines",
    "clean_text",
    "file_checksum",
    "file_name",
    "file_stem",
    "fingerprint",
    "free_path",
    "numbered",
    "open_regular",
    "path_of",
    "place",
    "read_regular",
    "save_new",
    "shown",
    "sole_writer",
    "status_of",
    "trouble",
    "why",
    "write_whole",
    "written_whole",
]

"""The workbench's own exceptions.

Every message is a plain sentence that says what is wrong and what to do about
it; panels show it as it stands, so it must read well to a photographer.
"""

from __future__ import annotations


class WorkbenchError(ValueError):
    """Base of everything the workbench raises on purpose."""


class FileError(WorkbenchError):
    """A path that names no ordinary file, or one that is too large or cannot be read."""


class PictureError(WorkbenchError):
    """A picture file that cannot be used, with what to do instead."""


class UntaggedPictureError(PictureError):
    """A picture without a colour profile was used where its colours matter."""


class ProfileError(WorkbenchError):
    """An ICC profile that is damaged, hostile or not understood."""


class PaperError(WorkbenchError):
    """A sound profile or setting that does not describe a paper."""


class SizeError(WorkbenchError):
    """Sizes, borders or resolutions that do not add up."""


class OutputError(WorkbenchError):
    """A file that could not be written; nothing was left half done."""


class LibraryError(WorkbenchError):
    """A shelf of papers, or a folder of profiles, that cannot be read or changed as asked."""


class TargetError(WorkbenchError):
    """A target and measurements, or a scan, of it that do not fit each other."""


class PlanError(WorkbenchError):
    """A plan file that cannot be read, or a plan that cannot be saved; names the key.

    ``problems`` holds a sentence for each thing that is amiss.
    """

    def __init__(self, *problems: str):
        super().__init__(" ".join(problems))
        self.problems = problems


class RecordError(WorkbenchError):
    """A record of prints that cannot be read or written, or a note that does not fit it."""


class Cancelled(Exception):
    """Work was given up because a newer request replaced it."""

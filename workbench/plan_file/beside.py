"""Files that a plan names: where they lie, whether they have changed, and those it brings along."""

from __future__ import annotations

import os
from pathlib import Path

from workbench import files
from workbench.colour.profile import MOST_PROFILE_BYTES
from workbench.errors import FileError
from workbench.files.names import holds
from workbench.language import tr
from workbench.picture.files import MOST_BYTES as MOST_PICTURE_BYTES
from workbench.plan_file.fields import shown
from workbench.plan_file.report import Report

MOST_BYTES = {"picture": MOST_PICTURE_BYTES, "profile": MOST_PROFILE_BYTES}
# a path that climbs higher than this tells more of a computer than of a folder to be moved
_HIGHEST_CLIMB = 2


def path_text(path, folder: Path | None) -> str:
    """A path as the plan writes it: seen from its folder where that is near, else whole."""
    whole = os.path.abspath(os.fspath(path))
    if folder is None:
        return whole
    try:
        seen = os.path.relpath(whole, folder)
        near = Path(seen).parts.count("..") <= _HIGHEST_CLIMB
        # where a folder is a link, ".." leads elsewhere
        if near and os.path.samefile(folder / seen, whole):
            return Path(seen).as_posix()
    except (OSError, ValueError):
        # on another drive, or not there (any more)
        pass
    return whole


def unchanged(path, noted, what: str, report: Report, section: str, key: str, index=0) -> bool:
    """Whether a file is there and still the one that the plan was saved with.

    Parameters
    ----------
    noted : the checksum in the plan, or None.
    what : "picture" or "profile"; decides how large it may be.

    A file that has changed is a problem, or a notice where changes are accepted.
    """
    try:
        files.status_of(path, MOST_BYTES[what])
        if noted is None:
            return True
        found = files.file_checksum(
            path, MOST_BYTES[what], progress=report.progress, cancelled=report.cancelled
        )
    except FileError as problem:
        report.problem(problem, section, key, index)
        return False
    if noted.lower() == found:
        return True
    name = shown(path.name)
    said = (
        tr("the picture {name} has changed since this plan was saved", name=name)
        if what == "picture"
        else tr("the profile {name} has changed since this plan was saved", name=name)
    )
    if report.accept_changes:
        report.notice(tr("{said}, and is taken as it is now.", said=said), section, key, index)
        return True
    report.problem(
        tr("{said}; put the former file back, or accept the change.", said=said),
        section,
        key,
        index,
    )
    return False


class Beside:
    """The files a plan brings along, because what it needs lies in no file of its own.

    Parameters
    ----------
    folder : of the plan, or None.
    write : put them there; otherwise only their names are settled.
    """

    def __init__(self, folder: Path | None, *, write: bool):
        self.folder = folder
        self._write = write and folder is not None
        self._kept: dict[str, str] = {}
        self._made: list[Path] = []

    def profile(self, data: bytes, wanted: str) -> str:
        """The name under which a profile lies beside the plan."""
        return self._keep(Path(files.file_name(f"{wanted}.icc")), data)

    def picture(self, data: bytes, wanted: str) -> str:
        """The name under which a TIFF file lies beside the plan."""
        stem = files.file_stem(Path(wanted).stem) if wanted else "picture"
        return self._keep(Path(f"{stem}.tif"), data)

    def undo(self) -> None:
        """Take away what was put there, for a plan that was not saved after all."""
        for path in self._made:
            path.unlink(missing_ok=True)

    def _keep(self, wanted: Path, data: bytes) -> str:
        checksum = files.checksum(data)
        for path in files.numbered(self.folder or "", wanted.stem, wanted.suffix):
            # the same name in other letters is one file on some systems
            name = path.name.casefold()
            known = self._kept.get(name)
            if known is None and self._free(path, data):
                if self._write and not os.path.lexists(path):
                    self._made.append(files.write_whole(path, data))
                known = self._kept[name] = checksum
            if known == checksum:
                return path.name
        raise AssertionError("names end with an error")

    def _free(self, path: Path, data: bytes) -> bool:
        """Whether nothing lies under this name, or the very same."""
        return self.folder is None or not os.path.lexists(path) or holds(path, data)

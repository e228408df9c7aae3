"""Files that a plan names: where they lie, whether they have changed, and those it brings along."""

from __future__ import annotations

import os
from pathlib import Path

from workbench.errors import LibraryError, PlanError
from workbench.library import files
from workbench.library.checksums import file_checksum
from workbench.output.atomic import check_target, written_whole
from workbench.output.new_file import file_stem
from workbench.plan_file.fields import shown
from workbench.plan_file.report import Report

_MOST_NAMES = 1000
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


def checksum_of(path: Path) -> str:
    """SHA-256 of an ordinary file, hexadecimal; PlanError if it cannot be read."""
    # whole, because a path's end tells most
    place = files.shown(path)
    try:
        return file_checksum(path)
    except FileNotFoundError:
        raise PlanError(f"There is no file “{place}”; put it back, or mend the path.") from None
    except LibraryError as problem:
        raise PlanError(str(problem)) from None
    except OSError as problem:
        raise PlanError(f"“{place}” cannot be read ({files.why(problem)}).") from None
    except ValueError:
        raise PlanError(f"“{place}” is no path; mend it.") from None


def unchanged(path, noted, what: str, report: Report, section: str, key: str, index=0) -> bool:
    """Whether a file is there and still the one that the plan was saved with.

    A file that has changed is a problem, or a notice where changes are accepted.
    """
    try:
        found = checksum_of(path)
    except PlanError as problem:
        report.problem(problem, section, key, index)
        return False
    if noted is None or noted.lower() == found:
        return True
    said = f"the {what} {shown(path.name)} has changed since this plan was saved"
    if report.accept_changes:
        report.notice(f"{said}, and is taken as it is now.", section, key, index)
        return True
    report.problem(f"{said}; put the former file back, or accept the change.", section, key, index)
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
        stem = file_stem(Path(wanted).stem) if wanted else "picture"
        return self._keep(Path(f"{stem}.tif"), data)

    def undo(self) -> None:
        """Take away what was put there, for a plan that was not saved after all."""
        for path in self._made:
            path.unlink(missing_ok=True)

    def _keep(self, wanted: Path, data: bytes) -> str:
        checksum = files.checksum(data)
        for number in range(1, _MOST_NAMES):
            name = wanted.name if number == 1 else f"{wanted.stem} {number}{wanted.suffix}"
            # the same name in other letters is one file on some systems
            known = self._kept.get(name.casefold())
            if known is None and self._free(name, data):
                if self._write and not os.path.lexists(self.folder / name):
                    self._put(self.folder / name, data)
                known = checksum
                self._kept[name.casefold()] = checksum
            if known == checksum:
                return name
        raise PlanError(
            f"“{files.shown(self.folder)}” holds too many files called “{wanted.stem}”; tidy it up."
        )

    def _free(self, name: str, data: bytes) -> bool:
        """Whether nothing lies under this name, or the very same."""
        if self.folder is None:
            return True
        path = self.folder / name
        if not os.path.lexists(path):
            return True
        try:
            return files.read_regular(path, len(data)) == data
        except (LibraryError, OSError):
            return False

    def _put(self, path: Path, data: bytes) -> None:
        with written_whole(check_target(path)) as unfinished:
            unfinished.stream.write(data)
        self._made.append(path)

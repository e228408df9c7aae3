"""Plans kept as one works, so that a crash, a reload or a killed kernel loses nothing.

Each kernel writes into a folder of its own, whole or not at all, and holds that folder's
lock for as long as it lives; the system lets go of it however the kernel ends.  So two
windows never write over one another, and what nobody holds was left behind.
"""

from __future__ import annotations

import secrets
import shutil
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import IO

from workbench.errors import OutputError, WorkbenchError
from workbench.files.locks import take_lock
from workbench.files.reading import read_regular
from workbench.files.text import clean_text
from workbench.files.toml_text import load
from workbench.files.writing import trouble
from workbench.language import day, tr
from workbench.library.folders import user_shelf_folder
from workbench.plan import FILES, Plan
from workbench.plan_file.reading import open_plan
from workbench.plan_file.saving import save_plan

NAME = "plan.toml"
_LOCK = "in use"
_MOST_BYTES = 2**20
# of those left behind
_MOST_KEPT = 6
_MOST_PICTURE_BYTES = 64 * 2**20


def in_progress_folder() -> Path:
    """Where plans are kept as one works: ``plans in progress`` in the user data folder."""
    return user_shelf_folder().parent / "plans in progress"


@dataclass(frozen=True)
class KeptPlan:
    """A plan that another window or an earlier session keeps or left behind.

    Attributes
    ----------
    path : of the plan file.
    kept_at : seconds since the epoch.
    in_use : whether another window works on it now.
    about : its picture and its paper, by name.
    """

    path: Path
    kept_at: float
    in_use: bool
    about: str

    @property
    def words(self) -> str:
        """What it is, in a phrase."""
        when = _when(datetime.fromtimestamp(self.kept_at))
        if self.in_use:
            return tr("{about}, of {when}, open in another window", about=self.about, when=when)
        return tr("{about}, of {when}", about=self.about, when=when)

    def take_up(self, plan: Plan) -> None:
        """Let a plan hold what this one does; files that it does not name stay as they are.

        Raises
        ------
        PlanError, OSError
            where it cannot be read; the message says what is wrong.
        """
        kept = open_plan(self.path, accept_changes=True)
        plan.take_over(kept, [name for name in FILES if getattr(kept, name) is not None])

    def forget(self) -> None:
        """Throw it away, unless another window works on it."""
        if not self.in_use:
            shutil.rmtree(self.path.parent, ignore_errors=True)


class Keeper:
    """Keeps one plan as it changes.

    Parameters
    ----------
    root : folder of all kept plans; None takes `in_progress_folder`.
    """

    def __init__(self, root=None):
        self._root = in_progress_folder() if root is None else Path(root)
        self.folder: Path | None = None  # made when there is something to keep
        self._lock: IO[bytes] | None = None

    def keep(self, plan: Plan) -> Path:
        """Write the plan as it stands; a large picture that lies in no file is left out.

        Returns
        -------
        The plan file's path.

        Raises
        ------
        PlanError, OutputError
            where it cannot be written.
        """
        if self.folder is None:
            stamp = f"{datetime.now():%Y-%m-%d %H%M%S} {secrets.token_hex(3)}"
            folder = self._root / stamp
            try:
                folder.mkdir(parents=True, exist_ok=True)
                self._lock = _locked(folder)
            except OSError as problem:
                raise OutputError(trouble(problem, folder)) from None
            self.folder = folder
        if _too_large(plan.picture):
            plan = plan.copy(picture=None)
        return save_plan(plan, self.folder / NAME, overwrite=True)

    def others(self) -> tuple[KeptPlan, ...]:
        """Plans of other windows and earlier sessions, the newest first.

        Of those left behind only the newest few stay; older ones are thrown away.
        """
        found = []
        try:
            folders = [each for each in self._root.iterdir() if each.is_dir()]
        except OSError:
            return ()
        for folder in folders:
            path = folder / NAME
            if folder == self.folder:
                continue
            try:
                kept_at = path.stat().st_mtime
            except OSError:
                continue
            found.append(KeptPlan(path, kept_at, _in_use(folder), _about(path)))
        found.sort(key=lambda each: each.kept_at, reverse=True)
        left = [each for each in found if not each.in_use]
        for old in left[_MOST_KEPT:]:
            old.forget()
            found.remove(old)
        return tuple(found)

    def close(self) -> None:
        """Let go of the folder; what is kept stays."""
        if self._lock is not None:
            self._lock.close()
            self._lock = None


def _when(time: datetime) -> str:
    """A day and a time of it, the month in words."""
    return f"{day(time, '%d %B', 'MMMMd')}, {time:%H:%M}"


def _too_large(picture) -> bool:
    """Whether a picture would have to be written beside the plan, and is too large for that."""
    if picture is None or picture.kind == "invented" or picture.path is not None:
        return False
    return picture.width_px * picture.height_px * picture.channels * 2 > _MOST_PICTURE_BYTES


def _locked(folder: Path) -> IO[bytes] | None:
    """An open file that holds a folder's lock; None where another holds it."""
    file = open(folder / _LOCK, "ab")
    try:
        if take_lock(file.fileno()):
            return file
    except OSError:
        # without locks nobody can tell: taken for held, so that nothing is thrown away
        pass
    file.close()
    return None


def _in_use(folder: Path) -> bool:
    try:
        file = _locked(folder)
    except OSError:
        return True  # rather than throw away what cannot be asked
    if file is None:
        return True
    file.close()
    return False


def _about(path: Path) -> str:
    """Picture and paper that a plan file names, without opening them."""
    try:
        data = load(read_regular(path, _MOST_BYTES).decode())
    except (WorkbenchError, ValueError, RecursionError):
        return tr("A plan")
    picture, papers = data.get("picture"), data.get("papers")
    file = picture.get("file") if isinstance(picture, dict) else None
    about = Path(file).name if isinstance(file, str) else ""
    for paper in papers if isinstance(papers, list) else []:
        if isinstance(paper, dict) and paper.get("print_on") and isinstance(paper.get("name"), str):
            name = paper["name"]
            about = tr("{picture} on {paper}", picture=about, paper=name) if about else name
    return clean_text(about)[:120] or tr("A plan")

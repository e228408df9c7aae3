"""The profile that the system itself uses for the screen, where it tells.

Best effort: what cannot be asked, or gives no profile of a display, is passed over.
"""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from workbench.analysis.viewing import Display, find_display
from workbench.analysis.words import either
from workbench.errors import FileError, ProfileError
from workbench.files.text import quoted
from workbench.language import tr

_LONGEST_S = 3.0
# the property of the root window and its form: ICC Profiles in X specification 0.4
_X_PROPERTY = ["xprop", "-root", "_ICC_PROFILE"]
_COLORD = ["colormgr", "get-devices-by-kind", "display"]
_MAC_FOLDERS = ("Library/ColorSync/Profiles/Displays", "/Library/ColorSync/Profiles/Displays")


def _answer_of(command: list[str]) -> str:
    """What a program prints; empty where there is no such program, or it fails or dawdles."""
    program = shutil.which(command[0])
    if program is None:
        return ""
    try:
        done = subprocess.run(
            [program, *command[1:]], stdin=subprocess.DEVNULL, capture_output=True,
            timeout=_LONGEST_S, check=True,
        )  # fmt: skip
    except (OSError, subprocess.SubprocessError):
        return ""
    return done.stdout.decode("utf-8", "replace")


def _windows_path() -> str:
    """Path of the profile of the screen's device context (GetICMProfileW); empty if none."""
    import ctypes

    try:
        user, graphics = ctypes.WinDLL("user32"), ctypes.WinDLL("gdi32")  # type: ignore[attr-defined]
        # handles are as wide as pointers
        user.GetDC.restype = ctypes.c_void_p
        user.GetDC.argtypes = [ctypes.c_void_p]
        user.ReleaseDC.argtypes = [ctypes.c_void_p, ctypes.c_void_p]
        graphics.GetICMProfileW.argtypes = [ctypes.c_void_p, ctypes.c_void_p, ctypes.c_wchar_p]
        context, size = user.GetDC(None), ctypes.c_uint32(1024)
        path = ctypes.create_unicode_buffer(size.value)
        told = graphics.GetICMProfileW(context, ctypes.byref(size), path)
        user.ReleaseDC(None, context)
    except (AttributeError, OSError):
        return ""
    return path.value if told else ""


@dataclass(frozen=True)
class System:
    """What is asked where: the computer's own answers by default, others in tests.

    Attributes
    ----------
    platform : as `sys.platform`.
    home : the person's folder.
    answer_of : what a command prints, "" for nothing.
    windows_path : path of the profile in use, "" for none.
    """

    platform: str = sys.platform
    home: Path = field(default_factory=Path.home)
    answer_of: Callable[[list[str]], str] = _answer_of
    windows_path: Callable[[], str] = _windows_path


@dataclass(frozen=True)
class OwnDisplay:
    """A screen's profile as the system names it.

    Attributes
    ----------
    display : what `find_display` makes of it.
    source : the path, or the profile's bytes, for a plan's ``display``.
    how : who says so, in a few words.
    """

    display: Display = field(repr=False)
    source: str | bytes = field(repr=False)
    how: str

    @property
    def name(self) -> str:
        return self.display.name


def own_displays(system: System | None = None) -> tuple[OwnDisplay, ...]:
    """The profiles that the system uses for screens, each once; often one, often none.

    Parameters
    ----------
    system : who is asked; this computer by default.

    Returns
    -------
    On Linux and the like what colord has as the first profile of each display, and what the
    root window of X holds; on Windows that of the screen's device context; on macOS what the
    system has made for displays.

    Raises
    ------
    Nothing; what cannot be used is left out.

    Examples
    --------
    >>> own_displays(System(platform="linux", answer_of=lambda command: ""))
    ()
    """
    system = system or System()
    asks = {"win32": _on_windows, "darwin": _on_mac}.get(system.platform, _on_linux)
    found: dict[bytes, OwnDisplay] = {}
    for source, how in asks(system):
        try:
            # a path that has no ending is still a path
            display = find_display(Path(source) if isinstance(source, str) else source)
        except (FileError, ProfileError):
            continue
        found.setdefault(display.profile, OwnDisplay(display, source, how))
    return tuple(found.values())


def _on_linux(system: System):
    listed = system.answer_of(_COLORD)
    # each device lists its profiles with their files below; the first is the one in use
    for file in re.findall(r"^Profile 1:[^\n]*\n\s+(/[^\n]+)$", listed, re.MULTILINE):
        yield file.strip(), "colord"
    _, _, values = system.answer_of(_X_PROPERTY).partition("=")
    numbers = re.findall(r"\d+", values)
    if numbers and all(int(number) < 256 for number in numbers):
        yield bytes(map(int, numbers)), tr("the X server")


def _on_windows(system: System):
    if path := system.windows_path():
        yield path, tr("the system")


def _on_mac(system: System):
    for folder in _MAC_FOLDERS:
        try:
            files = sorted((system.home / folder).glob("*.ic[cm]"))
        except OSError:
            continue
        for file in files:
            yield str(file), tr("the system")


def display_words(display, found: tuple[OwnDisplay, ...] | None) -> str:
    """What a proof is shown for, said aloud where it is only taken for granted.

    Parameters
    ----------
    display : a plan's.
    found : from `own_displays`; None while it is not known.

    Returns
    -------
    A sentence or two; "" where the person's own choice needs no word.
    """
    for each in found or ():
        if each.source == display:
            return tr(
                "Shown for “{name}”, which {how} names for your screen.",
                name=each.name,
                how=each.how,
            )
    if display != "sRGB":
        return ""
    said = tr("Your screen is taken for sRGB.")
    if found:
        names = either(quoted(each.name) for each in found)
        return tr(
            "{said} The system names {names} for a screen of yours: choose it above.",
            said=said,
            names=names,
        )
    if found is None:
        return said
    return tr(
        "{said} The system names no profile for it: if it has been measured, or shows "
        "wider colours, choose its profile above; else the proof's colours are too "
        "strong.",
        said=said,
    )

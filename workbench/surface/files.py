"""A surface as files: its heights as a 16-bit PNG, and a text that gives them their scale.

The text, in TOML, names the picture that lies beside it::

    version = 1
    heights = "Invented Goat Path.png"   # grey, 16 bits; 0 and 65535 are the two heights below
    lowest_mm = -0.11
    highest_mm = 0.12
    pitch_mm = 0.04
    alpha = 0.55
    kind = "cold-pressed"
    how_known = "measured"
    tiles = true
    note = ""
"""

from __future__ import annotations

from pathlib import Path

import numpy as np

from workbench import files
from workbench.errors import WorkbenchError
from workbench.files.text import clean_text
from workbench.files.toml_text import literal, load
from workbench.language import tr
from workbench.picture.opening import open_picture
from workbench.surface.relief import Surface

SUFFIX = ".toml"
_MOST_TEXT = 2**16
_MOST_PICTURE = 2**28
_NUMBERS = ("lowest_mm", "highest_mm", "pitch_mm", "alpha")


def write_surface(surface: Surface, path, *, overwrite: bool = False) -> Path:
    """Write a surface's two files.

    Parameters
    ----------
    path : of the text, ending in .toml; the heights go beside it, ending in .png.
    overwrite : files of these names may be replaced.

    Returns
    -------
    The text's path.

    Raises
    ------
    WorkbenchError, OutputError
        if a name is taken, or the files cannot be written.

    Examples
    --------
    >>> path = wb.write_surface(wb.surface_of_kind("laid"), folder / "laid.toml")
    >>> wb.read_surface(path).kind
    'laid'
    """
    import imagecodecs

    target = files.path_of(path, WorkbenchError)
    if target.suffix != SUFFIX:
        raise WorkbenchError(
            tr(
                "A surface file's name ends in {suffix}; “{shown}” does not.",
                suffix=SUFFIX,
                shown=files.shown(path),
            )
        )
    text_path = files.check_target(target, overwrite=overwrite)
    picture_path = files.check_target(target.with_suffix(".png"), overwrite=overwrite)
    low, high = (float(each(surface.height_mm)) for each in (np.min, np.max))
    steps = (surface.height_mm - np.float32(low)) / np.float32(max(high - low, 1e-9))
    heights = np.rint(np.clip(steps, 0, 1) * 65535).astype(np.uint16)
    values = {
        "version": 1,
        "heights": picture_path.name,
        "lowest_mm": low,
        "highest_mm": high,
        "pitch_mm": float(surface.pitch_mm),
        "alpha": float(surface.alpha),
        "kind": clean_text(surface.kind),
        "how_known": surface.how_known,
        "tiles": surface.tiles,
        "note": clean_text(surface.note),
    }
    text = "".join(f"{key} = {literal(value)}\n" for key, value in values.items())
    files.write_whole(picture_path, bytes(imagecodecs.png_encode(heights)), overwrite=overwrite)
    return files.write_whole(text_path, text.encode(), overwrite=overwrite)


def read_surface(path) -> Surface:
    """A surface from its text and the picture of its heights, which may be anybody's.

    Parameters
    ----------
    path : of the text.

    Returns
    -------
    A Surface.

    Raises
    ------
    WorkbenchError, FileError, PictureError
        for files that are not there, damaged, or say what no sheet can be.

    Examples
    --------
    >>> path = wb.write_surface(wb.surface_of_kind("pearl"), folder / "pearl.toml")
    >>> round(wb.read_surface(path).rms_slope / wb.surface_of_kind("pearl").rms_slope, 2)
    1.0
    """
    path = files.path_of(path, WorkbenchError)
    shown = f"“{files.shown(path)}”"
    data = files.read_regular(path, _MOST_TEXT, WorkbenchError)
    try:
        said = load(data.decode("utf-8"))
    except ValueError:
        raise WorkbenchError(
            tr("{shown} is not a surface file; choose another.", shown=shown)
        ) from None
    for key in _NUMBERS:
        value = said.get(key)
        if isinstance(value, bool) or not isinstance(value, (int, float)):
            raise WorkbenchError(
                tr(
                    "{shown} gives no number for “{key}”; write the surface again.",
                    shown=shown,
                    key=key,
                )
            )
    name = said.get("heights")
    # only what lies beside it, so that a stranger's text reaches no other folder
    if not isinstance(name, str) or not name or Path(name).name != name or "\0" in name:
        raise WorkbenchError(
            tr(
                "{shown} names no picture beside it for its heights; write the surface again.",
                shown=shown,
            )
        )
    beside = path.parent / name
    files.status_of(beside, _MOST_PICTURE, WorkbenchError)
    picture = open_picture(beside)
    if picture.kind != "PNG" or picture.channels != 1:
        raise WorkbenchError(
            tr("“{shown}” holds no heights: it is not a grey PNG.", shown=files.shown(beside))
        )
    pixels = picture.pixels()[..., 0]
    low, high = float(said["lowest_mm"]), float(said["highest_mm"])
    if not max(abs(low), abs(high)) <= 10:
        raise WorkbenchError(
            tr("{shown} gives heights that no sheet has; write the surface again.", shown=shown)
        )
    height = low + (high - low) * (pixels.astype(np.float32) / np.iinfo(pixels.dtype).max)
    return Surface(
        height,
        float(said["pitch_mm"]),
        float(said["alpha"]),
        kind=clean_text(str(said.get("kind", "")))[:80],
        how_known=str(said.get("how_known", "measured")),
        tiles=said.get("tiles") is True,
        note=clean_text(str(said.get("note", "")))[:400],
    )

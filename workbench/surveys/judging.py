"""One picture on each paper: the figures of the desk, for a table.

This runs in other processes and on other machines, so what goes in and what comes out is plain.
"""

from __future__ import annotations

import io
from dataclasses import dataclass

from workbench.analysis.black import black_point
from workbench.analysis.gamut import gamut_report
from workbench.analysis.shadows import shadow_tally
from workbench.analysis.size import print_size
from workbench.errors import WorkbenchError
from workbench.language import tr
from workbench.paper import Paper
from workbench.picture import open_picture
from workbench.rendering import DEFAULTS

THUMB_PX = 160
_QUALITY = 80


@dataclass(frozen=True)
class Column:
    """A column of the table: its key, its title, its unit, and what its values are."""

    key: str
    title: str
    unit: str
    kind: type


COLUMNS = (
    Column("picture", tr("Picture"), "", str),
    Column("paper", tr("Paper"), "", str),
    Column("width_px", tr("Width"), "px", int),
    Column("height_px", tr("Height"), "px", int),
    Column("profile", tr("Colour space"), "", str),
    Column("width_mm", tr("Print width"), "mm", float),
    Column("height_mm", tr("Print height"), "mm", float),
    Column("share_outside", tr("Out of gamut"), "share", float),
    Column("share_too_saturated", tr("Too saturated"), "share", float),
    Column("share_too_dark", tr("Too dark"), "share", float),
    Column("share_too_light", tr("Too light"), "share", float),
    Column("share_merged", tr("Shadows that merge"), "share", float),
    Column("black_density", tr("Black as printed"), "density", float),
    Column("white_L", tr("White L*, absolute"), "", float),
    Column("white_a", tr("White a*, absolute"), "", float),
    Column("white_b", tr("White b*, absolute"), "", float),
    Column("surface_texture", tr("Surface"), "", str),
)
#: how people read the units that are words
UNIT_WORDS = {"share": tr("share"), "density": tr("density")}
KEYS = tuple(column.key for column in COLUMNS)


@dataclass(frozen=True)
class Asked:
    """What is asked of every picture.

    Attributes
    ----------
    ppi : at which its print size is told.
    threshold, intent, black_point_compensation : as for `gamut_report` and `black_point`.
    assume_profile : for pictures that carry none, as for `open_picture`; these fail without.
    """

    ppi: float
    threshold: float = DEFAULTS.threshold
    intent: str = DEFAULTS.intent
    black_point_compensation: bool = DEFAULTS.black_point_compensation
    assume_profile: str | None = None


@dataclass(frozen=True)
class Judged:
    """What was found of one picture.

    Attributes
    ----------
    path : of the picture, as it was asked for.
    stamp : (bytes, nanoseconds of its last change), or () for one that is not there.
    rows : for each paper the values of `COLUMNS`; none where it failed.
    failure : why there are none, in a sentence; "" where there are.
    thumb : a small sRGB JPEG.
    """

    path: str
    stamp: tuple[int, ...]
    rows: tuple[tuple, ...] = ()
    failure: str = ""
    thumb: bytes = b""


def judge(tasks, papers: tuple[Paper, ...], asked: Asked) -> list[Judged]:
    """Judge some pictures, given as (path, stamp).  Nothing that a file does ends the others."""
    return [_judged(path, stamp, papers, asked) for path, stamp in tasks]


def _judged(path: str, stamp: tuple[int, ...], papers, asked: Asked) -> Judged:
    try:
        return Judged(path, stamp, *_figures(path, papers, asked))
    except WorkbenchError as problem:
        return Judged(path, stamp, failure=str(problem))
    except MemoryError:
        return Judged(path, stamp, failure=tr("There was too little memory for this picture."))
    # one picture in ten thousand must not cost the others
    except Exception as problem:
        return Judged(
            path,
            stamp,
            failure=tr("Something unforeseen went wrong ({name}).", name=type(problem).__name__),
        )


def _figures(path: str, papers, asked: Asked) -> tuple[tuple, str, bytes]:
    picture = open_picture(path, assume_profile=asked.assume_profile)
    size = print_size(picture, ppi=asked.ppi)
    shadows = shadow_tally(picture)
    rows = []
    for paper in papers:
        gamut = gamut_report(picture, paper, threshold=asked.threshold)
        black = black_point(
            paper, picture, intent=asked.intent, shadows=shadows,
            black_point_compensation=asked.black_point_compensation,
        )  # fmt: skip
        white = paper.white_lab if paper.white_is_known else (None, None, None)
        rows.append(
            (
                path, paper.name, picture.width_px, picture.height_px, picture.profile_name or "",
                size.width_mm, size.height_mm, gamut.share_outside, gamut.share_too_saturated,
                gamut.share_too_dark, gamut.share_too_light, black.share_merged,
                black.black_density, *white, paper.surface_texture or "",
            )
        )  # fmt: skip
    return tuple(rows), "", _thumb(picture)


def _thumb(picture) -> bytes:
    from PIL import Image

    from workbench.analysis.proof_table import picture_grid

    small = picture.preview(THUMB_PX)
    pixels = picture_grid(picture.require_profile()).apply(small, "uint8")
    out = io.BytesIO()
    Image.fromarray(pixels).save(out, "JPEG", quality=_QUALITY)
    return out.getvalue()

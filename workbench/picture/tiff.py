"""Reading TIFF pictures: strips and tiles, interleaved and planar, 1 to 16 bits and floats.

tifffile reads the tags and decodes segments; what it found is checked against the
file before any pixel is touched.  Source: TIFF 6.0 and its technical notes 1 to 3.
"""

from __future__ import annotations

import logging

from workbench.errors import PictureError
from workbench.language import tr
from workbench.picture.cost import OpeningCost, cost_of
from workbench.picture.exif import clean_orientation, colour_hint, pixels_per_inch
from workbench.picture.files import PictureFile
from workbench.picture.opened import Opened
from workbench.picture.orient import turns_sides
from workbench.picture.png import alpha_notes
from workbench.picture.samples import Finish, Tally, share
from workbench.picture.tiffcheck import check_layout
from workbench.picture.tiffkind import check_kind, main_page, sample_plan
from workbench.picture.tiffpixels import ROWS_BYTES, Layout, TiffStore
from workbench.picture.watch import Watch

# decoded pixels of compressed files are held up to this size
HELD_BYTES = 400 * 10**6
# and up to this size where they lie on their side, because then every row of the upright
# picture runs through all segments
TURNED_BYTES = 2 * 10**9
# a larger segment would be decoded as a whole for each part of it
_LARGE_SEGMENT = 64 * 2**20

# what is wrong with a file is said once, in our own sentence, not in the log as well
logging.getLogger("tifffile").addHandler(logging.NullHandler())


def tiff_cost(file: PictureFile) -> OpeningCost:
    """What opening will cost, from the tags."""
    layout, finish, *_, facts = _tags(file)
    return _cost(layout, finish, facts["orientation"], file)


def open_tiff(file: PictureFile, watch: Watch) -> Opened:
    """Read a TIFF file; PictureError for what is damaged or of a kind we do not read."""
    layout, finish, bit_depth, notes, facts = _tags(file)
    cost = _cost(layout, finish, facts["orientation"], file)
    cost.check(file.label)
    kept = cost.held_bytes + cost.disk_bytes > 0
    store, pixel_notes = _examined(file, layout, finish, kept, watch)
    return Opened(
        kind="TIFF", store=store, bit_depth=bit_depth, notes=(*notes, *pixel_notes), **facts
    )


def _tags(file: PictureFile):
    """Layout, finish, bit depth, notes and facts; all of it checked."""
    import tifffile

    with file.stream() as stream:
        try:
            with tifffile.TiffFile(stream) as tiff:
                page, notes = main_page(tiff, file)
                check_kind(page, file)
                layout = check_layout(page, file)
                finish, bit_depth, more_notes = sample_plan(page, file)
                return layout, finish, bit_depth, [*notes, *more_notes], _facts(page)
        except (PictureError, MemoryError):
            raise
        # damaged tags end in whatever exception the reader stumbled over
        except Exception as problem:
            raise PictureError(file.damaged(tr("its tags cannot be read"))) from problem


def _cost(layout: Layout, finish: Finish, orientation: int, file: PictureFile) -> OpeningCost:
    size = layout.width * layout.height * finish.channels * finish.dtype.itemsize
    hold = layout.packed and size <= (TURNED_BYTES if turns_sides(orientation) else HELD_BYTES)
    hold = hold or (not layout.raw and layout.segment_bytes > _LARGE_SEGMENT)
    looked_through = hold or finish.is_float or finish.alpha is not None
    packed, part = int(layout.counts.max()), layout.segment_bytes
    # a part's packed data, decoded data and a copy of them exist at once
    working = 0 if layout.raw else packed + 2 * part
    if hold and layout.decode_rows is not None:
        working = min(working, 6 * ROWS_BYTES)
    return cost_of(
        "TIFF",
        layout.width,
        layout.height,
        decoded=looked_through * layout.width * layout.height * layout.samples
        * layout.dtype.itemsize,
        packed=looked_through * min(file.size, int(layout.counts.sum())),
        kept=size if hold else 0,
        working=working,
    )  # fmt: skip


def _examined(file: PictureFile, layout: Layout, finish: Finish, hold: bool, watch: Watch):
    """Decode and look through the pixels where the kind of file calls for it."""
    store = TiffStore(file, layout, finish)
    if not hold and not finish.is_float and finish.alpha is None:
        return store, []
    tally = Tally(file.label)
    held = store.examine(tally, hold, watch)
    notes = []
    if finish.alpha is not None:
        notes += alpha_notes(tally)
        if tally.opaque:
            store = store.without_alpha()
    if tally.clipped:
        notes.append(
            tr(
                "{share} of the pixels have values outside 0 to 1 and were clipped.",
                share=share(tally.clipped, tally.pixels),
            )
        )
    return held or store, notes


def _facts(page) -> dict:
    """What the tags say beside the pixels, for `Opened`."""
    tags = page.tags
    embedded = tags.valueof(34675)
    exif = tags.valueof(34665)
    return {
        "orientation": clean_orientation(_whole(tags.valueof(274))),
        "ppi": pixels_per_inch(
            _ratio(tags.valueof(282)), _ratio(tags.valueof(283)), _whole(tags.valueof(296, 2))
        ),
        "embedded": bytes(embedded) if isinstance(embedded, (bytes, tuple)) else None,
        "hint": colour_hint(_whole(exif.get("ColorSpace"))) if isinstance(exif, dict) else None,
    }


def _whole(value):
    """Tag values come as plain or named numbers, or as something damaged."""
    return int(value) if isinstance(value, int) else None


def _ratio(value) -> float | None:
    if isinstance(value, tuple) and len(value) == 2 and value[1]:
        return value[0] / value[1]
    return float(value) if isinstance(value, (int, float)) else None

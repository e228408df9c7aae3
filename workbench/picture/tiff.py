"""Reading TIFF pictures: strips and tiles, interleaved and planar, 1 to 16 bits and floats.

tifffile reads the tags and decodes segments; what it found is checked against the
file before any pixel is touched.  Source: TIFF 6.0 and its technical notes 1 to 3.
"""

from __future__ import annotations

import logging

from workbench.errors import PictureError
from workbench.picture.exif import clean_orientation, colour_hint, pixels_per_inch
from workbench.picture.files import PictureFile
from workbench.picture.limits import check_memory
from workbench.picture.opened import Opened
from workbench.picture.orient import turns_sides
from workbench.picture.png import alpha_notes
from workbench.picture.samples import Tally, share
from workbench.picture.tiffcheck import check_layout
from workbench.picture.tiffkind import check_kind, main_page, sample_plan
from workbench.picture.tiffpixels import TiffStore

# decoded pixels of compressed files are held up to this size
HELD_BYTES = 400 * 10**6
# and up to this size where they lie on their side, because then every row of the upright
# picture runs through all segments
TURNED_BYTES = 2 * 10**9
# a larger segment would be decoded as a whole for each part of it
_LARGE_SEGMENT = 64 * 2**20

# what is wrong with a file is said once, in our own sentence, not in the log as well
logging.getLogger("tifffile").addHandler(logging.NullHandler())


def open_tiff(file: PictureFile) -> Opened:
    """Read a TIFF file; PictureError for what is damaged or of a kind we do not read."""
    import tifffile

    with file.stream() as stream:
        try:
            with tifffile.TiffFile(stream) as tiff:
                page, notes = main_page(tiff, file)
                check_kind(page, file)
                layout = check_layout(page, file)
                finish, bit_depth, more_notes = sample_plan(page, file)
                facts = _facts(page)
        except (PictureError, MemoryError):
            raise
        # damaged tags end in whatever exception the reader stumbled over
        except Exception as problem:
            raise PictureError(file.damaged("its tags cannot be read")) from problem
    store = TiffStore(file, layout, finish)
    store, pixel_notes = _examined(store, layout, finish, facts["orientation"], file)
    return Opened(
        kind="TIFF",
        store=store,
        bit_depth=bit_depth,
        notes=(*notes, *more_notes, *pixel_notes),
        **facts,
    )


def _examined(store: TiffStore, layout, finish, orientation: int, file: PictureFile):
    """Decode and look through the pixels where the kind of file calls for it."""
    size = store.height * store.width * store.channels * store.dtype.itemsize
    hold = layout.packed and size <= (TURNED_BYTES if turns_sides(orientation) else HELD_BYTES)
    if not layout.raw:
        hold = hold or layout.segment_bytes > _LARGE_SEGMENT
        # a segment's packed data, decoded data and a copy of them exist at once
        check_memory((size if hold else 0) + 2 * layout.segment_bytes, file.label)
    if not hold and not finish.is_float and finish.alpha is None:
        return store, []
    tally = Tally(file.label)
    held = store.examine(tally, keep=hold)
    notes = []
    if finish.alpha is not None:
        notes += alpha_notes(tally)
        if tally.opaque:
            store = store.without_alpha()
    if tally.clipped:
        notes.append(
            f"{share(tally.clipped, tally.pixels)} of the pixels have values outside 0 to 1 and "
            "were clipped."
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

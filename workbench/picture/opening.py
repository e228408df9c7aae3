"""Opening a picture: from a file or bytes to a `Picture`."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from workbench.colour.spaces import standard_profile
from workbench.errors import PictureError
from workbench.files.text import clean_text, quoted
from workbench.language import tr
from workbench.picture.cost import OpeningCost
from workbench.picture.files import PictureFile
from workbench.picture.limits import check_size
from workbench.picture.opened import Opened
from workbench.picture.picture import Picture, from_opened
from workbench.picture.sniff import extension_note, kind_of
from workbench.picture.store import HeldStore
from workbench.picture.tagging import (
    assumed_profile,
    embedded_profile,
    for_channels,
    profile_name,
)
from workbench.picture.watch import Watch


def open_picture(
    source,
    assume_profile=None,
    name: str | None = None,
    *,
    cancelled: Callable[[], bool] | None = None,
    progress: Callable[[float], None] | None = None,
) -> Picture:
    """Open a TIFF, PNG or JPEG picture.

    Parameters
    ----------
    source : path of the file, or its bytes.  The kind is told from the content.
    assume_profile : for a picture without a profile, what a person chose: the name of a
        usual space (`workbench.colour.spaces`), profile bytes or the path of a profile.
        An embedded profile takes precedence, and a note says so.
    name : shown for a picture opened from bytes.
    cancelled : asked every few megabytes; true ends the work with `Cancelled`.
    progress : told the share done, 0..1.

    Returns
    -------
    A picture.  Without an embedded profile and without ``assume_profile``, its profile
    is None, and whatever needs colours raises `UntaggedPictureError`.

    Raises
    ------
    PictureError
        for files that cannot be read, are damaged, too large, or of another kind; the
        message says what to do.
    Cancelled

    Notes
    -----
    Uncompressed TIFF files are not loaded: their pixels are read where they are needed.
    Compressed TIFF files up to 400 MB of pixels, and all PNG and JPEG files, are decoded
    at once and held; larger TIFF files are decoded piece by piece on each pass.
    `opening_cost` tells beforehand what that takes.

    Examples
    --------
    >>> picture.width_px, picture.height_px, picture.bit_depth
    (600, 400, 16)
    >>> wb.open_picture("harbour.tif").profile_name == picture.profile_name
    True
    """
    file = PictureFile(source, name)
    kind = kind_of(file)
    watch = Watch(cancelled, progress)
    watch(0.0)
    try:
        opened = _READERS[kind](file, watch)
    except MemoryError:
        raise PictureError(
            tr(
                "{label} needs more memory than there is. Close other programs or notebooks, "
                "or scale the picture down first.",
                label=file.label,
            )
        ) from None
    notes = [*filter(None, [extension_note(file, kind)]), *opened.notes]
    profile, own_name = _own_profile(opened, notes)
    picture = from_opened(opened, file, profile, own_name, notes)
    return picture if assume_profile is None else picture.assume(assume_profile)


def opening_cost(source, name: str | None = None) -> OpeningCost:
    """What opening a picture will cost, told from the head of its file alone.

    Parameters
    ----------
    source, name : as for `open_picture`.

    Returns
    -------
    Pixels, bytes of memory and about how many seconds; ``check`` refuses what does not fit
    into this computer's memory, as `open_picture` does.

    Raises
    ------
    PictureError
        for files that `open_picture` would refuse by their head.

    Examples
    --------
    >>> cost = opening_cost("harbour.tif")
    >>> cost.width, cost.height, cost.held_bytes, cost.at_once
    (600, 400, 0, True)
    """
    file = PictureFile(source, name)
    return _COSTS[kind_of(file)](file)


def from_pixels(pixels, profile, name: str = "", ppi_tag: float | None = None) -> Picture:
    """A picture from an array instead of a file.

    Parameters
    ----------
    pixels : (rows, cols, 1 or 3) uint8 or uint16 over their full range; copied.
    profile : what the numbers mean: the name of a usual space, profile bytes or a path.
    name : shown to people.
    ppi_tag : pixels per inch, or None.

    Raises
    ------
    PictureError
        for other arrays, or a profile that does not fit.
    """
    pixels = np.array(pixels, order="C")
    if (
        pixels.ndim != 3
        or pixels.shape[2] not in (1, 3)
        or pixels.dtype not in (np.uint8, np.uint16)
    ):
        raise PictureError(
            tr(
                "A picture needs an array of rows × columns × 1 or 3 channels of uint8 or "
                "uint16, not {shape} of {kind}.",
                shape=pixels.shape,
                kind=pixels.dtype,
            )
        )
    label = clean_text(name)
    check_size(pixels.shape[1], pixels.shape[0], quoted(label) if label else tr("The picture"))
    profile, own_name = assumed_profile(profile, pixels.shape[2])
    return Picture(
        kind="pixels",
        width_px=pixels.shape[1],
        height_px=pixels.shape[0],
        bit_depth=8 * pixels.itemsize,
        channels=pixels.shape[2],
        profile=profile,
        profile_name=own_name,
        profile_assumed=False,
        profile_hint=None,
        ppi_tag=ppi_tag,
        path=None,
        name=label,
        notes=(),
        orientation=1,
        _store=HeldStore(pixels),
    )


def _own_profile(opened: Opened, notes: list[str]) -> tuple[bytes | None, str | None]:
    """Bytes and name of the profile the file brings; adds a note where it is unusable."""
    if opened.embedded is not None:
        match embedded_profile(opened.embedded, opened.store.channels):
            case None, note:
                notes.append(note)
            case profile, None:
                return profile.data, profile_name(profile)
    elif opened.declared is not None:
        name = for_channels(opened.declared, opened.store.channels)
        return standard_profile(name), name
    return None, None


def _open_tiff(file: PictureFile, watch: Watch) -> Opened:
    from workbench.picture.tiff import open_tiff

    return open_tiff(file, watch)


def _open_png(file: PictureFile, watch: Watch) -> Opened:
    from workbench.picture.png import open_png

    return open_png(file, watch)


def _open_jpeg(file: PictureFile, watch: Watch) -> Opened:
    from workbench.picture.jpeg import open_jpeg

    return open_jpeg(file, watch)


def _tiff_cost(file: PictureFile) -> OpeningCost:
    from workbench.picture.tiff import tiff_cost

    return tiff_cost(file)


def _png_cost(file: PictureFile) -> OpeningCost:
    from workbench.picture.png import png_cost

    return png_cost(file)


def _jpeg_cost(file: PictureFile) -> OpeningCost:
    from workbench.picture.jpeg import jpeg_cost

    return jpeg_cost(file)


_READERS = {"TIFF": _open_tiff, "PNG": _open_png, "JPEG": _open_jpeg}
_COSTS = {"TIFF": _tiff_cost, "PNG": _png_cost, "JPEG": _jpeg_cost}

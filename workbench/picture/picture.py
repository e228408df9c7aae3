"""A picture as it came: what it is, and its pixels in the ways the workbench needs them."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np

from workbench.errors import Cancelled, PictureError, UntaggedPictureError
from workbench.files.text import quoted
from workbench.language import tr
from workbench.picture import store as stores
from workbench.picture.census import Census, census_from, take_census
from workbench.picture.orient import in_file, orient, turns_sides
from workbench.picture.preview import Previews
from workbench.picture.tagging import assumed_profile, for_channels, usual_spaces


@dataclass
class _Counted:
    """The census once taken; pictures that share pixels share it."""

    lock: threading.Lock = field(default_factory=threading.Lock)
    census: Census | None = None


@dataclass(frozen=True, eq=False)
class Picture:
    """A picture, made by `open_picture`; compared and hashed by identity, safe in threads.

    Attributes
    ----------
    kind : 'TIFF', 'PNG' or 'JPEG', or 'pixels' for one made from an array.
    width_px, height_px : upright, after the orientation tag.
    bit_depth : 8, 16 or 32 (floating point), as stored.
    channels : 1 (grey) or 3 (RGB).
    profile : ICC profile bytes, or None for a picture without a profile.
    profile_name : what the profile calls itself, or the chosen space; None without.
    profile_assumed : True if a person chose the profile, False if the file brought it.
    profile_hint : name of the standard space that a weaker tag of the file points to, or
        None; a hint for the person, never used by itself.
    ppi_tag : the file's resolution tag in pixels per inch, or None.
    path : of the file, or None for a picture opened from bytes.
    name : file name without control characters; may be empty.
    notes : sentences about what was done to the pixels or not used, for the person.
    orientation : 1..8 as in the file's tag.
    """

    kind: str
    width_px: int
    height_px: int
    bit_depth: int
    channels: int
    profile: bytes | None = field(repr=False)
    profile_name: str | None
    profile_assumed: bool
    profile_hint: str | None
    ppi_tag: float | None
    path: Path | None
    name: str
    notes: tuple[str, ...]
    orientation: int
    _store: stores.Store = field(repr=False)
    _counted: _Counted = field(default_factory=_Counted, repr=False)
    _previews: Previews = field(init=False, repr=False)

    def __post_init__(self):
        object.__setattr__(self, "_previews", Previews(self._store, self.profile))

    @property
    def megapixels(self) -> float:
        """Pixels in millions."""
        return self.width_px * self.height_px / 1e6

    @property
    def dtype(self) -> np.dtype:
        """Of the pixels given out: uint8, or uint16 (floating-point files too)."""
        return self._store.dtype

    def require_profile(self) -> bytes:
        """The profile's bytes.

        Raises
        ------
        UntaggedPictureError
            for a picture without a profile; the message says how to choose one.
        """
        if self.profile is None:
            label = quoted(self.name) if self.name else tr("The picture")
            choices = ", ".join(map(quoted, usual_spaces(self.channels)))
            first = self.profile_hint or usual_spaces(self.channels)[0]
            raise UntaggedPictureError(
                tr(
                    "{label} has no colour profile, so its colours are not known. Choose one of "
                    '{choices} in the panel, or with open_picture(…, assume_profile="{first}").',
                    label=label,
                    choices=choices,
                    first=first,
                )
            )
        return self.profile

    def assume(self, assumption) -> Picture:
        """The same pixels with the profile a person chose.

        Parameters
        ----------
        assumption : name of a usual space (`workbench.colour.spaces`), profile bytes, or
            the path of a profile.

        Returns
        -------
        A new picture.  Where the file brought a profile, that one stays in use, and a
        note says so.

        Raises
        ------
        PictureError
            for an unknown name, or a profile that does not fit.
        """
        profile, name = assumed_profile(assumption, self.channels)
        if self.profile is not None and not self.profile_assumed:
            note = tr(
                "The file's own profile “{profile_name}” is used; the assumption “{name}” is "
                "not needed.",
                profile_name=self.profile_name,
                name=name,
            )
            notes = self.notes if note in self.notes else (*self.notes, note)
            return replace(self, notes=notes)
        return replace(self, profile=profile, profile_name=name, profile_assumed=True)

    def strips(self, max_pixels: int = stores.BAND_PIXELS) -> Iterator[np.ndarray]:
        """All pixels once, in file order (the orientation tag is not applied).

        Parameters
        ----------
        max_pixels : in a strip; a strip has at least one row.

        Yields
        ------
        (rows, cols, channels) uint8 or uint16 over their full range, C-contiguous.  Do
        not write into them.

        Raises
        ------
        PictureError
            if the file has changed, or a compressed part turns out to be damaged.
        """
        if max_pixels < 1:
            raise PictureError(
                tr("A strip holds at least one pixel, not {max_pixels}.", max_pixels=max_pixels)
            )
        return stores.strips(self._store, int(max_pixels))

    def preview(
        self,
        long_side_px: int,
        *,
        cancelled: Callable[[], bool] | None = None,
        progress: Callable[[float], None] | None = None,
    ) -> np.ndarray:
        """The upright picture scaled down by area, averaged in linear light.

        Parameters
        ----------
        long_side_px : of the result; pictures smaller than that keep their size.
        cancelled : asked now and then; true ends the work with `Cancelled`.
        progress : told the share done, 0..1, while the file is read.

        Returns
        -------
        (h, w, channels) uint16 in the picture's own colour space, read only, kept for
        the next time.  Without a profile, and for profiles that consist of tables, the
        averaging takes gamma 2.2 for the tone curve.

        Raises
        ------
        PictureError
            for a size under 1, a changed file or damaged data.
        Cancelled
        """
        if long_side_px < 1:
            raise PictureError(
                tr(
                    "A preview is at least 1 pixel wide, not {long_side_px}.",
                    long_side_px=long_side_px,
                )
            )
        small = self._previews.get(int(long_side_px), cancelled, progress)
        upright = np.ascontiguousarray(orient(small, self.orientation))
        upright.flags.writeable = False
        return upright

    def crop(self, x: int, y: int, width: int, height: int) -> np.ndarray:
        """Pixels of an upright rectangle at full resolution.

        Parameters
        ----------
        x, y : its left and upper border, in pixels from the upper left of the picture
            as seen.
        width, height : in pixels.

        Returns
        -------
        (height, width, channels) uint8 or uint16, C-contiguous, the caller's own.

        Raises
        ------
        PictureError
            if the rectangle is empty or not wholly inside the picture.
        """
        x, y, width, height = int(x), int(y), int(width), int(height)
        inside = 0 <= x and 0 <= y and x + width <= self.width_px and y + height <= self.height_px
        if width < 1 or height < 1 or not inside:
            raise PictureError(
                tr(
                    "A part of {width} × {height} pixels at {x}, {y} does not lie in a picture of "
                    "{width_px} × {height_px}.",
                    width=width,
                    height=height,
                    x=x,
                    y=y,
                    width_px=self.width_px,
                    height_px=self.height_px,
                )
            )
        y0, y1, x0, x1 = in_file(
            x, y, width, height, self.orientation, self._store.width, self._store.height
        )
        pixels = orient(self._store.read(y0, y1, x0, x1), self.orientation)
        pixels = np.ascontiguousarray(pixels)
        return pixels if pixels.flags.writeable else pixels.copy()

    def pixels(self) -> np.ndarray:
        """The whole upright picture: (height_px, width_px, channels) uint8 or uint16.

        May be large, and may share memory with the picture: do not write into it.
        """
        whole = self._store.read(0, self._store.height, 0, self._store.width)
        whole = orient(whole, self.orientation)
        whole.flags.writeable = False
        return whole

    def census(
        self,
        *,
        cancelled: Callable[[], bool] | None = None,
        progress: Callable[[float], None] | None = None,
    ) -> Census:
        """Which colours occur, and how often, counted over every pixel.

        The device cube is divided evenly into 64 cells a side; a grey picture into 256.

        Parameters
        ----------
        cancelled : asked before each strip; true ends the work with `Cancelled`.
        progress : told the share done, 0..1.

        Returns
        -------
        A `Census`, kept for the next time.

        Raises
        ------
        PictureError
            for a changed file or damaged data.
        Cancelled
        """
        counted = self._counted
        while not counted.lock.acquire(timeout=0.05):
            if cancelled is not None and cancelled():
                raise Cancelled
        try:
            if counted.census is None:
                counted.census = take_census(self._store, cancelled=cancelled, progress=progress)
            return counted.census
        finally:
            counted.lock.release()

    def worked_out(self) -> dict[str, np.ndarray]:
        """Its census, and what previews are made from, as arrays to be kept beside it."""
        return {**self.census().arrays, "base": self._previews.base()}

    def take_worked_out(self, kept: Mapping[str, np.ndarray]) -> None:
        """Take what `worked_out` gave of the same pixels, so that they need not be read."""
        self._counted.census = census_from(kept, self._store)
        self._previews.take_base(kept["base"])


def from_opened(opened, file, profile, profile_name: str | None, notes) -> Picture:
    """A picture from what a reader handed over and the profile that was settled on."""
    store = opened.store
    width, height = store.width, store.height
    if turns_sides(opened.orientation):
        width, height = height, width
    return Picture(
        kind=opened.kind,
        width_px=width,
        height_px=height,
        bit_depth=opened.bit_depth,
        channels=store.channels,
        profile=profile,
        profile_name=profile_name,
        profile_assumed=False,
        profile_hint=None if profile else for_channels(opened.hint, store.channels),
        ppi_tag=opened.ppi,
        path=file.path,
        name=file.name,
        notes=tuple(notes),
        orientation=opened.orientation,
        _store=store,
    )

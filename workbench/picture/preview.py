"""Reduced versions of a picture, averaged in linear light and kept for the next time."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable

import numpy as np

from workbench.errors import Cancelled
from workbench.picture import tone
from workbench.picture.reduce import fitted_size, gather, reduce_band
from workbench.picture.samples import as_uint16
from workbench.picture.store import HeldStore, Store, over_bands

# one pass over the file serves every preview up to half this size
_FIRST_BASE_PX = 2400
_KEPT_BYTES = 128 * 2**20


class Previews:
    """Previews of one store as seen through one profile; safe to use from threads.

    The first pass over the picture makes a base with twice the pixels asked for on
    the long side (at least 2400); smaller previews come from that base.
    """

    def __init__(self, store: Store, profile: bytes | None):
        self._store = store
        self._profile = profile
        self._lock = threading.Lock()
        self._base: Store | None = None
        self._kept: OrderedDict[int, np.ndarray] = OrderedDict()

    def get(
        self,
        long_side_px: int,
        cancelled: Callable[[], bool] | None = None,
        progress: Callable[[float], None] | None = None,
    ) -> np.ndarray:
        """(h, w, channels) uint16 in file orientation, read only."""
        long_side_px = min(long_side_px, max(self._store.width, self._store.height))
        # somebody else's pass may take a while: keep asking whether to go on waiting
        while not self._lock.acquire(timeout=0.05):
            if cancelled is not None and cancelled():
                raise Cancelled
        try:
            result = self._kept.get(long_side_px)
            if result is None:
                result = self._make(long_side_px, cancelled, progress)
                result.flags.writeable = False
                self._keep(long_side_px, result)
            else:
                self._kept.move_to_end(long_side_px)
        finally:
            self._lock.release()
        return result

    def base(self) -> np.ndarray:
        """What the usual previews of a large picture come from, (h, w, channels) uint16."""
        with self._lock:
            if self._base is None:
                self._base = HeldStore(self._reduce(self._store, _FIRST_BASE_PX, None, None))
            base = self._base
        return base.read(0, base.height, 0, base.width)

    def take_base(self, pixels: np.ndarray) -> None:
        """Go on from what `base` of the same pixels gave, without reading them."""
        with self._lock:
            self._base = HeldStore(pixels)

    def _keep(self, long_side_px: int, result: np.ndarray) -> None:
        self._kept[long_side_px] = result
        while len(self._kept) > 1 and sum(a.nbytes for a in self._kept.values()) > _KEPT_BYTES:
            self._kept.popitem(last=False)

    def _make(self, long_side_px: int, cancelled, progress) -> np.ndarray:
        store = self._store
        full = max(store.width, store.height)
        if long_side_px >= full:
            whole = store.read(0, store.height, 0, store.width)
            wide = as_uint16(whole)
            return wide.copy() if wide is whole else wide
        base_px = min(full, max(2 * long_side_px, _FIRST_BASE_PX))
        if base_px >= full:
            return self._reduce(store, long_side_px, cancelled, progress)
        base = self._base
        if base is None or max(base.width, base.height) < 2 * long_side_px:
            base = HeldStore(self._reduce(store, base_px, cancelled, progress))
            self._base = base
        return self._reduce(base, long_side_px, cancelled, None)

    def _reduce(self, source: Store, long_side_px: int, cancelled, progress) -> np.ndarray:
        # the size follows from the whole picture, whatever it is made from
        size_in = (source.width, source.height)
        size_out = fitted_size(self._store.width, self._store.height, long_side_px)

        def to_light(pixels):
            return tone.to_light(pixels, self._profile)

        def work(y0, band):
            return reduce_band(y0, band, to_light, size_in, size_out)

        parts = over_bands(source, work, cancelled=cancelled, progress=progress)
        light = gather(parts, size_out, source.channels)
        return tone.from_light(light, self._profile)

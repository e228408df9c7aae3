"""What the readers of the single file kinds hand over."""

from __future__ import annotations

from dataclasses import dataclass, field

from workbench.picture.store import Store


@dataclass(frozen=True, eq=False)
class Opened:
    """A file read so far that its pixels can be had.

    Attributes
    ----------
    bit_depth : 8, 16 or 32 (floats), as stored.
    orientation : 1..8.
    embedded : the embedded profile's bytes as found, unchecked; None if there is none.
    declared : name of a standard space the file declares without a profile, or None.
    hint : name of a standard space that some weaker tag points to, or None.
    notes : sentences about what was done to the pixels.
    """

    kind: str
    store: Store
    bit_depth: int
    orientation: int = 1
    embedded: bytes | None = None
    declared: str | None = None
    hint: str | None = None
    ppi: float | None = None
    notes: tuple[str, ...] = field(default=())

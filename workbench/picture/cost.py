"""What opening a picture will cost, told from the head of its file.

A file of a few megabytes can unpack to gigabytes; whoever opens it should know before.
"""

from __future__ import annotations

from dataclasses import dataclass

from workbench.language import tr
from workbench.picture.limits import check_memory
from workbench.picture.room import goes_to_disk

# seconds a decoded byte and a packed one, each kind measured on two slow processors: enough
# to tell a moment from a minute, no more
_SECONDS = {
    "TIFF": (5e-9, 10e-9),
    "PNG": (8e-9, 15e-9),
    "JPEG": (6e-9, 30e-9),
    "progressive JPEG": (20e-9, 60e-9),
}
_AT_ONCE = 2.0


@dataclass(frozen=True)
class OpeningCost:
    """What it takes to open a picture.

    Attributes
    ----------
    kind : 'TIFF', 'PNG', 'JPEG' or 'progressive JPEG'.
    width, height : in pixels, as stored.
    held_bytes : of memory kept as long as the picture is open; 0 where the file is read
        piece by piece.
    disk_bytes : of disk kept for as long, where the pixels are many: unpacked, they lie in a
        file without a name.
    peak_bytes : of memory at most while it is opened.
    seconds : about how long, as an ordinary computer needs.
    """

    kind: str
    width: int
    height: int
    held_bytes: int
    peak_bytes: int
    seconds: float
    disk_bytes: int = 0

    @property
    def sentence(self) -> str:
        """Pixels, memory and time in words."""
        memory = tr("{size:.1f} GB of memory", size=self.peak_bytes / 1e9)
        if self.peak_bytes < 1e8:
            memory = tr("little memory")
        if self.disk_bytes >= 1e8:
            memory = tr(
                "{memory}, {size:.1f} GB of disk while it is open",
                memory=memory,
                size=self.disk_bytes / 1e9,
            )
        return tr(
            "{width:,} × {height:,} pixels; opening takes {memory} and about {duration}.",
            width=self.width,
            height=self.height,
            memory=memory,
            duration=duration(self.seconds),
        )

    @property
    def at_once(self) -> bool:
        """Whether a person need not be told before."""
        return self.seconds <= _AT_ONCE

    def check(self, label: str) -> None:
        """PictureError where there is too little memory on this computer."""
        check_memory(self.peak_bytes, label)


def cost_of(
    kind: str, width: int, height: int, *, decoded: int, packed: int, kept: int, working: int
) -> OpeningCost:
    """From what a reader knows, in bytes: ``kept`` are the pixels that stay, ``working`` what is
    needed beside them meanwhile."""
    a_byte, a_packed_byte = _SECONDS[kind]
    seconds = decoded * a_byte + packed * a_packed_byte
    on_disk = kept if goes_to_disk(kept) else 0
    held = kept - on_disk
    return OpeningCost(kind, width, height, held, held + working, seconds, on_disk)


def duration(seconds: float) -> str:
    """A time in words, as rough as it is.

    >>> duration(0.3), duration(12), duration(100)
    ('a second', '10 seconds', '2 minutes')
    """
    if seconds <= 1.5:
        return tr("a second")
    if seconds < 10:
        return tr("{seconds:.0f} seconds", seconds=seconds)
    if seconds < 90:
        return tr("{seconds:.0f} seconds", seconds=10 * max(1, round(seconds / 10)))
    return tr("{minutes} minutes", minutes=max(2, round(seconds / 60)))

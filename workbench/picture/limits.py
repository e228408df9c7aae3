"""What is too large to be a picture, or too large for this computer."""

from __future__ import annotations

from pathlib import Path

from workbench.errors import PictureError
from workbench.language import tr

MAX_PIXELS = 1_500_000_000
# ten metres at 720 ppi are 283,000 pixels; common practice, no source
MAX_SIDE_PX = 1_000_000


def check_size(width: int, height: int, label: str) -> None:
    """Refuse sizes no picture has, before anything is set aside for them.

    Raises
    ------
    PictureError
        for a size of nought, over `MAX_PIXELS` in all or over `MAX_SIDE_PX` on a side.
    """
    if width <= 0 or height <= 0:
        raise PictureError(
            tr(
                "{label} has no pixels: it declares a size of {width} × {height}. Export it "
                "again from the original.",
                label=label,
                width=width,
                height=height,
            )
        )
    if width * height > MAX_PIXELS or max(width, height) > MAX_SIDE_PX:
        raise PictureError(
            tr(
                "{label} declares {width:,} × {height:,} pixels, more than the workbench opens "
                "({most:.1f} gigapixels, {longest:,} pixels per side). If the "
                "picture is not that large, the file is damaged: export it again; if it is, "
                "scale it down first.",
                label=label,
                width=width,
                height=height,
                most=MAX_PIXELS / 1e9,
                longest=MAX_SIDE_PX,
            )
        )


def check_memory(needed_bytes: int, label: str) -> None:
    """Refuse what would not fit into memory, rather than have the system end the kernel.

    Raises
    ------
    PictureError
        where the system tells how much memory is free, and it is not enough.
    """
    free = free_memory()
    if free is not None and needed_bytes > 0.9 * free:
        raise PictureError(
            tr(
                "{label} needs about {needed:.1f} GB of memory to be opened, and "
                "{free:.1f} GB are free. Close other programs or notebooks, or save it as an "
                "uncompressed TIFF, which the workbench reads piece by piece.",
                label=label,
                needed=needed_bytes / 1e9,
                free=free / 1e9,
            )
        )


def free_memory() -> int | None:
    """Bytes this process may still use, or None where the system does not say."""
    found = []
    try:
        for line in Path("/proc/meminfo").read_text().splitlines():
            if line.startswith("MemAvailable:"):
                found.append(int(line.split()[1]) * 1024)
        # a container's own limit, where there is one
        limit = Path("/sys/fs/cgroup/memory.max").read_text().strip()
        if limit.isdigit():
            used = int(Path("/sys/fs/cgroup/memory.current").read_text())
            stat = Path("/sys/fs/cgroup/memory.stat").read_text().splitlines()
            # file pages can be given back at once
            cached = sum(int(s.split()[1]) for s in stat if s.startswith("inactive_file "))
            found.append(max(0, int(limit) - used + cached))
    except (OSError, ValueError, IndexError):
        return min(found) if found else None
    return min(found) if found else None

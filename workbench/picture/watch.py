"""Opening that takes long: how far it has come, and whether it is still wanted."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from workbench.errors import Cancelled


@dataclass(frozen=True)
class Watch:
    """Called with the share done, 0..1, every few megabytes; raises `Cancelled`."""

    cancelled: Callable[[], bool] | None = None
    progress: Callable[[float], None] | None = None

    def __call__(self, share: float) -> None:
        if self.cancelled is not None and self.cancelled():
            raise Cancelled
        if self.progress is not None:
            self.progress(min(1.0, share))

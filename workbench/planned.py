"""What the layers below the plan ask of one."""

from __future__ import annotations

from typing import Any, Protocol


class Planned(Protocol):
    """A `Plan`, a `PrintJob`, or anything else that holds a picture to be printed.

    What more a plan decides is read by its name where it is there; see `PrintJob.from_plan`.
    """

    @property
    def picture(self) -> Any:
        """A Picture, or None."""

"""Pieces of a sheet as rows of finished pixels, made when they are asked for.

A print's pixels are those of its print file, to the last bit: they come in the same bands.
"""

from __future__ import annotations

import tempfile
from typing import IO

import numpy as np

from workbench.errors import Cancelled
from workbench.output.bands import BandMaker, band_rows
from workbench.output.job import PrintJob
from workbench.output.layout import Layout

# every sheet has 16 bits
BITS = 16


class PrintRows:
    """The rows of one print file, from the top down; one band at a time is held.

    Attributes
    ----------
    width_px, height_px : of the print file.
    """

    def __init__(self, job: PrintJob, layout: Layout):
        self.width_px, self.height_px = layout.width_px, layout.height_px
        self._job, self._layout, self._step = job, layout, band_rows(layout)
        self._maker: BandMaker | None = None
        self._band: np.ndarray | None = None
        self._band_at = -1

    def rows(self, y0: int, y1: int) -> np.ndarray:
        """Rows y0..y1: (rows, width, channels) uint16."""
        parts = []
        for start in range(y0 // self._step * self._step, y1, self._step):
            band = self._at(start)
            parts.append(band[max(y0 - start, 0) : y1 - start])
        return parts[0] if len(parts) == 1 else np.concatenate(parts)

    def close(self) -> None:
        """Let go of all pixels; asking again makes them anew."""
        self._maker = self._band = None

    def _at(self, start: int) -> np.ndarray:
        band = self._band
        if band is None or self._band_at != start:
            self._maker = self._maker or BandMaker(self._job, self._layout, BITS)
            band = self._band = None
            band = self._band = self._maker.rows(start, min(start + self._step, self.height_px))
            self._band_at = start
        return band


class TurnedRows:
    """The same, turned by a quarter to the left.

    Its rows are the print's columns, and all of them are needed at once: the print goes
    through a file without a name, which vanishes with the process, and not into memory.

    Parameters
    ----------
    rows : `PrintRows`.
    folder : with room for the file.
    cancelled : asked between bands.
    """

    def __init__(self, rows: PrintRows, folder, cancelled=None):
        self.width_px, self.height_px = rows.height_px, rows.width_px
        self._rows, self._folder, self._cancelled = rows, folder, cancelled
        self._file: IO[bytes] | None = None
        self._upright: np.memmap | None = None

    def rows(self, y0: int, y1: int) -> np.ndarray:
        """Rows y0..y1 of the turned print."""
        if self._upright is None:
            self._upright = self._spooled()
        last = self.height_px
        return np.rot90(self._upright[:, last - y1 : last - y0])

    def close(self) -> None:
        """Let go of the file."""
        self._rows.close()
        self._upright = None
        if self._file is not None:
            self._file.close()
            self._file = None

    def _spooled(self) -> np.memmap:
        source, step = self._rows, 256
        # closed by `close`
        self._file = file = tempfile.TemporaryFile(dir=self._folder)
        for y in range(0, source.height_px, step):
            if self._cancelled is not None and self._cancelled():
                raise Cancelled
            band = source.rows(y, min(y + step, source.height_px))
            file.write(np.ascontiguousarray(band).tobytes())
        source.close()
        file.flush()
        shape = (source.height_px, source.width_px, band.shape[2])
        return np.memmap(file, np.uint16, "r", shape=shape)

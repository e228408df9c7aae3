"""From the picture to print pixels, any rectangle of them, in bounded memory.

The order: crop, resampling in linear light, adjustments, sharpening; all in the
picture's own space.  Conversion to the paper comes after, in `bands`.
"""

from __future__ import annotations

import numpy as np

from workbench.output.adjusted import adjusting_light, colourful
from workbench.output.job import PrintJob
from workbench.output.layout import Layout
from workbench.output.noise import noise_of
from workbench.output.resample import resample, settle, settle_step
from workbench.output.sharpen import Sharpening, sharpen, sharpening_for
from workbench.picture.samples import as_uint16


class Renderer:
    """Makes print pixels of a checked job; safe to use from several threads.

    Parameters
    ----------
    sharpening : None matches it to the job, see `sharpening_of`.
    whole : large parts will be asked for; small ones are then no quicker.

    Attributes
    ----------
    sharpening : as used.
    """

    def __init__(
        self,
        job: PrintJob,
        layout: Layout,
        sharpening: Sharpening | None = None,
        *,
        whole: bool = True,
    ):
        self._job, self._layout = job, layout
        picture = job.picture
        self._profile = profile = picture.require_profile()
        self.sharpening = sharpening_of(job, layout) if sharpening is None else sharpening
        self._light = adjusting_light(profile, picture.channels, job.adjustments or None)
        self._resized = not (layout.across.is_identity and layout.down.is_identity)
        self._untouched = not (self._resized or job.adjustments or self.sharpening.amount)
        # pictures on their side would be read whole for each band, so once is better
        turned = whole and getattr(picture, "orientation", 1) >= 5
        self._whole = picture.pixels() if turned else None

    def pixels(self, x0: int, y0: int, x1: int, y1: int) -> np.ndarray:
        """Print pixels of columns x0..x1 and rows y0..y1 of the resampled picture.

        Returns
        -------
        (rows, cols, channels) uint16 in the picture's own space, or for a toned grey picture
        in that of `adjusted_profile`.  The same pixel comes out
        the same whatever rectangle it is asked for in, to 0.00005 of full light.
        """
        across, down = self._layout.across, self._layout.down
        margin = self.sharpening.reach_px
        if self._resized:
            # what `settle` moves depends on neighbours up to four steps away
            margin += 4 * settle_step(self._layout.factor)
        left, right = min(margin, x0), min(margin, across.n_out - x1)
        top, bottom = min(margin, y0), min(margin, down.n_out - y1)
        outer = (x0 - left, y0 - top, x1 + right, y1 + bottom)
        source, box = self._source(outer)
        if self._untouched:
            return np.ascontiguousarray(as_uint16(source))
        size = outer[2] - outer[0], outer[3] - outer[1]
        lights = [self._resampled(light, size, box) for light in self._light.lights(source)]
        planes = [
            self._encoded(self._light.light_for(lights, channel), channel)
            for channel in range(self._light.channels)
        ]
        planes = colourful(planes, self._profile, self._job.adjustments)
        out = np.empty((y1 - y0, x1 - x0, len(planes)), np.uint16)
        sharpen(planes, self._light.weights, self.sharpening, (top, bottom, left, right), out)
        return out

    def _source(self, outer):
        """The picture's pixels behind a rectangle, and the exact stretch of them."""
        left, right, x0, x1 = self._layout.across.window(outer[0], outer[2])
        top, bottom, y0, y1 = self._layout.down.window(outer[1], outer[3])
        if self._whole is not None:
            source = self._whole[top:bottom, left:right]
        else:
            source = self._job.picture.crop(left, top, right - left, bottom - top)
        return source, (x0, y0, x1, y1)

    def _resampled(self, light: np.ndarray, size: tuple[int, int], box) -> np.ndarray:
        """(rows, cols) linear light at print pixels."""
        if not self._resized:
            return light
        return settle(resample(light, *size, box), settle_step(self._layout.factor))

    def _encoded(self, light: np.ndarray, channel: int) -> np.ndarray:
        """One channel, adjusted and encoded again: (rows, cols) float32, 0..1."""
        plane = np.empty(light.shape, np.float32)
        # in parts that stay in the cache
        step = max(1, 65_000 // light.shape[1])
        for y in range(0, light.shape[0], step):
            part = slice(y, y + step)
            self._light.encode(light[part], channel, out=plane[part])
        return plane


def sharpening_of(job: PrintJob, layout: Layout) -> Sharpening:
    """Sharpening matched to a checked job's paper, and to its picture's pixels and noise."""
    return sharpening_for(
        job.ppi,
        job.ppi / layout.factor,
        finish=getattr(job.paper, "finish", None),
        base=getattr(job.paper, "base", None),
        strength=job.sharpening,
        noise=noise_of(job.picture) if job.sharpening else 0.0,
    )

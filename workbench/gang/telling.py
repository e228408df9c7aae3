"""Parts of a picture that tell most on a test strip, with the reason for each.

Looked for in a preview of what is printed, by sums over windows of the size of a patch;
fine detail at full resolution, because a preview averages it away.  What counts as a
highlight, a shadow or a middle tone is our own choice (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from workbench.analysis.colours import preview_trip
from workbench.analysis.crops import PREVIEW_PX, band, ramp
from workbench.analysis.detail import detail_sample, neighbour_steps
from workbench.analysis.sheets import MM_PER_INCH
from workbench.analysis.words import HUE_NAMES, HUE_WORDS, hue_index, percent
from workbench.colour.engine import quick_lab
from workbench.colour.lab import chroma
from workbench.errors import OutputError
from workbench.language import tr
from workbench.output.job import PrintJob
from workbench.output.layout import Layout
from workbench.paper import Paper
from workbench.picture.kept import kept_while_open
from workbench.picture.picture import Picture

# L* where a tone counts not at all, fully, fully, and not at all any more
_HIGHLIGHTS = (78.0, 90.0, 98.0, 99.8)
_SHADOWS = (0.2, 3.0, 14.0, 28.0)
_MIDDLE = (30.0, 42.0, 62.0, 74.0)
# of a window, for it to be called by that name
_DETAIL_SHARE, _TONE_SHARE = 0.25, 0.08
# CIEDE2000 that a window is beyond the paper to be worth a look, and where more counts no more
_BEYOND, _BEYOND_MOST = 1.0, 15.0
# windows nearer to an earlier one than this share of their size show much the same
_APART = 0.7


@dataclass(frozen=True)
class Telling:
    """A part of the print worth trying, by its middle.

    Attributes
    ----------
    x, y : of the middle, in shares of the printed picture from its upper left, 0..1.
    name : such as "highlights".
    reason : why it tells something, a sentence.
    """

    x: float
    y: float
    name: str
    reason: str


_WHOLE_PRINT = Telling(
    0.5, 0.5, tr("whole print"), tr("The whole print is small enough to be tried.")
)


def at(x: float, y: float) -> Telling:
    """A part that the person chose, by its middle.  Raises OutputError outside 0..1."""
    try:
        place = float(x), float(y)
    except (TypeError, ValueError):
        place = (-1.0, -1.0)
    if not all(0 <= value <= 1 for value in place):
        raise OutputError(
            tr(
                "A crop's middle is two shares from 0 to 1 of the print's width and height, "
                "not {x!r} and {y!r}.",
                x=x,
                y=y,
            )
        )
    return Telling(*place, tr("chosen"), tr("You chose it."))


def telling_crops(job: PrintJob, layout: Layout, size_mm, most: int = 5) -> tuple[Telling, ...]:
    """Up to five parts of a print that tell most, the most telling first.

    Parameters
    ----------
    job, layout : of the whole print, checked.
    size_mm : (width, height) of a part.
    most : 1..5.

    Returns
    -------
    Highlights, shadows, the colours furthest beyond the paper (or the most saturated ones),
    middle tones and fine detail, without those that the picture does not
    have or that would show the same as an earlier one.  A print no larger than a part
    gives its middle alone.  Figures in the reasons are of a preview, in media-relative Lab;
    fine detail alone is counted at full resolution, in samples.
    """
    share = _shares(job, layout, size_mm)
    # lengths come from whole pixels and back
    if min(share) > 0.999:
        return (_WHOLE_PRINT,)
    view = _View(job, layout, share)
    found: list[Telling] = []
    for look in (_highlights, _shadows, _colour, _middle, _detail):
        if len(found) < most and (telling := look(view, found)) is not None:
            found.append(telling)
    if not found:
        found.append(Telling(0.5, 0.5, tr("middle"), tr("The picture is much the same all over.")))
    return tuple(found)


@kept_while_open(maxsize=2)
def _preview(picture: Picture) -> tuple[np.ndarray, np.ndarray]:
    preview = picture.preview(PREVIEW_PX)
    return preview, quick_lab(preview, picture.require_profile())


def telling_tones(job: PrintJob, layout: Layout, size_mm) -> dict[str, Telling]:
    """The part of a print that tells most of shadows, of highlights and of middle tones.

    Each is looked for by itself, so that in a small print they may overlap.

    Parameters
    ----------
    job, layout : of the whole print, checked.
    size_mm : (width, height) of a part.

    Returns
    -------
    "shadows", "highlights" and "around", which is around a middle grey -> `Telling`, without
    tones that the print does not have; for a print no larger than a part, the whole of it
    under each.

    Examples
    --------
    >>> from workbench.output.solved import solve
    >>> solved = solve(plan)
    >>> set(telling_tones(solved.job, solved.layout, (20, 20))) <= {
    ...     "shadows", "highlights", "around"}
    True
    """
    looks = {"shadows": _shadows, "highlights": _highlights, "around": _middle}
    share = _shares(job, layout, size_mm)
    if min(share) > 0.999:
        return dict.fromkeys(looks, _WHOLE_PRINT)
    view = _View(job, layout, share)
    found = {name: look(view, []) for name, look in looks.items()}
    return {name: telling for name, telling in found.items() if telling is not None}


class _View:
    """A preview of what is printed, in Lab, and its windows."""

    def __init__(self, job: PrintJob, layout: Layout, share):
        self.job, self.layout = job, layout
        picture = job.picture
        preview, lab = _preview(picture)
        rows, columns = preview.shape[:2]
        self._part = (
            _stretch(layout.down, picture.height_px, rows),
            _stretch(layout.across, picture.width_px, columns),
        )
        self.lab = lab[self._part]
        self.pixels = preview[self._part]
        down, across = self.lab.shape[:2]
        self.window = max(1, round(share[1] * down)), max(1, round(share[0] * across))

    def beyond(self) -> np.ndarray | None:
        """CIEDE2000 by which the paper misses each colour; None without a profile of one."""
        job = self.job
        if not isinstance(job.paper, Paper):
            return None
        how = "relative", False  # what a paper cannot hold does not depend on the rendering
        return preview_trip(job.picture, job.paper, *how, PREVIEW_PX).beyond[self._part]

    def best(self, worth: np.ndarray, found) -> tuple[float, float, float] | None:
        """Middle (x, y in 0..1) and mean worth of the best window away from earlier ones."""
        down, across = self.window
        total = np.pad(worth.astype(float), ((1, 0), (1, 0))).cumsum(axis=0).cumsum(axis=1)
        sums = (
            total[down:, across:]
            - total[:-down, across:]
            - total[down:, :-across]
            + total[:-down, :-across]
        )
        y = (np.arange(sums.shape[0]) + down / 2) / worth.shape[0]
        x = (np.arange(sums.shape[1]) + across / 2) / worth.shape[1]
        for other in found:
            near_y = np.abs(y - other.y) < _APART * down / worth.shape[0]
            near_x = np.abs(x - other.x) < _APART * across / worth.shape[1]
            sums[np.ix_(near_y, near_x)] = -1
        row, column = np.unravel_index(np.argmax(sums), sums.shape)
        if sums[row, column] <= 0:
            return None
        return float(x[column]), float(y[row]), float(sums[row, column] / (down * across))


def _stretch(axis, picture_px: int, preview_px: int) -> slice:
    """The preview's pixels that are printed, at least one."""
    scale = preview_px / picture_px
    first = min(preview_px - 1, round(axis.start * scale))
    return slice(first, max(first + 1, round((axis.start + axis.length) * scale)))


def _with_detail(lightness: np.ndarray, weight: np.ndarray) -> np.ndarray:
    """Tones in range count, and count more where neighbours differ a little."""
    return weight * (0.3 + np.minimum(neighbour_steps(lightness), 5.0))


def _tones(view: _View, found, limits, name: str, reason: Callable[[str], str], worth=1.0):
    """The window with most of a range of tones, and drawing in it; what it is in figures."""
    weight = band(view.lab[..., 0], *limits)
    best = view.best(worth * _with_detail(view.lab[..., 0], weight), found)
    if best is None:
        return None
    x, y, _ = best
    share = float(_window(weight, view, x, y).mean())
    if share < _TONE_SHARE:
        return None
    inside = _window(view.lab, view, x, y)[_window(weight, view, x, y) >= 0.5]
    return Telling(x, y, name, f"{reason(percent(share))} {_measured(inside)}")


def _measured(lab: np.ndarray) -> str:
    """Lightness and hue of a part's colours, in a sentence; empty for none."""
    if not len(lab):
        return ""
    low, high = np.percentile(lab[:, 0], (10, 90))
    hues = np.bincount(hue_index(lab), minlength=len(HUE_NAMES))
    return tr(
        "In the preview they lie at relative L* {low:.0f} to {high:.0f} and are mostly {hue}.",
        low=low,
        high=high,
        hue=HUE_WORDS[HUE_NAMES[np.argmax(hues)]],
    )


def colours_in(
    job: PrintJob, layout: Layout, telling: Telling, size_mm, kind: str, most: int = 400
) -> np.ndarray:
    """A few of the colours of a part of a print, in the tones that a decision concerns.

    Parameters
    ----------
    job, layout : of the whole print, checked.
    telling : the part.
    size_mm : (width, height) of it.
    kind : "shadows", "highlights", or anything else for middle tones.
    most : of the colours.

    Returns
    -------
    (n, channels) of the picture's preview, evenly drawn; where the part has none of these
    tones, all its colours.

    Examples
    --------
    >>> from workbench.output.solved import solve
    >>> solved = solve(plan)
    >>> colours_in(solved.job, solved.layout, at(0.5, 0.5), (30, 30), "shadows").ndim
    2
    """
    view = _View(job, layout, _shares(job, layout, size_mm))
    weight = band(
        view.lab[..., 0], *{"shadows": _SHADOWS, "highlights": _HIGHLIGHTS}.get(kind, _MIDDLE)
    )
    inside = _window(view.pixels, view, telling.x, telling.y)
    wanted = _window(weight, view, telling.x, telling.y) >= 0.5
    colours = (
        inside[wanted]
        if wanted.sum() >= 0.01 * wanted.size
        else inside.reshape(-1, inside.shape[-1])
    )
    return colours[:: max(1, len(colours) // most)]


def _shares(job: PrintJob, layout: Layout, size_mm) -> list[float]:
    """A part's sides over those of the print."""
    return [
        min(1.0, side * job.ppi / MM_PER_INCH / pixels)
        for side, pixels in zip(size_mm, (layout.across.n_out, layout.down.n_out), strict=True)
    ]


def _window(values: np.ndarray, view: _View, x: float, y: float) -> np.ndarray:
    rows, columns = values.shape[:2]
    down, across = view.window
    top, left = round(y * rows - down / 2), round(x * columns - across / 2)
    return values[max(0, top) : top + down, max(0, left) : left + across]


def _highlights(view: _View, found):
    return _tones(
        view, found, _HIGHLIGHTS, tr("highlights"),
        lambda share: tr("{share} of it are highlights with drawing in them, near the paper's "
                         "white.", share=share),
    )  # fmt: skip


def _shadows(view: _View, found):
    return _tones(
        view, found, _SHADOWS, tr("shadows"),
        lambda share: tr("{share} of it are shadows with drawing in them, near the paper's "
                         "darkest printable colour.", share=share),
    )  # fmt: skip


def _colour(view: _View, found):
    colourful, beyond = chroma(view.lab), view.beyond()
    if beyond is not None:
        # dark greys are beyond a paper too, but the shadows show those
        missed = np.clip(beyond, 0, _BEYOND_MOST) * ramp(colourful, 15, 40)
        best = view.best(missed, found)
        if best is not None and best[2] >= _BEYOND:
            x, y, _ = best
            mean = float(_window(beyond, view, x, y).mean())
            said = tr(
                "The paper misses its colours most, by {mean:.1f} CIEDE2000 on average in the "
                "preview.",
                mean=mean,
            )
            return Telling(x, y, tr("colours out of gamut"), said)
    best = view.best(ramp(colourful, 20, 80), found)
    if best is None or best[2] < _TONE_SHARE:
        return None
    x, y, _ = best
    mean = float(_window(colourful, view, x, y).mean())
    said = tr(
        "It holds the picture's most saturated colours (chroma {mean:.0f} on average "
        "in the preview).",
        mean=mean,
    )
    return Telling(x, y, tr("saturated colour"), said)


def _middle(view: _View, found):
    """Middle tones, best of little chroma: there a cast shows first."""
    quiet = 1 - 0.7 * ramp(chroma(view.lab), 15, 50)
    return _tones(
        view, found, _MIDDLE, tr("middle tones"),
        lambda share: tr("{share} of it are middle tones, where lightness and warmth show "
                         "most.", share=share),
        quiet,
    )  # fmt: skip


def _detail(view: _View, found):
    layout, picture = view.layout, view.job.picture
    own_ppi = min(max(view.job.ppi / layout.factor, 20.0), 5000.0)
    tiles = detail_sample(picture, own_ppi).tiles
    # a share for each pixel of the preview, then only what is printed
    places = [
        np.minimum(
            ((axis.start + (np.arange(n) + 0.5) / n * axis.length) / side * count).astype(int),
            count - 1,
        )
        for axis, n, side, count in zip(
            (layout.down, layout.across),
            view.lab.shape[:2],
            (picture.height_px, picture.width_px),
            tiles.shape,
            strict=True,
        )
    ]
    best = view.best(tiles[np.ix_(*places)], found)
    if best is None or best[2] < _DETAIL_SHARE:
        return None
    x, y, share = best
    said = tr(
        "Fine detail covers {share} of it: look at sharpness and texture.", share=percent(share)
    )
    return Telling(x, y, tr("fine detail"), said)

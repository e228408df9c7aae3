"""More or less chroma, with lightness and hue kept, as far as a space holds it."""

from __future__ import annotations

import numpy as np

from workbench.colour.engine import transform

# halvings in the search for what a space holds: steps of a 256th of the gain
_HALVINGS = 8
# Lab by which the way back may miss more than it does for the colour as it was
_HELD = 0.25


def with_chroma(values, profile: bytes, gain: float) -> np.ndarray:
    """Colours with their chroma multiplied: CIE L* and hue stay, greys stay grey.

    Where the space does not hold so much, chroma goes as far as it does.

    Parameters
    ----------
    values : (..., 3) floats 0..1 in the space of the profile.
    profile : of an RGB space, with a way from Lab into it.
    gain : on CIELAB chroma (C*ab), above 0; 1 changes nothing.

    Returns
    -------
    (..., 3) float32, 0..1.

    Raises
    ------
    ProfileError
        for a profile that knows no way from Lab.

    Examples
    --------
    >>> from workbench.colour.spaces import standard_profile
    >>> grey = [[0.5, 0.5, 0.5]]
    >>> with_chroma(grey, standard_profile("sRGB"), 1.5).round(3).tolist()
    [[0.5, 0.5, 0.5]]
    """
    values = np.asarray(values, np.float32)
    if gain == 1:
        return values
    flat = values.reshape(-1, 3)
    lab = transform(flat, profile, "lab")
    made = _scaled(lab, np.float32(gain), profile)
    if gain > 1:
        # at an edge of the space, perhaps beyond it
        at = np.flatnonzero(((made <= 0) | (made >= 1)).any(axis=-1))
        if len(at):
            made[at] = _within(flat[at], lab[at], gain, profile)
    return made.reshape(values.shape)


def _within(values, lab, gain: float, profile: bytes) -> np.ndarray:
    """The same for colours that the space may not hold: each with the gain that it does hold."""
    low, high = np.ones(len(lab), np.float32), np.full(len(lab), gain, np.float32)
    allowed = _missed(lab, np.clip(values, 0, 1), profile) + _HELD
    held = _scaled(lab, high, profile)
    out = values.copy()
    fits = _missed(_more(lab, high), held, profile) <= allowed
    out[fits] = held[fits]
    rest = np.flatnonzero(~fits)
    lab, allowed, low, high = lab[rest], allowed[rest], low[rest], high[rest]
    for _ in range(_HALVINGS if len(rest) else 0):
        middle = (low + high) / 2
        tried = _scaled(lab, middle, profile)
        fits = _missed(_more(lab, middle), tried, profile) <= allowed
        low, high = np.where(fits, middle, low), np.where(fits, high, middle)
        out[rest[fits]] = tried[fits]
    return out


def _more(lab: np.ndarray, gain) -> np.ndarray:
    return np.concatenate([lab[:, :1], lab[:, 1:] * np.reshape(gain, (-1, 1))], axis=1)


def _scaled(lab: np.ndarray, gain, profile: bytes) -> np.ndarray:
    return np.clip(transform(_more(lab, gain), "lab", profile), 0, 1)


def _missed(lab: np.ndarray, values: np.ndarray, profile: bytes) -> np.ndarray:
    return np.abs(transform(values, profile, "lab") - lab).max(axis=-1)

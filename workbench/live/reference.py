"""The shader's arithmetic in numpy, step by step, for tests and for pages without WebGL 2.

`shown_nodes` is the first pass (the nodes of a table in the values of the canvas, 16 bits),
`developed` the second (tetrahedral interpolation between them, 8 bits).
"""

from __future__ import annotations

import numpy as np

from workbench.colour.difference import delta_e_2000
from workbench.colour.grid import GREY_NODES, NODES
from workbench.colour.lab import D50_XYZ, lab_to_xyz, scale_light, xyz_to_lab

#: Differences in a table of 16 bits are held up to this many CIEDE2000.
SPAN = 64.0


def tetrahedral(table: np.ndarray, colours: np.ndarray) -> np.ndarray:
    """Values of a table between its nodes.

    Parameters
    ----------
    table : (33**3, channels), first colour channel slowest.
    colours : (n, 3), 0..1.

    Returns
    -------
    (n, channels) float64.  Of the tetrahedron with the corners (0, 0, 0) and (1, 1, 1) of a
    cell in which a colour lies, the four nodes have a share each.

    Examples
    --------
    >>> from workbench.colour.grid import grid_colours
    >>> tetrahedral(grid_colours(3), np.array([[0.1, 0.5, 0.9]])).round(6).tolist()
    [[0.1, 0.5, 0.9]]
    """
    where = np.clip(np.asarray(colours, float), 0, 1) * (NODES - 1)
    low = np.minimum(np.floor(where), NODES - 2)
    share = where - low
    order = np.argsort(-share, axis=1, kind="stable")
    ranked = np.take_along_axis(share, order, axis=1)
    weights = -np.diff(ranked, axis=1, prepend=1, append=0)
    node, result = low.astype(np.intp), 0.0
    for step in range(4):
        index = (node[:, 0] * NODES + node[:, 1]) * NODES + node[:, 2]
        result = result + weights[:, step, None] * table[index]
        if step < 3:
            node[np.arange(len(node)), order[:, step]] += 1
    return np.asarray(result)


def linear(table: np.ndarray, values: np.ndarray) -> np.ndarray:
    """(n, channels) of a grey picture's table of 1024 nodes at values 0..1, (n,)."""
    nodes = np.linspace(0, 1, GREY_NODES)
    return np.stack([np.interp(values, nodes, column) for column in table.T], axis=1)


def eye_gain(uniforms: dict) -> np.ndarray:
    """(3,) XYZ as seen over media-relative XYZ, of a scene's uniforms."""
    paper, reference = (np.array(uniforms[name]) for name in ("paperXyz", "referenceXyz"))
    adaptation = uniforms["adaptation"]
    eye = (1 - adaptation) * reference + adaptation * paper
    gain = np.ones(3) if adaptation == 1 else paper / eye
    if uniforms.get("fitWhite"):
        to_srgb = np.reshape(uniforms["toDisplay"], (3, 3))
        gain = gain / max(1.0, (to_srgb @ (D50_XYZ * gain)).max())
    return gain


def encoded(light: np.ndarray) -> np.ndarray:
    """The curve of sRGB, IEC 61966-2-1, of linear light."""
    light = np.clip(light, 0, 1)
    return np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)


def shown_nodes(lab: np.ndarray, uniforms: dict, gain=(1.0, 1.0, 1.0), display=None) -> np.ndarray:
    """The first pass: (n, 4) uint16, three values of the canvas and the distance beyond the display.

    Parameters
    ----------
    lab : (n, 3) a table of media-relative Lab.
    uniforms : of a `tables.LiveScene`; its ``space`` is taken for the canvas.
    gain : from `eye_gain`.
    display : a table of `tables.display_table`, or None.
    """
    seen = scale_light(np.asarray(lab, float), gain)
    to_display, own = (np.reshape(uniforms[n], (3, 3)) for n in ("toDisplay", "fromDisplay"))
    rgb = lab_to_xyz(seen) @ to_display.T
    if display is not None:
        over = 1.055 * np.abs(rgb) ** (1 / 2.4) - 0.055
        near = np.where(np.abs(rgb) <= 0.0031308, 12.92 * rgb, np.sign(rgb) * over)
        found = tetrahedral(display, (near + 0.3) / 1.6)
    else:
        rgb = np.clip(rgb, 0, 1)
        screen = np.reshape(uniforms["screens"][uniforms["space"]], (3, 3))
        beyond = delta_e_2000(seen, xyz_to_lab(rgb @ own.T))
        found = np.column_stack([encoded(rgb @ screen.T), beyond])
    found = np.clip(found / [1, 1, 1, SPAN], 0, 1)
    return np.floor(found * 65535 + 0.5).astype(np.uint16)


def developed(pixels: np.ndarray, nodes: np.ndarray, curves=None) -> np.ndarray:
    """The second pass: (h, w, channels of ``nodes``) float64 of a reduced picture, 0..1.

    Parameters
    ----------
    pixels : (h, w, 1 or 3) uint16.
    nodes : from `shown_nodes`, or floats such as `tables.beyond_table` (given back as they are).
    curves : (65536, 1 or 3) uint16 of adjustments, or None.
    """
    channels = pixels.shape[-1]
    codes = pixels.reshape(-1, channels)
    if curves is not None:
        codes = np.take_along_axis(curves, codes.astype(np.intp), axis=0)
    table = nodes / 65535 if nodes.dtype == np.uint16 else nodes
    found = (
        linear(table, codes[:, 0] / 65535) if channels == 1 else tetrahedral(table, codes / 65535)
    )
    return found.reshape(*pixels.shape[:2], -1)


def eight_bits(values: np.ndarray) -> np.ndarray:
    """uint8 of values 0..1, rounded to the nearest."""
    return np.floor(np.clip(values, 0, 1) * 255 + 0.5).astype(np.uint8)

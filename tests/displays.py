"""Invented display profiles for tests."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from workbench.colour import writer
from workbench.colour.lab import D50_XYZ, lab_to_xyz, xyz_to_lab
from workbench.colour.spaces import rgb_to_xyz_matrix

_GREY_XY = (0.3457, 0.3585)
BLACK_Y = 0.004


def _matrix() -> np.ndarray:
    matrix = rgb_to_xyz_matrix((0.66, 0.33), (0.24, 0.69), (0.15, 0.05), _GREY_XY)
    return matrix * (D50_XYZ / matrix.sum(axis=1))[:, None]


@lru_cache(maxsize=2)
def table_display(nodes: int = 33, name: str = "Invented screen, measured") -> bytes:
    """A version 4 display profile of tables: wide primaries, gamma 2.2, a black that glows."""

    def lab_of(rgb):
        light = rgb**2.2 @ _matrix().T
        return xyz_to_lab(light * (1 - BLACK_Y) + BLACK_Y * D50_XYZ)

    def rgb_of(lab):
        light = (lab_to_xyz(lab) - BLACK_Y * D50_XYZ) / (1 - BLACK_Y)
        return np.clip(light @ np.linalg.inv(_matrix()).T, 0, 1) ** (1 / 2.2)

    steps = np.linspace(0, 1, nodes)
    cube = np.stack(np.meshgrid(steps, steps, steps, indexing="ij"), axis=-1)
    identity = [writer.sampled_curve([])] * 3
    tags = {
        "wtpt": writer.xyz(D50_XYZ),
        "A2B0": writer.table("mAB ", writer.encode_lab(lab_of(cube)), identity, identity),
        "B2A0": writer.table("mBA ", rgb_of(writer.decode_lab(cube)), identity, identity),
    }
    return writer.assemble("display", "RGB", "LAB", name, tags)


def stuck() -> bytes:
    """A display profile that has one and the same values for all colours."""
    steps = np.linspace(0, 1, 5)
    cube = np.stack(np.meshgrid(steps, steps, steps, indexing="ij"), axis=-1)
    lab = np.stack([100 * cube.mean(-1), 0 * cube[..., 0], 0 * cube[..., 0]], axis=-1)
    identity = [writer.sampled_curve([])] * 3
    tags = {
        "wtpt": writer.xyz(D50_XYZ),
        "A2B0": writer.table("mAB ", writer.encode_lab(lab), identity, identity),
        "B2A0": writer.table("mBA ", np.full((5, 5, 5, 3), 0.5), identity, identity),
    }
    return writer.assemble("display", "RGB", "LAB", "Invented stuck screen", tags)


def no_way_back() -> bytes:
    """A display profile that says what its values look like, but not how to get there."""
    cube = np.zeros((2, 2, 2, 3))
    identity = [writer.sampled_curve([])] * 3
    tags = {"A2B0": writer.table("mAB ", cube, identity, identity)}
    return writer.assemble("display", "RGB", "LAB", "Invented half profile", tags)


def all_grey() -> bytes:
    """A display profile whose black is nearly as light as its white."""
    curve = writer.sampled_curve([0.8, 1.0])
    tags = {f"{c}XYZ": writer.xyz(column) for c, column in zip("rgb", _matrix().T, strict=True)}
    tags |= {f"{c}TRC": curve for c in "rgb"}
    return writer.assemble("display", "RGB", "XYZ", "Invented dead screen", tags)

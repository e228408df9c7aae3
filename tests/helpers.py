"""What several tests share: the open data, and Little CMS by another road (Pillow)."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import numpy as np

DATA = Path(__file__).parent / "data"


def coated_profile() -> bytes:
    return (DATA / "FOGRA39L_coated.icc").read_bytes()


def solids(name: str) -> dict[tuple[int, ...], dict[str, float]]:
    """{(c, m, y, k) in percent: {X, Y, Z, L, a, b}} of a press condition."""
    with (DATA / f"{name}_solids.csv").open() as file:
        return {
            tuple(int(row[c]) for c in ("cyan", "magenta", "yellow", "black")): {
                key: float(row[key]) for key in "XYZLab"
            }
            for row in csv.DictReader(file)
        }


def ciede2000_pairs() -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    data = json.loads((DATA / "ciede2000_sharma34.json").read_text())
    return np.array(data["Lab1"], float), np.array(data["Lab2"], float), np.array(data["dE"], float)


def pillow_convert(pixels: np.ndarray, source: bytes, target: bytes, intent: int, flags: int = 0):
    """(h, w, 3) uint8 RGB through Little CMS as Pillow binds it."""
    from PIL import Image, ImageCms

    mode = {b"RGB ": "RGB", b"CMYK": "CMYK"}[target[16:20]]
    change = ImageCms.buildTransform(
        io.BytesIO(source), io.BytesIO(target), "RGB", mode, intent, flags
    )
    return np.asarray(ImageCms.applyTransform(Image.fromarray(pixels), change))


def demo_paper(*words: str):
    """The first invented paper of whose finish, base and texture all these words are true."""
    import workbench as wb

    def true_of(paper):
        return set(words) <= {paper.finish, paper.base, paper.surface_texture}

    return next(paper for paper in wb.demo_papers() if true_of(paper))


def model_paper(name: str, white_lab, density: float, finish: str, grid: int = 17, **details):
    """An invented paper whose profile is that of the ink model."""
    from workbench.colour.inkmodel import model_profile
    from workbench.paper import Paper

    profile = model_profile(white_lab, density, finish=finish, grid=grid)
    return Paper(name, profile, finish=finish, **details)


def table_rgb_profile(*tables: str, black_lightness: float = 3.1373, grid: int = 17) -> bytes:
    """A profile of tables for ROMM RGB (ISO 22028-2), its black lifted to ``black_lightness``.

    ``tables`` are the tags that hold the table; "A2B0" alone, as such profiles are published,
    if left out.  L* 3.1373 is the perceptual reference medium's black (ICC.1:2022, 6.3.3).
    """
    from workbench.colour import writer
    from workbench.colour.engine import transform
    from workbench.colour.lab import D50_XYZ, lab_to_xyz, scale_light
    from workbench.colour.spaces import standard_profile

    steps = np.linspace(0, 1, grid)
    nodes = np.stack(np.meshgrid(steps, steps, steps, indexing="ij"), axis=-1)
    lab = transform(nodes.reshape(-1, 3), standard_profile("ROMM RGB"), "lab")
    black = lab_to_xyz([black_lightness, 0, 0]) / D50_XYZ
    cube = writer.encode_lab(scale_light(lab, 1 - black, black)).reshape(nodes.shape)
    curves = [writer.sampled_curve([])] * 3
    table = writer.table("mAB ", cube, curves, curves)
    tags = {"wtpt": writer.xyz(D50_XYZ), **dict.fromkeys(tables or ("A2B0",), table)}
    return writer.assemble("space", "RGB", "LAB", "RGB by a table", tags)

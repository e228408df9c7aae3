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

"""Invented papers.

None of them exists: names, whites, blacks, inks and packets are our inventions, chosen
to lie where published tests of inkjet papers and common practice put papers of their kind.
"""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

import numpy as np

from workbench.colour.inkmodel import model_profile
from workbench.demo.kept import kept
from workbench.paper import Paper

_PRINTER = "Invented printer, 360 ppi"

# name, white Lab (absolute), black density, saturation,
# weight g/m2, thickness mm, base, finish, texture, media setting, kind of surface
_SHELF = (
    ("Still Harbour", (96.2, 0.0, -0.8), 2.36, 1.02,
     337, 0.37, "baryta", "gloss", "smooth", "Shiny coat, thick", "gloss"),
    ("Cold Teapot", (95.8, 0.3, -6.2), 2.14, 1.03,
     247, 0.26, "resin-coated", "satin", "light texture", "Half-shiny coat", "pearl"),
    ("Quiet Ladder", (96.4, 0.1, 1.2), 1.66, 1.02,
     295, 0.44, "cotton", "matte", "smooth", "Dull coat, thick", "smooth"),
    ("Reed Basket", (94.4, 0.6, 3.9), 1.6, 1.04,
     143, 0.25, "plant fibre", "matte", "light texture", "Dull coat, thin", "laid"),
    ("Goat Path", (95.3, 0.3, 2.3), 1.63, 1.03,
     362, 0.62, "cotton", "matte", "heavy texture", "Dull coat, thick", "cold-pressed"),
    ("Winter Kitchen", (97.0, 1.0, -7.0), 1.68, 0.97,
     183, 0.23, "cellulose", "matte", "smooth", "Dull coat, thin", "smooth"),
    ("Slow Ferry", (94.9, 0.2, 0.4), 1.46, 0.97,
     407, 0.48, "canvas", "matte", "heavy texture", "Woven", "canvas"),
)  # fmt: skip


@lru_cache(maxsize=1)
def demo_papers() -> tuple[Paper, ...]:
    """The invented papers: glossy baryta, cool satin, five matte ones from smooth to canvas.

    Each holds a true ICC v4 RGB output profile from `model_profile`; building them takes
    two or three seconds, once on a computer.

    Returns
    -------
    Papers of different finish, base and white; all are invented, and say so.

    Raises
    ------
    Nothing: they are made from numbers.

    Examples
    --------
    >>> all(paper.invented for paper in wb.demo_papers())
    True
    """
    profiles = kept("invented-papers", _profiles, [Path(__file__)])
    return tuple(_made(profiles, *each) for each in _SHELF)


def _profiles() -> dict[str, np.ndarray]:
    made = {}
    for name, white, black, saturation, _, _, _, finish, *_ in _SHELF:
        name = f"Invented {name}"
        profile = model_profile(white, black, finish=finish, saturation=saturation, name=name)
        made[name] = np.frombuffer(profile, np.uint8)
    return made


def _made(profiles, name, _white, _black, _saturation, weight, thickness, base, finish, texture,
          media, surface):  # fmt: skip
    name = f"Invented {name}"
    return Paper(
        name=name,
        profile=profiles[name].tobytes(),
        weight_g_m2=float(weight),
        thickness_mm=thickness,
        base=base,
        finish=finish,
        surface_texture=texture,
        surface=surface,
        printer=_PRINTER,
        media_setting=media,
        black_ink="matte black" if finish == "matte" else "photo black",
        invented=True,
    )


def nearest_demo_paper(name: str, **known) -> Paper:
    """The invented paper of that name, or else the one with the most in common.

    Plans name invented papers without their profiles; those of a former version may
    name one that is no longer among them.

    Parameters
    ----------
    known : characteristics of the paper sought; finish counts most, then base, texture.
    """

    def alike(paper: Paper) -> tuple[bool, ...]:
        wanted = ("finish", "base", "surface_texture")
        return (paper.name == name, *(getattr(paper, key) == known.get(key) for key in wanted))

    return max(demo_papers(), key=alike)

"""Five invented papers.

None of them exists: their whites, blacks and inks are our inventions, chosen to lie
where published tests of inkjet papers and common practice put papers of their kind.
"""

from __future__ import annotations

from functools import lru_cache

from workbench.colour.inkmodel import model_profile
from workbench.paper import Paper

_PRINTER = "Invented printer, 360 ppi"

# name, white Lab (absolute), black density, saturation, characteristics
_SHELF = (
    (
        "Invented Tarn Gloss",
        (96.0, 0.2, -6.0),
        2.35,
        1.0,
        {
            "surface_texture": "smooth",
            "finish": "gloss",
            "base": "resin-coated",
            "black_ink": "photo black",
            "weight_g_m2": 260,
            "media_setting": "Glossy photo paper",
        },
    ),
    (
        "Invented Heron Satin",
        (96.3, -0.2, -0.6),
        2.2,
        1.03,
        {
            "surface_texture": "light texture",
            "finish": "satin",
            "base": "baryta",
            "black_ink": "photo black",
            "weight_g_m2": 300,
            "media_setting": "Semi-gloss photo paper",
        },
    ),
    (
        "Invented Linden Smooth Cotton",
        (96.4, 0.1, 0.9),
        1.66,
        1.02,
        {
            "surface_texture": "smooth",
            "finish": "matte",
            "base": "cotton",
            "black_ink": "matte black",
            "weight_g_m2": 310,
            "media_setting": "Fine art paper, matte",
        },
    ),
    (
        "Invented Ochre Rag",
        (94.6, 0.6, 4.0),
        1.6,
        1.04,
        {
            "surface_texture": "heavy texture",
            "finish": "matte",
            "base": "cotton",
            "black_ink": "matte black",
            "weight_g_m2": 340,
            "media_setting": "Fine art paper, matte",
        },
    ),
    (
        "Invented Quartz Bright Matte",
        (97.0, 1.0, -7.0),
        1.68,
        0.97,
        {
            "surface_texture": "smooth",
            "finish": "matte",
            "base": "cellulose",
            "black_ink": "matte black",
            "weight_g_m2": 190,
            "media_setting": "Matte paper",
        },
    ),
)


@lru_cache(maxsize=1)
def demo_papers() -> tuple[Paper, ...]:
    """The five invented papers: gloss, satin, smooth matte, textured matte, bright matte.

    Each holds a true ICC v4 RGB output profile from `model_profile`; building them takes
    a second or two, once.
    """
    return tuple(
        Paper(
            name=name,
            profile=model_profile(
                white, black, finish=details["finish"], saturation=saturation, name=name
            ),
            printer=_PRINTER,
            invented=True,
            **details,
        )
        for name, white, black, saturation, details in _SHELF
    )

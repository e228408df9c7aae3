"""Targets and invented measurements of them, as the tests of this folder need them."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from helpers import coated_profile

from workbench.colour.inkmodel import model_profile
from workbench.paper import Paper, open_paper
from workbench.target.cgats_file import cgats_text
from workbench.target.measured import Measured, read_measured
from workbench.target.patches import Target, target_for


@lru_cache(maxsize=1)
def coated_paper() -> Paper:
    """The open coated press condition: a CMYK profile that others have made."""
    return open_paper(coated_profile(), name="Coated", finish="gloss")


@lru_cache(maxsize=1)
def matte_paper() -> Paper:
    return Paper("Rag", model_profile((95, 0.5, 3), 1.6, finish="matte", grid=17), finish="matte")


@lru_cache(maxsize=8)
def matte_target(intent: str = "relative") -> Target:
    return target_for(matte_paper(), intent)


def file_of(target: Target, lab) -> bytes:
    """A measurement file of a target."""
    return cgats_text(target.ids, target.names, lab=lab).encode()


def measured_as(target: Target, lab) -> Measured:
    """Measurements with exactly these Lab values, without a file's rounding."""
    return Measured(
        name="Invented", target=target, lab=np.array(lab, float), matched_by="SAMPLE_ID",
        readings=1, scatter=0.0, largest_scatter=0.0, stated="Lab, D50, 2°",
    )  # fmt: skip


__all__ = ["coated_paper", "file_of", "matte_paper", "matte_target", "measured_as", "read_measured"]

"""Results that are kept for the next time hold no picture that has left the desk."""

from __future__ import annotations

import gc
import weakref

import pytest
from output.makers import as_picture, matte_paper, scene

import workbench as wb
from workbench.figures.proof_picture import Proofed
from workbench.gang.telling import telling_tones
from workbench.output.job import PrintJob
from workbench.output.magnified import magnify_print
from workbench.output.solved import solve
from workbench.rendering import DEFAULTS


def telling(picture):
    solved = solve(PrintJob(picture, matte_paper(), ppi=100))
    telling_tones(solved.job, solved.layout, (5, 5))


def suggested(picture):
    wb.suggest_adjustments(picture, matte_paper())


def magnified(picture):
    checked = solve(PrintJob(picture, matte_paper(), ppi=100)).job
    magnify_print(checked, (("relative", True),), centre=(0.5, 0.5), tile_px=(40, 30))


def mapped(picture):
    Proofed(picture, matte_paper(), DEFAULTS, 100).maps()


@pytest.mark.parametrize("look", [telling, suggested, magnified, mapped])
def test_a_picture_is_let_go(look):
    picture = as_picture(scene())
    look(picture)
    gone = weakref.ref(picture)
    del picture
    gc.collect()
    assert gone() is None

"""What the eye takes for white: the same to sentences, plots, patches, proofs and comparison."""

import inspect

import numpy as np
import pytest

from workbench.analysis.adaptation import (
    BRIGHTENED_CARD,
    PERFECT_DIFFUSER,
    UNTINTED_COTTON,
    eye_beside,
    white_seen,
)
from workbench.analysis.crops import printed_crop
from workbench.analysis.proof import soft_proof
from workbench.analysis.proof_maps import limit_shares, proof_maps
from workbench.analysis.proof_views import magnify
from workbench.analysis.viewing import viewing
from workbench.analysis.white import neutral_steps, paper_white, whites_seen
from workbench.colour.lab import D50_XYZ, lab_to_xyz
from workbench.colour.trip import white_xyz
from workbench.demo import demo_papers
from workbench.errors import WorkbenchError
from workbench.figures.compare_view import eye_for
from workbench.output.proof_file import write_proof
from workbench.picture.opening import from_pixels
from workbench.plan import Plan

PAPERS = demo_papers()


@pytest.mark.parametrize("adaptation", [0.0, 0.35, 1.0])
@pytest.mark.parametrize("reference", [None, UNTINTED_COTTON, BRIGHTENED_CARD, PAPERS[2]])
def test_everything_sees_a_papers_white_alike(reference, adaptation):
    paper = PAPERS[1]
    how = {"reference": reference, "adaptation": adaptation}
    white = white_xyz(paper.profile)
    # profiles of ours state the white that their tables have; the tag is rounded to 1/65536
    seen = {
        "sentence": paper_white(paper, **how).seen_lab,
        "plane": whites_seen(paper, PAPERS, **how).chosen.seen_lab,
        "patches": neutral_steps(paper, **how).white.seen_lab,
        "proof": viewing(**how).seen(np.array([100.0, 0, 0]), white),
        "comparison": eye_for(PAPERS, **how, adapted_to=paper).whites_lab[1],
    }
    expected = white_seen(white, eye_beside(**how).white(white))
    for place, lab in seen.items():
        assert np.asarray(lab) == pytest.approx(expected, abs=0.01), place
    if reference is None or adaptation == 1:
        assert expected == pytest.approx((100, 0, 0), abs=1e-9)
    elif adaptation == 0:
        # ICC.1:2022 section 6.3.2, X over Xn: by hand, with the reference for the medium's white
        beside = lab_to_xyz(eye_beside(**how).reference_lab)
        assert lab_to_xyz(expected) == pytest.approx(white / beside * D50_XYZ, abs=1e-6)


def test_a_crop_is_seen_as_the_proof_is():
    """To the last code of sRGB, whatever the eye."""
    from workbench.analysis.proof import soft_proof

    paper = PAPERS[1]
    pixels = np.random.default_rng(5).integers(0, 256, (24, 30, 3), np.uint8)
    picture = from_pixels(pixels, "sRGB")
    for reference, adaptation in ((BRIGHTENED_CARD, 0.4), (PERFECT_DIFFUSER, 0.0), (None, 0.0)):
        eye = eye_beside(reference, adaptation).white(white_xyz(paper.profile))
        crop = printed_crop(picture, paper, (0, 0, 30, 24)).seen(eye)
        proof = soft_proof(
            picture, paper, reference=reference, adaptation=adaptation, long_side_px=None
        )
        assert np.abs(crop.astype(int) - proof.pixels).max() <= 1


@pytest.mark.parametrize("adaptation", [-0.1, 1.01, float("nan"), "much", None])
def test_an_adaptation_that_is_none_ends_in_a_sentence(adaptation):
    with pytest.raises(WorkbenchError, match="between 0 .* and 1"):
        eye_beside(PERFECT_DIFFUSER, adaptation)
    assert eye_beside(None, adaptation).adaptation == 1  # alone, it is not asked


@pytest.mark.parametrize(
    "function", [eye_beside, viewing, soft_proof, proof_maps, limit_shares, magnify, paper_white,
                 whites_seen, neutral_steps, write_proof]
)  # fmt: skip
def test_functions_begin_as_a_new_plan_does(function):
    plan, takes = Plan(), inspect.signature(function).parameters
    for name in ("reference", "adaptation", "display", "intent", "black_point_compensation"):
        if name in takes:
            assert takes[name].default == getattr(plan, name), name

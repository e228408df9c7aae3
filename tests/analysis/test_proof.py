"""Soft proofs against Little CMS, and their end points."""

import numpy as np
import pytest
from helpers import coated_profile
from pictures import colourful, patches

import workbench as wb
from workbench.analysis.proof import picture_grid, proof_grid
from workbench.colour.engine import transform
from workbench.colour.lab import lab_to_xyz
from workbench.colour.spaces import standard_profile
from workbench.errors import UntaggedPictureError, WorkbenchError


@pytest.fixture(scope="module")
def paper():
    return wb.open_paper(coated_profile())


def little_cms_proof(picture, paper, intent, absolute):
    """Pillow's own proofing transform, 8 bits."""
    import io

    from PIL import Image, ImageCms

    pixels = (picture.pixels() >> 8).astype(np.uint8)
    change = ImageCms.buildProofTransform(
        io.BytesIO(picture.profile),
        io.BytesIO(standard_profile("sRGB")),
        io.BytesIO(paper.profile),
        "RGB",
        "RGB",
        intent,
        3 if absolute else 1,
        0x4000,  # cmsFLAGS_SOFTPROOFING, lcms2.h
    )
    return pixels, np.asarray(ImageCms.applyTransform(Image.fromarray(pixels), change))


@pytest.mark.parametrize("intent, number", [("perceptual", 0), ("relative", 1), ("saturation", 2)])
def test_adapted_proof_is_little_cms_own(paper, intent, number):
    picture = colourful()
    pixels, theirs = little_cms_proof(picture, paper, number, absolute=False)
    from pictures import picture_of

    eight = picture_of(pixels, "Adobe RGB (1998)")
    ours = wb.soft_proof(eight, paper, intent=intent, adaptation=1.0, long_side_px=None).pixels
    # Pillow's proof runs through 8-bit tables; ours works every pixel out
    difference = np.abs(ours.astype(int) - theirs.astype(int))
    assert np.percentile(difference, 95) <= 2 and difference.mean() < 0.6


def test_end_points_of_adaptation(paper):
    white = patches([1, 1, 1])
    adapted = wb.soft_proof(white, paper, adaptation=1.0).pixels
    assert np.all(adapted == 255)
    beside = wb.soft_proof(white, paper, adaptation=0.0).pixels[0, 0] / 255
    seen = transform(beside[None], standard_profile("sRGB"), "lab")[0]
    # side by side with the perfect diffuser: the paper's absolute white
    assert np.abs(seen - paper.white_lab).max() < 0.3


def test_adaptation_moves_steadily_from_tint_to_white(paper):
    white = patches([1, 1, 1])
    steps = [wb.soft_proof(white, paper, adaptation=a).pixels[0, 0].astype(int) for a in np.linspace(0, 1, 6)]
    assert np.all(np.diff(steps, axis=0) >= 0)


def test_the_quick_grid_follows_the_exact_proof(paper):
    picture = colourful(200, 300)
    exact = wb.soft_proof(picture, paper, adaptation=0.4, long_side_px=300).pixels
    grid = proof_grid(picture.profile, paper.profile, adaptation=0.4)
    quick = grid.apply(picture.preview(300))
    assert np.abs(quick.astype(int) - exact).mean() < 0.5


def test_sixteen_bits_and_other_displays(paper):
    picture = colourful()
    proof = wb.soft_proof(picture, paper, bit_depth=16, display="Display P3")
    assert proof.pixels.dtype == np.uint16
    assert proof.display_profile == standard_profile("Display P3")
    narrow = wb.soft_proof(picture, paper, bit_depth=16)
    assert np.abs(proof.pixels.astype(int) - narrow.pixels).max() > 500


def test_a_whiter_reference_makes_the_paper_darker(paper):
    white = patches([1, 1, 1])
    office = wb.soft_proof(white, paper, reference="office sheet").pixels[0, 0].astype(int)
    diffuser = wb.soft_proof(white, paper).pixels[0, 0].astype(int)
    # beside a bluish sheet the paper loses its blue
    assert office[2] - office[0] < diffuser[2] - diffuser[0]


def test_picture_grid_is_a_plain_conversion():
    picture = colourful()
    quick = picture_grid(picture.profile).apply(picture.pixels())
    exact = transform(picture.pixels() / 65535, picture.profile, standard_profile("sRGB"))
    assert np.abs(quick - np.clip(exact, 0, 1) * 255).mean() < 0.7


def test_grey_pictures_are_proofed_too(paper):
    from pictures import picture_of

    grey = picture_of(np.linspace(0, 1, 64)[None].repeat(8, 0), "Grey gamma 2.2")
    proof = wb.soft_proof(grey, paper, adaptation=1.0).pixels
    assert proof.shape == (8, 64, 3) and np.ptp(proof[0, -1]) == 0


@pytest.mark.parametrize(
    "options, words",
    [
        ({"adaptation": 2}, "between 0"),
        ({"display": "my screen"}, "no display"),
        ({"bit_depth": 12}, "8 or 16"),
        ({"reference": "snow"}, "no white to compare"),
        ({"intent": "vivid"}, "no rendering intent"),
    ],
)
def test_wrong_options(paper, options, words):
    with pytest.raises(WorkbenchError, match=words):
        wb.soft_proof(colourful(), paper, **options)


def test_an_untagged_picture_is_not_guessed_at(paper):
    import io

    import tifffile

    file = io.BytesIO()
    tifffile.imwrite(file, np.zeros((4, 4, 3), np.uint8), photometric="rgb")
    with pytest.raises(UntaggedPictureError, match="no colour profile"):
        wb.soft_proof(wb.open_picture(file.getvalue(), name="old.tif"), paper)


def test_reference_white_xyz_scales_the_display(paper):
    grid = proof_grid(
        standard_profile("sRGB"), paper.profile, reference_xyz=lab_to_xyz(paper.white_lab)
    )
    assert np.all(grid.apply(np.full((1, 1, 3), 255, np.uint8)) >= 254)

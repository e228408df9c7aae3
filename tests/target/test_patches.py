"""The target's patches, and their reference values held against Little CMS by another road."""

import io

import imagecodecs
import numpy as np
import pytest
from PIL import Image, ImageCms
from target.makers import coated_paper, matte_paper, matte_target

from workbench.colour.spaces import standard_profile
from workbench.errors import PaperError, ProfileError, TargetError
from workbench.paper_readings import measured_paper
from workbench.target.patches import BLACK, GREYS, NEAR_BLACK, SPACE, WHITE, target_for

INTENT = {"perceptual": 0, "relative": 1, "saturation": 2, "absolute": 3}


def opened(profile: bytes):
    return ImageCms.ImageCmsProfile(io.BytesIO(profile))


def proof_by_pillow(rgb8, paper, intent: str, compensated: bool) -> np.ndarray:
    """Absolute Lab of 8-bit RGB printed on a paper, through Little CMS as Pillow binds it."""
    mode = "CMYK" if paper.icc.space == "CMYK" else "RGB"
    flags = ImageCms.Flags.BLACKPOINTCOMPENSATION if compensated else ImageCms.Flags.NONE
    space, profile = opened(standard_profile(SPACE)), opened(paper.profile)
    to_paper = ImageCms.buildTransform(space, profile, "RGB", mode, INTENT[intent], flags)
    lab = ImageCms.createProfile("LAB", 5000)
    to_lab = ImageCms.buildTransform(profile, lab, mode, "LAB", INTENT["absolute"])
    printed = ImageCms.applyTransform(Image.fromarray(rgb8[None]), to_paper)
    coded = np.asarray(ImageCms.applyTransform(printed, to_lab))[0].astype(float)
    signed = coded[:, 1:]
    signed[signed > 127] -= 256  # Pillow's a* and b* are signed bytes
    return np.column_stack([coded[:, 0] * 100 / 255, signed])


@pytest.mark.parametrize("paper", [coated_paper, matte_paper])
@pytest.mark.parametrize(
    ("intent", "compensated"),
    [("relative", True), ("relative", False), ("perceptual", False), ("absolute", False)],
)
def test_reference_is_what_little_cms_predicts(paper, intent, compensated):
    target = target_for(paper(), intent, compensated)
    rgb8 = np.rint(target.rgb * 255).astype(np.uint8)
    theirs = proof_by_pillow(rgb8, paper(), intent, compensated)
    away = np.linalg.norm(theirs - target.reference_lab, axis=1)
    # Pillow has 8 bits on the way, a step of which is up to 1 in a* and b*; shadows of CMYK
    # profiles are steep
    assert np.median(away) < 0.8 and away.max() < 2.5
    # far from what another intent's white would give: the coated paper's is L* 95, b* -2
    white = target.index(WHITE)
    assert away[white] < 1


def test_reference_starts_from_the_same_16_bit_pixels_as_a_print_file():
    target = target_for(coated_paper())
    pixels = np.rint(target.rgb * 65535).astype(np.uint16)
    assert np.array_equal(pixels / 65535, target.rgb)
    plain = imagecodecs.cms_transform(
        np.ascontiguousarray(pixels[None]), standard_profile(SPACE), coated_paper().profile,
        colorspace="rgb", outcolorspace="cmyk", intent=1,
        flags=int(imagecodecs.CMS.FLAGS.BLACKPOINTCOMPENSATION),
    )[0]  # fmt: skip
    assert np.array_equal(np.rint(target.device * 65535), plain)


def test_white_patch_is_the_bare_paper_and_black_its_black():
    paper, target = matte_paper(), matte_target()
    white, black = target.index(WHITE), target.index(BLACK)
    assert np.allclose(target.reference_lab[white], paper.white_lab, atol=0.05)
    assert np.allclose(target.device[white], 1)
    # compensation aims at a black that it estimates from the shadows' curve (ISO 18619), a
    # little above the darkest that the paper prints
    assert paper.black_lab[0] - 0.1 <= target.reference_lab[black, 0] < paper.black_lab[0] + 1.2


def test_patches_are_as_promised():
    target = matte_target()
    assert len(GREYS) >= 21 and len(set(target.ids)) == len(set(target.names)) == len(target)
    assert target.ids[0] == "A1" and target.ids[12] == "B1" and target.ids[-1] == "F12"
    # equal numbers of this space are even steps of L* (ISO 22028-4)
    for step in (*GREYS, *NEAR_BLACK):
        name = {0: BLACK, 100: WHITE}.get(step, f"Grey {step}")
        lab = imagecodecs.cms_transform(
            target.rgb[None, target.index(name)][None], standard_profile(SPACE),
            imagecodecs.cms_profile("lab4"), colorspace="rgb", outcolorspace="lab", intent=1,
        ).ravel()  # fmt: skip
        assert lab == pytest.approx([step, 0, 0], abs=0.03)
    for copy, original in target.repeats:
        assert np.array_equal(target.rgb[copy], target.rgb[original]) and copy != original
        assert target.names[copy] == f"{target.names[original]}, again"
    assert len(target.repeats) >= 4
    assert target.group("full colours").sum() == target.group("half colours").sum() == 6
    assert not target.neutrals[[target.index(BLACK), target.index(WHITE)]].any()


def test_another_intent_gives_another_reference():
    relative, absolute = matte_target(), matte_target("absolute")
    assert not absolute.black_point_compensation and relative.black_point_compensation
    grey = relative.index("Grey 80")
    # absolute keeps the picture's L* 80, relative scales it to the paper's white
    assert absolute.reference_lab[grey, 0] == pytest.approx(80, abs=0.5)
    assert relative.reference_lab[grey, 0] < 78


def test_what_cannot_be_is_said():
    with pytest.raises(TargetError, match="needs a paper with a profile"):
        target_for(None)
    read = measured_paper("Read", (95, 0, 2), illuminant="D50", observer_deg=2)
    with pytest.raises(PaperError, match="needs a profile"):
        target_for(read)
    with pytest.raises(ProfileError, match="not a rendering intent"):
        target_for(matte_paper(), "pretty")

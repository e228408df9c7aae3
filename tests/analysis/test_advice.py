"""The rules of thumb: when each applies, what it says, and that each names its source."""

from dataclasses import replace

import pytest
from pictures import patches

from workbench.analysis.advice import GLOSS_MIRRORS, RULES, advise, wishes
from workbench.analysis.character import describe
from workbench.analysis.detail import SmoothArea
from workbench.paper_readings import measured_paper

NO_AREA = SmoothArea(0.0, None, "")
SKY = SmoothArea(0.4, (70.0, -5.0, -20.0), "sky blues")


def paper(white=(96, 0, 0), black_lightness=18.0, **details):
    """L* 18 is density 1.60, L* 8 is 2.05, L* 14.28 is 1.75 (ISO 5: -log10 of luminance)."""
    black = None if black_lightness is None else (black_lightness, 0, 0)
    return measured_paper("Paper", white, black, illuminant="D50", observer_deg=2, **details)


@pytest.fixture(scope="module")
def plain():
    """A picture that no rule applies to."""
    character = describe(patches((0.5, 0.45, 0.4)))
    return replace(character, smooth_area=NO_AREA, share_detail=0.1)


def rules_of(character, sheet) -> dict:
    return {advice.rule: advice for advice in advise(character, sheet)}


def test_a_plain_picture_gets_no_advice(plain):
    sheet = paper((92, 1, 8), finish="gloss", surface_texture="heavy texture")
    assert advise(plain, sheet) == ()
    assert wishes(plain) == ()


def test_fine_detail_suits_smooth_surfaces(plain):
    detailed = replace(plain, share_detail=0.6)
    smooth = rules_of(detailed, paper(surface_texture="smooth"))["small detail"]
    rough = rules_of(detailed, paper(surface_texture="heavy texture"))["small detail"]
    assert (smooth.verdict, rough.verdict) == ("suits", "beware")
    assert "covers 60 % of the picture" in smooth.sentence
    assert "small detail" not in rules_of(detailed, paper(surface_texture="light texture"))
    assert "small detail" not in rules_of(detailed, paper())


def test_a_texture_shows_in_a_smooth_sky(plain):
    sky = replace(plain, smooth_area=SKY)
    said = rules_of(sky, paper(surface_texture="heavy texture"))["broad tones"]
    assert said.verdict == "suits" and "common practice, no source" in said.sentence
    assert "sky blues that fill 40 % of the picture" in said.sentence
    assert "broad tones" not in rules_of(sky, paper(surface_texture="smooth"))
    night = replace(plain, smooth_area=SmoothArea(0.4, (10.0, 0.0, 0.0), "shadows"))
    assert "broad tones" not in rules_of(night, paper(surface_texture="heavy texture"))


def test_dark_pictures_need_density(plain):
    dark = replace(plain, share_shadows=0.5)
    # densities usual for matte (1.6 to 1.7) and glossy papers (2.0 to 2.2): M. McNamee 2010
    assert rules_of(dark, paper(black_lightness=18.0))["dark pictures"].verdict == "beware"
    assert rules_of(dark, paper(black_lightness=8.0))["dark pictures"].verdict == "suits"
    assert "density 1.60 is shallow" in rules_of(dark, paper())["dark pictures"].sentence
    assert "dark pictures" not in rules_of(dark, paper(black_lightness=14.28))
    assert "dark pictures" not in rules_of(dark, paper(black_lightness=None))
    assert "dark pictures" in rules_of(replace(plain, median_lightness=20.0), paper())


def test_gloss_mirrors_in_dark_pictures(plain):
    # Fresnel, n 1.52: 4.26 % (optics textbooks)
    assert pytest.approx(0.0426, abs=5e-5) == GLOSS_MIRRORS
    dark = replace(plain, share_shadows=0.5)
    said = rules_of(dark, paper(black_lightness=8.0, finish="gloss"))["reflections"]
    # a black of L* 8 reflects 0.886 %
    assert said.sentence.startswith(
        "Gloss mirrors 4.3 % of a window or lamp, 5 times what its darkest printable colour reflects"
    )
    for finish in ("matte", "satin", "semi-gloss", None):
        assert "reflections" not in rules_of(dark, paper(finish=finish))
    assert (
        "times"
        not in rules_of(dark, paper(black_lightness=None, finish="gloss"))["reflections"].sentence
    )


def test_light_pictures_take_the_tint(plain):
    light = replace(plain, share_highlights=0.3)
    said = rules_of(light, paper((92, 1, 8)))["light pictures"]
    assert (said.verdict, "clearly warm white shows in the 30 %" in said.sentence) == (
        "taste",
        True,
    )
    assert "light pictures" not in rules_of(light, paper((96, 0, 1)))


def test_each_rule_has_a_source_and_a_wish(plain):
    everything = replace(
        plain, share_detail=0.6, share_shadows=0.5, share_highlights=0.3, smooth_area=SKY
    )
    assert len(wishes(everything)) == len(RULES)
    said = rules_of(everything, paper((92, 1, 8), finish="gloss", surface_texture="heavy texture"))
    assert set(said) == {rule.name for rule in RULES}
    for rule in RULES:
        assert len(rule.source) > 10
        assert said[rule.name].source == rule.source
        assert said[rule.name].sentence.endswith(".")
        assert said[rule.name].verdict in ("suits", "beware", "taste")
    assert len({rule.name for rule in RULES}) == len(RULES) <= 6

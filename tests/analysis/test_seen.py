"""How much of a picture's detail is seen: gratings, noise and enlargements whose answer is known."""

from __future__ import annotations

import numpy as np
import pytest
from pictures import picture_of

import workbench as wb
from workbench.analysis.eye import (
    contrast_sensitivity,
    cycles_per_degree,
    eye_limit_cycles_per_degree,
)
from workbench.analysis.seen import seen_at, seen_detail
from workbench.analysis.spectrum import power_by_fineness, spectrum_of
from workbench.errors import SizeError, UntaggedPictureError

MEAN, BLACK = 0.3, 0.02  # of the light; the print's black is part of the method


def of_light(light):
    """A picture of (h, w) linear light 0..1, through sRGB's own curve (IEC 61966-2-1)."""
    light = np.clip(light, 0, 1)
    code = np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)
    return picture_of(np.repeat(code[..., None], 3, axis=2))


def grating(cycles_per_px, modulation=0.4, height=800, width=1200):
    wave = np.sin(2 * np.pi * cycles_per_px * np.arange(width))
    return of_light(np.tile(MEAN * (1 + modulation * wave), (height, 1)))


def noise(deviation=0.1, height=1200, width=1600, seed=3):
    random = np.random.default_rng(seed)
    return of_light(MEAN * (1 + deviation * random.standard_normal((height, width))))


def on_paper(contrast):
    """A contrast about the mean light with the print's black added."""
    return contrast * MEAN * (1 - BLACK) / (BLACK + MEAN * (1 - BLACK))


@pytest.mark.parametrize("fineness", [0.15, 0.2, 0.4])
def test_a_grating_has_its_contrast_at_its_fineness(fineness):
    spectrum = spectrum_of(grating(fineness))
    assert spectrum.contrast.max() == pytest.approx(on_paper(0.4), rel=0.02)
    strongest = spectrum.frequencies[spectrum.power.mean(axis=0).argmax()]
    assert strongest == pytest.approx(
        fineness, rel=0.09, abs=0.03
    )  # half a bin, and the tile's own steps


def test_power_adds_up_to_the_variance():
    # Parseval; the window lets through a sample of the noise, not all of it
    light = 1 + 0.2 * np.random.default_rng(1).standard_normal((60, 48, 48))
    assert power_by_fineness(light).sum(axis=1).mean() == pytest.approx(0.04, rel=0.03)
    odd = 1 + 0.2 * np.random.default_rng(1).standard_normal((60, 49, 49))
    assert power_by_fineness(odd).sum(axis=1).mean() == pytest.approx(0.04, rel=0.03)


@pytest.mark.parametrize(("fineness", "ppi"), [(0.25, 300), (0.1, 200), (0.4, 360)])
def test_a_grating_is_seen_up_to_the_distance_that_barten_gives(fineness, ppi):
    picture = grating(fineness)
    # where its cycles fill the eye's limit for its contrast: d·2·tan(½°)·cycles/mm = limit
    degrees = eye_limit_cycles_per_degree(on_paper(0.4))
    far = degrees / (2 * np.tan(np.radians(0.5)) * fineness * ppi / 25.4)
    share = {
        times: seen_detail(picture, ppi=ppi, viewing_distance_mm=times * far).places[2].share_seen
        for times in (0.75, 1.35)
    }
    assert share[0.75] > 0.9 and share[1.35] < 0.02


def test_the_share_of_noise_by_hand():
    deviation, ppi, distance = 0.1, 150, 900
    seen = seen_detail(noise(deviation), ppi=ppi, viewing_distance_mm=distance).places[2]
    # white noise has its power spread evenly over the plane of fineness, 1 by 1 cycles/px: an
    # octave around f is a ring of area pi f² (2 - ½); what is seen is a disc
    f = np.linspace(0.02, 0.5, 4000)
    modulation = np.sqrt(2 * np.pi * f**2 * 1.5) * on_paper(deviation)
    needed = 1 / contrast_sensitivity(cycles_per_degree(f * ppi / 25.4, distance))
    finest = f[modulation >= needed].max()
    assert 0.1 < finest < 0.45
    assert seen.share_seen == pytest.approx(np.pi * finest**2, rel=0.25)


def test_two_metres_of_two_thousand_pixels_do_not_look_sharp():
    seen = wb.seen_detail(noise(0.2, 1333, 2000), 2000)
    assert seen.ppi == pytest.approx(25.4)
    assert not any(place.pixels_suffice for place in seen.places)
    assert seen.sharp_from_mm > 2000
    assert seen.verdict().startswith("Soft") and "Visitors step close" in seen.sentence
    assert "300 or 360 ppi is what" in seen.sentence and "not what is seen" in seen.sentence
    assert "across the room" not in seen.verdict().partition("sharp from")[2]
    # and 15 cm of the same do, in the hand too but for the last of it
    small = wb.seen_detail(noise(0.2, 1333, 2000), 120, viewing_distance_mm=3500)
    assert small.verdict().endswith(", and so across the room (3.5 m).")
    assert all(place.pixels_suffice for place in small.places[1:])
    assert "Visitors" not in wb.seen_detail(noise(0.2, 1333, 2000), 120, printer_ppi=720).sentence


def test_the_printer_limits_what_the_pixels_hold():
    fine = seen_detail(grating(0.4), ppi=1000, printer_ppi=300)
    # 0.4 cycles to the pixel need 800 ppi
    assert fine.pixels_ppi == 300 and fine.places[0].share_seen < 0.02
    # and it is the printer that falls short of the eye, not the picture's 1000
    assert "resolves more than the printer shows; sharp" in fine.verdict()
    # detail is said to be less than the pixels that the picture has, not than the printer's
    soft = seen_detail(grating(0.1), ppi=1000, printer_ppi=600)
    assert soft.detail_ppi < 0.7 * 600 and "ppi here and its pixels 1000:" in soft.sentence
    assert seen_detail(grating(0.4), ppi=1000, printer_ppi=1000).places[0].share_seen < 0.02
    assert seen_detail(grating(0.1), ppi=1000, printer_ppi=300).places[0].share_seen > 0.95


def test_an_enlarged_picture_has_no_detail_at_print_pitch():
    from PIL import Image

    small = MEAN * (1 + 0.2 * np.random.default_rng(8).standard_normal((300, 400)))
    image = Image.fromarray(small.astype(np.float32))
    large = np.asarray(image.resize((1600, 1200), Image.Resampling.LANCZOS))
    seen = seen_detail(of_light(large), ppi=400, printer_ppi=720)
    # a quarter of its pixels, and what so strong a noise leaves in the filter's flank
    assert 100 <= seen.detail_ppi < 180
    assert seen.places[1].pixels_suffice and seen.sharp_from_mm > 600
    assert "was enlarged before" in seen.sentence and "picture's detail" in seen.verdict()
    honest = seen_detail(noise(0.2), ppi=400, printer_ppi=720)
    assert honest.detail_ppi == 400 and "enlarged" not in honest.sentence


def test_less_is_seen_from_farther_and_of_finer_detail():
    picture = wb.demo_picture()
    for width_mm in (150, 400, 1500):
        shares = [place.share_seen for place in seen_detail(picture, width_mm).places]
        assert shares == sorted(shares, reverse=True) and 0 < shares[2] < shares[0] <= 1
    rooms = [seen_detail(picture, 400, viewing_distance_mm=d) for d in (800, 2000, 8000)]
    assert rooms[0].places[2].share_seen > rooms[1].places[2].share_seen
    assert rooms[1].places[2].share_seen > rooms[2].places[2].share_seen
    assert rooms[0].sharp_from_mm == rooms[2].sharp_from_mm


def test_the_spectrum_is_measured_once():
    picture = noise()
    assert spectrum_of(picture) is spectrum_of(picture)
    assert seen_at(spectrum_of(picture), 300) == seen_detail(picture, ppi=300)


@pytest.mark.parametrize("shape", [(1, 1), (3, 200), (9, 9)])
def test_small_and_flat_pictures_have_an_answer(shape):
    flat = seen_detail(of_light(np.full(shape, MEAN)), 100)
    assert [place.share_seen for place in flat.places] == [0, 0, 0]
    assert "no fine detail" in flat.sentence


def test_wrong_questions_are_refused():
    picture = grating(0.1, height=40, width=60)
    for wrong in ({}, {"width_mm": 100, "ppi": 300}, {"ppi": 0}, {"width_mm": -5},
                  {"ppi": 300, "viewing_distance_mm": float("nan")}):  # fmt: skip
        with pytest.raises(SizeError):
            seen_detail(picture, **wrong)
    from picture.makers import tiff_bytes

    from workbench.picture import open_picture

    untagged = open_picture(tiff_bytes(np.zeros((40, 60, 3), np.uint8)))
    with pytest.raises(UntaggedPictureError):
        seen_detail(untagged, 100)

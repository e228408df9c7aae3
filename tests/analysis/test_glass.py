"""Glass and glare, against Fresnel's equations, closed forms and a ray-by-ray sum."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from workbench.analysis.glass import (
    GLASSES,
    SURFACE_MIRROR,
    Glass,
    find_glass,
    fresnel_reflectance,
    glare_lab,
    hang,
    light_path,
)
from workbench.colour.lab import chroma, density, luminance_factor
from workbench.errors import WorkbenchError

WHITE, BLACK = (95.0, 0.0, -2.0), (9.0, 0.0, 0.0)

glasses = st.one_of(
    st.none(),
    st.sampled_from(list(GLASSES)),
    st.builds(
        Glass,
        name=st.just("any"),
        refractive_index=st.floats(1.3, 2.0),
        surface_reflectance=st.one_of(st.none(), st.floats(0, 0.3)),
        internal_transmittance=st.floats(0.1, 1),
    ),
)
prints = st.tuples(
    st.tuples(st.floats(85, 100), st.floats(-2, 2), st.floats(-10, 6)),
    st.tuples(st.floats(0.5, 40), st.floats(-2, 2), st.floats(-3, 3)),
)


# optics textbooks: ((n − 1)/(n + 1))²
@pytest.mark.parametrize(("index", "share"), [(1.52, 0.0426), (1.5, 0.04), (1.49, 0.0387)])
def test_fresnel_straight_on(index, share):
    assert fresnel_reflectance(index) == pytest.approx(share, abs=5e-5)


def test_fresnel_at_brewsters_angle_grazing_and_60_degrees():
    n = 1.5
    brewster = math.degrees(math.atan(n))
    # there, light along the plane of incidence is not reflected at all
    across = ((n * n - 1) / (n * n + 1)) ** 2
    assert fresnel_reflectance(n, brewster) == pytest.approx(across / 2)
    assert fresnel_reflectance(n, 90) == pytest.approx(1)
    # textbook tables for n = 1.5 at 60°: 8.9 %
    assert fresnel_reflectance(n, 60) == pytest.approx(0.089, abs=5e-4)


@pytest.mark.parametrize("n", [1.3, 1.5, 1.52, 1.8])
def test_fresnel_over_all_angles_against_the_closed_form(n):
    # J. W. T. Walsh 1926, quoted by S. Q. Duntley 1942; about 9.2 % for n = 1.5 (D. B. Judd 1942)
    closed = (
        0.5
        + (n - 1) * (3 * n + 1) / (6 * (n + 1) ** 2)
        + n**2 * (n**2 - 1) ** 2 / (n**2 + 1) ** 3 * math.log((n - 1) / (n + 1))
        - 2 * n**3 * (n**2 + 2 * n - 1) / ((n**2 + 1) * (n**4 - 1))
        + 8 * n**4 * (n**4 + 1) / ((n**2 + 1) * (n**4 - 1) ** 2) * math.log(n)
    )
    nodes, weights = np.polynomial.legendre.leggauss(64)
    angles = np.degrees(np.arcsin(np.sqrt((nodes + 1) / 2)))
    summed = sum(w * fresnel_reflectance(n, a) for w, a in zip(weights, angles, strict=True)) / 2
    assert summed == pytest.approx(closed, abs=2e-4)
    if n == 1.5:
        assert summed == pytest.approx(0.092, abs=5e-4)


def test_plain_glass_reflects_as_textbooks_say():
    plain = GLASSES["plain"]
    # n 1.52, both faces with inter-reflection
    assert plain.reflectance == pytest.approx(0.0817, abs=5e-5)
    assert plain.reflectance == pytest.approx(2 * 0.0426 / 1.0426, abs=1e-4)
    assert plain.transmittance == pytest.approx(0.9183, abs=5e-5)


@pytest.mark.parametrize("glass", GLASSES.values(), ids=lambda glass: glass.name)
@pytest.mark.parametrize("angle", [0, 45, 75])
def test_clear_glass_loses_no_light(glass, angle):
    assert sum(glass.sheet(angle)) == pytest.approx(1)
    assert 0 < glass.reflectance < glass.diffuse_reflectance < 0.2


def test_a_sheet_against_a_ray_followed_by_hand():
    glass = Glass("grey", surface_reflectance=0.06, internal_transmittance=0.9)
    r, t = 0.06, 0.9
    reflected, crossed, ray = r, 0.0, (1 - r) * t
    for bounce in range(60):
        leaving = ray * (1 - r)
        if bounce % 2 == 0:
            crossed += leaving
        else:
            reflected += leaving
        ray *= r * t
    assert glass.sheet() == pytest.approx((reflected, crossed))


def test_coated_glass_reflects_less_at_every_angle_but_grazing():
    plain, coated = GLASSES["plain"], GLASSES["anti-reflection"]
    assert coated.reflectance == pytest.approx(0.01, abs=1e-4)
    for angle in (0, 30, 60):
        assert coated.sheet(angle)[0] < plain.sheet(angle)[0]
    assert coated.sheet(90)[0] == pytest.approx(1)


def test_glass_by_name():
    assert find_glass(None) is None
    assert find_glass("none") is None
    assert find_glass("Plain") is GLASSES["plain"]
    assert GLASSES["anti-reflection, UV-filtering"].filters_uv
    assert not GLASSES["plain"].filters_uv
    with pytest.raises(WorkbenchError, match="acrylic"):
        find_glass("ice")


def test_without_glass_and_room_nothing_changes():
    hung = hang(WHITE, BLACK, illuminance_lux=500)
    assert (hung.signal, hung.veil) == (1, 0)
    assert hung.white_lab == pytest.approx(WHITE, abs=1e-9)
    assert hung.black_lab == pytest.approx(BLACK, abs=1e-9)
    assert hung.contrast_ratio == hung.measured_contrast_ratio
    assert hung.black_density == pytest.approx(density(9.0))
    assert hung.stops_lost == 0


def test_a_framed_print_worked_by_hand():
    # 100π lux make a white sheet 100 cd/m²; plain glass mirrors 8.168 % of a room of 30 cd/m²
    hung = hang(
        (100, 0, 0),
        (0, 0, 0),
        illuminance_lux=100 * math.pi,
        room_luminance_cd_m2=30,
        glass="plain",
        picture_reflectance=0,
    )
    assert hung.white_luminance_cd_m2 == pytest.approx(100 * 0.91832**2 + 30 * 0.08168, abs=0.01)
    # black of no luminance: what is left is the mirrored room (and the floor of 0.00001)
    assert hung.black_luminance_cd_m2 == pytest.approx(30 * 0.08168, abs=0.01)
    assert hung.black_density == pytest.approx(-math.log10(0.3 * 0.08168), abs=1e-3)
    assert hung.contrast_ratio == pytest.approx(35.4, abs=0.1)


def test_a_light_picture_sends_more_light_back_onto_itself():
    dark, _ = light_path(GLASSES["plain"], picture_reflectance=0.0)
    light, _ = light_path(GLASSES["plain"], picture_reflectance=0.9)
    assert dark == pytest.approx(GLASSES["plain"].transmittance ** 2)
    assert light / dark == pytest.approx(1 / (1 - 0.9 * GLASSES["plain"].diffuse_reflectance))


def test_a_glossy_print_mirrors_the_room_without_glass():
    bare = {
        finish: hang(
            WHITE, BLACK, illuminance_lux=300, room_luminance_cd_m2=20, surface_mirror=share
        )
        for finish, share in SURFACE_MIRROR.items()
    }
    assert bare["matte"].stops_lost == 0
    assert 0 < bare["satin"].stops_lost < bare["gloss"].stops_lost
    # Fresnel for n = 1.5
    assert SURFACE_MIRROR["gloss"] == pytest.approx(fresnel_reflectance(1.5))


@given(prints, glasses, st.floats(0, 300), st.floats(0, 0.1), st.floats(0, 1))
def test_glass_never_raises_contrast(pair, glass, room, own, mean):
    around = {
        "illuminance_lux": 300.0,
        "room_luminance_cd_m2": room,
        "surface_mirror": own,
        "picture_reflectance": mean,
    }
    bare = hang(*pair, **around)
    behind = hang(*pair, glass=glass, **around)
    assert behind.contrast_ratio <= bare.contrast_ratio * (1 + 1e-9)
    assert bare.contrast_ratio <= bare.measured_contrast_ratio * (1 + 1e-9)
    assert behind.contrast_ratio >= 1


@given(prints, st.floats(0, 300), st.floats(1, 100))
def test_a_brighter_room_eats_the_black(pair, room, more):
    def seen(luminance):
        return hang(*pair, illuminance_lux=300, room_luminance_cd_m2=luminance, glass="plain")

    dim, bright = seen(room), seen(room + more)
    assert bright.black_density < dim.black_density
    assert bright.contrast_ratio < dim.contrast_ratio
    assert bright.black_luminance_cd_m2 > dim.black_luminance_cd_m2


@given(prints, st.sampled_from(list(GLASSES)), st.floats(10, 2000))
def test_with_a_room_as_bright_as_its_light_the_lux_cancel(pair, glass, lux):
    a = hang(*pair, illuminance_lux=lux, room_luminance_cd_m2=lux / 10, glass=glass)
    b = hang(*pair, illuminance_lux=2 * lux, room_luminance_cd_m2=lux / 5, glass=glass)
    assert a.contrast_ratio == pytest.approx(b.contrast_ratio)
    assert 2 * a.white_luminance_cd_m2 == pytest.approx(b.white_luminance_cd_m2)


def test_order_of_glasses():
    lost = {
        name: hang(
            WHITE, BLACK, illuminance_lux=300, room_luminance_cd_m2=20, glass=name
        ).stops_lost
        for name in ("none", "anti-reflection", "acrylic", "plain")
    }
    assert list(lost) == sorted(lost, key=lost.get)
    assert lost["none"] == 0 < lost["anti-reflection"]


def test_glare_on_a_block_of_colours():
    hung = hang(WHITE, BLACK, illuminance_lux=300, room_luminance_cd_m2=30, glass="plain")
    lab = np.array([[WHITE, BLACK], [(50, 60, 40), (50, 0, 0)]])
    seen = glare_lab(lab, hung)
    assert seen.shape == lab.shape
    assert seen[0, 0] == pytest.approx(hung.white_lab)
    assert seen[0, 1] == pytest.approx(hung.black_lab)
    # a veil takes colourfulness and leaves greys grey
    assert chroma(seen[1, 0]) < chroma(lab[1, 0])
    assert seen[1, 1, 1:] == pytest.approx([0, 0], abs=1e-9)
    factor = hung.signal * luminance_factor(50.0) + hung.veil
    assert luminance_factor(seen[1, 1, 0]) == pytest.approx(factor)


@given(st.lists(st.tuples(st.floats(1, 100), st.floats(-60, 60), st.floats(-60, 60)), min_size=2))
def test_glare_keeps_the_order_of_tones(colours):
    hung = hang(WHITE, BLACK, illuminance_lux=300, room_luminance_cd_m2=30, glass="plain")
    lab = np.array(sorted(colours))
    seen = glare_lab(lab, hung)
    assert np.all(np.diff(seen[:, 0]) >= -1e-9)


@pytest.mark.parametrize(
    "wrong",
    [
        {"illuminance_lux": 0},
        {"illuminance_lux": -300},
        {"illuminance_lux": float("nan")},
        {"room_luminance_cd_m2": -1},
        {"surface_mirror": 0.5},
        {"picture_reflectance": 1.2},
        {"glass": "ice"},
        {"white_lab": (10, 0, 0)},
        {"white_lab": (95, 0)},
        {"white_lab": "white"},
        {"black_lab": (96, 0, 0)},
        {"black_lab": (float("nan"), 0, 0)},
    ],
)
def test_impossible_values(wrong):
    given_ = {"white_lab": WHITE, "black_lab": BLACK, "illuminance_lux": 300, **wrong}
    with pytest.raises(WorkbenchError):
        hang(given_.pop("white_lab"), given_.pop("black_lab"), **given_)


@pytest.mark.parametrize(
    "wrong",
    [{"refractive_index": 0.9}, {"surface_reflectance": 0.9}, {"internal_transmittance": 0}],
)
def test_impossible_glass(wrong):
    with pytest.raises(WorkbenchError):
        Glass("wrong", **wrong)

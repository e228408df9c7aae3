"""Light on a surface, held against textbooks and the papers that the models come from."""

import math

import numpy as np
import pytest

from workbench.surface.fresnel import fresnel
from workbench.surface.horizon import horizon_tangent, lit_share
from workbench.surface.lamp import Lamp
from workbench.surface.relief import Surface
from workbench.surface.relight import Scene
from workbench.surface.shade import ggx, oren_nayar, through_surface


def unit(theta, phi):
    return np.array([np.sin(theta) * np.cos(phi), np.sin(theta) * np.sin(phi), np.cos(theta)])


def cosines(light, eye):
    half = light + eye
    half = half / np.linalg.norm(half, axis=0)
    return light[2], eye[2], half[2], (light * half).sum(axis=0), (light * eye).sum(axis=0)


def hemisphere(count=400):
    """Directions, evenly spread in cos² and azimuth, each with the same weight of cos θ dω."""
    u, v = (np.arange(count) + 0.5) / count, (np.arange(2 * count) + 0.5) / (2 * count)
    theta = np.arcsin(np.sqrt(u))[:, None]
    return unit(np.broadcast_to(theta, (count, 2 * count)), 2 * np.pi * v[None, :])


@pytest.mark.parametrize(("angle", "share"), [(0, 0.04), (45, 0.05024), (60, 0.08919)])
def test_fresnel(angle, share):
    """n 1.5, worked by hand: sines of Snell's law, squares of Fresnel's two ratios, their mean."""
    a = math.radians(angle)
    b = math.asin(math.sin(a) / 1.5)
    if angle:
        by_hand = (
            (math.sin(a - b) / math.sin(a + b)) ** 2 + (math.tan(a - b) / math.tan(a + b)) ** 2
        ) / 2
        assert by_hand == pytest.approx(share, abs=1e-5)
    assert float(fresnel(math.cos(a))) == pytest.approx(share, abs=1e-5)
    # Brewster's angle: nothing along the plane of incidence comes back
    brewster = math.cos(math.atan(1.5))
    assert float(fresnel(brewster)) == pytest.approx(((1.5**2 - 1) / (1.5**2 + 1)) ** 2 / 2)


def test_lamberts_law():
    for degrees in (0, 30, 60, 85):
        n_l = math.cos(math.radians(degrees))
        assert oren_nayar(n_l, 0.7, 0.3, 0.0) == n_l


@pytest.mark.parametrize(
    ("theta_i", "theta_r", "phi"), [(0.3, 0.9, 0.4), (1.2, 0.2, 2.5), (0.7, 0.7, 0.0)]
)
def test_oren_nayar_as_published(theta_i, theta_r, phi):
    """Equation 30 of the 1994 paper, in its own angles."""
    sigma = 0.4
    a = 1 - 0.5 * sigma**2 / (sigma**2 + 0.33)
    b = 0.45 * sigma**2 / (sigma**2 + 0.09)
    alpha, beta = max(theta_i, theta_r), min(theta_i, theta_r)
    published = math.cos(theta_i) * (
        a + b * max(0, math.cos(phi)) * math.sin(alpha) * math.tan(beta)
    )
    n_l, n_v, _, _, l_v = cosines(unit(theta_i, 0), unit(theta_r, phi))
    assert oren_nayar(n_l, n_v, l_v, sigma) == pytest.approx(published, rel=1e-9)


@pytest.mark.parametrize("degrees", [0, 45, 75])
def test_a_mirroring_rough_surface_in_a_white_furnace(degrees):
    """Single scattering never makes light, and loses more of it the rougher the surface."""
    light = unit(np.radians(degrees), 0.0)
    n_l, n_v, n_h, l_h, _ = cosines(light[:, None, None], hemisphere())
    albedo = [
        float(np.mean(ggx(n_l, n_v, n_h, l_h, alpha, None))) / light[2]
        for alpha in (0.1, 0.3, 0.6, 1.0)
    ]
    assert max(albedo) <= 1.0 + 1e-3
    assert albedo == sorted(albedo, reverse=True)
    assert albedo[0] > (0.97 if degrees < 60 else 0.85)


@pytest.mark.parametrize("degrees", [0, 45, 80])
def test_a_white_sheet_sends_back_no_more_than_it_gets(degrees):
    light = unit(np.radians(degrees), 0.0)[:, None, None]
    n_l, n_v, n_h, l_h, l_v = cosines(light, hemisphere())
    diffuse = oren_nayar(n_l, n_v, l_v, 0.3) * through_surface(n_l, n_v)
    both = 0.9 * diffuse + ggx(n_l, n_v, n_h, l_h, 0.5)
    assert float(np.mean(both)) / float(light[2, 0, 0]) <= 1.0


def test_reciprocity():
    """Light and eye may change places: factor over n·l is the same."""
    rng = np.random.default_rng(4)
    theta, phi = rng.uniform(0.05, 1.4, (2, 200)), rng.uniform(0, 6.28, (2, 200))
    one, two = unit(theta[0], phi[0]), unit(theta[1], phi[1])
    there, back = cosines(one, two), cosines(two, one)

    def brdf(n_l, n_v, n_h, l_h, l_v):
        return (
            oren_nayar(n_l, n_v, l_v, 0.35) * through_surface(n_l, n_v)
            + ggx(n_l, n_v, n_h, l_h, 0.3)
        ) / n_l

    assert np.allclose(brdf(*there), brdf(*back), rtol=1e-9)


def test_ggx_as_published():
    """Walter et al. 2007, equations 20, 33 and 34, in their own angles."""
    alpha, light, eye = 0.35, unit(0.8, 0.2), unit(0.5, 2.9)
    n_l, n_v, n_h, l_h, _ = cosines(light, eye)
    tan = lambda cosine: math.sqrt(1 - cosine**2) / cosine  # noqa: E731
    d = alpha**2 / (math.pi * n_h**4 * (alpha**2 + tan(n_h) ** 2) ** 2)
    g = math.prod(2 / (1 + math.sqrt(1 + alpha**2 * tan(c) ** 2)) for c in (n_l, n_v))
    c = l_h
    k = math.sqrt(1.5**2 - 1 + c**2)
    f = 0.5 * ((k - c) / (k + c)) ** 2 * (1 + ((c * (k + c) - 1) / (c * (k - c) + 1)) ** 2)
    published = f * d * g / (4 * n_l * n_v) * math.pi * n_l
    assert float(ggx(n_l, n_v, n_h, l_h, alpha)) == pytest.approx(published, rel=1e-9)


@pytest.mark.parametrize(
    ("azimuth", "elevation"), [(0, 10), (180, 20), (90, 15), (270, 30), (30, 12), (250, 18)]
)
def test_a_steps_shadow_is_as_long_as_its_height_over_the_tangent(azimuth, elevation):
    """A straight edge across the light, sampled finely: length h / tan(elevation)."""
    pitch, high, size = 0.02, 0.1, 256
    y, x = np.mgrid[:size, :size]
    right, up = math.cos(math.radians(azimuth)), math.sin(math.radians(azimuth))
    # distance from the middle towards the lamp
    towards = ((x - size / 2) * right - (y - size / 2) * up) * pitch
    height = np.where(towards > 0, high, 0.0).astype(np.float32)
    tangent = math.tan(math.radians(elevation))
    lit = lit_share(tangent, horizon_tangent(height, pitch, azimuth, tangent / 2), 0.0)
    expected = high / tangent
    near = np.abs((x - size / 2) * up + (y - size / 2) * right) * pitch < 0.4
    strip = near & (towards < -0.03) & (towards > -expected - 0.5)
    dark = strip & (lit < 0.5)
    assert -towards[dark].min() == pytest.approx(expected, abs=2.5 * pitch)
    assert (lit[strip & (towards > -expected + 3 * pitch)] < 0.5).all()


def test_a_sphere_is_shaded_by_the_cosine():
    """A matte ball under parallel light: luminance goes with the cosine to the lamp, exactly."""
    size, radius = 200, 4.0
    pitch = 0.05
    y, x = np.mgrid[:size, :size]
    right, up = (x - 99.5) * pitch, (99.5 - y) * pitch
    inside = right**2 + up**2 < (0.6 * radius) ** 2
    height = np.sqrt(np.maximum(radius**2 - right**2 - up**2, 0.36 * radius**2))
    lamp = Lamp(azimuth_deg=40, elevation_deg=65)
    scene = Scene(Surface(height, pitch, 0.0, tiles=True), lamp, pitch, size, size, gloss=0.0)
    diffuse, _ = scene.factors(0, size)
    normal = np.stack([right, up, np.sqrt(np.maximum(radius**2 - right**2 - up**2, 0))]) / radius
    n_l = np.tensordot(np.array(lamp.direction), normal, 1)
    expected = n_l * through_surface(n_l, normal[2]) / lamp.direction[2]
    middle = inside & (right**2 + up**2 < (0.5 * radius) ** 2)
    assert np.abs(diffuse - expected)[middle].mean() < 0.01
    assert np.abs(diffuse - expected)[middle].max() < 0.06


def test_a_near_lamp_falls_off_with_the_square():
    flat = Surface(np.zeros((8, 8)), 1.0, 0.0)
    scene = Scene(flat, Lamp(90, 90, distance_mm=500), 1.0, 801, 3, gloss=0.0)
    diffuse, _ = scene.factors(1, 2)
    at = diffuse[0, 800]
    cosine = 500 / math.hypot(500, 400)
    # cos³ law of a point lamp over a plane, cosine twice by distance and once by slant
    into = (1 - fresnel(cosine)) / (1 - fresnel(1.0))
    assert at / diffuse[0, 400] == pytest.approx(cosine**3 * into, rel=1e-4)


@pytest.mark.parametrize(
    "wrong", [{"elevation_deg": 0}, {"distance_mm": 3}, {"ambient": 2}, {"size_mm": "big"}]
)
def test_impossible_lamps(wrong):
    with pytest.raises(ValueError, match="lamp|light"):
        Lamp(**wrong)

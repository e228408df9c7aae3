"""Reliefs: statistics against theory, kinds, and what is kept in files."""

import gc
import weakref

import numpy as np
import pytest

import workbench as wb
from workbench.errors import WorkbenchError
from workbench.surface.gloss import alpha_of_gloss, gloss_60
from workbench.surface.kinds import KINDS, grain_relief
from workbench.surface.relief import Surface, tileable
from workbench.surface.resampled import tile_at
from workbench.surface.sheet import likely_kind


def test_a_gaussian_relief_has_the_statistics_of_theory():
    """RMS slope 2 σ/l and correlation length l for autocovariance σ² exp(−(r/l)²) (Ogilvy 1991)."""
    height = grain_relief(0.02, 0.5, 0.04, 1024, 3)
    surface = Surface(height, 0.04, 0.5, tiles=True)
    assert surface.rms_height_mm == pytest.approx(0.02, rel=0.03)
    assert surface.rms_slope == pytest.approx(2 * 0.02 / 0.5, rel=0.03)
    assert surface.correlation_length_mm == pytest.approx(0.5, rel=0.05)


def test_a_sine_has_its_slope_and_height():
    x = np.arange(400) * 0.05
    height = np.broadcast_to(0.1 * np.sin(2 * np.pi * x / 2.0), (40, 400))
    surface = Surface(height, 0.05, 0.0, tiles=True)
    assert surface.rms_height_mm == pytest.approx(0.1 / np.sqrt(2), rel=1e-4)
    assert surface.rms_slope == pytest.approx(0.1 * np.pi / np.sqrt(2), rel=5e-3)


def test_kinds_are_seeded_and_their_edges_fit():
    one, again = wb.surface_of_kind("laid", seed=2), wb.surface_of_kind("laid", seed=2)
    assert np.array_equal(one.height_mm, again.height_mm)
    assert not np.array_equal(one.height_mm, wb.surface_of_kind("laid", seed=3).height_mm)
    for name in KINDS:
        height = wb.surface_of_kind(name).height_mm
        inside = np.abs(np.diff(height, axis=0)).max()
        assert np.abs(height[0] - height[-1]).max() <= 1.2 * inside + 1e-9, name
    slopes = [
        wb.surface_of_kind(name).rms_slope for name in ("gloss", "pearl", "cold-pressed", "canvas")
    ]
    assert slopes == sorted(slopes)
    shine = [wb.surface_of_kind(name).gloss_60 for name in ("smooth", "pearl", "gloss")]
    assert shine == sorted(shine)


def test_gloss_of_a_mirror_and_back():
    """A flat surface of n 1.5 has the black glass's 100 units times 0.0892/0.1001 (ISO 2813)."""
    assert gloss_60(0.002, reflectance=0) == pytest.approx(100 * 0.0892 / 0.1001, rel=0.02)
    for units in (5.0, 30.0, 70.0):
        assert gloss_60(alpha_of_gloss(units), reflectance=0) == pytest.approx(units, rel=0.02)


def test_a_measured_piece_is_made_to_fit_without_losing_height():
    height = grain_relief(0.02, 0.3, 0.05, 512, 1)[:300, :260]
    made = tileable(Surface(height, 0.05, 0.4))
    assert made.tiles and made.rms_height_mm == pytest.approx(0.02, rel=0.15)
    assert np.abs(made.height_mm[0] - made.height_mm[-1]).max() < 0.02


def test_resampling_keeps_all_slopes_as_relief_or_roughness():
    surface = wb.surface_of_kind("cold-pressed")
    for pixel in (0.04, 0.1, 0.4):
        tile = tile_at(surface, pixel)
        slope = float(np.sqrt(np.mean(tile.right**2 + tile.up**2)))
        together = np.hypot(slope, np.sqrt(tile.alpha**2 - surface.alpha**2))
        assert together == pytest.approx(surface.rms_slope, rel=0.03)
    assert tile_at(surface, 0.4).alpha > tile_at(surface, 0.04).alpha


def test_what_is_kept_of_a_surface_goes_with_it():
    surface = Surface(np.random.default_rng(1).normal(0, 0.01, (64, 64)), 0.1, 0.3)
    assert tile_at(surface, 0.1) is tile_at(surface, 0.1)
    gone = weakref.ref(surface)
    del surface
    gc.collect()
    assert gone() is None


def test_a_surface_in_files_comes_back(tmp_path):
    surface = wb.surface_of_kind("canvas")
    path = wb.write_surface(surface, tmp_path / "mine.toml")
    back = wb.read_surface(path)
    step = float(np.ptp(surface.height_mm)) / 65535
    assert np.abs(back.height_mm - surface.height_mm).max() < step
    assert (back.pitch_mm, back.alpha, back.tiles) == (surface.pitch_mm, surface.alpha, True)
    with pytest.raises(WorkbenchError):
        wb.write_surface(surface, path)


@pytest.mark.parametrize(
    "change",
    [
        ("pitch_mm = 0.04", "pitch_mm = 1e9"),
        ("pitch_mm = 0.04", "pitch_mm = true"),
        ("lowest_mm = ", "lowest_mm = nan # "),
        ("highest_mm = ", "highest_mm = 1e300 # "),
        ('heights = "mine.png"', 'heights = "../mine.png"'),
        ('heights = "mine.png"', 'heights = "colour.png"'),
        ('heights = "mine.png"', 'heights = "none.png"'),
        ("version = 1", "version ="),
        # a number that Python refuses to read, and a key that takes readers many seconds
        ("version = 1", "version = " + "9" * 5000),
        ("version = 1", "a." * 30000 + "a = 1"),
        ('how_known = "chosen"', 'how_known = "sworn"'),
    ],
)
def test_a_strangers_surface_is_refused_in_a_sentence(tmp_path, change):
    import imagecodecs

    path = wb.write_surface(wb.surface_of_kind("laid"), tmp_path / "mine.toml")
    (tmp_path / "colour.png").write_bytes(imagecodecs.png_encode(np.zeros((9, 9, 3), np.uint8)))
    text = path.read_text()
    assert change[0] in text
    path.write_text(text.replace(*change))
    with pytest.raises(WorkbenchError) as refused:
        wb.read_surface(path)
    assert str(refused.value).endswith(".") and "Traceback" not in str(refused.value)


def test_papers_have_surfaces(tmp_path):
    papers = wb.demo_papers()
    kinds = {wb.surface_of(paper).kind for paper in papers}
    assert {"gloss", "pearl", "smooth", "laid", "cold-pressed", "canvas"} == kinds
    assert {wb.surface_of(paper).how_known for paper in papers} == {"invented"}
    plain = papers[4].with_details(surface=None, invented=False)
    assert wb.surface_of(plain).kind == likely_kind(plain) == "cold-pressed"
    assert wb.surface_of(plain).how_known == "chosen"
    path = wb.write_surface(wb.surface_of_kind("pearl"), tmp_path / "mine.toml")
    measured = plain.with_details(surface=str(path))
    assert wb.surface_of(measured).kind == "pearl"
    assert wb.surface_of(measured) is wb.surface_of(measured)


def test_a_surface_lies_on_the_shelf_beside_the_profile(tmp_path):
    from workbench.library.edits import add_entry

    (tmp_path / "surfaces").mkdir()
    wb.write_surface(wb.surface_of_kind("laid"), tmp_path / "surfaces" / "mine.toml")
    paper = wb.demo_papers()[2].with_details(surface="surfaces/mine.toml")
    add_entry(wb.open_shelf(tmp_path), paper)
    (back,) = wb.open_shelf(tmp_path).papers()
    assert wb.surface_of(back).kind == "laid"
    assert "surfaces/mine.toml" in (tmp_path / "shelf.toml").read_text()

"""Maps of a proof, the divider and the magnifier."""

import numpy as np
import pytest
from displays import table_display
from helpers import coated_profile
from pictures import colourful, patches, picture_of

import workbench as wb
from workbench.analysis import proof_table
from workbench.analysis.colours import distance_map
from workbench.analysis.proof_maps import (
    DIFFERENCE_STEPS,
    LIMITS,
    limit_shares,
    proof_difference,
    proof_maps,
    step_shares,
)
from workbench.analysis.proof_views import (
    magnify,
    print_window,
    split_view,
    true_size_px,
)
from workbench.analysis.viewing import viewing
from workbench.colour.difference import delta_e_2000
from workbench.colour.engine import transform
from workbench.colour.grid import ColourGrid, grid_colours
from workbench.colour.spaces import standard_profile
from workbench.colour.trip import printed_lab, white_xyz
from workbench.errors import UntaggedPictureError, WorkbenchError
from workbench.output.job import PrintJob
from workbench.output.layout import layout_of
from workbench.output.render import Renderer
from workbench.picture import tone


@pytest.fixture(scope="module")
def paper():
    return wb.open_paper(coated_profile())


def romm(lab) -> list[float]:
    return list(np.clip(transform(np.array(lab), "lab", standard_profile("ROMM RGB")), 0, 1))


@pytest.fixture(scope="module")
def four(paper):
    """Four patches of 8 × 8: within both, and beyond the paper, the display, both."""
    # the press's solid cyan lies outside sRGB (Lab 55 −37 −50, Fogra characterisation data);
    # sRGB's own blue lies outside the press; so does a green no ink reaches, and the green
    # that comes nearest is outside sRGB
    cyan = transform(np.array([1.0, 0, 0, 0]), paper.profile, "lab")
    blue = transform(np.array([0.0, 0, 1]), standard_profile("sRGB"), "lab")
    return patches(
        *(romm(lab) for lab in ([60, 0, 0], blue, cyan, [52, -110, 30])), space="ROMM RGB"
    )


@pytest.mark.parametrize("intent", ["relative", "perceptual", "absolute"])
def test_what_is_kept_for_a_moving_eye_changes_no_bit(paper, intent, monkeypatch):
    """Worked out here from the start for each place of the slider, and taken from what is kept."""
    picture, source = colourful(), colourful().require_profile()
    calls = []

    def counted(*given):
        calls.append(given)
        return printed_lab(*given)

    monkeypatch.setattr(proof_table, "printed_lab", counted)
    proof_table.printed_nodes.cache_clear()
    for adaptation, display in ((0, "sRGB"), (0.37, "sRGB"), (1, "sRGB"), (0.37, "Display P3")):
        seen = {"reference": "perfect diffuser", "adaptation": adaptation, "display": display}
        maps = proof_maps(picture, paper, intent=intent, **seen, long_side_px=120, exact=False)
        way, nodes = viewing(**seen), grid_colours(3)
        print_seen = way.seen(
            printed_lab(nodes, source, paper.profile, intent, True), white_xyz(paper.profile)
        )
        difference = delta_e_2000(transform(nodes, source, "lab"), print_seen)
        values = np.stack([difference, way.beyond(print_seen), 0 * difference], axis=1) / 64
        sampled = ColourGrid(values, 3).apply(picture.preview(120), np.uint16).astype(np.float32)
        expected = sampled * (64 / 65535)
        assert np.array_equal(maps.difference, expected[..., 0])
        assert np.array_equal(maps.beyond_display, expected[..., 1])
        beyond = distance_map(picture, paper, long_side_px=120, exact=False)
        assert np.array_equal(maps.beyond_paper, beyond)
    assert len(calls) == 1


def test_another_way_to_print_is_not_taken_from_what_is_kept(paper):
    picture, differences = colourful(), []
    for intent, on, px in (
        ("relative", False, 120),
        ("relative", True, 120),
        ("perceptual", False, 120),
        ("relative", False, 80),
    ):
        how = {"intent": intent, "black_point_compensation": on, "long_side_px": px}
        maps = proof_maps(picture, paper, **how, exact=False)
        beyond = distance_map(picture, paper, long_side_px=px, exact=False)
        assert np.array_equal(maps.beyond_paper, beyond)  # whatever the rendering
        differences.append(maps.difference)
    plain, compensated = differences[:2]
    assert not np.array_equal(plain, compensated)


@pytest.mark.parametrize("exact", [True, False])
def test_what_the_display_lacks_is_told_from_what_the_paper_lacks(four, paper, exact):
    maps = proof_maps(four, paper, adaptation=1, exact=exact)
    found = [LIMITS[maps.limits[4, 8 * k + 4]] for k in range(4)]
    assert found == ["neither", "paper", "display", "both"]
    assert maps.exact == exact and maps.limits.shape == (8, 32)
    assert maps.difference.dtype == np.float32


def test_a_wider_display_shows_the_cyan(four, paper):
    wide = proof_maps(four, paper, adaptation=1, display="opRGB")
    assert [LIMITS[wide.limits[4, 8 * k + 4]] for k in range(3)] == ["neither", "paper", "neither"]
    assert limit_shares(four, paper).display == 0.5
    assert limit_shares(four, paper, display="ROMM RGB").display == 0


def test_the_share_beyond_the_display_is_of_all_pixels(paper):
    picture = colourful(200, 300)
    maps = proof_maps(picture, paper, long_side_px=300, intent="absolute")
    every_pixel = np.mean(maps.beyond_display > maps.display_limit)
    share = limit_shares(picture, paper, intent="absolute").display
    assert 0.01 < every_pixel < 0.6 and abs(share - every_pixel) < 0.01


def test_beyond_a_table_display_counts_its_noise(four, paper):
    maps = proof_maps(four, paper, adaptation=1, display=table_display(), threshold=0.2)
    assert maps.display_limit > 0.2 and maps.paper_limit == paper.noise_floor
    assert maps.limits[4, 4] == 0


@pytest.mark.parametrize("intent", ["relative", "absolute"])
def test_the_difference_is_that_of_the_proof(paper, intent):
    # within the display, what is seen is what the proof's pixels say
    picture = colourful()
    how = {"intent": intent, "reference": "brightened card", "adaptation": 0.3}
    how["display"] = "ROMM RGB"
    maps = proof_maps(picture, paper, **how)
    proof = wb.soft_proof(picture, paper, **how, bit_depth=16, exact=True)
    before = transform(picture.pixels() / 65535, picture.profile, "lab")
    by_pixels = delta_e_2000(before, transform(proof.pixels / 65535, proof.display_profile, "lab"))
    shown = maps.beyond_display < 0.01
    assert shown.mean() > 0.9
    assert np.percentile(np.abs(maps.difference - by_pixels)[shown], 99) < 0.5


def test_quick_maps_follow_the_exact_ones(paper):
    picture = colourful(200, 300)
    how = {"reference": "perfect diffuser", "adaptation": 0.5, "long_side_px": 300}
    exact, quick = (proof_maps(picture, paper, **how, exact=exact) for exact in (True, False))
    for name in ("difference", "beyond_paper", "beyond_display"):
        assert np.mean(np.abs(getattr(exact, name) - getattr(quick, name))) < 0.2
    assert np.mean(exact.limits == quick.limits) > 0.96


def test_two_intents_differ_by_their_proofs(paper):
    picture = colourful(space="sRGB")
    one = wb.soft_proof(picture, paper, intent="relative", bit_depth=16)
    other = wb.soft_proof(picture, paper, intent="absolute", bit_depth=16)
    assert proof_difference(one, one).max() == 0
    difference = proof_difference(one, other)
    assert difference.shape == one.pixels.shape[:2] and difference.mean() > 0.3
    smaller = wb.soft_proof(picture, paper, long_side_px=30)
    with pytest.raises(WorkbenchError, match="same size"):
        proof_difference(one, smaller)


def test_steps_of_the_legend():
    assert [limit for limit, _ in DIFFERENCE_STEPS] == [0, 1, 2, 4, 8]
    assert step_shares(np.array([[0.5, 1.0], [3.9, 80.0]])) == (0.25, 0.25, 0.25, 0.0, 0.25)


@pytest.mark.parametrize("threshold", [0, 51, "much", None])
def test_thresholds_that_are_none(four, paper, threshold):
    with pytest.raises(WorkbenchError, match="threshold"):
        proof_maps(four, paper, threshold=threshold)


# --- the divider ---


def pair(dtype=np.uint8):
    before = np.full((6, 10, 3), 40, dtype)
    return before, before + 100


def test_before_is_left_and_after_right():
    before, after = pair()
    view = split_view(before, after, 0.4, line_px=0)
    assert np.all(view[:, :4] == 40) and np.all(view[:, 4:] == 140)
    assert np.all(before == 40) and np.all(after == 140)
    assert np.array_equal(split_view(before, after, 0), after)
    assert np.array_equal(split_view(before, after, 1), before)


@pytest.mark.parametrize("dtype, top", [(np.uint8, 255), (np.uint16, 65535)])
def test_the_divider_is_half_black_and_half_white(dtype, top):
    view = split_view(*pair(dtype), 0.5, line_px=2)
    assert list(view[0, :, 0]) == [40] * 4 + [0, top] + [140] * 4
    lying = split_view(*pair(dtype), 0.5, upright=False, line_px=2)
    assert list(lying[:, 0, 0]) == [40] * 2 + [0, top] + [140] * 2
    assert np.all(lying[0] == 40) and np.all(lying[-1] == 140)


@pytest.mark.parametrize(
    "after, position",
    [
        (np.zeros((6, 9, 3), np.uint8), 0.5),
        (np.zeros((6, 10, 3), np.uint16), 0.5),
        (pair()[1], 1.01),
        (pair()[1], "left"),
    ],
)
def test_what_cannot_be_divided(after, position):
    with pytest.raises(WorkbenchError):
        split_view(pair()[0], after, position)


# --- the magnifier ---


def test_windows_lie_inside_the_print():
    rng = np.random.default_rng(2)
    for _ in range(200):
        size, window = rng.integers(1, 500, 2), rng.integers(1, 300, 2)
        x0, y0, x1, y1 = print_window(tuple(size), tuple(rng.random(2)), tuple(window))
        assert 0 <= x0 < x1 <= size[0] and 0 <= y0 < y1 <= size[1]
        assert (x1 - x0, y1 - y0) == tuple(np.minimum(size, window))
    assert print_window((1000, 800), (0.5, 0.5), (100, 60)) == (450, 370, 550, 430)
    with pytest.raises(WorkbenchError, match="centre"):
        print_window((10, 10), (1.2, 0), (5, 5))


def test_true_size():
    # one inch of a 360 ppi print is one inch of a 96 ppi screen
    assert true_size_px(360, 360, 96) == 96
    for numbers in ((100, 0, 96), (100, 360, None), (100, "fine", 96)):
        with pytest.raises(WorkbenchError, match="pixels per inch"):
            true_size_px(*numbers)
    with pytest.raises(WorkbenchError, match="screen"):
        true_size_px(100, 360, 0)


def test_the_magnifier_shows_the_proofs_own_pixels(paper):
    picture = colourful(120, 180)
    ways = (("relative", True), ("perceptual", False), ("absolute", False))
    eye = {"reference": "perfect diffuser", "adaptation": 0.2}
    seen = magnify(picture, paper, ways, centre=(0.9, 0.1), window_px=(50, 40), **eye)
    assert seen.box == (130, 0, 180, 40) and seen.screen_px_per_print_px == 1
    for (intent, compensate), proof in zip(ways, seen.proofs, strict=True):
        whole = wb.soft_proof(
            picture,
            paper,
            intent=intent,
            black_point_compensation=compensate,
            **eye,
            long_side_px=None,
        )
        assert proof.exact and np.array_equal(proof.pixels, whole.pixels[:40, 130:180])
    plain = transform(
        picture.crop(130, 0, 50, 40) / 65535, picture.profile, standard_profile("sRGB")
    )
    assert np.abs(seen.before - np.clip(plain, 0, 1) * 255).max() <= 0.51


def test_the_magnifier_takes_print_pixels(paper):
    picture = colourful(120, 180)
    job = PrintJob(picture, paper, width_mm=50.8, ppi=150, sharpening="auto").checked()
    layout = layout_of(job)
    size = layout.across.n_out, layout.down.n_out
    assert size == (300, 200)
    read = Renderer(job, layout).pixels
    seen = magnify(picture, paper, read=read, size_px=size, window_px=(60, 30), bit_depth=16)
    printed = picture_of(read(*seen.box), "opRGB")
    proof = wb.soft_proof(printed, paper, black_point_compensation=True, bit_depth=16)
    assert np.array_equal(seen.proofs[0].pixels, proof.pixels)


def test_at_true_size_light_is_averaged(paper):
    # a fine checkerboard looks as light as the mean of its light: IEC 61966-2-1 has
    # ((v + .055)/1.055)^2.4, so .0331 and .6038 for .2 and .8
    board = 0.2 + 0.6 * (np.indices((200, 200)).sum(0) % 2)
    picture = picture_of(np.repeat(board[..., None], 3, axis=2), "sRGB")
    seen = magnify(picture, paper, window_px=(40, 30), print_ppi=300, screen_ppi=100)
    assert seen.before.shape == (30, 40, 3) and seen.box[2] - seen.box[0] == 120
    light = tone.to_light(seen.before, standard_profile("sRGB"))
    assert abs(light.mean() - (0.0331 + 0.6038) / 2) < 0.005
    # one screen pixel covers nine print pixels, four or five of them light
    assert abs(light.min() - (5 * 0.0331 + 4 * 0.6038) / 9) < 0.005
    assert abs(light.max() - (4 * 0.0331 + 5 * 0.6038) / 9) < 0.005


def test_enlarged_print_pixels_are_squares(paper):
    picture = patches([1, 0, 0], [0, 1, 0], [0, 0, 1], side=1)
    seen = magnify(picture, paper, window_px=(30, 10), print_ppi=100, screen_ppi=1000)
    assert seen.before.shape == (10, 30, 3)
    assert np.array_equal(seen.before, np.repeat(np.repeat(seen.before[:1, ::10], 10, 0), 10, 1))


def test_magnifiers_that_cannot_be(paper):
    picture = colourful()
    with pytest.raises(WorkbenchError, match="at least one intent"):
        magnify(picture, paper, ())
    with pytest.raises(WorkbenchError, match="too large"):
        magnify(picture, paper, print_ppi=10_000, screen_ppi=10)
    with pytest.raises(UntaggedPictureError):
        magnify(wb.open_picture(plain_tiff(), name="old.tif"), paper)


def plain_tiff() -> bytes:
    import io

    import tifffile

    file = io.BytesIO()
    tifffile.imwrite(file, np.zeros((4, 4, 3), np.uint8), photometric="rgb")
    return file.getvalue()

"""Scans and photographs of the drawn target, warped with known ground truth."""

import numpy as np
import pytest
from colour.models import cctf_decoding_ROMMRGB, cctf_encoding_ROMMRGB
from scipy import ndimage
from target.makers import matte_target

from workbench.colour.difference import delta_e_2000
from workbench.colour.engine import transform
from workbench.colour.spaces import standard_profile
from workbench.errors import TargetError, UntaggedPictureError
from workbench.picture.opening import from_pixels
from workbench.target.draw import target_picture
from workbench.target.geometry import geometry_of
from workbench.target.marks import find_marks
from workbench.target.patches import WHITE
from workbench.target.scan import read_scanned_target
from workbench.target.verdict import verdict

# wide, so that no printed colour is cut by the invented scanner
SCANNER = "ROMM RGB"
PPI = 130


@pytest.fixture(scope="module")
def target():
    return matte_target()


@pytest.fixture(scope="module")
def printed(target):
    """The page as light, (rows, cols, 3) linear: every patch has its reference colour."""
    page = target_picture(target, ppi=PPI)
    flat = page.picture.pixels().astype(float) / 65535
    white = lab_light(target.reference_lab[target.index(WHITE)])
    black = lab_light(target.reference_lab[0])
    light = black + flat**2.2 * (white - black)
    for (x0, y0, x1, y1), lab in zip(page.boxes_px, target.reference_lab, strict=True):
        light[y0:y1, x0:x1] = lab_light(lab)
    return light


def lab_light(lab) -> np.ndarray:
    """Linear light of the invented scanner for a Lab colour (its curve is that of ROMM RGB)."""
    code = transform(np.atleast_2d(lab), "lab", standard_profile(SCANNER))[0]
    return cctf_decoding_ROMMRGB(code)


def photograph(light, matrix, shape, table=0.05):
    """Seen through a projective map from picture pixels (x, y, 1) to page pixels."""
    y, x = np.indices(shape)
    u, v, w = np.tensordot(np.linalg.inv(matrix), np.stack([x, y, np.ones_like(x)]), 1)
    places = [v / w, u / w]
    return np.stack(
        [ndimage.map_coordinates(light[..., c], places, order=1, cval=table) for c in range(3)], -1
    )


def scanned(light, name="scan"):
    coded = cctf_encoding_ROMMRGB(np.clip(light, 0, 1))
    return from_pixels(np.rint(coded * 65535).astype(np.uint16), SCANNER, name=name)


def turned(light, degrees: float, scale: float = 1.0):
    """The page turned about its middle on a table large enough, and the map that does it."""
    height, width = light.shape[:2]
    angle = np.radians(degrees)
    turn = scale * np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
    corners = np.array([(0, 0), (width, 0), (width, height), (0, height)]) @ turn.T
    low, size = corners.min(axis=0) - 20, np.ptp(corners, axis=0) + 40
    matrix = np.eye(3)
    matrix[:2, :2], matrix[:2, 2] = turn, -low
    return photograph(light, matrix, (int(size[1]), int(size[0]))), matrix


def tilted(light, strength: float):
    """From the side: the far edge is shorter."""
    height, width = light.shape[:2]
    lens = np.array([[1, 0.08, 60], [0.05, 1, 60], [strength / width, strength / 2 / height, 1]])
    far = np.array([(0, 0, 1), (width, 0, 1), (width, height, 1), (0, height, 1)]) @ lens.T
    size = (far[:, :2] / far[:, 2:]).max(axis=0) + 40
    return photograph(light, lens, (int(size[1]), int(size[0]))), lens


def away(target, picture):
    return delta_e_2000(read_scanned_target(picture, target).lab, target.reference_lab)


def test_a_flat_scan_gives_back_the_printed_colours(target, printed):
    off = away(target, scanned(printed))
    assert off.max() < 0.05
    found = read_scanned_target(scanned(printed), target)
    assert found.matched_by == "corner marks" and "not a measurement" in found.caveat
    assert found.notes == () and found.name == "scan"


@pytest.mark.parametrize("degrees", [3, -17, 30, 45, 90, 137, 180, 270, 315])
def test_the_page_may_lie_any_way(target, printed, degrees):
    seen, matrix = turned(printed, degrees)
    marks = find_marks(seen.mean(axis=-1) ** 0.5, geometry_of(target))
    pitch = printed.shape[1] / geometry_of(target).width
    true = np.column_stack([geometry_of(target).marks * pitch - 0.5, np.ones(4)]) @ matrix.T
    assert np.abs(marks - true[:, :2] / true[:, 2:]).max() < 1.0
    assert away(target, scanned(seen)).max() < 0.5


@pytest.mark.parametrize("strength", [0.15, 0.3])
def test_the_page_may_be_seen_at_an_angle(target, printed, strength):
    seen, _ = tilted(printed, strength)
    assert away(target, scanned(seen)).max() < 0.6


def test_a_scan_of_many_pixels_is_read_from_fewer(target, printed):
    large = printed.repeat(4, axis=0).repeat(4, axis=1)
    assert large.shape[1] > 3200
    assert away(target, scanned(large)).max() < 0.3


def test_blur_noise_and_fewer_pixels(target, printed):
    seen, _ = turned(ndimage.gaussian_filter(printed, (2, 2, 0)), 12, scale=0.8)
    seen = seen + np.random.default_rng(4).normal(0, 0.004, seen.shape)
    off = away(target, scanned(seen))
    # dark patches drown in noise first
    assert np.median(off) < 0.5 and off.max() < 3


def test_uneven_light_is_evened_out(target, printed):
    seen, _ = turned(printed, 8)
    y, x = np.indices(seen.shape[:2])
    far = np.hypot(x / x.max() - 0.5, y / y.max() - 0.5)
    # 30 % darker towards the corners, and light from the left that is a little warmer
    light = (1 - 0.6 * far**2)[..., None] * (0.9 - 0.15 * x / x.max())[..., None]
    light = light * np.array([1.0, 0.97, 0.9])
    raw = scanned(seen * light)
    assert away(target, raw).max() < 1.0
    # without it the corners alone would be off by more
    assert 1 - light[..., 0].min() / light[..., 0].max() > 0.3


def test_a_known_error_of_the_print_is_found(target, printed):
    page = target_picture(target, ppi=PPI)
    wrong = np.array(printed)
    for i in np.flatnonzero(target.neutrals):
        x0, y0, x1, y1 = page.boxes_px[i]
        wrong[y0:y1, x0:x1] = lab_light(target.reference_lab[i] + (0, 0, 4))
    found = verdict(read_scanned_target(scanned(turned(wrong, 5)[0]), target), target)
    assert not found.passed and found.caveat
    assert found.sentence.startswith("By the scan, the print exceeds")
    assert next(s for s in found.shifts if s.zone == "middle tones").b == pytest.approx(4, abs=0.2)


def test_a_missing_mark_is_named(target, printed):
    hidden = np.array(printed)
    hidden[-120:, -120:] = 0.8
    with pytest.raises(TargetError, match="not found: lower right.*All four"):
        read_scanned_target(scanned(hidden), target)


def test_no_target_at_all(target):
    noise = np.random.default_rng(0).random((600, 800, 3))
    with pytest.raises(TargetError, match="corner marks were"):
        read_scanned_target(scanned(ndimage.gaussian_filter(noise, (3, 3, 0))), target)
    with pytest.raises(TargetError, match="corner marks were not found"):
        read_scanned_target(scanned(np.full((300, 400, 3), 0.8)), target)


def test_a_mirrored_scan_is_told(target, printed):
    with pytest.raises(TargetError, match="mirrored"):
        read_scanned_target(scanned(printed[:, ::-1]), target)


def test_marks_around_something_else(target, printed):
    other = np.array(printed)
    page = target_picture(target, ppi=PPI)
    rng = np.random.default_rng(5)
    for x0, y0, x1, y1 in page.boxes_px:
        other[y0:y1, x0:x1] = rng.random(3)
    with pytest.raises(TargetError, match="not this target"):
        read_scanned_target(scanned(other), target)


def test_burnt_out_and_dark_pictures_are_noted(target, printed):
    assert any("burnt out" in n for n in read_scanned_target(scanned(printed * 1.5), target).notes)
    assert any("dark" in n for n in read_scanned_target(scanned(printed * 0.1), target).notes)


def test_pictures_that_do_not_say_their_colours(target, printed, tmp_path):
    from PIL import Image

    path = tmp_path / "scan.png"
    Image.fromarray(np.rint(np.clip(printed, 0, 1) ** 0.45 * 255).astype(np.uint8)).save(path)
    with pytest.raises(UntaggedPictureError):
        read_scanned_target(path, target)
    grey = from_pixels(np.full((90, 90, 1), 200, np.uint8), "Grey, power 2.2")
    with pytest.raises(TargetError, match="in colour"):
        read_scanned_target(grey, target)

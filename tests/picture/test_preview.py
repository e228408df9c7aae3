"""Reduced pictures against plain averages in linear light."""

from __future__ import annotations

import threading

import imagecodecs
import numpy as np
import pytest
from colour.models import cctf_decoding_ROMMRGB, cctf_encoding_ROMMRGB
from picture.makers import noise, tiff_bytes

import workbench as wb
from workbench.colour.spaces import GREY_SPACES, RGB_SPACES, standard_profile
from workbench.picture import preview as preview_module
from workbench.picture import tone
from workbench.picture.reduce import cover, fitted_size


def srgb_to_linear(v):
    """IEC 61966-2-1."""
    return np.where(v <= 0.04045, v / 12.92, ((v + 0.055) / 1.055) ** 2.4)


def linear_to_srgb(v):
    """IEC 61966-2-1."""
    return np.where(v <= 0.0031308, v * 12.92, 1.055 * np.maximum(v, 1e-9) ** (1 / 2.4) - 0.055)


CURVES = {
    # name of the space -> (to linear light, back); constants from the published encodings
    "sRGB": (srgb_to_linear, linear_to_srgb),
    "opRGB": (lambda v: v ** (563 / 256), lambda v: v ** (256 / 563)),
    "ROMM RGB": (cctf_decoding_ROMMRGB, cctf_encoding_ROMMRGB),
}


@pytest.mark.parametrize("name", CURVES)
@pytest.mark.parametrize("dtype", [np.uint8, np.uint16])
@pytest.mark.parametrize("factor", [2, 3, 8])
def test_whole_factors_are_block_means_in_linear_light(name, dtype, factor):
    stored = noise(48, 72, dtype=dtype)
    picture = wb.open_picture(tiff_bytes(stored, iccprofile=standard_profile(name)))
    to_linear, back = CURVES[name]
    light = to_linear(stored / np.iinfo(dtype).max)
    means = light.reshape(48 // factor, factor, 72 // factor, factor, 3).mean(axis=(1, 3))
    small = picture.preview(72 // factor)
    assert small.shape == (48 // factor, 72 // factor, 3) and small.dtype == np.uint16
    # within two steps of 65,535: profiles keep their parameters to 1/65,536
    assert np.abs(small - back(means) * 65535).max() <= 2


def test_black_and_white_dots_make_the_grey_that_gives_half_the_light():
    dots = np.indices((64, 64)).sum(axis=0) % 2 * np.uint8(255)
    data = imagecodecs.png_encode(np.repeat(dots[..., None], 3, axis=-1).astype(np.uint8))
    small = wb.open_picture(data, assume_profile="sRGB").preview(16)
    # half the light is 188 of 255 in sRGB, not 128
    assert (np.rint(small / 257) == 188).all()


def by_dense_weights(light: np.ndarray, width: int, height: int) -> np.ndarray:
    """Area averages by the overlap of each pair of pixels, for any sizes."""

    def overlaps(n_in, n_out):
        edges_in, edges_out = np.arange(n_in + 1.0), np.arange(n_out + 1) * (n_in / n_out)
        upper = np.minimum(edges_in[None, 1:], edges_out[1:, None])
        lower = np.maximum(edges_in[None, :-1], edges_out[:-1, None])
        return np.maximum(upper - lower, 0) / (n_in / n_out)

    down, across = overlaps(light.shape[0], height), overlaps(light.shape[1], width)
    return np.einsum("iy,jx,yxc->ijc", down, across, light)


@pytest.mark.parametrize("long_side", [1, 2, 7, 31, 64, 88, 89, 90])
@pytest.mark.parametrize("channels", [1, 3])
@pytest.mark.parametrize("packing", [None, "zlib"])
def test_any_size_is_an_area_average(long_side, channels, packing, monkeypatch):
    # bands smaller than a target pixel and larger ones must add up to the same
    monkeypatch.setattr(preview_module, "over_bands", small_bands(preview_module.over_bands))
    stored = noise(67, 90, channels=channels)
    profile = standard_profile("Grey, power 2.2" if channels == 1 else "opRGB")
    data = tiff_bytes(stored, iccprofile=profile, compression=packing, rowsperstrip=5)
    gamma = 2.2 if channels == 1 else 563 / 256
    light = (stored.reshape(67, 90, channels) / 65535) ** gamma
    small = wb.open_picture(data).preview(long_side)
    assert small.shape[1] == long_side
    reference = by_dense_weights(light, small.shape[1], small.shape[0]) ** (1 / gamma)
    assert np.abs(small - reference * 65535).max() <= 2


def small_bands(over_bands):
    def with_few_pixels(*args, **options):
        return over_bands(*args, max_pixels=700, **options)

    return with_few_pixels


def test_previews_made_from_the_base_agree_with_those_made_from_the_picture(monkeypatch):
    rows, cols = np.mgrid[0:300, 0:400] / 400
    smooth = np.stack([rows, cols, (rows + cols) / 2], axis=-1)
    data = tiff_bytes((smooth * 65535).astype(np.uint16))
    direct = wb.open_picture(data).preview(50)
    monkeypatch.setattr(preview_module, "_FIRST_BASE_PX", 130)
    picture = wb.open_picture(data)
    passes = counted(monkeypatch)
    larger = picture.preview(60)
    assert passes == [(400, 300), (130, 98)]
    smaller = picture.preview(50)
    assert passes[2:] == [(130, 98)]
    assert np.abs(smaller.astype(int) - direct).max() <= 300
    assert picture.preview(60) is not None and len(passes) == 3
    assert np.array_equal(picture.preview(60), larger)
    # too large for that base: the picture is read once more
    picture.preview(90)
    assert passes[3:] == [(400, 300), (180, 135)]


def counted(monkeypatch) -> list:
    """Sizes of what is gone through, in order."""
    passes: list = []
    original = preview_module.over_bands

    def counting(store, *args, **options):
        passes.append((store.width, store.height))
        return original(store, *args, **options)

    monkeypatch.setattr(preview_module, "over_bands", counting)
    return passes


def test_small_pictures_keep_their_size():
    stored = noise()
    picture = wb.open_picture(tiff_bytes(stored))
    assert np.array_equal(picture.preview(5000), stored)
    assert np.array_equal(picture.preview(53), stored)
    eight = wb.open_picture(tiff_bytes(noise(dtype=np.uint8)))
    assert np.array_equal(eight.preview(53), noise(dtype=np.uint8) * np.uint16(257))


def test_previews_cannot_be_written_into():
    picture = wb.open_picture(tiff_bytes(noise()))
    for size in (20, 53):
        with pytest.raises(ValueError, match="read-only"):
            picture.preview(size)[0, 0] = 0


@pytest.mark.parametrize("size", [0, -5])
def test_sizes_that_are_none(size):
    with pytest.raises(wb.PictureError, match="at least 1 pixel"):
        wb.open_picture(tiff_bytes(noise())).preview(size)


@pytest.mark.parametrize("name", RGB_SPACES + GREY_SPACES)
def test_to_light_and_back_gives_every_value_again(name):
    profile = standard_profile(name)
    channels = 1 if name in GREY_SPACES else 3
    values = np.repeat(np.arange(65536, dtype=np.uint16)[:, None], channels, axis=1)
    back = tone.from_light(tone.to_light(values, profile), profile).astype(int)
    assert np.abs(back - values).max() <= 1
    assert np.array_equal(tone.from_light(tone.to_light(values, None), None), values)


def test_a_curve_without_a_way_back_is_not_used():
    # green as a constant: averaging falls back on gamma 2.2, and the picture is unharmed
    srgb = standard_profile("sRGB")
    constant = b"curv" + bytes(4) + (2).to_bytes(4, "big") + b"\x80\0" * 2
    at = srgb.index(b"gTRC")
    data = bytearray(srgb + constant)
    data[at + 4 : at + 12] = len(srgb).to_bytes(4, "big") + len(constant).to_bytes(4, "big")
    data[:4] = len(data).to_bytes(4, "big")
    stored = noise()
    tagged = wb.open_picture(tiff_bytes(stored, iccprofile=bytes(data)))
    assert tagged.profile == bytes(data)
    assert np.array_equal(tagged.preview(20), wb.open_picture(tiff_bytes(stored)).preview(20))


def test_channels_with_different_curves_are_averaged_each_by_its_own():
    srgb = standard_profile("sRGB")
    linear = b"curv" + bytes(4) + bytes(4)
    at = srgb.index(b"gTRC")
    # point the green curve at a linear one appended to the file
    data = bytearray(srgb + linear)
    data[at + 4 : at + 12] = len(srgb).to_bytes(4, "big") + len(linear).to_bytes(4, "big")
    data[:4] = len(data).to_bytes(4, "big")
    dots = np.indices((64, 64)).sum(axis=0) % 2 * 65535
    stored = np.repeat(dots[..., None], 3, axis=-1).astype(np.uint16)
    small = wb.open_picture(tiff_bytes(stored, iccprofile=bytes(data))).preview(8)
    half = linear_to_srgb(np.array(0.5)) * 65535
    assert np.abs(small - [half, 32767.5, half]).max() <= 1


def test_fitted_size_keeps_proportions_and_never_enlarges():
    assert fitted_size(6000, 4000, 1200) == (1200, 800)
    assert fitted_size(4000, 6000, 1200) == (800, 1200)
    assert fitted_size(100, 50, 400) == (100, 50)
    assert fitted_size(100_000, 3, 1000) == (1000, 1)


def test_weights_add_up():
    for n_in, n_out in ((10, 3), (7, 7), (1000, 999), (5, 1)):
        indices, weights = cover(n_in, n_out)
        assert np.allclose(weights.sum(axis=0), 1, atol=1e-6)
        inside = weights > 0
        assert indices[inside].max() == n_in - 1
        used = np.bincount(indices[inside], weights[inside], n_in)
        assert np.allclose(used, n_out / n_in, atol=1e-6)


def test_cancelling_and_progress(monkeypatch):
    monkeypatch.setattr(preview_module, "over_bands", small_bands(preview_module.over_bands))
    picture = wb.open_picture(tiff_bytes(noise(300, 200)))
    told: list[float] = []
    asked = iter([False] * 10 + [True] * 1000)
    with pytest.raises(wb.Cancelled):
        picture.preview(40, cancelled=lambda: next(asked), progress=told.append)
    assert 0 < len(told) < 100
    told.clear()
    picture.preview(40, progress=told.append)
    assert told == sorted(told) and told[-1] == 1.0


def test_waiting_for_another_thread_can_be_cancelled():
    picture = wb.open_picture(tiff_bytes(noise()))
    with picture._previews._lock, pytest.raises(wb.Cancelled):
        picture.preview(20, cancelled=lambda: True)
    assert picture.preview(20).shape == (14, 20, 3)


def test_threads_that_want_the_same_share_one_pass(monkeypatch):
    passes = counted(monkeypatch)
    picture = wb.open_picture(tiff_bytes(noise(300, 400)))
    results: list = []
    threads = [
        threading.Thread(target=lambda: results.append(picture.preview(100))) for _ in range(8)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(results) == 8 and all(np.array_equal(r, results[0]) for r in results)
    assert passes == [(400, 300)]

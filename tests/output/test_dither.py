"""Dithering: right on average at every level, and only where it is needed."""

from __future__ import annotations

import numpy as np
import pytest

from workbench.output.dither import to_8_bits


def test_the_average_of_every_level_is_right():
    # 65 levels between two steps and at both ends of the scale
    levels = np.unique(
        np.r_[np.arange(0, 258, 16), np.arange(32768, 33026, 16), 65535 - 257, 65535]
    )
    count = 40_000
    pixels = np.broadcast_to(levels.astype(np.uint16)[:, None], (len(levels), count))
    mean = to_8_bits(np.ascontiguousarray(pixels)).mean(axis=1)
    # 4.5 standard errors of the widest spread there is, half a step
    assert np.abs(mean - levels / 257).max() < 4.5 * 0.5 / np.sqrt(count)


def test_a_ramp_has_no_bias():
    ramp = np.tile(np.arange(65536, dtype=np.uint16), 16)
    error = to_8_bits(ramp) - ramp / 257
    assert abs(error.mean()) < 4.5 * np.sqrt(1 / 6 / ramp.size)
    assert np.abs(error).max() < 1


def test_rounding_without_noise_would_be_off():
    # the check above can fail: plain rounding of one level is off by up to half a step
    level = np.full(1000, 100, np.uint16)
    assert abs(np.rint(level / 257).mean() - 100 / 257) > 0.35
    assert abs(to_8_bits(level).mean() - 100 / 257) < 0.08


@pytest.mark.parametrize("level", [0, 1, 100, 254, 255])
def test_whole_levels_stay_without_noise(level):
    pixels = np.full((50, 50, 3), level * 257, np.uint16)
    assert (to_8_bits(pixels) == level).all()


def test_channels_and_pixels_get_noise_of_their_own():
    noise = to_8_bits(np.full((200, 200, 3), 128, np.uint16)).astype(float) - 128 / 257
    flat = noise.reshape(-1, 3)
    assert np.abs(np.corrcoef(flat.T)[~np.eye(3, dtype=bool)]).max() < 0.03
    across = np.corrcoef(noise[:, 1:, 0].ravel(), noise[:, :-1, 0].ravel())[0, 1]
    assert abs(across) < 0.03


def test_the_same_seed_gives_the_same_file():
    pixels = np.arange(3000, dtype=np.uint16).reshape(10, 100, 3)
    assert np.array_equal(to_8_bits(pixels, (4,)), to_8_bits(pixels, (4,)))
    assert not np.array_equal(to_8_bits(pixels, (4,)), to_8_bits(pixels, (5,)))

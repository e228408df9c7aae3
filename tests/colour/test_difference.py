"""CIEDE2000 against the published pairs and colour-science."""

import colour
import numpy as np
from helpers import ciede2000_pairs

from workbench.colour.difference import delta_e_2000, delta_e_2000_terms


def test_the_34_published_pairs():
    # Sharma, Wu, Dalal 2005, supplementary data; printed to four digits
    one, two, published = ciede2000_pairs()
    assert np.abs(delta_e_2000(one, two) - published).max() < 1e-4
    assert np.abs(delta_e_2000(two, one) - published).max() < 1e-4


def test_against_colour_science_on_random_pairs():
    random = np.random.default_rng(2)
    one = random.random((20000, 3)) * [100, 200, 200] - [0, 100, 100]
    two = one + random.normal(0, 10, one.shape)
    assert np.abs(delta_e_2000(one, two) - colour.delta_E(one, two, method="CIE 2000")).max() < 1e-8


def test_single_precision_is_good_to_a_hundredth_for_all_but_rare_pairs():
    random = np.random.default_rng(3)
    one = (random.random((50000, 3)) * [100, 200, 200] - [0, 100, 100]).astype(np.float32)
    two = one + random.normal(0, 3, one.shape).astype(np.float32)
    error = np.abs(delta_e_2000(one, two) - delta_e_2000(one.astype(float), two.astype(float)))
    assert delta_e_2000(one, two).dtype == np.float32
    assert np.percentile(error, 99.9) < 0.01


def test_shapes_and_broadcasting():
    one = np.random.default_rng(4).random((5, 7, 3)) * 50
    assert delta_e_2000(one, one[0, 0]).shape == (5, 7)
    assert np.all(delta_e_2000(one, one) == 0)


def test_terms_have_signs_that_say_lighter_and_more_colourful():
    lightness, chroma, _, _ = delta_e_2000_terms([50.0, 20, 0], [60.0, 40, 0])
    assert lightness > 0 and chroma > 0

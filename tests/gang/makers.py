"""Strips with steps that are given, for the tests that are not about solving for them."""

from workbench.gang.strip_layout import test_strip as _strip

FIVE = (-6, -3, 0, 3, 6)


def make_strip(work, crops=None, lightness_steps=FIVE, warmth_steps=None, *more, **details):
    return _strip(work, crops, lightness_steps, warmth_steps, *more, **details)

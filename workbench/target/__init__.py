"""A printable target, its reference values, and the verdict on what was measured of it."""

"""Profiles in which every intent names its table, as the engine's black detection needs.

A profile may hold one table, A2B0, that stands for every intent (ICC.1:2022, section 8:
the table of another intent is used where the wanted one is missing).  Little CMS converts
by it, but takes the profile's black for zero (``cmsIsIntentSupported`` in cmssamp.c), so
that compensation would leave the black of such a picture grey.
"""

from __future__ import annotations

import struct
from functools import lru_cache

from workbench.colour.profile import read_profile

_ENTRY = 12


@lru_cache(maxsize=64)
def with_every_intent(profile: bytes) -> bytes:
    """The same profile with the missing A2B and B2A entries naming the first table.

    No transform changes by it; only the black that the engine finds does.  Profiles that
    lack nothing come back as they are.

    >>> from workbench.colour.spaces import standard_profile
    >>> with_every_intent(standard_profile("sRGB")) == standard_profile("sRGB")
    True
    """
    checked = read_profile(profile)
    added = [
        (f"{way}{intent}", checked.tags[f"{way}0"])
        for way in ("A2B", "B2A")
        for intent in "12"
        if f"{way}0" in checked.tags and f"{way}{intent}" not in checked.tags
    ]
    if not added:
        return checked.data
    entries = [*checked.tags.items(), *added]
    first, moved = 132 + _ENTRY * len(checked.tags), _ENTRY * len(added)
    table = b"".join(
        struct.pack(">4sII", name.encode().ljust(4), offset + moved, size)
        for name, (offset, size) in entries
    )
    body = checked.data[first:]
    header = struct.pack(">I", len(checked.data) + moved) + checked.data[4:128]
    return header + struct.pack(">I", len(entries)) + table + body

"""Names in plans that earlier versions saved: colour spaces, whites, keys."""

# old name -> today's.  Kept only so that old plans open; nothing shows or writes the old ones.
_NOW = {
    "Adobe RGB (1998)": "opRGB",
    "ProPhoto RGB": "ROMM RGB",
    "Grey gamma 2.2": "Grey, power 2.2",
    "Grey gamma 1.8": "Grey, power 1.8",
    "Grey sRGB curve": "Grey, sRGB curve",
    # not the same white, but the nearest
    "office sheet": "brightened card",
    "hold_against": "second_paper",
}


def present_name(name: str) -> str:
    """Today's name of a colour space, a white or a key; one that did not change as it is.

    >>> present_name("Grey gamma 2.2"), present_name("sRGB")
    ('Grey, power 2.2', 'sRGB')
    """
    return _NOW.get(name, name)

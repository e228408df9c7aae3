"""Names of colour spaces in plans that earlier versions saved."""

# old name -> today's.  Kept only so that old plans open; nothing shows or writes the old ones.
_NOW = {
    "Adobe RGB (1998)": "opRGB",
    "ProPhoto RGB": "ROMM RGB",
    "Grey gamma 2.2": "Grey, power 2.2",
    "Grey gamma 1.8": "Grey, power 1.8",
    "Grey sRGB curve": "Grey, sRGB curve",
}


def present_name(name: str) -> str:
    """Today's name of a colour space; a name that did not change as it is.

    >>> present_name("Grey gamma 2.2"), present_name("sRGB")
    ('Grey, power 2.2', 'sRGB')
    """
    return _NOW.get(name, name)

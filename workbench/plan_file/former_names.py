"""Names in plans that earlier versions saved: colour spaces, whites, keys."""

from workbench.language import tr

# old name -> today's.  Kept only so that old plans open; nothing shows or writes the old ones.
_NOW = {
    tr("Adobe RGB (1998)"): "opRGB",
    tr("ProPhoto RGB"): tr("ROMM RGB"),
    tr("Grey gamma 2.2"): tr("Grey, power 2.2"),
    tr("Grey gamma 1.8"): tr("Grey, power 1.8"),
    tr("Grey sRGB curve"): tr("Grey, sRGB curve"),
    # not the same white, but the nearest
    tr("office sheet"): tr("brightened card"),
    "hold_against": "second_paper",
}


def present_name(name: str) -> str:
    """Today's name of a colour space, a white or a key; one that did not change as it is.

    >>> present_name("Grey gamma 2.2"), present_name("sRGB")
    ('Grey, power 2.2', 'sRGB')
    """
    return _NOW.get(name, name)

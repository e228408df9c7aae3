"""Embedded profiles, untagged pictures, and what a person chooses for them."""

from __future__ import annotations

import struct
from pathlib import Path

import numpy as np
import pytest
from picture.makers import exif_block, noise, pillow_bytes, tiff_bytes, with_chunk

import workbench as wb
from workbench.colour.profile import read_profile
from workbench.colour.spaces import GREY_SPACES, RGB_SPACES, standard_profile
from workbench.picture import assumption_previews

P3 = standard_profile("Display P3")
GREY = standard_profile("Grey, power 1.8")


def tagged(kind: str, profile: bytes | None, channels: int = 3) -> bytes:
    stored = noise(channels=channels, dtype=np.uint8)
    if kind == "TIFF":
        return tiff_bytes(stored, iccprofile=profile)
    return pillow_bytes(stored, kind, icc_profile=profile)


@pytest.mark.parametrize("kind", ["TIFF", "PNG", "JPEG"])
def test_the_embedded_profile_is_kept_byte_for_byte(kind):
    picture = wb.open_picture(tagged(kind, P3))
    assert picture.profile == P3 == picture.require_profile()
    assert picture.profile_name == "Display P3"
    assert not picture.profile_assumed and picture.profile_hint is None
    grey = wb.open_picture(tagged(kind, GREY, channels=1))
    assert (grey.profile, grey.profile_name) == (GREY, "Grey, power 1.8")


def test_a_long_profile_in_a_jpeg_comes_in_pieces():
    # profiles over 64 kB are split; padding behind a profile's own length is cut off
    profile = bytearray(P3 + bytes(150_000))
    profile[:4] = struct.pack(">I", len(profile))
    data = tagged("JPEG", bytes(profile))
    assert data.count(b"ICC_PROFILE\0") == 3
    assert wb.open_picture(data).profile == bytes(profile)
    # without its second piece it is not a profile
    first = data.index(b"ICC_PROFILE\0\x02") - 4
    (length,) = struct.unpack_from(">H", data, first + 2)
    picture = wb.open_picture(data[:first] + data[first + 2 + length :])
    assert picture.profile is None
    assert picture.notes[0].endswith("some of its pieces are missing.")


def table_profile() -> bytes:
    """An RGB printer profile with a table; layout of its type 'mft1' from ICC.1:2022, 10.11."""
    ramp = bytes(range(256))
    grid = bytes(
        255 if value else 0
        for r in (0, 1)
        for g in (0, 1)
        for b in (0, 1)
        for value in (r and g and b, 0, 0)
    )
    matrix = struct.pack(">9i", 65536, 0, 0, 0, 65536, 0, 0, 0, 65536)
    table = b"mft1" + bytes(4) + bytes([3, 3, 2, 0]) + matrix + ramp * 3 + grid + ramp * 3
    white = b"XYZ " + bytes(4) + struct.pack(">3i", 63190, 65536, 54061)
    at = 132 + 2 * 12
    tags = struct.pack(">I", 2)
    tags += b"A2B0" + struct.pack(">II", at, len(table))
    tags += b"wtpt" + struct.pack(">II", at + len(table), len(white))
    header = bytearray(128)
    header[0:4] = struct.pack(">I", 128 + len(tags) + len(table) + len(white))
    header[8:10] = b"\x02\x40"
    header[12:24] = b"prtrRGB Lab "
    header[36:40] = b"acsp"
    header[68:80] = struct.pack(">3i", 63190, 65536, 54061)
    return bytes(header) + tags + table + white


def test_an_rgb_printer_profile_with_tables_is_used():
    profile = table_profile()
    picture = wb.open_picture(tagged("TIFF", profile))
    assert picture.profile == profile
    assert picture.profile_name == "a profile without a name"
    assert picture.preview(20).shape == (14, 20, 3)


BROKEN = {
    "no profile at all": (b"not a profile" * 20, "not an ICC colour profile"),
    "cut short": (P3[:300], "cut short or damaged"),
    "grey for an RGB picture": (GREY, "it is for grey and the picture is RGB"),
    "a device link": (P3[:12] + b"link" + P3[16:], "class “link”"),
    "curves missing": (P3.replace(b"rTRC", b"xTRC", 1), "lacks the tables"),
}


@pytest.mark.parametrize("what", BROKEN)
@pytest.mark.parametrize("kind", ["TIFF", "PNG", "JPEG"])
def test_an_unusable_profile_counts_as_none_and_a_note_says_why(kind, what):
    profile, reason = BROKEN[what]
    picture = wb.open_picture(tagged(kind, profile))
    assert picture.profile is None and picture.profile_name is None
    (note,) = picture.notes
    assert note.startswith("The embedded profile") and reason in note
    assert wb.open_picture(tagged(kind, profile), assume_profile="sRGB").profile_assumed


def test_a_cmyk_profile_in_an_rgb_picture():
    press = Path(__file__).parent.parent / "data" / "FOGRA39L_coated.icc"
    picture = wb.open_picture(tagged("TIFF", press.read_bytes()))
    assert picture.profile is None
    assert "it is for CMYK and the picture is RGB" in picture.notes[0]


@pytest.mark.parametrize("kind", ["TIFF", "PNG", "JPEG"])
def test_an_untagged_picture_is_not_guessed_at(kind):
    picture = wb.open_picture(tagged(kind, None), name="old.jpg")
    assert picture.profile is None and picture.profile_name is None
    with pytest.raises(wb.UntaggedPictureError) as caught:
        picture.require_profile()
    sentence = str(caught.value)
    assert sentence.startswith("“old.jpg” has no colour profile")
    assert 'assume_profile="sRGB"' in sentence and "in the panel" in sentence
    assert all(name in sentence for name in RGB_SPACES)
    grey = wb.open_picture(tagged(kind, None, channels=1))
    with pytest.raises(wb.UntaggedPictureError, match="Grey, power 2.2"):
        grey.require_profile()


@pytest.mark.parametrize("name", RGB_SPACES)
def test_choosing_a_usual_space(name):
    picture = wb.open_picture(tagged("TIFF", None))
    chosen = picture.assume(name)
    assert chosen is not picture and picture.profile is None
    assert chosen.profile == standard_profile(name)
    assert (chosen.profile_name, chosen.profile_assumed) == (name, True)
    assert chosen._store is picture._store
    assert wb.open_picture(tagged("TIFF", None), assume_profile=name).profile_name == name


@pytest.mark.parametrize("name", GREY_SPACES)
def test_choosing_a_usual_grey_space(name):
    chosen = wb.open_picture(tagged("PNG", None, channels=1), assume_profile=name)
    assert chosen.profile == standard_profile(name)


def test_choosing_again_replaces_the_first_choice():
    chosen = wb.open_picture(tagged("TIFF", None), assume_profile="sRGB").assume("eciRGB v2")
    assert chosen.profile_name == "eciRGB v2" and chosen.notes == ()


def test_choosing_profile_bytes_or_a_profile_file(tmp_path):
    path = tmp_path / "scanner.icc"
    path.write_bytes(P3)
    for assumption in (P3, path, str(path)):
        chosen = wb.open_picture(tagged("TIFF", None), assume_profile=assumption)
        assert (chosen.profile, chosen.profile_name) == (P3, "Display P3")
        assert chosen.profile_assumed


@pytest.mark.parametrize(
    "assumption,sentence",
    [
        ("srgb!", "neither a space the workbench knows nor a profile file; choose one of “sRGB”"),
        ("Grey, power 2.2", "does not fit this picture, which is RGB; choose one of “sRGB”"),
        (b"rubbish", "The chosen profile cannot be used"),
        (GREY, "it is for grey and the picture is RGB"),
        (42, "not as int"),
        ("\0", "is not a path"),
    ],
)
def test_choices_that_are_none(assumption, sentence):
    with pytest.raises(wb.PictureError, match=sentence):
        wb.open_picture(tagged("TIFF", None), assume_profile=assumption)


def test_an_embedded_profile_wins_over_an_assumption():
    picture = wb.open_picture(tagged("TIFF", P3), assume_profile="sRGB")
    assert picture.profile == P3 and not picture.profile_assumed
    (note,) = picture.notes
    assert note == (
        "The file's own profile “Display P3” is used; the assumption “sRGB” is not needed."
    )
    assert picture.assume("sRGB").notes == picture.notes


def test_png_srgb_chunk_is_a_tag():
    picture = wb.open_picture(with_chunk(tagged("PNG", None), b"sRGB", b"\0"))
    assert picture.profile == standard_profile("sRGB")
    assert (picture.profile_name, picture.profile_assumed) == ("sRGB", False)
    grey = wb.open_picture(with_chunk(tagged("PNG", None, channels=1), b"sRGB", b"\0"))
    assert grey.profile == standard_profile("Grey, sRGB curve")
    # an embedded profile says more
    both = wb.open_picture(with_chunk(tagged("PNG", P3), b"sRGB", b"\0"))
    assert both.profile == P3


def test_png_code_points_are_a_tag():
    # ITU-T H.273: primaries 12 with transfer 13 are Display P3
    picture = wb.open_picture(with_chunk(tagged("PNG", None), b"cICP", b"\x0c\x0d\x00\x01"))
    assert picture.profile_name == "Display P3"


def test_weaker_tags_are_hints_only():
    gamma = with_chunk(tagged("PNG", None), b"gAMA", struct.pack(">I", 45455))
    srgb = pillow_bytes(noise(dtype=np.uint8), "JPEG", exif=exif_block(colour_space=1))
    wide = pillow_bytes(noise(dtype=np.uint8), "JPEG", exif=exif_block(interoperability="R03"))
    tiff = pillow_bytes(noise(dtype=np.uint8), "TIFF", exif=exif_block(colour_space=1).tobytes())
    hints = ((gamma, "sRGB"), (srgb, "sRGB"), (tiff, "sRGB"), (wide, "opRGB"))
    for data, hint in hints:
        picture = wb.open_picture(data)
        assert picture.profile is None
        assert picture.profile_hint == hint
        with pytest.raises(wb.UntaggedPictureError) as caught:
            picture.require_profile()
        assert f'assume_profile="{hint}"' in str(caught.value)
    assert wb.open_picture(tagged("PNG", None)).profile_hint is None


def test_a_damaged_png_profile_chunk_counts_as_none():
    data = with_chunk(tagged("PNG", None), b"iCCP", b"name\0\0" + b"no deflate data")
    picture = wb.open_picture(data)
    assert picture.profile is None and "cannot be unpacked" in picture.notes[0]


@pytest.mark.parametrize("channels,names", [(3, RGB_SPACES), (1, GREY_SPACES)])
def test_previews_of_the_usual_assumptions(channels, names):
    stored = noise(90, 120, channels=channels)
    picture = wb.open_picture(tiff_bytes(stored))
    previews = assumption_previews(picture, 48)
    assert [name for name, _ in previews] == list(names)
    for _, pixels in previews:
        assert pixels.shape == (36, 48, 3) and pixels.dtype == np.uint8
    # what is sRGB already comes through as it is (8-bit rounding aside)
    if channels == 3:
        device = picture.preview(48) / 257
        assert np.abs(previews[0][1] - device).max() <= 1
    for _, other in previews[1:]:
        assert np.abs(other.astype(int) - previews[0][1]).mean() > 0.5


def test_wider_spaces_look_more_colourful():
    patch = np.full((8, 8, 3), (200, 120, 100), np.uint8)
    previews = dict(assumption_previews(wb.open_picture(tiff_bytes(patch))))

    def spread(name):
        return int(np.ptp(previews[name][0, 0].astype(int)))

    assert spread("sRGB") < spread("Display P3") < spread("ROMM RGB")


def test_names_from_profiles_carry_no_control_characters():
    data = P3.replace("Display P3".encode("utf-16-be"), "Dis\nl\x07y\x1bP3".encode("utf-16-be"))
    assert read_profile(data).description == "Dis l y P3"
    assert wb.open_picture(tagged("PNG", data)).profile_name == "Dis l y P3"

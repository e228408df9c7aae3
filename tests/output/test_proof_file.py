"""Proofs in files: the display's profile inside, whole or not at all, in bounded memory."""

import io

import imagecodecs
import numpy as np
import pytest
import tifffile
from displays import table_display
from helpers import coated_profile
from pictures import colourful
from PIL import Image

import workbench as wb
from workbench.colour.spaces import standard_profile
from workbench.errors import Cancelled, OutputError
from workbench.output.proof_file import proof_png, write_proof


@pytest.fixture(scope="module")
def paper():
    return wb.open_paper(coated_profile())


@pytest.mark.parametrize("bit_depth", [8, 16])
def test_png_holds_pixels_and_profile(paper, bit_depth):
    proof = wb.soft_proof(colourful(), paper, bit_depth=bit_depth, display=table_display())
    data = proof_png(proof)
    assert np.array_equal(imagecodecs.png_decode(data), proof.pixels)
    # Pillow reads the profile on its own
    assert Image.open(io.BytesIO(data)).info["icc_profile"] == table_display()


@pytest.mark.parametrize("exact", [True, False])
def test_tiff_is_the_whole_proof(paper, tmp_path, exact):
    picture, how = (
        colourful(150, 200),
        {"intent": "perceptual", "reference": "brightened card", "adaptation": 0.3},
    )
    told = []
    written = write_proof(
        picture, paper, tmp_path / "proof.tif", **how, display="Display P3", exact=exact,
        progress=told.append,
    )  # fmt: skip
    proof = wb.soft_proof(
        picture, paper, **how, display="Display P3", exact=exact, bit_depth=16, long_side_px=None
    )
    with tifffile.TiffFile(written.path) as tiff:
        assert np.array_equal(tiff.asarray(), proof.pixels)
        assert tiff.pages[0].tags[34675].value == standard_profile("Display P3")
    assert (written.width_px, written.height_px, written.bit_depth) == (200, 150, 16)
    assert written.display_name == "Display P3" and written.exact == exact
    assert written.size_bytes == written.path.stat().st_size
    assert "not to print from" in written.sentence and told[-1] == 1


def test_jpeg_has_eight_bits(paper, tmp_path):
    written = write_proof(colourful(), paper, tmp_path / "proof.jpg")
    image = Image.open(written.path)
    assert written.bit_depth == 8 and image.info["icc_profile"] == standard_profile("sRGB")


def test_nothing_is_left_of_a_cancelled_proof(paper, tmp_path):
    asked = []

    def cancelled():
        asked.append(1)
        return len(asked) > 1

    with pytest.raises(Cancelled):
        write_proof(colourful(), paper, tmp_path / "proof.tif", cancelled=cancelled)
    assert list(tmp_path.iterdir()) == []


def test_the_picture_itself_is_never_written_over(paper, tmp_path):
    path = tmp_path / "picture.tif"
    pixels = colourful().pixels()
    tifffile.imwrite(path, pixels, photometric="rgb", iccprofile=standard_profile("sRGB"))
    picture = wb.open_picture(path)
    with pytest.raises(OutputError, match="picture itself"):
        write_proof(picture, paper, path, overwrite=True)
    other = tmp_path / "other.tif"
    other.write_bytes(b"kept")
    with pytest.raises(OutputError, match="already"):
        write_proof(picture, paper, other)
    with pytest.raises(OutputError, match="not a kind of print file"):
        write_proof(picture, paper, tmp_path / "proof.gif")
    assert other.read_bytes() == b"kept" and np.array_equal(tifffile.imread(path), pixels)

"""TIFF in all its variants, pixel by pixel against what tifffile and Pillow wrote."""

from __future__ import annotations

import io

import imagecodecs
import numpy as np
import pytest
import tifffile
from picture.makers import noise, pillow_bytes, set_tag, tiff_bytes
from PIL import Image

import workbench as wb
from workbench.picture import tiff as tiff_module
from workbench.picture import tiffcheck, tiffpixels, tiffstream

STORAGE = {
    "one strip": {},
    "strips": {"rowsperstrip": 7},
    "single rows": {"rowsperstrip": 1},
    "tiles": {"tile": (16, 32)},
}
PACKING = {
    "plain": {},
    "deflate": {"compression": "zlib"},
    "deflate with predictor": {"compression": "zlib", "predictor": True},
    "lzw": {"compression": "lzw"},
    "lzw with predictor": {"compression": "lzw", "predictor": True},
    "packbits": {"compression": "packbits"},
    "zstd": {"compression": "zstd"},
}


def expected(stored: np.ndarray) -> np.ndarray:
    """What the workbench should give for interleaved samples without alpha."""
    if stored.ndim == 2:
        stored = stored[..., None]
    if stored.dtype.kind == "f":
        return np.floor(np.clip(stored.astype(np.float64), 0, 1) * 65535 + 0.5).astype(np.uint16)
    return stored


def assert_same(picture, pixels, tolerance=0):
    assert picture.pixels().shape == pixels.shape
    assert picture.pixels().dtype == pixels.dtype
    difference = np.abs(picture.pixels().astype(int) - pixels.astype(int))
    assert difference.max() <= tolerance
    joined = np.concatenate([s.copy() for s in picture.strips(400)])
    assert np.array_equal(joined, picture.pixels())


@pytest.mark.parametrize("dtype", [np.uint8, np.uint16, np.float32])
@pytest.mark.parametrize("packing", PACKING)
@pytest.mark.parametrize("storage", STORAGE)
def test_every_way_of_storing(storage, packing, dtype):
    if packing == "packbits" and dtype != np.uint8:
        dtype = np.uint8
    for channels in (1, 3):
        stored = noise(channels=channels, dtype=dtype)
        data = tiff_bytes(stored, **STORAGE[storage], **PACKING[packing])
        picture = wb.open_picture(data)
        # floats: the code rounds in single precision, the reference in double
        assert_same(picture, expected(stored), tolerance=stored.dtype.kind == "f")
        assert picture.bit_depth == 8 * stored.itemsize
        assert (picture.channels, picture.kind) == (channels, "TIFF")
        assert (picture.width_px, picture.height_px) == (53, 37)


@pytest.mark.parametrize("dtype", [np.uint8, np.uint16, np.float32])
@pytest.mark.parametrize("packing", ["plain", "deflate with predictor", "lzw"])
@pytest.mark.parametrize("storage", STORAGE)
def test_planar(storage, packing, dtype):
    stored = noise(dtype=dtype)
    options = {**STORAGE[storage], **PACKING[packing], "planarconfig": "separate"}
    data = tiff_bytes(np.moveaxis(stored, -1, 0), photometric="rgb", **options)
    picture = wb.open_picture(data)
    assert_same(picture, expected(stored), tolerance=stored.dtype.kind == "f")
    assert np.array_equal(picture.crop(20, 9, 30, 21), picture.pixels()[9:30, 20:50])


@pytest.mark.parametrize("byteorder", ["<", ">"])
@pytest.mark.parametrize("bigtiff", [False, True])
@pytest.mark.parametrize("packing", ["plain", "deflate with predictor"])
def test_byte_order_and_big_tiff(byteorder, bigtiff, packing):
    stored = noise()
    data = tiff_bytes(stored, byteorder=byteorder, bigtiff=bigtiff, **PACKING[packing])
    picture = wb.open_picture(data)
    assert_same(picture, stored)
    strip = next(picture.strips())
    assert strip.dtype.isnative and strip.flags.c_contiguous


@pytest.mark.parametrize("compression", [None, "tiff_lzw", "tiff_deflate", "packbits"])
def test_files_written_by_libtiff(compression):
    stored = noise(dtype=np.uint8)
    data = pillow_bytes(stored, "TIFF", compression=compression)
    assert_same(wb.open_picture(data), stored)


@pytest.mark.parametrize("options", [{"tile": (16, 32)}, {"rowsperstrip": 8}, {}])
def test_jpeg_inside_tiff_as_libtiff_decodes_it(options):
    smooth = np.linspace(0, 255, 64 * 48 * 3).reshape(48, 64, 3).astype(np.uint8)
    data = tiff_bytes(smooth, photometric="ycbcr", compression="jpeg", **options)
    reference = np.asarray(Image.open(io.BytesIO(data)).convert("RGB")).astype(int)
    got = wb.open_picture(data).pixels().astype(int)
    # two builds of the same decoder may round the colour conversion differently
    assert np.abs(got - reference).max() <= 2


@pytest.mark.parametrize("dtype", [np.float16, np.float64])
def test_half_and_double_floats(dtype):
    stored = noise(dtype=dtype)
    picture = wb.open_picture(tiff_bytes(stored))
    assert_same(picture, expected(stored), tolerance=1)
    assert picture.dtype == np.uint16


def test_floats_outside_0_to_1_are_clipped_and_counted():
    stored = np.full((10, 10, 3), 0.5, np.float32)
    stored[0, :4] = 1.5
    stored[1, 0, 2] = -0.25
    for packing in ("plain", "deflate"):
        picture = wb.open_picture(tiff_bytes(stored, **PACKING[packing]))
        assert picture.pixels()[0, 0].tolist() == [65535] * 3
        assert picture.pixels()[1, 0].tolist() == [32768, 32768, 0]
        (note,) = [n for n in picture.notes if "clipped" in n]
        assert note.startswith("5.0 % of the pixels")


@pytest.mark.parametrize("bad", [np.nan, np.inf, -np.inf])
@pytest.mark.parametrize("packing", ["plain", "deflate"])
def test_floats_that_are_no_numbers(bad, packing):
    stored = noise(dtype=np.float32)
    stored[36, 52, 1] = bad
    with pytest.raises(wb.PictureError, match="NaN or infinity"):
        wb.open_picture(tiff_bytes(stored, **PACKING[packing]))


def test_a_double_too_large_for_a_float_is_refused():
    stored = noise(dtype=np.float64)
    stored[3, 3, 0] = 1e300
    with pytest.raises(wb.PictureError, match="NaN or infinity"):
        wb.open_picture(tiff_bytes(stored))


@pytest.mark.parametrize("dtype", [np.uint8, np.uint16, np.float32])
@pytest.mark.parametrize("kind", ["unassalpha", "assocalpha"])
@pytest.mark.parametrize("channels", [1, 3])
@pytest.mark.parametrize("packing", ["plain", "lzw"])
def test_alpha_over_white_paper(dtype, kind, channels, packing):
    top = 1.0 if dtype == np.float32 else float(np.iinfo(dtype).max)
    colour = noise(channels=channels, dtype=dtype).reshape(37, 53, channels)
    alpha = noise(channels=1, dtype=dtype, seed=1)[..., None]
    if kind == "assocalpha":
        colour = (colour * (alpha / top)).astype(dtype)
        mixed = colour / top + 1 - alpha / top
    else:
        mixed = colour / top * (alpha / top) + 1 - alpha / top
    data = tiff_bytes(
        np.concatenate([colour, alpha], axis=-1),
        photometric="rgb" if channels == 3 else "minisblack",
        planarconfig="contig",
        extrasamples=[kind],
        **PACKING[packing],
    )
    picture = wb.open_picture(data)
    out_top = 255 if dtype == np.uint8 else 65535
    assert picture.channels == channels
    assert np.abs(picture.pixels() - np.minimum(mixed, 1) * out_top).max() <= 1
    assert any("bare paper" in n for n in picture.notes)


@pytest.mark.parametrize("packing", ["plain", "lzw"])
def test_opaque_alpha_is_dropped_without_a_word(packing):
    colour = noise()
    alpha = np.full((37, 53, 1), 65535, np.uint16)
    data = tiff_bytes(
        np.concatenate([colour, alpha], axis=-1), extrasamples=["unassalpha"], **PACKING[packing]
    )
    picture = wb.open_picture(data)
    assert_same(picture, colour)
    assert picture.notes == ()


def test_extra_channels_are_ignored_with_a_note():
    stored = noise(channels=5)
    picture = wb.open_picture(tiff_bytes(stored, extrasamples=[0, 0]))
    assert_same(picture, stored[..., :3])
    assert picture.notes == ("2 extra channels were ignored.",)


def test_white_is_zero():
    stored = noise(channels=1)
    picture = wb.open_picture(tiff_bytes(stored, photometric="miniswhite"))
    assert_same(picture, 65535 - stored[..., None])


def test_one_bit():
    stored = noise(channels=1, dtype=np.uint8) > 127
    for data in (
        pillow_bytes(stored, "TIFF"),
        tiff_bytes(stored, compression="zlib"),
    ):
        assert_same(wb.open_picture(data), (stored * 255).astype(np.uint8)[..., None])


@pytest.mark.parametrize("bits", [2, 4, 6, 10, 12, 14])
def test_odd_bit_depths_fill_the_whole_range(bits):
    stored = noise(channels=1) >> (16 - bits)
    stored = stored.astype(np.uint8 if bits <= 8 else np.uint16)
    stored[0, :2] = 0, 2**bits - 1
    picture = wb.open_picture(tiff_bytes(stored, bitspersample=bits))
    top = 255 if bits <= 8 else 65535
    exact = stored[..., None] * (top / (2**bits - 1))
    assert np.abs(picture.pixels() - exact).max() <= 0.5
    assert picture.pixels()[0, :2, 0].tolist() == [0, top]


def test_palette():
    image = Image.fromarray(noise(dtype=np.uint8)).quantize(23)
    picture = wb.open_picture(pillow_bytes(image, "TIFF"))
    assert_same(picture, np.asarray(image.convert("RGB")))
    assert picture.channels == 3


def test_large_compressed_files_are_decoded_piece_by_piece(monkeypatch):
    monkeypatch.setattr(tiff_module, "HELD_BYTES", 0)
    stored = noise(300, 200)
    for storage in ({"rowsperstrip": 16}, {"tile": (32, 48)}):
        for planar in (False, True):
            array = np.moveaxis(stored, -1, 0) if planar else stored
            options = {"planarconfig": "separate" if planar else "contig", **storage}
            data = tiff_bytes(array, photometric="rgb", compression="zlib", **options)
            picture = wb.open_picture(data)
            assert type(picture._store).__name__ == "TiffStore"
            assert_same(picture, stored)
            assert np.array_equal(picture.crop(40, 100, 70, 55), stored[100:155, 40:110])


def test_damage_in_a_piece_read_later_is_told_then(monkeypatch):
    monkeypatch.setattr(tiff_module, "HELD_BYTES", 0)
    data = bytearray(tiff_bytes(noise(300, 200), compression="zlib", rowsperstrip=16))
    with tifffile.TiffFile(io.BytesIO(bytes(data))) as tiff:
        offset = tiff.pages[0].dataoffsets[9]
    data[offset : offset + 30] = bytes(30)
    picture = wb.open_picture(bytes(data), name="late.tif")
    with pytest.raises(wb.PictureError, match=r"“late.tif” is cut short or damaged \(part 10"):
        list(picture.strips())


def test_pieces_are_decoded_once_while_the_same_place_is_looked_at(monkeypatch):
    monkeypatch.setattr(tiff_module, "HELD_BYTES", 0)
    stored = noise(300, 200)
    picture = wb.open_picture(tiff_bytes(stored, compression="zlib", tile=(32, 48)))
    decoded: list = []
    original = type(picture._store)._decode_segment

    def counting(store, stream, index, *where):
        decoded.append(index)
        return original(store, stream, index, *where)

    monkeypatch.setattr(type(picture._store), "_decode_segment", counting)
    for x in (40, 41, 42):
        assert np.array_equal(picture.crop(x, 100, 20, 50), stored[100:150, x : x + 20])
    assert sorted(decoded) == [15, 16, 20, 21]


def test_what_is_cut_out_can_be_written_into_without_harm(monkeypatch):
    monkeypatch.setattr(tiff_module, "HELD_BYTES", 0)
    stored = noise()
    for options in ({"rowsperstrip": 8, "predictor": True}, {"rowsperstrip": 8}, {}):
        picture = wb.open_picture(tiff_bytes(stored, compression="lzw", **options))
        picture.crop(0, 0, 53, 8)[:] = 0
        assert np.array_equal(picture.crop(0, 0, 53, 8), stored[:8])


def test_compressed_files_that_lie_on_their_side_are_held(monkeypatch):
    monkeypatch.setattr(tiff_module, "HELD_BYTES", 0)
    data = tiff_bytes(noise(), compression="zlib", extratags=[(274, 3, 1, 6, True)])
    picture = wb.open_picture(data)
    assert type(picture._store).__name__ == "HeldStore"
    assert np.array_equal(picture.pixels(), np.rot90(noise(), -1))


def test_one_huge_segment_is_decoded_only_once(monkeypatch):
    monkeypatch.setattr(tiff_module, "HELD_BYTES", 0)
    monkeypatch.setattr(tiff_module, "_LARGE_SEGMENT", 1000)
    stored = noise()
    picture = wb.open_picture(tiff_bytes(stored, compression="zlib"))
    assert type(picture._store).__name__ == "HeldStore"
    assert_same(picture, stored)


@pytest.mark.parametrize("compression", ["zlib", "lzw", "packbits"])
@pytest.mark.parametrize("kind", ["16 bits", "8 bits", "floats", "alpha"])
def test_one_large_part_is_unpacked_bit_by_bit_to_the_same_pixels(kind, compression, monkeypatch):
    stored = {
        "16 bits": noise(90, 700) // 3000,
        "8 bits": noise(90, 700, channels=1, dtype=np.uint8),
        "floats": noise(90, 700, dtype=np.float32),
        "alpha": np.repeat(noise(90, 70, channels=4), 10, axis=1),
    }[kind]
    options = {"extrasamples": ["unassalpha"]} if kind == "alpha" else {}
    predictor = compression != "packbits"
    for order in "<>":
        data = tiff_bytes(stored, compression=compression, predictor=predictor, byteorder=order,
                          rowsperstrip=90, **options)  # fmt: skip
        at_once = wb.open_picture(data).pixels()
        with monkeypatch.context() as patch:
            patch.setattr(tiffcheck, "ROWS_BYTES", 6000)
            patch.setattr(tiffstream, "_PIECE", 777)
            # as a whole it is not decoded
            patch.setattr(tiffpixels.TiffStore, "_decode_segment", None)
            shares: list = []
            assert np.array_equal(wb.open_picture(data, progress=shares.append).pixels(), at_once)
            assert len(shares) > 3
            cut = bytearray(data)
            with tifffile.TiffFile(io.BytesIO(data)) as tiff:
                (offset,), (count,) = tiff.pages[0].dataoffsets, tiff.pages[0].databytecounts
            cut[offset + count // 2 : offset + count] = bytes(count - count // 2)
            # nought is a colour to LZW and a byte to PackBits, so that damage may pass for pixels
            if compression == "zlib":
                with pytest.raises(wb.PictureError, match="cannot be decoded|not numbers"):
                    wb.open_picture(bytes(cut))


def test_long_lzw_data_are_cut_where_the_table_is_cleared():
    # several clearings, made and read by another library
    for plain in (noise(300, 300).tobytes(), bytes(200_000), bytes(range(256)) * 900):
        packed = imagecodecs.lzw_encode(plain)
        pieces = list(tiffstream.unpacked(5, lambda at, n, d=packed: d[at : at + n], len(packed)))
        assert b"".join(pieces) == plain
    assert len(pieces) == 1


def test_thumbnails_do_not_make_a_file_multi_page():
    stored = noise(200, 300)
    for flag in (1, 0):
        stream = io.BytesIO()
        with tifffile.TiffWriter(stream) as writer:
            writer.write(stored, photometric="rgb")
            writer.write(stored[::8, ::8], photometric="rgb", subfiletype=flag)
        assert_same(wb.open_picture(stream.getvalue()), stored)


def test_a_thumbnail_in_front_is_passed_over():
    stored = noise(200, 300)
    stream = io.BytesIO()
    with tifffile.TiffWriter(stream) as writer:
        writer.write(stored[::8, ::8], photometric="rgb", subfiletype=1)
        writer.write(stored, photometric="rgb")
    assert_same(wb.open_picture(stream.getvalue()), stored)


@pytest.mark.parametrize("pages", [2, 3, 60])
def test_multi_page(pages):
    stream = io.BytesIO()
    with tifffile.TiffWriter(stream) as writer:
        for _ in range(pages):
            writer.write(noise(), photometric="rgb", metadata=None)
    with pytest.raises(wb.PictureError, match=f"holds {pages} pages. Save the one you want"):
        wb.open_picture(stream.getvalue())


def test_cmyk():
    data = tiff_bytes(noise(channels=4), photometric="separated")
    with pytest.raises(wb.PictureError, match="CMYK.*RGB"):
        wb.open_picture(data)


def test_lab():
    data = tiff_bytes(noise(dtype=np.uint8), photometric="cielab")
    with pytest.raises(wb.PictureError, match="is in Lab. Convert it"):
        wb.open_picture(data)


def test_sensor_data_is_camera_raw():
    data = tiff_bytes(noise(channels=1), photometric="cfa")
    with pytest.raises(
        wb.PictureError, match="camera raw file.*Turn it into a finished picture first"
    ):
        wb.open_picture(data, name="mosaic.tif")
    data = tiff_bytes(noise(), extratags=[(50706, 1, 4, b"\x01\x04\x00\x00", True)])
    with pytest.raises(
        wb.PictureError, match="camera raw file.*Turn it into a finished picture first"
    ):
        wb.open_picture(data, name="negative.tif")


def test_a_lone_preview_with_subdirectories_is_camera_raw():
    stream = io.BytesIO()
    with tifffile.TiffWriter(stream) as writer:
        writer.write(noise(dtype=np.uint8), photometric="rgb", subifds=1, subfiletype=1)
        writer.write(noise(200, 300, channels=1), photometric="cfa", subfiletype=0)
    with pytest.raises(wb.PictureError, match="camera raw"):
        wb.open_picture(stream.getvalue())


def test_sensor_data_below_a_page_that_looks_finished_are_camera_raw():
    def below(photometric):
        stream = io.BytesIO()
        with tifffile.TiffWriter(stream) as writer:
            writer.write(noise(dtype=np.uint8), photometric="rgb", subifds=1)
            writer.write(noise(200, 300, channels=1), photometric=photometric, subfiletype=0)
        return stream.getvalue()

    with pytest.raises(wb.PictureError, match="camera raw"):
        wb.open_picture(below("cfa"), name="shot.raw")
    # other things may lie there
    assert wb.open_picture(below("minisblack")).channels == 3


@pytest.mark.parametrize("dtype", [np.uint32, np.int16, np.int32, np.complex64])
def test_number_formats_that_are_no_pictures(dtype):
    data = tiff_bytes(np.zeros((20, 20, 3), dtype))
    with pytest.raises(wb.PictureError, match="unusual form.*16-bit TIFF"):
        wb.open_picture(data)


@pytest.mark.parametrize("compression", ["jpeg2000", "webp", "lzma"])
def test_other_compressions(compression):
    data = tiff_bytes(noise(dtype=np.uint8), compression=compression)
    with pytest.raises(wb.PictureError, match="LZW, ZIP"):
        wb.open_picture(data)


@pytest.mark.parametrize("packing", ["plain", "deflate"])
@pytest.mark.parametrize("share", [0.2, 0.5, 0.9, 0.99])
def test_cut_short(packing, share):
    # tags first, so that only the pixels are cut
    data = tiff_bytes(noise(), rowsperstrip=5, **PACKING[packing])
    with pytest.raises(wb.PictureError, match="cut short or damaged"):
        wb.open_picture(data[: int(len(data) * share)])


def test_absurd_and_empty_sizes():
    data = tiff_bytes(noise(), metadata=None)
    with pytest.raises(wb.PictureError, match="more than the workbench opens"):
        wb.open_picture(set_tag(data, 256, 0x7FFFFFFF))
    with pytest.raises(wb.PictureError, match=r"gigapixels"):
        wb.open_picture(set_tag(set_tag(data, 256, 60_000), 257, 60_000))
    with pytest.raises(wb.PictureError, match="has no pixels"):
        wb.open_picture(set_tag(data, 257, 0))


def test_absurd_tiles():
    data = tiff_bytes(noise(), metadata=None, tile=(16, 16), compression="zlib")
    wide = set_tag(set_tag(data, 322, 2**31 - 16), 323, 2**31 - 16)
    with pytest.raises(wb.PictureError, match="too large to be true"):
        wb.open_picture(wide)
    with pytest.raises(wb.PictureError, match="more pixels than its data can hold"):
        wb.open_picture(set_tag(set_tag(data, 322, 16_000), 323, 16_000))
    with pytest.raises(wb.PictureError, match="cut short or damaged"):
        wb.open_picture(set_tag(data, 323, 0))


@pytest.mark.parametrize("packing", ["deflate", "lzw", "packbits", "zstd"])
def test_a_few_bytes_that_promise_gigapixels_are_refused_before_decoding(packing):
    data = tiff_bytes(noise(dtype=np.uint8), metadata=None, **PACKING[packing])
    data = set_tag(set_tag(data, 256, 30_000), 257, 30_000)
    data = set_tag(data, 278, 30_000)
    with pytest.raises(wb.PictureError, match="more pixels than its data can hold"):
        wb.open_picture(data)


def test_opening_does_not_touch_the_file(tmp_path):
    path = tmp_path / "keep.tif"
    path.write_bytes(tiff_bytes(noise()))
    before = (path.read_bytes(), path.stat().st_mtime_ns)
    picture = wb.open_picture(path).assume("sRGB")
    picture.preview(20)
    list(picture.strips())
    assert (path.read_bytes(), path.stat().st_mtime_ns) == before


def test_a_file_saved_over_while_open_is_noticed(tmp_path):
    path = tmp_path / "again.tif"
    path.write_bytes(tiff_bytes(noise(200, 200)))
    picture = wb.open_picture(path)
    path.write_bytes(b"II*\0")
    with pytest.raises(wb.PictureError, match="has changed on disk.*open it again"):
        picture.crop(0, 0, 10, 10)
    path.unlink()
    with pytest.raises(wb.PictureError, match="There is no file"):
        list(picture.strips())

"""What a picture's metadata say goes nowhere but into a few checked numbers."""

import os
import random
import struct
from dataclasses import fields

import numpy as np
import pytest
from attacks.test_texts_of_strangers import HOSTILE, is_clean
from picture.makers import noise, pillow_bytes, tiff_bytes, with_chunk
from PIL import Image

from workbench.analysis.compare import compare
from workbench.demo import demo_papers
from workbench.output.compare_file import comparison_csv
from workbench.output.job_sheet import job_sheet
from workbench.output.print_file import write_print_file
from workbench.output.proof_file import write_proof
from workbench.panels import parts
from workbench.panels.sources.panel import Sources
from workbench.picture import open_picture
from workbench.picture.exif import read_exif
from workbench.plan import Plan
from workbench.plan_file import plan_text

ROUNDS = int(os.environ.get("WORKBENCH_ATTACKS", "300"))
MARK = "zqxmark"
TEXTS = (0x010E, 0x010F, 0x0110, 0x0131, 0x013B, 0x8298, 0x010D, 0x011D)


def encoded(text: str) -> bytes:
    return text.encode("utf-8", "replace")


def exif_with(text: str) -> Image.Exif:
    """Every text of EXIF 2.32 that is shown by anything, and the user's comment."""
    exif = Image.Exif()
    for tag in TEXTS:
        exif[tag] = encoded(text)[:60_000]
    exif.get_ifd(0x8769)[0x9286] = b"ASCII\0\0\0" + encoded(text)[:1000]
    exif.get_ifd(0x8769)[0xA430] = encoded(text)[:1000]
    exif[0x0112], exif[0x011A], exif[0x011B], exif[0x0128] = 6, 300.0, 300.0, 2
    return exif


def files_with(text: str) -> dict[str, bytes]:
    flat = noise(24, 36, dtype=np.uint8)
    data = encoded(text)
    short = data[:60_000]
    exif = exif_with(text[:4000])
    jpeg = pillow_bytes(flat, "JPEG", comment=short, exif=exif)
    for prefix in (b"http://ns.adobe.com/xap/1.0/\0", b"Photoshop 3.0\0"):
        body = prefix + short
        marker = b"\xff\xe1" if prefix.startswith(b"http") else b"\xff\xed"
        jpeg = jpeg[:2] + marker + struct.pack(">H", len(body) + 2) + body + jpeg[2:]
    png = pillow_bytes(flat, "PNG", exif=exif)
    for kind, body in (
        (b"tEXt", b"Title\0" + data),
        (b"iTXt", b"XML:com.adobe.xmp\0\0\0\0\0" + data),
        (b"tEXt", data[:79] + b"\0x"),
    ):
        png = with_chunk(png, kind, body)
    line = short.decode("latin-1").encode("ascii", "replace").replace(b"\0", b" ").decode()
    tags = [(tag, "s", 0, line, True) for tag in (270, 285, 305, 315, 316, 33432) if line]
    tiff = tiff_bytes(flat, extratags=tags, metadata=None, software=False)
    return {"JPEG": jpeg, "PNG": png, "TIFF": tiff}


@pytest.mark.parametrize("kind", HOSTILE)
def test_texts_of_a_picture_reach_nothing(kind, tmp_path):
    text = f"{MARK}{HOSTILE[kind]}{MARK}"
    for form, data in files_with(text).items():
        assert MARK.encode() in data
        picture = open_picture(data, assume_profile="sRGB", name=f"{form}.x")
        assert (picture.width_px, picture.height_px) in ((36, 24), (24, 36))
        for field in fields(picture):
            value = getattr(picture, field.name)
            texts = value if isinstance(value, tuple) else [value]
            for each in texts:
                assert not isinstance(each, str) or (MARK not in each and is_clean(each, 600))
        assert MARK not in repr(picture)
        paper = demo_papers()[0]
        plan = Plan(picture=picture, paper=paper, papers=(paper,), long_side_mm=20.0,
                    size_from="size", printer_ppi=72.0)  # fmt: skip
        out = tmp_path / form
        out.mkdir()
        write_print_file(plan, out / "print.tif")
        write_proof(picture, paper, out / "proof.png")
        (out / "sheet.html").write_text(job_sheet(plan).html())
        (out / "plan.toml").write_text(plan_text(plan, out))
        (out / "table.csv").write_text(comparison_csv(compare(picture, [paper])))
        front = parts.Front()
        sources = Sources(plan, front, parts.StatusLine(front))
        (out / "desk.html").write_text(sources.facts.value)
        front.scheduler.close()
        written = list(out.iterdir())
        assert len(written) >= 6
        for path in written:
            # the picture that a plan without a file brings along is made from pixels alone
            assert MARK.encode() not in path.read_bytes(), (form, path.name)


def test_what_exif_says_is_a_number_within_bounds_or_nothing():
    """Random damage of a sound block, and blocks of nothing but noise."""
    sound = exif_with("text").tobytes()[6:]
    chance = random.Random("exif")
    for number in range(ROUNDS):
        block = bytearray(sound if number % 3 else chance.randbytes(chance.randrange(9, 400)))
        block[:4] = chance.choice([b"II*\0", b"MM\0*"]) if number % 2 else block[:4]
        for _ in range(chance.randrange(6)):
            block[chance.randrange(8, len(block))] = chance.choice(
                [0, 1, 255, chance.randrange(256)]
            )
        told = read_exif(bytes(block[: chance.randrange(8, len(block) + 1)]))
        assert told.orientation in range(1, 9)
        assert told.ppi is None or 0 < told.ppi <= 100_000
        assert told.hint in (None, "sRGB", "opRGB")


@pytest.mark.parametrize("above, below", [(0, 0), (1, 0), (2**32 - 1, 1), (0, 1), (1, 2**32 - 1)])
def test_resolutions_beyond_reason_are_none_or_small(above, below):
    entries = b"".join(
        struct.pack("<HHII", tag, 5, 1, 80) for tag in (0x011A, 0x011B)
    ) + struct.pack("<HHIHH", 0x0128, 3, 1, 2, 0)
    block = b"II*\0" + struct.pack("<IH", 8, 3) + entries
    block = block.ljust(80, b"\0") + struct.pack("<II", above, below)
    told = read_exif(block)
    assert told.ppi is None or 0 < told.ppi <= 100_000

"""Notes of invented prints."""

from __future__ import annotations

from dataclasses import replace

from workbench.record import PrintNote

NOTE = PrintNote(
    made_on="2026-05-04T14:30:00+02:00",
    picture_name="harbour.tif",
    picture_sha256="a1" * 32,
    paper_name="Invented Fen",
    profile_sha256="b2" * 32,
    printer="Invented Heron 24",
    media_setting="Matte, heavy",
    width_mm=400.0,
    height_mm=300.0,
    ppi=360.0,
    intent="relative",
    black_point_compensation=True,
    converts="workbench",
    file_name="harbour for Fen.tif",
    file_sha256="c3" * 32,
    edition_number=3,
    edition_of=10,
    ink_ml=1.44,
    verdict="The print came out as planned.",
    passed=True,
    mean_de00=1.25,
    rating=4,
    change_next_time="Lift the shadows by a hair.",
    notes="First one on the new roll.",
    plan_text='version = 1\nintent = "relative"\n',
    measurements="CGATS.17\r\nNUMBER_OF_SETS 0\r\n",
)


def note(**changes) -> PrintNote:
    """`NOTE` without an edition number, which can be taken once only, and with changes."""
    return replace(NOTE, **{"edition_number": None, "edition_of": None, **changes})

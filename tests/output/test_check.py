"""Reading back finds each thing that a file may have got wrong."""

from __future__ import annotations

from dataclasses import replace

import pytest
from output.makers import job

from workbench.colour.spaces import standard_profile
from workbench.output.check import check_facts, read_back
from workbench.output.layout import layout_of
from workbench.output.print_file import file_spec, write_print_file


@pytest.fixture(scope="module", params=["tif", "png", "jpg"])
def finished(request, tmp_path_factory):
    """What was found in a finished file, and what it was to be."""
    path = tmp_path_factory.mktemp("print") / f"print.{request.param}"
    work = job(width_mm=50, borders_mm=3).checked()
    write_print_file(work, path)
    kind = {"tif": "TIFF", "png": "PNG", "jpg": "JPEG"}[request.param]
    layout = layout_of(work)
    return read_back(path, kind, layout), file_spec(work, layout, kind), layout


def failing(finished, **wrong) -> set[str]:
    found, spec, layout = finished
    checks = check_facts(replace(found, **wrong), spec, layout, found.fingerprint)
    return {check.name for check in checks if not check.passed}


def test_a_sound_file_passes(finished):
    assert failing(finished) == set()


@pytest.mark.parametrize(
    ("wrong", "named"),
    [
        ({"width_px": 1}, {"pixels", "size"}),
        ({"bit_depth": 12}, {"pixels"}),
        ({"channels": 4}, {"pixels"}),
        # 56 mm at 100 ppi: one ppi more makes it half a millimetre smaller
        ({"ppi": (101.0, 100.0)}, {"size"}),
        ({"ppi": (100.0, 99.0)}, {"size"}),
        ({"ppi": (72.0, 72.0)}, {"size"}),
        ({"ppi": None}, {"size"}),
        ({"profile": None}, {"profile"}),
        ({"profile": standard_profile("sRGB")}, {"profile"}),
    ],
)
def test_what_is_wrong_is_named(finished, wrong, named):
    assert failing(finished, **wrong) == named


def test_other_pixels_are_noticed_where_the_kind_keeps_them(finished):
    found, spec, layout = finished
    checks = check_facts(found, spec, layout, found.fingerprint ^ 1)
    kept = spec.kind != "JPEG"
    assert [check.passed for check in checks] == [not kept, True, True]

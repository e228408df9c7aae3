"""The print-planning workbench: a picture and a paper go in, answers come out.

>>> import workbench as wb
>>> picture, papers = wb.demo_picture(), wb.demo_papers()
>>> wb.gamut_report(picture, papers[0]).share_outside  # doctest: +SKIP

Everything a panel shows can be had here in one line.  The heavy libraries load
when a name is first used, so the import itself stays quick.
"""

from __future__ import annotations

from importlib import import_module

from workbench.errors import (
    Cancelled,
    FileError,
    LibraryError,
    OutputError,
    PaperError,
    PictureError,
    PlanError,
    ProfileError,
    RecordError,
    SizeError,
    TargetError,
    UntaggedPictureError,
    WorkbenchError,
)
from workbench.panels.registry import DOORS

__version__ = "0.2.0"

# name on the public face -> module that holds it
_PUBLIC = {
    "open_picture": "workbench.picture",
    "opening_cost": "workbench.picture",
    "open_paper": "workbench.paper",
    "demo_picture": "workbench.demo",
    "demo_papers": "workbench.demo",
    "print_size": "workbench.analysis.size",
    "seen_detail": "workbench.analysis.seen",
    "gamut_report": "workbench.analysis.gamut",
    "colour_shift": "workbench.analysis.gamut",
    "count_gamut": "workbench.analysis.counts",
    "count_shift": "workbench.analysis.counts",
    "paper_white": "workbench.analysis.white",
    "black_point": "workbench.analysis.black",
    "soft_proof": "workbench.analysis.proof",
    "relit_proof": "workbench.analysis.relit",
    "Lamp": "workbench.surface.lamp",
    "Window": "workbench.analysis.relit",
    "texture_seen": "workbench.analysis.texture",
    "surface_of": "workbench.surface.sheet",
    "surface_of_kind": "workbench.surface.kinds",
    "print_for_place": "workbench.output.for_place",
    "Place": "workbench.analysis.place",
    "illuminance_by_card": "workbench.analysis.exposure",
    "measure_surface": "workbench.surface.stereo",
    "read_surface": "workbench.surface.files",
    "write_surface": "workbench.surface.files",
    "compare_intents": "workbench.analysis.intents",
    "proof_maps": "workbench.analysis.proof_maps",
    "colour_at": "workbench.analysis.colour_at",
    "find_display": "workbench.analysis.viewing",
    "own_displays": "workbench.analysis.own_display",
    "write_proof": "workbench.output.proof_file",
    "write_takeaway": "workbench.takeaway",
    "screen_match": "workbench.analysis.screen",
    "print_in_place": "workbench.analysis.screen",
    "compare": "workbench.analysis.compare",
    "describe": "workbench.analysis.character",
    "advise": "workbench.analysis.advice",
    "reading": "workbench.readings",
    "spectral_reading": "workbench.readings",
    "spectral_white": "workbench.paper_readings",
    "measured_paper": "workbench.paper_readings",
    "open_measured_paper": "workbench.paper_readings",
    "open_shelf": "workbench.library",
    "scan_profiles": "workbench.library",
    "tint_under_lights": "workbench.analysis.illuminants",
    "suggest_adjustments": "workbench.output.suggest",
    "Adjustments": "workbench.output.adjust",
    "write_print_file": "workbench.output.print_file",
    "job_sheet": "workbench.output.job_sheet",
    "write_job_sheet": "workbench.run",
    "run_plan": "workbench.run",
    "save_plan": "workbench.plan_file",
    "open_plan": "workbench.plan_file",
    "test_strip": "workbench.gang.strip_layout",
    "write_strip": "workbench.gang.writing",
    "chain_patch": "workbench.analysis.chain",
    "step_wedge": "workbench.analysis.wedge",
    "compare_readings": "workbench.analysis.wedge",
    "judge_print": "workbench.analysis.judge",
    "Observations": "workbench.analysis.judge",
    "judging_sheet": "workbench.gang.judging_sheet",
    "write_judging_sheet": "workbench.gang.judging_sheet",
    "nest": "workbench.gang.nest",
    "write_nest": "workbench.gang.writing",
    "print_cost": "workbench.analysis.cost",
    "target_for": "workbench.target.patches",
    "write_target": "workbench.target.draw",
    "read_measured": "workbench.target.measured",
    "read_scanned_target": "workbench.target.scan",
    "verdict": "workbench.target.verdict",
    "drift": "workbench.target.drift",
    "survey": "workbench.surveys",
    "on_projector": "workbench.analysis.projector",
    "lecture": "workbench.lectures",
    "write_handout": "workbench.lectures.handout",
    "write_lecture_page": "workbench.lectures.page",
    "open_record": "workbench.record",
    "note_of": "workbench.record",
    "model_profile": "workbench.colour.inkmodel",
    "Plan": "workbench.plan",
    "desk": "workbench.panels.faces",
    **dict.fromkeys(DOORS, "workbench.panels.faces"),
}

__all__ = [
    *_PUBLIC,
    "Cancelled",
    "FileError",
    "LibraryError",
    "OutputError",
    "PaperError",
    "PictureError",
    "PlanError",
    "ProfileError",
    "RecordError",
    "SizeError",
    "TargetError",
    "UntaggedPictureError",
    "WorkbenchError",
]


def __getattr__(name: str):
    try:
        module = _PUBLIC[name]
    except KeyError:
        raise AttributeError(f"module 'workbench' has no attribute {name!r}") from None
    value = getattr(import_module(module), name)
    globals()[name] = value
    return value


def __dir__():
    return sorted(set(globals()) | set(_PUBLIC))

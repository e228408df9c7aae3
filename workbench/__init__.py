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
    OutputError,
    PaperError,
    PictureError,
    ProfileError,
    SizeError,
    UntaggedPictureError,
    WorkbenchError,
)

__version__ = "0.1.0"

# name on the public face -> module that holds it
_PUBLIC = {
    "open_picture": "workbench.picture",
    "open_paper": "workbench.paper",
    "demo_picture": "workbench.demo",
    "demo_papers": "workbench.demo",
    "print_size": "workbench.analysis.size",
    "gamut_report": "workbench.analysis.gamut",
    "paper_white": "workbench.analysis.white",
    "black_point": "workbench.analysis.black",
    "soft_proof": "workbench.analysis.proof",
    "compare_intents": "workbench.analysis.intents",
    "proof_maps": "workbench.analysis.proof_maps",
    "find_display": "workbench.analysis.viewing",
    "write_proof": "workbench.output.proof_file",
    "screen_match": "workbench.analysis.screen",
    "compare": "workbench.analysis.compare",
    "describe": "workbench.analysis.character",
    "advise": "workbench.analysis.advice",
    "reading": "workbench.readings",
    "measured_paper": "workbench.paper_readings",
    "open_measured_paper": "workbench.paper_readings",
    "open_shelf": "workbench.library",
    "scan_profiles": "workbench.library",
    "write_print_file": "workbench.output.print_file",
    "model_profile": "workbench.colour.inkmodel",
    "Plan": "workbench.plan",
    "desk": "workbench.panels.faces",
    "size_panel": "workbench.panels.faces",
    "gamut_panel": "workbench.panels.faces",
    "white_panel": "workbench.panels.faces",
    "black_panel": "workbench.panels.faces",
    "proof_panel": "workbench.panels.faces",
    "compare_panel": "workbench.panels.faces",
    "screen_panel": "workbench.panels.faces",
}

__all__ = [
    *_PUBLIC,
    "Cancelled",
    "OutputError",
    "PaperError",
    "PictureError",
    "ProfileError",
    "SizeError",
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

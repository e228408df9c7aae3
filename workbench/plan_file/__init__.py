"""The plan as a text file: saved, opened again, and run without a browser.

A plan file is TOML 1.0, version 1::

    workbench_plan = 1

    [picture]
    file = "harbour.tif"          # seen from the plan's folder, or a whole path
    sha256 = "…"                  # of the picture file when the plan was saved

    [[papers]]                    # each paper once; what it is for stands in its table
    print_on = true
    name = "Smooth cotton"
    profile = "Smooth cotton.icc"
    profile_sha256 = "…"
    finish = "matte"

    [size]
    size_from = "size"
    long_side_mm = 400

and so on: `fields` lists the keys with what each takes, `papers` and `pictures` write and
read theirs.  A key left out takes the value a new plan has.
"""

from __future__ import annotations

from workbench.plan_file.reading import open_plan, read_plan
from workbench.plan_file.saving import plan_text, save_plan

__all__ = ["open_plan", "plan_text", "read_plan", "save_plan"]

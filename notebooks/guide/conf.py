"""How the guide is built: python -m sphinx notebooks/guide notebooks/guide/_build

Markers such as %%keys of a plan%% in the pages are replaced by tables that the code itself
gives, so that they cannot be out of date.
"""

from __future__ import annotations

import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(Path(__file__).parent)]

import tables

import workbench

project = "Print-planning workbench"
version = release = workbench.__version__
copyright = ""
extensions = [
    "myst_parser",
    "sphinx.ext.autodoc",
    "sphinx.ext.doctest",
    "sphinx.ext.napoleon",
]
exclude_patterns = ["_build"]
html_theme = "furo"
html_title = f"{project} {release}"
html_show_copyright = html_show_sphinx = False
html_copy_source = False
napoleon_google_docstring = False
autodoc_typehints = "none"
myst_heading_anchors = 3
myst_enable_extensions = ["deflist"]
# examples of functions are run by the project's own tests, with files at hand; here, the pages'
doctest_test_doctest_blocks = ""
doctest_global_setup = "import workbench as wb"
# the numpy style of sections is read; single words in docstrings are not references
default_role = "code"
suppress_warnings = ["ref.python", "docutils"]


def setup(app):
    app.connect("source-read", tables.fill_in)

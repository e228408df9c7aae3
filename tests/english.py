"""The tests read English, whatever the system speaks: imported before the workbench is."""

import os

os.environ["WORKBENCH_LANGUAGE"] = "en"

"""Starting the workbench: install what is missing, then open the desk in JupyterLab.

`command` reads the command line, `bootstrap` (with `requirements`) makes the
packages be there, `folder` finds the person's own notebook, `server` starts
JupyterLab on it, `labextension/` runs its cell when the page opens, and
`testing` runs the tests.  Everything needed before the packages are there uses
the standard library only.
"""

from __future__ import annotations

from workbench.errors import WorkbenchError

#: environment of processes of which there is one for each processor already, or more
ONE_THREAD = {"OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1"}


class LaunchError(WorkbenchError):
    """The workbench or its tests could not be started; says what to do."""


class UsageError(LaunchError):
    """The command line asks for something that is not there."""

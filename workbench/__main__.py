"""`python -m workbench`: open the desk, or run a command such as `test`.

Runs before anything is installed, so it and what it imports at the top use the
standard library only, and syntax that older Pythons can read: whoever starts
it with one of those must get a sentence, not a traceback.
"""

import os
import sys

if sys.version_info < (3, 11):  # noqa: UP036 (a clone can be started by any Python)
    sys.exit(
        f"The workbench needs Python 3.11 or newer; this is Python "
        f"{sys.version_info[0]}.{sys.version_info[1]} ({sys.executable}).\n"
        "Install a newer Python, or name it: for example python3.12 -m workbench"
    )

# Python looks for modules in the folder it is started in before all others, and that folder
# may hold anything; only the clone's own is meant
_HERE = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
if os.path.abspath(sys.path[0] or os.curdir) == os.path.abspath(os.curdir) != _HERE:
    del sys.path[0]

from workbench.launch.command import main  # noqa: E402

if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

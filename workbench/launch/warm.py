"""What a kernel does while the page is still loading, so that the desk is there sooner.

Imported by the kernel before anybody asks for the desk: libraries, the desk's code, the
invented papers and, where no other is named, the invented picture.  What only other pages
need follows once the desk is there.  It makes no widgets.
"""

from __future__ import annotations

import threading

from workbench.demo import demo_papers, demo_picture
from workbench.files.session import named_here
from workbench.panels import desk  # noqa: F401
from workbench.panels.registry import PANELS
from workbench.paper import measure_profile

# by when the desk is usually there
_LATER_S = 6.0


def load_the_rest() -> None:
    """Load the panels' code, and what draws their figures."""
    import matplotlib.backends.backend_agg
    import matplotlib.figure  # noqa: F401

    for entry in PANELS.values():
        entry.load()


for paper in demo_papers():
    measure_profile(paper.profile)
if named_here().picture is None:
    demo_picture()
later = threading.Timer(_LATER_S, load_the_rest)
later.daemon = True
later.start()

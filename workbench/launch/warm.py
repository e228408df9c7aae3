"""What a kernel does while the page is still loading, so that the desk is there sooner.

Imported by the kernel before anybody asks for the desk: libraries, the panels' code, the
invented papers and, where no other is named, the invented picture.  It makes no widgets.
"""

from __future__ import annotations

from workbench.demo import demo_papers, demo_picture
from workbench.files.session import named_here
from workbench.panels import desk  # noqa: F401
from workbench.panels.registry import PANELS
from workbench.paper import measure_profile

for paper in demo_papers():
    measure_profile(paper.profile)
if named_here().picture is None:
    demo_picture()
next(iter(PANELS.values())).load()
import matplotlib.backends.backend_agg  # noqa: E402
import matplotlib.figure  # noqa: E402, F401

"""What a kernel does while the page is still loading, so that the desk is there sooner.

Imported by the kernel before anybody asks for the desk: libraries, the desk's code, the
invented papers and, where no other is named, the invented picture.  What only other pages
need follows once the desk is there.  It makes no widgets.
"""

from __future__ import annotations

import asyncio
import importlib
from functools import partial

from workbench.demo import demo_papers, demo_picture
from workbench.files.session import named_here
from workbench.panels import desk  # noqa: F401
from workbench.panels.registry import PANELS
from workbench.paper import measure_profile

# by when the desk is usually there
_LATER_S = 6.0
_DRAWING = ("matplotlib.figure", "matplotlib.backends.backend_agg")
# between two of what follows, so that a move of a knob need not wait for all of it
_PAUSE_S = 0.05


def load_the_rest(loop: asyncio.AbstractEventLoop, left: list) -> None:
    """Load what draws figures and the panels' code, one after the other between messages.

    Not in a thread of its own: where two import the same library at once, Python gives one
    of them a half-loaded module.
    """
    left.pop(0)()
    if left:
        loop.call_later(_PAUSE_S, load_the_rest, loop, left)


for paper in demo_papers():
    measure_profile(paper.profile)
if named_here().picture is None:
    demo_picture()
try:
    loop = asyncio.get_running_loop()
except RuntimeError:  # imported by something else than a kernel, which has its own pace
    pass
else:
    drawing = [partial(importlib.import_module, name) for name in _DRAWING]
    loop.call_later(_LATER_S, load_the_rest, loop, drawing + [p.load for p in PANELS.values()])

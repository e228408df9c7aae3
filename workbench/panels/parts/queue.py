"""The queue of messages from this kernel to its pages: long enough for a desk on a busy computer."""

from __future__ import annotations

import sys

from workbench.files.session import LONGEST_QUEUE


def lengthen_queue() -> None:
    """Let so many messages wait as a session's server lets; outside a kernel nothing is done."""
    kernel = sys.modules.get("ipykernel.kernelapp")
    if kernel is None or not kernel.IPKernelApp.initialized():
        return
    import zmq

    thread = kernel.IPKernelApp.instance().iopub_thread
    # sockets belong to their thread
    thread.schedule(lambda: thread.socket.setsockopt(zmq.SNDHWM, LONGEST_QUEUE))

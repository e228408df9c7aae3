"""The kernel's websocket: nothing waits for a fuller network packet, and nothing is dropped."""

from __future__ import annotations

import zmq
from jupyter_server.services.kernels.connection.channels import ZMQChannelsWebsocketConnection

from workbench.files.session import LONGEST_QUEUE


class PromptWebsocketConnection(ZMQChannelsWebsocketConnection):
    """Sends every message at once.

    Jupyter leaves Nagle's algorithm on: a small message waits until the one
    before it is acknowledged, up to 40 ms here, longer than it takes to redraw
    a plot.  And its queue is long enough for several desks.
    """

    def connect(self):
        self.websocket_handler.set_nodelay(True)
        return super().connect()

    def create_stream(self):
        super().create_stream()
        self.channels["iopub"].setsockopt(zmq.RCVHWM, LONGEST_QUEUE)

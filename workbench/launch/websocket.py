"""The kernel's websocket, without the wait for a fuller network packet."""

from __future__ import annotations

from jupyter_server.services.kernels.connection.channels import ZMQChannelsWebsocketConnection


class PromptWebsocketConnection(ZMQChannelsWebsocketConnection):
    """Sends every message at once.

    Jupyter leaves Nagle's algorithm on: a small message waits until the one
    before it is acknowledged, up to 40 ms here, longer than it takes to redraw
    a plot.
    """

    def connect(self):
        self.websocket_handler.set_nodelay(True)
        return super().connect()

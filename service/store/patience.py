"""Cuts a connection that does not do its work in time, so that nothing waits for ever on a silent network.

The server's own limits cannot do it: what they end it has to say, and that is lost too. Nor can those of TCP, where a
proxy on the way goes on confirming what it swallows.
"""

from __future__ import annotations

import os
import socket
import threading
from contextlib import suppress


class Patience:
    """How long one piece of work may take over a connection.

    Attributes:
        seconds: from the moment the connection stands
        over: whether they have passed, and the connection was cut
    """

    def __init__(self, seconds: float) -> None:
        self.seconds = seconds
        self.over = False
        self._timer: threading.Timer | None = None
        self._ours: socket.socket | None = None

    def begin(self, descriptor: int) -> None:
        """Begin to count for a connection; nothing where it has begun."""
        if self._timer is not None:
            return
        # of our own, since the number of one that is closed may soon be another's
        self._ours = socket.socket(fileno=os.dup(descriptor))
        self._timer = threading.Timer(self.seconds, self._cut, (self._ours,))
        self._timer.daemon = True
        self._timer.start()

    def _cut(self, ours: socket.socket) -> None:
        self.over = True
        with suppress(OSError):
            ours.shutdown(socket.SHUT_RDWR)

    def end(self) -> None:
        """Let the connection be."""
        if self._timer is not None and self._ours is not None:
            self._timer.cancel()
            self._ours.close()
            self._timer = self._ours = None

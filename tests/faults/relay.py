"""A network between a service and PostgreSQL, which can be cut."""

from __future__ import annotations

import socket
import struct
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

# With this a connection is reset when it is closed, as by a host that knows nothing of it.
RESETTING = struct.pack("ii", 1, 0)


class Relay:
    """Listens on a TCP port and passes on what comes to the socket of a server, and what that says.

    Attributes:
        port: where it listens, on 127.0.0.1
    """

    def __init__(self, server: Path) -> None:
        self._server = str(server)
        self._listening = socket.create_server(("127.0.0.1", 0))
        self.port: int = self._listening.getsockname()[1]
        self._open: set[socket.socket] = set()
        self._silent = False
        self._after: bytes | None = None

    @contextmanager
    def running(self) -> Iterator[Relay]:
        """Pass on for as long as the block runs."""
        threading.Thread(target=self._take_in, daemon=True).start()
        try:
            yield self
        finally:
            self._listening.close()
            self.reset()

    def reset(self) -> None:
        """Reset every connection; new ones may be made."""
        for one in list(self._open):
            _reset(one)

    def swallow(self) -> None:
        """From now on take in everything and pass on nothing, over new connections too."""
        self._silent = True

    def heal(self) -> None:
        """From now on pass on again what comes; what was swallowed is lost."""
        self._silent = False

    def cut_at_commit(self, after: bytes) -> None:
        """Pass on the next COMMIT of a client that has said something before, and nothing more of that connection."""
        self._after = after.lower()

    def _take_in(self) -> None:
        with suppress(OSError):
            while True:
                client, _ = self._listening.accept()
                server = socket.socket(socket.AF_UNIX)
                try:
                    server.connect(self._server)
                except OSError:
                    _reset(client)
                    continue
                self._open |= {client, server}
                for ends in ((client, server), (server, client)):
                    threading.Thread(target=self._pass_on, args=ends, daemon=True).start()

    def _pass_on(self, source: socket.socket, target: socket.socket) -> None:
        writing = False
        with suppress(OSError):
            while said := source.recv(65536):
                writing = writing or (self._after is not None and self._after in said.lower())
                if writing and b"COMMIT" in said:
                    self._after = None
                    # nothing of the answer gets through, since the way back is gone before the server has it
                    _reset(source)
                    target.sendall(said)
                    target.shutdown(socket.SHUT_WR)
                    return
                if not self._silent:
                    target.sendall(said)
        for one in (source, target):
            self._open.discard(one)
            with suppress(OSError):
                one.shutdown(socket.SHUT_RDWR)


def _reset(connection: socket.socket) -> None:
    with suppress(OSError):
        connection.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, RESETTING)
        # wakes who waits on it, which closing does not
        connection.shutdown(socket.SHUT_RDWR)
    connection.close()

"""The socket the service listens at."""

from __future__ import annotations

import socket

import uvicorn

# More than the service itself waits for a reader: it then ends the answer, and what it had sent still lies here.
READER_GONE_S = 180


def listening(config: uvicorn.Config, reader_gone_s: int = READER_GONE_S) -> socket.socket:
    """Return a socket bound where a server is to listen; it does not listen yet.

    The system itself ends a connection whose other side takes nothing of what was sent for so long, answering or
    not. Closing it would not: the system would keep it, and what was sent, for as long as the other side is there.

    Args:
        config: says where
        reader_gone_s: seconds; systems that know no such limit keep none
    """
    bound = config.bind_socket()
    limit = getattr(socket, "TCP_USER_TIMEOUT", None)
    if limit is not None:
        bound.setsockopt(socket.IPPROTO_TCP, limit, 1000 * reader_gone_s)
    return bound

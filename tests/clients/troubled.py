"""A line to a service that is in trouble: what is asked over it is refused for now, cut off, or passed on."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any
from urllib.parse import parse_qs, urlsplit

import httpx

RETRY_AFTER_S = 4
Trouble = Callable[[BaseHTTPRequestHandler, httpx.Response], None]
Asked = list[tuple[str, float]]


def passed_on(line: BaseHTTPRequestHandler, answer: httpx.Response) -> None:
    """Give the answer of the service."""
    _begin(line, answer.status_code, answer.headers["content-type"], len(answer.content))
    line.wfile.write(answer.content)


def refused(line: BaseHTTPRequestHandler, _: httpx.Response) -> None:
    """Ask to come again."""
    line.send_response(503)
    line.send_header("Retry-After", str(RETRY_AFTER_S))
    line.send_header("Content-Length", "0")
    line.end_headers()


def cut_after(mark: bytes, times: int) -> Trouble:
    """Return what gives the answer up to where a mark has come so often, and then cuts the line."""

    def cut(line: BaseHTTPRequestHandler, answer: httpx.Response) -> None:
        _begin(line, answer.status_code, answer.headers["content-type"], len(answer.content))
        line.wfile.write(mark.join(answer.content.split(mark)[:times]) + mark)
        line.close_connection = True

    return cut


@contextmanager
def troubled(service: str, troubles: list[Trouble]) -> Iterator[tuple[str, Asked]]:
    """Yield an address whose requests meet with one trouble after the other, and what was asked for when.

    Args:
        service: address of the service that answers
        troubles: what comes of each request
    """
    asked: Asked = []

    class Line(BaseHTTPRequestHandler):
        protocol_version = "HTTP/1.1"

        def do_POST(self) -> None:
            query = parse_qs(urlsplit(self.path).query)
            asked.append((query["first_line"][0], time.monotonic()))
            body = self.rfile.read(int(self.headers["Content-Length"]))
            kind = {"Content-Type": self.headers["Content-Type"]}
            answer = httpx.post(service + self.path, content=body, headers=kind, timeout=120, trust_env=False)
            troubles[len(asked) - 1](self, answer)

        def log_message(self, *_: Any) -> None:
            pass

    with ThreadingHTTPServer(("127.0.0.1", 0), Line) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        try:
            yield f"http://127.0.0.1:{server.server_port}", asked
        finally:
            server.shutdown()


def _begin(line: BaseHTTPRequestHandler, status: int, kind: str, size_bytes: int) -> None:
    line.send_response(status)
    line.send_header("Content-Type", kind)
    line.send_header("Content-Length", str(size_bytes))
    line.end_headers()

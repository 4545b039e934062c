"""What metrics, log lines and traces cost of a design, and a request that asks for nothing beside it: CPU, one run.

PYTHONPATH=.:tests python tests/bench/seen_timed.py
"""

from __future__ import annotations

import asyncio
import os
import statistics
import sys
import tempfile
import time
from collections.abc import Awaitable, Callable
from pathlib import Path
from typing import Any

DESIGNS, NOTHINGS, ROUNDS = 2, 200, 3
DECK = b'{"jurisdiction":"alder-county","levels":[{"width_ft":16,"projection_ft":12,"surface_height_in":34}]}'
Ask = Callable[[], Awaitable[None]]


def asking(app: Any, method: str, path: str, body: bytes = b"") -> Ask:
    """One request to an application, without a client's own cost."""
    headers = [(b"host", b"localhost"), (b"content-type", b"application/json")]
    scope = {"type": "http", "method": method, "path": path, "raw_path": path.encode(), "query_string": b"",
             "headers": headers, "http_version": "1.1", "scheme": "http", "root_path": "", "client": None,
             "server": ("localhost", 80), "asgi": {"version": "3.0"}}  # fmt: skip

    async def send(_: Any) -> None:
        pass

    async def ask() -> None:
        parts = [{"type": "http.request", "body": body, "more_body": False}]

        async def receive() -> dict[str, Any]:
            if not parts:
                await asyncio.Event().wait()  # the client stays until it is answered
            return parts.pop()

        await app(dict(scope), receive, send)

    return ask


async def cpu_ms(ask: Ask, count: int) -> float:
    began = time.process_time()
    for _ in range(count):
        await ask()
    return (time.process_time() - began) / count * 1000


async def measured(apps: dict[str, Any]) -> None:
    found: dict[tuple[str, str], list[float]] = {}
    for turn in range(ROUNDS + 1):
        for name, app in apps.items():
            for what, ask, count in (
                ("design", asking(app, "POST", "/v1/designs", DECK), DESIGNS),
                ("live", asking(app, "GET", "/health/live"), NOTHINGS),
            ):
                spent = await cpu_ms(ask, count)
                if turn:
                    found.setdefault((what, name), []).append(spent)
    for (what, name), spent in found.items():
        extra = min(spent) - min(found[what, "bare"])
        print(
            f"{what:7} {name:28} {min(spent):9.4f} ms CPU  {extra:+9.4f} ms  median {statistics.median(spent):9.4f}"
        )
    design = min(found["design", "bare"])
    for name in apps:
        extra = min(found["live", name]) - min(found["live", "bare"])
        print(f"{name:28} a request more, of a design: {100 * extra / design:6.3f} %")


def main() -> None:
    """Time all of them in turn, each as it is served."""
    with tempfile.TemporaryDirectory() as folder:
        os.environ["PROMETHEUS_MULTIPROC_DIR"] = folder  # noqa: TID251 - before the client library is imported
        from service.app import bundled_snapshot, make_app, make_desk
        from service.settings import Settings
        from service.web.logs import set_up
        from tests.web.collector import collecting

        descriptor = os.open(Path(os.devnull), os.O_WRONLY)
        os.dup2(descriptor, 2)
        sys.stderr = sys.stdout  # what goes wrong is seen; lines of the log go nowhere
        set_up("json", "info")
        desk = make_desk(bundled_snapshot())
        with collecting() as received:
            traced = {"otlp_endpoint": received.address}
            apps = {
                "bare": make_app(desk).inner,
                "log lines": make_app(desk),
                "log lines, metrics": make_app(desk, Settings(metrics_port=9000)),
                "log lines, metrics, traces": make_app(desk, Settings(metrics_port=9000, **traced)),
            }
            asyncio.run(measured(apps))


if __name__ == "__main__":
    main()

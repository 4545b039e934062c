"""One design over real HTTP beside a no-op POST of the same answer size, in one run.

How: `PYTHONPATH=. python tests/bench/design_over_http.py [rounds]` from the project's folder.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable
from importlib.resources import files

import httpx
from litestar import Request, Response, post

from service import app as composition
from service.app import bundled_snapshot, make_app, make_desk
from service.cli.trial import served

ROUNDS = int(sys.argv[1]) if len(sys.argv) > 1 else 100
answer_size = [0]


@post("/noop", status_code=200)
async def noop(request: Request) -> Response[bytes]:
    """Read the body and send back as many bytes as a design has."""
    await request.body()
    return Response(b" " * answer_size[0], media_type="application/json")


def timed(send: Callable[[], httpx.Response]) -> float:
    """Send once and return the seconds it took."""
    began = time.perf_counter()
    send().raise_for_status()
    return time.perf_counter() - began


def line(name: str, seconds: list[float]) -> str:
    """Return median and p99 in milliseconds."""
    ordered = sorted(1000 * one for one in seconds)
    p99 = ordered[min(len(ordered) - 1, round(0.99 * len(ordered)))]
    return f"{name:10} median {statistics.median(ordered):8.1f} ms   p99 {p99:8.1f} ms   n {len(ordered)}"


def main() -> None:
    """Print both, round by round in turn so that the machine's mood is shared."""
    composition.HANDLERS = (*composition.HANDLERS, noop)
    spec = (files("service") / "cli" / "example_deck.json").read_bytes()
    headers = {"Content-Type": "application/json"}
    with (
        served(make_app(make_desk(bundled_snapshot()))) as address,
        httpx.Client(base_url=address, trust_env=False, timeout=60, headers=headers) as client,
    ):
        answer_size[0] = len(client.post("/v1/designs", content=spec).content)
        pairs = [
            (
                timed(lambda: client.post("/noop", content=spec)),
                timed(lambda: client.post("/v1/designs", content=spec)),
            )
            for _ in range(ROUNDS)
        ]
    print(line("no-op", [one for one, _ in pairs]))
    print(line("design", [two for _, two in pairs]))
    print(f"answer     {answer_size[0]} bytes")


if __name__ == "__main__":
    main()

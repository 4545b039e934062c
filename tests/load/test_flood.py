"""Hundreds of clients at once on a real `deck-framing serve`: each has a whole answer, and afterwards all is as before.

Not part of the test command: `python -m pytest -q tests/load`.
"""

from __future__ import annotations

import asyncio
import json
import tempfile
import time
from collections import Counter
from pathlib import Path

import httpx

from tests.serving import is_ready, served
from tests.waiting import until

CLIENTS, SLOW = 400, 200
DECK = {
    "jurisdiction": "alder-county",
    "levels": [{"width_ft": 16, "projection_ft": 12, "surface_height_in": 34}],
}
BODY = json.dumps(DECK).encode()
# An answer of a design is a quarter of a megabyte; a pile-up of all of them would be a hundred.
MOST_GROWTH_BYTES = 150_000_000
# The gate's patience, and time for the work of all it holds on a busy machine.
PATIENCE_S = 300.0


def rss_bytes(process: int) -> int:
    return int(Path(f"/proc/{process}/statm").read_text().split()[1]) * 4096


async def asked(port: int, head: bytes, body: bytes) -> tuple[int, bytes, bytes]:
    """Status, head and body of the answer to one request on a connection of its own."""
    reader, writer = await asyncio.open_connection("127.0.0.1", port, limit=1 << 20)
    try:
        writer.write(head + body)
        top = await reader.readuntil(b"\r\n\r\n")
        size = int(top.lower().partition(b"content-length:")[2].split(b"\r\n")[0])
        return int(top.split()[1]), top.lower(), await reader.readexactly(size)
    finally:
        writer.close()


def post(length: int) -> bytes:
    head = f"POST /v1/designs HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Length: {length}\r\n"
    return (head + "Content-Type: application/json\r\n\r\n").encode()


def counted(top: bytes, status: int, body: bytes) -> str:
    """What an answer is; it is whole, and a refusal says when to come again."""
    told = json.loads(body)
    if status == 200:
        assert told["verdict"]["status"], told
        return "200"
    assert b"content-type: application/problem+json" in top, top
    assert told["code"] in ("overloaded", "request_timeout"), told
    assert status != 503 or b"retry-after: " in top, top
    return f"{status} {told['code']}"


async def flooded(port: int) -> tuple[Counter[str], list[float]]:
    """Answers to as many designs, and to bodies that never come, by sort; seconds of health checks meanwhile."""
    found: Counter[str] = Counter()
    health: list[float] = []

    async def one(head: bytes, body: bytes) -> None:
        status, top, answer = await asked(port, head, body)
        found[counted(top, status, answer)] += 1

    async def watched() -> None:
        while True:
            began = time.monotonic()
            status, _, _ = await asked(port, b"GET /health/live HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n", b"")
            assert status == 200
            health.append(time.monotonic() - began)
            await asyncio.sleep(0.2)

    watching = asyncio.ensure_future(watched())
    calls = [one(post(5000), b"{") for _ in range(SLOW)] + [
        one(post(len(BODY)), BODY) for _ in range(CLIENTS)
    ]
    async with asyncio.timeout(PATIENCE_S):
        await asyncio.gather(*calls)
    assert not watching.done(), watching.exception()
    watching.cancel()
    return found, health


def test_a_flood_is_answered_whole_and_leaves_nothing() -> None:
    with tempfile.TemporaryDirectory() as folder, served(Path(folder) / "data") as (port, process):
        httpx.post(f"http://127.0.0.1:{port}/v1/designs", json=DECK, trust_env=False, timeout=PATIENCE_S)
        before = rss_bytes(process)
        found, health = asyncio.run(flooded(port))
        grown = rss_bytes(process) - before
        print(
            f"{dict(found)}; slowest of {len(health)} health checks {max(health):.2f} s; RSS + {grown / 1e6:.0f} MB"
        )
        assert sum(found.values()) == CLIENTS + SLOW
        assert found["200"] >= 1
        assert found["503 overloaded"] >= 1
        assert health
        assert grown < MOST_GROWTH_BYTES
        until(lambda: is_ready(port))
        answer = httpx.post(
            f"http://127.0.0.1:{port}/v1/designs", json=DECK, trust_env=False, timeout=PATIENCE_S
        )
        assert answer.status_code == 200

"""Whoever is told that a call is over finds its place free."""

from __future__ import annotations

import asyncio
from typing import Any

import pytest
from litestar import Litestar

from service.app import bundled_snapshot, make_app, make_desk
from service.settings import Settings
from tests.layers import layer
from tests.ndjson import DESIGNS, spool_files, spool_folder

__all__ = ["spool_folder"]


@pytest.mark.usefixtures("spool_folder")
@pytest.mark.parametrize("content", [b"", b"\n\n", b"[]"], ids=["empty", "blank", "one line"])
def test_stream_place_is_free_when_the_end_is_told(content: bytes) -> None:
    app: Any = make_app(make_desk(bundled_snapshot()), Settings(batch_workers=1))
    streams = layer(app, Litestar).state.streams
    spools = streams.spools
    parts = [{"type": "http.request", "body": content, "more_body": False}]
    told: list[tuple[bytes, int, int]] = []

    async def receive() -> dict[str, Any]:
        return parts.pop() if parts else await asyncio.Event().wait()

    async def send(message: dict[str, Any]) -> None:
        told.append((message.get("body", b""), spools.inside, len(spool_files())))

    async def call() -> None:
        await app(_scope(), receive, send)
        streams.pool.close()

    asyncio.run(call())
    assert told[0] == (b"", 1, 1)
    assert all(inside == held == 0 for body, inside, held in told if b'"kind":"end"' in body)
    assert b"".join(body for body, _, _ in told).count(b'"kind":"end"') == 1


def _scope() -> dict[str, Any]:
    return {
        "type": "http",
        "asgi": {"version": "3.0"},
        "http_version": "1.1",
        "method": "POST",
        "scheme": "http",
        "path": DESIGNS,
        "raw_path": DESIGNS.encode(),
        "root_path": "",
        "query_string": b"",
        "headers": [(b"content-type", b"application/x-ndjson")],
        "client": ("127.0.0.1", 1),
        "server": ("127.0.0.1", 2),
    }

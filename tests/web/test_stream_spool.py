"""The spool file of a call: read whole, bounded, and gone by whatever way the call ends."""

from __future__ import annotations

import asyncio
from collections.abc import Sequence
from contextlib import AsyncExitStack
from typing import Any

import pytest

from service.contract.problem import Rejected
from service.web.streams.spool import BLOCK_BYTES, LEAST_BYTES_PER_S, ClientGone, Pace, Spools
from tests.ndjson import spool_files, spool_folder

__all__ = ["spool_folder"]
pytestmark = pytest.mark.usefixtures("spool_folder")


def receiving(*parts: bytes | None) -> Any:
    """What a server gives of a body: its parts, or a closed connection for None."""
    left: list[dict[str, Any]] = [
        {"type": "http.disconnect"}
        if part is None
        else {"type": "http.request", "body": part, "more_body": True}
        for part in parts
    ]
    if parts and parts[-1] is not None:
        left[-1]["more_body"] = False

    async def receive() -> dict[str, Any]:
        return left.pop(0) if left else await asyncio.Event().wait()

    return receive


def filled(spools: Spools, parts: Sequence[bytes | None], declared_bytes: int | None = None) -> bytes:
    async def read() -> bytes:
        async with spools.filled(receiving(*parts), declared_bytes) as file:
            assert len(spool_files()) == 1
            return file.read()

    return asyncio.run(read())


def test_spool_holds_the_body() -> None:
    parts = [b"a" * BLOCK_BYTES, b"", b"b" * 10, b"c"]
    assert filled(Spools(), parts) == b"".join(parts)
    assert not spool_files()


@pytest.mark.parametrize("declared_bytes", [None, 11])
def test_spool_over_the_limit(declared_bytes: int | None) -> None:
    spools = Spools(max_bytes=10)
    with pytest.raises(Rejected, match=r"too_large.* 10 bytes"):
        filled(spools, [b"x" * 6, b"x" * 5], declared_bytes)
    assert filled(spools, [b"x" * 10], 10) == b"x" * 10
    assert (spools.inside, spool_files()) == (0, set())


def test_spool_of_a_body_cut_off() -> None:
    spools = Spools()
    with pytest.raises(ClientGone):
        filled(spools, [b"half", None])
    assert (spools.inside, spool_files()) == (0, set())


def test_spool_of_a_body_that_does_not_come() -> None:
    spools = Spools(patience_s=0.01)
    with pytest.raises(Rejected, match="request_timeout"):
        filled(spools, [])
    assert (spools.inside, spool_files()) == (0, set())


def test_spool_of_a_body_that_comes_byte_by_byte() -> None:
    """A client that sends a little before each time it would be given up is given up all the same."""

    async def receive() -> dict[str, Any]:
        await asyncio.sleep(0.02)
        return {"type": "http.request", "body": b"x", "more_body": True}

    async def read() -> None:
        spools = Spools(patience_s=0.1)
        with pytest.raises(Rejected, match=r"request_timeout: less than 1600 bytes .* in 0\.1 seconds"):
            async with asyncio.timeout(30), spools.filled(receive, None):
                pass
        assert (spools.inside, spools.strangers, spool_files()) == (0, 0, set())

    asyncio.run(read())


def test_pace_is_kept_by_a_body_that_comes_fast_enough() -> None:
    pace = Pace(30.0)
    for _ in range(1000):
        pace.came(29.0, 29 * LEAST_BYTES_PER_S)
        assert pace.left_s == 1.0
        pace.came(0.5, LEAST_BYTES_PER_S)
        assert pace.left_s == 30.0
    # a large body sent at once is no store of time to be idle in
    pace.came(1.0, 1 << 30)
    pace.came(30.0, 1)
    assert pace.left_s == 0.0


@pytest.mark.parametrize(("most", "strangers"), [(1, 1), (2, 1), (3, 1), (4, 2), (64, 32)])
def test_spool_places_are_kept_for_callers_with_a_key(most: int, strangers: int) -> None:
    spools = Spools(most=most)

    async def fill() -> None:
        async with AsyncExitStack() as held:
            for _ in range(strangers):
                await held.enter_async_context(spools.filled(receiving(b"x"), None))
            with pytest.raises(Rejected, match="overloaded"):
                await held.enter_async_context(spools.filled(receiving(b"x"), None))
            for _ in range(most - strangers):
                await held.enter_async_context(spools.filled(receiving(b"x"), None, stranger=False))
            with pytest.raises(Rejected, match="overloaded"):
                await held.enter_async_context(spools.filled(receiving(b"x"), None, stranger=False))
        assert (spools.inside, spools.strangers) == (0, 0)

    asyncio.run(fill())


def test_spool_places_are_limited() -> None:
    spools = Spools(most=1)

    async def two() -> None:
        async with spools.filled(receiving(b"one"), None):
            with pytest.raises(Rejected, match="overloaded"):
                async with spools.filled(receiving(b"two"), None):
                    pass
        async with spools.filled(receiving(b"two"), None) as file:
            assert file.read() == b"two"

    asyncio.run(two())

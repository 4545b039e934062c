"""The spool file of a call: read whole, bounded, and gone by whatever way the call ends."""

from __future__ import annotations

import asyncio
from collections.abc import Sequence
from typing import Any

import pytest

from service.contract.problem import Rejected
from service.web.streams.spool import BLOCK_BYTES, ClientGone, Spools
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

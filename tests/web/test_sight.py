"""When the store counts as away, and what answers say then."""

from __future__ import annotations

import asyncio
from typing import Any

import pytest

from service.web.sight import OVERDUE_S, Sight

GIVEN = [(b"content-type", b"text/csv"), (b"Cache-Control", b"public, max-age=31536000, immutable")]


class Hands:
    """A clock that is set by hand."""

    def __init__(self) -> None:
        self.moment = 100.0

    def __call__(self) -> float:
        return self.moment


@pytest.fixture
def hands() -> Hands:
    return Hands()


def sent(sight: Sight, path: str) -> list[tuple[bytes, bytes]]:
    """The headers of an answer that is sent while the store is as it is."""
    messages: list[Any] = []

    async def send(message: Any) -> None:
        messages.append(message)

    async def answer() -> None:
        tell = sight.telling(path, send)
        await tell({"type": "http.response.start", "status": 200, "headers": list(GIVEN)})
        await tell({"type": "http.response.body", "body": b"x"})

    asyncio.run(answer())
    assert messages[1] == {"type": "http.response.body", "body": b"x"}
    return messages[0]["headers"]


def test_while_the_store_is_seen_nothing_is_said(hands):
    sight = Sight(kept=True, clock=hands)
    hands.moment += OVERDUE_S
    assert (sight.database, sight.seconds) == ("reachable", 0)
    assert sent(sight, "/v1/options") == GIVEN


def test_a_failed_look_is_said_until_the_next_that_succeeds(hands):
    sight = Sight(kept=True, clock=hands)
    hands.moment += 3.9
    sight.lost()
    assert (sight.database, sight.seconds) == ("away", 3)
    told = [
        (b"deck-snapshot", b"stale"),
        (b"deck-snapshot-age-seconds", b"3"),
        (b"cache-control", b"no-store"),
    ]
    assert sent(sight, "/v1/options") == [GIVEN[0], *told]
    sight.seen(hands.moment)
    assert sent(sight, "/v1/options") == GIVEN


def test_a_look_that_does_not_end_is_said_too(hands):
    """What is sent into some networks is swallowed, and neither fails nor succeeds."""
    sight = Sight(kept=True, clock=hands)
    hands.moment += OVERDUE_S + 0.1
    assert (sight.database, sight.seconds) == ("away", 10)


def test_a_service_that_answers_from_files_misses_nothing(hands):
    sight = Sight(kept=False, clock=hands)
    hands.moment += 1000
    assert sight.database == "none"
    assert sent(sight, "/v1/options") == GIVEN


def test_only_what_is_answered_from_a_snapshot_says_so(hands):
    sight = Sight(kept=True, clock=hands)
    sight.lost()
    assert sent(sight, "/health/ready") == sent(sight, "/") == GIVEN

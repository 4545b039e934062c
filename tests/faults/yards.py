"""Organisations that publish prices while something breaks, and what of it the database holds afterwards."""

from __future__ import annotations

import itertools
import json
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

import psycopg

from service.store.key_writer import create_key
from service.store.price_writer import create_price_book
from service.store.reader import load_snapshot
from tests.faults.counted import ANSWER, PROBLEM, Call, Counted, Outcome
from tests.faults.running import until
from tests.integration.price_service import bearer, day, line, prices

ITEMS = ("lumber.2x8.hem_fir.no_2.uc3b", "lumber.2x10.hem_fir.no_2.uc3b")
LENGTHS_FT = (8, 10, 12, 14, 16, 18, 20)
NOTHING = "nothing was written"
_LINES = """
select l.line from price_book_version v join price_book_line l using (price_book_id, version)
where v.price_book_id = %s and lower(v.effective) = %s
"""


@dataclass(frozen=True)
class FaultYard:
    """An organisation with a key that writes, and a price book.

    Attributes:
        key: for everything about prices
        book: its id, which is the organisation's too
    """

    key: str
    book: str

    def upload(self, number: int) -> Call:
        """The version that begins so many days from now, every price of which says so."""
        lines = [
            line(item, f"{number}.00", length_ft=length, sku=f"L-{item[7:11]}-{length}")
            for item, length in itertools.product(ITEMS, LENGTHS_FT)
        ]
        body = json.dumps(prices(day(number), lines=lines)).encode()
        headers = {**bearer(self.key), "Content-Type": "application/json"}

        def made(status: int, answer: bytes) -> bool:
            return status == 201 and json.loads(answer)["effective_from"] == day(number)

        return Call(f"/v1/price-books/{self.book}/versions", made, body, headers, (self.book, number))

    def again(self, number: int) -> Call:
        """The same version where it is there already, which is told by the status."""

        def found(status: int, answer: bytes) -> bool:
            return status == 200 and json.loads(answer)["effective_from"] == day(number)

        return replace(self.upload(number), expected=found)

    def uploads(self, first: int = 1) -> Iterator[Call]:
        """Versions one after another, from a day on."""
        return (self.upload(number) for number in itertools.count(first))


def is_upload(outcome: Outcome) -> bool:
    """Whether it became of an upload."""
    return isinstance(outcome.call.about, tuple)


def until_written(counted: Counted) -> None:
    """Wait until an upload that has begun from now on is answered."""
    now = time.monotonic()
    until_told(counted, lambda: any(is_upload(one) and one.kind == ANSWER for one in counted.since(now)))


def until_designed(counted: Counted, moment: float) -> None:
    """Wait until a design that has begun after a moment is answered."""
    until_told(
        counted, lambda: any(not is_upload(one) and one.kind == ANSWER for one in counted.since(moment))
    )


def until_told(counted: Counted, so: Callable[[], bool]) -> None:
    """Wait until something is so; where it does not come about, say what became of the requests."""
    try:
        until(so)
    except AssertionError:
        raise AssertionError(f"{counted.told()}; the last: {counted.outcomes[-1]}") from None


def new_yards(owner_url: str, service_url: str, count: int) -> list[FaultYard]:
    """Organisations in a database that no service need run on."""
    found = []
    for number in range(count):
        organisation = f"faultyard{number}"
        key = create_key(owner_url, organisation, ("designs", "prices:read", "prices:write"))
        create_price_book(service_url, organisation, organisation)
        found.append(FaultYard(key, organisation))
    return found


def check_written(owner_url: str, counted: Counted) -> str:
    """What was answered to be there is there whole, what was refused is not, the rest is there whole or not at all.

    Returns:
        The count, in words.
    """
    assert not load_snapshot(owner_url).damaged
    there = dict.fromkeys((True, False), 0)
    with psycopg.connect(owner_url) as connection:
        assert connection.execute(
            "select count(*) from price_book_version where published_at is null"
        ).fetchone() == (0,)
        for one in counted.outcomes:
            if not is_upload(one):
                continue
            whole = _whole(connection, *one.call.about)
            there[whole] += 1
            assert whole or one.kind != ANSWER, f"{one.call.about} was answered and is not there"
            refused = one.kind == PROBLEM and (NOTHING in one.detail or one.code != "store_unavailable")
            assert not (whole and refused), f"{one.call.about} was refused and is there: {one.detail}"
    return f"{there[True]} uploads are there whole, {there[False]} are not there"


def _whole(connection: psycopg.Connection, book: str, number: int) -> bool:
    """Whether a version is there with every line; half of one must not be."""
    lines = [str(text) for (text,) in connection.execute(_LINES, (book, day(number)))]
    if not lines:
        return False
    assert len(lines) == len(ITEMS) * len(LENGTHS_FT), f"{book} {number}: {len(lines)} lines"
    assert all(f",{number}.00," in text for text in lines), f"{book} {number} holds another version's prices"
    return True

"""The wall clock of a running service, and of its database, jumps two days ahead and back again, and two days back.

The clock is turned by a library between the processes and the system, as the Debian package `faketime` has it; the
clock that only counts is left alone, as a real jump leaves it. Under that library a plain sleep fails at once, so that
the service is not asked here how it stops.
"""

from __future__ import annotations

import json
import time
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from service.settings import read_settings
from service.store.binaries import find_programs, reachable_programs
from service.store.key_writer import Bounds, create_key, create_publishable_key
from service.store.server_user import server_user
from tests.faults.counted import ANSWER, PROBLEM, Call, Outcome, again_and_again, ask, clients
from tests.faults.running import JSON, Serve, answer_of, descendants, design, serving, small_deck, until
from tests.faults.yards import FaultYard
from tests.integration.price_service import bearer, day, line, prices

LIBRARIES = tuple(Path("/usr/lib").glob("*/faketime/libfaketimeMT.so.1"))
PER_MINUTE, BURST = 20, 6
PAGE = "https://yard.example"
# A process that only waits takes far less; one that waits in vain, all there is.
IDLE_SHARE = 0.5


@dataclass(frozen=True)
class Turned:
    """A service whose clock can be turned.

    Attributes:
        serve: the service
        stamp: holds by how much
    """

    serve: Serve
    stamp: Path

    def jump(self, offset: str) -> None:
        """Turn the clock to so many days from the true time, in one go, and wait until that has been taken in."""
        new = self.stamp.with_suffix(".new")
        new.write_text(f"{offset}\n")
        new.chmod(0o644)
        new.rename(self.stamp)

    def asked(self, call: Call) -> Outcome:
        """What becomes of a call now."""
        return ask(self.serve.address, call)


@pytest.fixture(scope="module")
def turned(module_data: Path) -> Iterator[Turned]:
    data = module_data
    assert LIBRARIES, "this needs the Debian package faketime"
    stamp = data.with_name("clock")
    variables = {
        "LD_PRELOAD": str(LIBRARIES[0]),
        "FAKETIME_TIMESTAMP_FILE": str(stamp),
        "FAKETIME_NO_CACHE": "1",
        "FAKETIME_DONT_FAKE_MONOTONIC": "1",
        "NO_FAKE_STAT": "1",
        # for C libraries of long ago: with it threads that wait for the interpreter wake at the wrong times once the
        # clock has jumped, and two at work take forty times as long
        "FAKETIME_FORCE_MONOTONIC_FIX": "0",
    }
    stamp.write_text("+0\n")
    stamp.chmod(0o644)
    more = {"PG_BIN": str(wrapped_programs(data, variables))}
    more["DECK_FRAMING_PUBLISHABLE_PER_MINUTE"] = str(PER_MINUTE)
    with serving(data, **variables, **more) as serve:
        yield Turned(serve, stamp)


def wrapped_programs(data: Path, variables: dict[str, str]) -> Path:
    """PostgreSQL's programs, which are given no environment of ours, with the library before each of them."""
    real = reachable_programs(find_programs(read_settings().pg_bin), server_user(), data)
    folder = data.with_name("programs")
    folder.mkdir()
    folder.chmod(0o755)
    given = "".join(f"export {name}='{value}'\n" for name, value in variables.items())
    for name in ("postgres", "initdb"):
        program = folder / name
        program.write_text(f'#!/bin/sh\n{given}exec {real / name} "$@"\n')
        program.chmod(0o755)
    return folder


def test_two_days_ahead_and_back_and_two_days_back(turned: Turned, yards: list[FaultYard]) -> None:
    serve = turned.serve
    pinned = design(1, answer_of(serve.address, design(1)))
    keyed = of_a_key_that_ends_tomorrow(serve)
    today = as_of(turned)
    assert abs(today - date.fromisoformat(day(0))) <= timedelta(days=1), "the place's day, ours in UTC"
    with clients(serve.address, 2, again_and_again([pinned])) as counted:
        turned.jump("+2d")
        check_day(turned, today + timedelta(days=2), keyed, PROBLEM)
        ahead = turned.asked(yards[0].upload(3))
        assert ahead.kind == ANSWER, ahead
        turned.jump("+0")
        check_day(turned, today, keyed, ANSWER)
        check_published(turned, yards)
        turned.jump("-2d")
        check_day(turned, today - timedelta(days=2), keyed, ANSWER)
        turned.jump("+0")
        check_day(turned, today, keyed, ANSWER)
    counted.check("clock two days ahead, back, two days back, and right again")
    assert {one.kind for one in counted.outcomes} == {ANSWER}
    assert "the database is away" not in serve.said()
    assert share_of_a_core(serve) < IDLE_SHARE


def check_day(turned: Turned, expected: date, keyed: Call, kind: str) -> None:
    """Days follow the clock, and so does the end of a key; how long ago something was does not."""
    assert as_of(turned) == expected
    assert turned.asked(keyed).kind == kind
    ready = turned.serve.ready()
    assert (ready["database"], ready["seconds_since_store_seen"]) == ("reachable", 0)


def check_published(turned: Turned, yards: list[FaultYard]) -> None:
    """With the clock back, versions of the days ahead stand, and what is new has to fit before them."""
    clash = turned.asked(yards[0].upload(2))
    assert (clash.kind, clash.code) == (PROBLEM, "publishing_conflict")
    body = json.dumps(prices(day(0), day(2), lines=[line()])).encode()
    outcome = turned.asked(replace(yards[0].upload(0), body=body))
    assert outcome.kind == ANSWER, outcome
    outcome = turned.asked(yards[1].upload(1))
    assert outcome.kind == ANSWER, outcome


def as_of(turned: Turned) -> date:
    """The day a design that names none is of."""
    call = of_today()
    return date.fromisoformat(json.loads(answer_of(turned.serve.address, call))["resolved_spec"]["as_of"])


def of_today() -> Call:
    spec = {name: value for name, value in small_deck(5).items() if name != "as_of"}
    return Call("/v1/designs", lambda status, _: status == 200, json.dumps(spec).encode(), JSON)


def of_a_key_that_ends_tomorrow(serve: Serve) -> Call:
    tomorrow = datetime.now(UTC) + timedelta(days=1)  # noqa: TID251 - the tests meet the real clock
    key = create_key(serve.owner_url(), "clockyard", ("prices:read",), bounds=Bounds(expires_at=tomorrow))
    call = Call("/v1/price-books", lambda status, _: status == 200, headers=bearer(key))
    until(lambda: ask(serve.address, call).kind == ANSWER)
    return call


def share_of_a_core(serve: Serve) -> float:
    """How much of one the service and its database take while nobody asks."""
    processes = [serve.process.pid, *descendants(serve.process.pid)]
    before, began = sum(map(ticks, processes)), time.monotonic()
    time.sleep(3)
    return (sum(map(ticks, processes)) - before) / 100 / (time.monotonic() - began)


def ticks(process: int) -> int:
    try:
        fields = Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()
    except (FileNotFoundError, ProcessLookupError):
        return 0
    return sum(int(one) for one in fields[11:13])


def test_an_answer_is_of_one_day_while_the_clock_jumps_all_the_time(turned: Turned) -> None:
    by_day = []
    for offset in ("+0", "+2d"):
        turned.jump(offset)
        by_day.append(answer_of(turned.serve.address, of_today()))
    assert by_day[0] != by_day[1]
    call = replace(of_today(), expected=lambda status, body: status == 200 and body in by_day)
    with clients(turned.serve.address, 2, again_and_again([call])) as counted:
        for number in range(100):
            turned.jump("+2d" if number % 2 else "+0")
            time.sleep(0.03)
    turned.jump("+0")
    counted.check("clock jumping all the time")
    assert {one.kind for one in counted.outcomes} == {ANSWER}


def test_rates_are_counted_by_a_clock_that_only_counts(turned: Turned) -> None:
    key = create_publishable_key(turned.serve.owner_url(), "clockyard", "brindlemoor-yard", [PAGE])
    call = Call("/v1/options", lambda status, _: status == 200, headers={**bearer(key), "Origin": PAGE})
    until(lambda: turned.asked(call).code != "unauthenticated")
    for offset in ("+2d", "-2d"):
        until(lambda: turned.asked(call).code == "too_many_requests")
        turned.jump(offset)
        assert turned.asked(call).code == "too_many_requests", "a jump is no time that has passed"
        time.sleep(60 / PER_MINUTE + 0.5)
        assert turned.asked(call).kind == ANSWER, "and none that has to pass"

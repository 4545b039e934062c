"""The gate: who is let in, who is served next, what gives a place back."""

from __future__ import annotations

import asyncio
import threading
from collections.abc import Awaitable, Callable
from typing import Any

import pytest

from service.contract.problem import Rejected
from service.web.gate import Gate
from service.web.visit import GivenUp, Visit, visit_here, visiting


class Work:
    """Work that goes on until it is let go, or its visit ends it."""

    def __init__(self) -> None:
        self.begun: list[str] = []
        self.ended: list[str] = []
        self.most_at_once = 0
        self.released = threading.Event()

    def __call__(self, name: str) -> str:
        self.begun.append(name)
        self.most_at_once = max(self.most_at_once, len(self.begun) - len(self.ended))
        visit = visit_here()
        try:
            while not self.released.wait(0.005):
                visit.go_on()
        finally:
            threading.Event().wait(0.05)  # work does not end at the moment it is told to
            self.ended.append(name)
        return name


async def asked(gate: Gate, work: Work, name: str, visit: Visit) -> str:
    with visiting(visit):
        return await gate.run(work, name)


def started(gate: Gate, work: Work, name: str, visit: Visit) -> asyncio.Task[str]:
    return asyncio.ensure_future(asked(gate, work, name, visit))


async def until(true: Callable[[], object]) -> None:
    async with asyncio.timeout(20):
        while not true():
            await asyncio.sleep(0.005)


def ran(main: Callable[[], Awaitable[Any]]) -> Any:
    return asyncio.run(main())  # type: ignore[arg-type]


def test_one_more_than_the_gate_holds_is_refused_and_a_place_given_back_is_taken() -> None:
    async def main() -> None:
        gate, work = Gate(threads=1, waiting=1), Work()
        first, second = (started(gate, work, name, Visit("a")) for name in "12")
        await until(lambda: gate.inside == 2)
        with pytest.raises(Rejected, match="2 requests like it"):
            await asked(gate, work, "3", Visit("a"))
        work.released.set()
        assert await asyncio.gather(first, second) == ["1", "2"]
        assert (gate.inside, gate.strangers, gate.is_awaited) == (0, 0, False)
        assert await asked(gate, work, "4", Visit("a")) == "4"

    ran(main)


def test_callers_without_a_secret_key_leave_half_of_the_places() -> None:
    async def main() -> None:
        gate, work = Gate(threads=1, waiting=3), Work()
        strangers = [started(gate, work, f"s{number}", Visit(stranger=True)) for number in range(2)]
        await until(lambda: gate.inside == 2)
        with pytest.raises(Rejected, match="2 requests like it without a secret key"):
            await asked(gate, work, "s2", Visit(stranger=True))
        keyed = [started(gate, work, f"k{number}", Visit("yard")) for number in range(2)]
        await until(lambda: gate.inside == 4)
        work.released.set()
        await asyncio.gather(*strangers, *keyed)

    ran(main)


def test_organisations_are_served_in_turn() -> None:
    """One that sent four is not served four times before another that sent one after them."""

    async def main() -> list[str]:
        gate, work = Gate(threads=1, waiting=8), Work()
        calls = [
            started(gate, work, f"{who}{number}", Visit(who))
            for who, count in (("a", 4), ("b", 2), ("c", 1))
            for number in range(count)
        ]
        await until(lambda: gate.inside == 7)
        work.released.set()
        await asyncio.gather(*calls)
        return work.begun

    assert ran(main) == ["a0", "a1", "b0", "c0", "a2", "b1", "a3"]


def test_who_waits_too_long_is_refused_and_keeps_no_place() -> None:
    async def main() -> None:
        gate, work = Gate(threads=1, waiting=3, patience_s=0.05), Work()
        first = started(gate, work, "1", Visit("a"))
        await until(lambda: work.begun)
        with pytest.raises(Rejected, match=r"waited 0\.05 seconds"):
            await asked(gate, work, "2", Visit("b"))
        assert (gate.inside, gate.is_awaited) == (1, False)
        work.released.set()
        assert await first == "1"
        assert work.begun == ["1"]

    ran(main)


def test_work_nobody_waits_for_ends_and_only_then_is_its_thread_free() -> None:
    async def main() -> None:
        gate, work = Gate(threads=1, waiting=3), Work()
        left, next_one = started(gate, work, "left", Visit("a")), started(gate, work, "next", Visit("b"))
        await until(lambda: gate.inside == 2 and work.begun == ["left"])
        left.cancel()
        await until(lambda: work.begun == ["left", "next"])
        assert (work.ended, work.most_at_once) == (["left"], 1)
        work.released.set()
        assert await next_one == "next"
        await until(lambda: gate._working == 0)

    ran(main)


def test_who_goes_while_he_waits_is_never_begun() -> None:
    async def main() -> None:
        gate, work = Gate(threads=1, waiting=3), Work()
        first, left, last = (started(gate, work, name, Visit(name)) for name in ("1", "left", "3"))
        await until(lambda: gate.inside == 3)
        left.cancel()
        await until(lambda: gate.inside == 2)
        work.released.set()
        await asyncio.gather(first, last)
        assert work.begun == ["1", "3"]

    ran(main)


def test_beside_work_that_goes_on_for_long_one_more_is_let_in_and_no_other() -> None:
    async def main() -> None:
        gate, heavy, light = Gate(threads=1, waiting=8, long_s=0.1), Work(), Work()
        light.released.set()
        long_one = started(gate, heavy, "long", Visit("a"))
        await until(lambda: heavy.begun)
        assert await asyncio.gather(*(asked(gate, light, name, Visit("b")) for name in "12")) == ["1", "2"]
        assert (light.most_at_once, heavy.ended) == (1, [])
        second = started(gate, heavy, "long too", Visit("a"))
        await until(lambda: len(heavy.begun) == 2)
        third = started(gate, light, "3", Visit("b"))
        await asyncio.sleep(0.4)
        assert (light.begun, gate._working, gate.is_awaited) == (["1", "2"], 2, True)
        heavy.released.set()
        assert await asyncio.gather(long_one, second, third) == ["long", "long too", "3"]
        assert (gate._working, gate._long, gate.inside) == (0, set(), 0)

    ran(main)


def test_nothing_is_let_in_beside_work_that_ends_in_time() -> None:
    async def main() -> None:
        gate, work = Gate(threads=1, waiting=8), Work()
        calls = [started(gate, work, name, Visit("a")) for name in "123"]
        await asyncio.sleep(0.4)
        assert work.begun == ["1"]
        work.released.set()
        await asyncio.gather(*calls)
        assert (work.most_at_once, gate._long) == (1, set())

    ran(main)


def test_work_is_ended_after_its_processor_seconds(monkeypatch: pytest.MonkeyPatch) -> None:
    # whatever else runs on this machine
    monkeypatch.setattr("service.web.visit.BUSY_FACTOR", 1e6)

    def spin() -> None:
        while True:
            visit_here().go_on()

    async def main() -> None:
        gate = Gate()
        with visiting(Visit("a", seconds=0.05)), pytest.raises(Rejected) as refused:
            await gate.run(spin)
        assert refused.value.code == "took_too_long"
        assert gate.inside == 0

    ran(main)


def test_work_the_processor_does_not_come_to_is_ended_as_the_service_being_busy() -> None:
    """A thread that sleeps takes no processor time: the deck is not to blame."""
    visit = Visit("a", seconds=0.01)
    visit.begin()
    visit.go_on()
    threading.Event().wait(0.1)
    with pytest.raises(Rejected) as refused:
        visit.go_on()
    assert refused.value.code == "overloaded"


def test_a_visit_that_is_over_ends_what_was_begun_in_it() -> None:
    with visiting(Visit("a")):
        visit = visit_here()
        visit.go_on()
    with pytest.raises(GivenUp):
        visit.go_on()

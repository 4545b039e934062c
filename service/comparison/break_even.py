"""Where the ranking of two methods turns over: the value of a crew-day, and the number of footings."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal

from service.comparison.bought import NOTHING
from service.comparison.cost import CrewTime
from service.comparison.method_words import plain
from service.comparison.result import MethodResult
from service.contract.money import money
from service.contract.report_comparison import BreakEven
from service.units.working import Step, step, word


@dataclass(frozen=True)
class Side:
    """One of two methods: paid once, paid for each footing, and the likely days that are counted."""

    method: str
    fixed: Decimal
    each: Decimal
    days: Decimal


@dataclass(frozen=True)
class Duel:
    """Two methods for ``count`` footings. ``day_value`` is what a counted day is worth, null where not known."""

    quick: Side
    slow: Side
    count: int
    day_value: Decimal | None

    @property
    def extra_fixed(self) -> Decimal:
        """What the quicker costs more, paid once."""
        return self.quick.fixed - self.slow.fixed

    @property
    def extra_each(self) -> Decimal:
        """What the quicker costs more for each footing."""
        return self.quick.each - self.slow.each

    @property
    def extra(self) -> Decimal:
        """What the quicker costs more without the value of days."""
        return self.extra_fixed + self.extra_each * self.count

    @property
    def saved(self) -> Decimal:
        """The days it saves."""
        return self.slow.days - self.quick.days

    @property
    def even_value(self) -> Decimal | None:
        """The value of a day at which both cost the same; none where days decide nothing or cost nothing extra."""
        return self.extra / self.saved if self.extra >= 0 and self.saved > 0 else None

    @property
    def even_count(self) -> Decimal | None:
        """The number of footings at which both cost the same; none where it would be less than one."""
        if self.day_value is None or not self.extra_each:
            return None
        count = (self.day_value * self.saved - self.extra_fixed) / self.extra_each
        return count if count >= 1 else None


def duel(results: Sequence[MethodResult], crew: CrewTime) -> Duel | None:
    """Return the two cheapest feasible methods against each other, the quicker first; None with fewer than two."""
    known = [(one.cost.likely, one) for one in results if one.feasible and one.cost]
    cheapest = [one for _, one in sorted(known, key=lambda pair: (pair[0], pair[1].likely_days))[:2]]
    sides = [side for one in cheapest if (side := _side(one, crew))]
    if len(sides) < 2 or cheapest[0].cost is None:
        return None
    quick, slow = sorted(sides, key=lambda side: side.days)
    return Duel(quick, slow, cheapest[0].cost.count, crew.day_value)


def _side(one: MethodResult, crew: CrewTime) -> Side | None:
    if one.cost is None or one.table is None:
        return None
    # Where a day's value holds the wages they may not stand in the direct cost as well.
    wages = NOTHING if crew.includes_wages else one.cost.wages[1]
    days = Decimal(str(round(crew.counted_days(one.table)[1], 6)))
    return Side(one.method, one.cost.fixed, one.cost.each + (wages / one.cost.count), days)


def break_even(fight: Duel, currency: str) -> BreakEven:
    """Return where the quicker of two methods starts to win, with the working.

    Extra direct cost X over days saved DD is the crew-day value at which both cost the same; with the caller's value
    V the count is N* = (V DD - extra fixed cost) / extra cost of one footing.
    """
    value, count = fight.even_value, fight.even_count
    return BreakEven(
        methods=(fight.quick.method, fight.slow.method),
        crew_day_value=money(currency, value) if value is not None else None,
        footing_count=float(count) if count is not None else None,
        working=tuple(_working(fight, currency)),
    )


def _working(fight: Duel, unit: str) -> Iterator[Step]:
    quick, slow = plain(fight.quick.method), plain(fight.slow.method)
    yield step("N", fight.count, "each", "footings of this deck")
    yield step("M_1", float(fight.quick.fixed), unit, f"{quick}: paid once, whatever the number")
    yield step("M_2", float(fight.slow.fixed), unit, f"{slow}: paid once, whatever the number")
    yield step("c_1", float(fight.quick.each), unit, f"{quick}: each footing")
    yield step("c_2", float(fight.slow.each), unit, f"{slow}: each footing")
    yield step("X", float(fight.extra), unit, "(M_1 - M_2) + N (c_1 - c_2), the extra direct cost")
    yield step("D_1", float(fight.quick.days), "days", f"{quick}: likely days counted")
    yield step("D_2", float(fight.slow.days), "days", f"{slow}: likely days counted")
    yield step("DD", float(fight.saved), "days", "D_2 - D_1, the days saved")
    yield _value_step(fight, unit)
    if fight.day_value is None:
        yield word("V", "not given", "crew.crew_day_value: without it no count can be told")
        return
    yield step("V", float(fight.day_value), unit, "crew-day value given")
    yield _count_step(fight)


def _value_step(fight: Duel, unit: str) -> Step:
    value, quick = fight.even_value, plain(fight.quick.method)
    if value is not None:
        return step("V_even", float(value), unit, f"X / DD, a crew-day worth more than this pays for {quick}")
    if fight.saved <= 0:
        return word("V_even", "none", "both take the same days, so a crew-day's value decides nothing")
    return word("V_even", "none", f"{quick} are quicker and cost less: they win whatever a crew-day is worth")


def _count_step(fight: Duel) -> Step:
    count, quick, slow = fight.even_count, plain(fight.quick.method), plain(fight.slow.method)
    if count is not None:
        few, many = (quick, slow) if fight.extra_each > 0 else (slow, quick)
        rule = f"(V DD - (M_1 - M_2)) / (c_1 - c_2): {few} cost less below this count, {many} above it"
        return step("N_even", float(count), "each", rule)
    if not fight.extra_each:
        return word("N_even", "none", "each footing costs the same, so their number decides nothing")
    winner = slow if fight.extra_each > 0 else quick
    return word("N_even", "none", f"the count would be below one: {winner} cost less for any number of footings")

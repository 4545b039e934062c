"""Where the ranking of two methods turns over: the value of a crew-day, and the number of footings."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal

from service.comparison.bought import NOTHING
from service.comparison.cost import Cost, CrewTime
from service.comparison.method_words import plain
from service.comparison.recommend import by_preference
from service.comparison.result import LESSER_SERVICE, MethodResult, Supplied
from service.comparison.schedule import Timetable
from service.contract.money import money
from service.contract.report_comparison import BreakEven
from service.units.working import Step, step, word

SUPPLIES = {"bagged": "in bags", "ready_mix": "by the truck"}
CENT = Decimal("0.01")


@dataclass(frozen=True)
class Side:
    """One of two methods: paid once, paid for each footing, and the likely days that are counted.

    ``supply`` is how its concrete comes; empty where it needs none.
    """

    method: str
    fixed: Decimal
    each: Decimal
    days: Decimal
    supply: str = ""

    def worth(self, count: int, day_value: Decimal) -> Decimal:
        """Return what it comes to for so many footings where a counted day is worth so much."""
        return self.fixed + self.each * count + self.days * day_value


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


@dataclass(frozen=True)
class Duels:
    """Two methods as they stand, and with the supplies they have where a crew-day turns them; null: nowhere."""

    now: Duel
    turning: Duel | None


def duels(results: Sequence[MethodResult], crew: CrewTime) -> Duels | None:
    """Return the best method against the rival that a crew-day's value would put first soonest.

    A rival is as good by the rules and has a cost. Where none is, it is the cheapest other method that serves;
    where no value of a crew-day turns any, the cheapest rival. None with fewer than two methods.
    """
    known = [one for one in by_preference(results) if one.usable and one.cost and one.table]
    if len(known) < 2:
        return None
    best, *others = known
    level = [one for one in others if one.verdict_key == best.verdict_key]
    lasting = [one for one in others if one.method not in LESSER_SERVICE]
    rivals = sorted(level, key=_cost_then_days) or sorted(lasting or others, key=_cost_then_days)[:1]
    found = [_duels(best, rival, crew) for rival in rivals]
    turning = [one for one in found if one.turning]
    return min(turning, key=lambda one: _off(one.turning, crew.day_value), default=found[0])


def _duels(best: MethodResult, rival: MethodResult, crew: CrewTime) -> Duels:
    ours, theirs = _sides(best, crew), _sides(rival, crew)
    every = [_duel(one, other, len(best.alike), crew.day_value) for one in ours for other in theirs]
    holding = [fight for fight in every if _holds(fight, [*ours, *theirs])]
    return Duels(every[0], min(holding, key=lambda fight: _off(fight, crew.day_value), default=None))


def _cost_then_days(one: MethodResult) -> tuple[Decimal, float]:
    return (one.cost.likely if one.cost else NOTHING, one.likely_days)


def _duel(one: Side, other: Side, count: int, day_value: Decimal | None) -> Duel:
    quick, slow = sorted((one, other), key=lambda side: side.days)
    return Duel(quick, slow, count, day_value)


def _holds(fight: Duel, sides: Sequence[Side]) -> bool:
    """Whether at the value that evens two supplies no other supply of either method costs less."""
    value = fight.even_value
    if value is None:
        return False
    level = fight.quick.worth(fight.count, value)
    return all(side.worth(fight.count, value) >= level - CENT for side in sides)


def _off(fight: Duel | None, day_value: Decimal | None) -> Decimal:
    value = fight.even_value if fight else None
    return abs((value or NOTHING) - (day_value or NOTHING))


def _sides(one: MethodResult, crew: CrewTime) -> list[Side]:
    """A method with each supply of its concrete, the one taken first."""
    return [_side(one.method, way, way.cost, way.table, crew) for way in one.ways if way.cost and way.table]


def _side(method: str, way: Supplied, cost: Cost, table: Timetable, crew: CrewTime) -> Side:
    # Where a day's value holds the wages they may not stand in the direct cost as well.
    wages = NOTHING if crew.includes_wages else cost.wages[1]
    days = Decimal(str(round(crew.counted_days(table)[1], 6)))
    return Side(method, cost.fixed, cost.each + wages / cost.count, days, way.supply)


def break_even(fights: Duels, currency: str) -> BreakEven:
    """Return where the quicker of two methods starts to win, with the working.

    Extra direct cost X over days saved DD is the crew-day value at which both cost the same; with the caller's value
    V the count is N* = (V DD - extra fixed cost) / extra cost of one footing.
    """
    shown, count = fights.turning or fights.now, fights.now.even_count
    value = shown.even_value if fights.turning else None
    return BreakEven(
        methods=(shown.quick.method, shown.slow.method),
        crew_day_value=money(currency, value) if value is not None else None,
        footing_count=float(count) if count is not None else None,
        working=tuple(_working(fights, currency)),
    )


def _working(fights: Duels, unit: str) -> Iterator[Step]:
    shown = fights.turning or fights.now
    yield from _sums(shown, unit, "")
    yield _value_step(shown, unit, fights.turning is not None)
    if fights.now.day_value is None:
        yield word("V", "not given", "crew.crew_day_value: without it no count can be told")
        return
    yield step("V", float(fights.now.day_value), unit, "crew-day value given")
    if fights.now == shown:
        yield _count_step(fights.now, "")
        return
    # At the value given the concrete comes another way than at the value that turns them.
    yield from _sums(fights.now, unit, "'")
    yield _count_step(fights.now, "'")


def _sums(fight: Duel, unit: str, mark: str) -> Iterator[Step]:
    quick, slow = _told(fight.quick), _told(fight.slow)
    yield step(f"N{mark}", fight.count, "each", "footings of this deck")
    yield step(f"M_1{mark}", float(fight.quick.fixed), unit, f"{quick}: paid once, whatever the number")
    yield step(f"M_2{mark}", float(fight.slow.fixed), unit, f"{slow}: paid once, whatever the number")
    yield step(f"c_1{mark}", float(fight.quick.each), unit, f"{quick}: each footing")
    yield step(f"c_2{mark}", float(fight.slow.each), unit, f"{slow}: each footing")
    yield step(f"X{mark}", float(fight.extra), unit, "(M_1 - M_2) + N (c_1 - c_2), the extra direct cost")
    yield step(f"D_1{mark}", float(fight.quick.days), "days", f"{quick}: likely days counted")
    yield step(f"D_2{mark}", float(fight.slow.days), "days", f"{slow}: likely days counted")
    yield step(f"DD{mark}", float(fight.saved), "days", "D_2 - D_1, the days saved")


def _told(side: Side) -> str:
    return f"{plain(side.method)}, concrete {SUPPLIES[side.supply]}" if side.supply else plain(side.method)


def _value_step(fight: Duel, unit: str, turns: bool) -> Step:
    value, quick = fight.even_value, plain(fight.quick.method)
    if value is not None and not turns:
        return word("V_even", "none", "with its concrete the other way one of them costs less at every value")
    if value is not None:
        return step("V_even", float(value), unit, f"X / DD, a crew-day worth more than this pays for {quick}")
    if fight.saved <= 0:
        return word("V_even", "none", "both take the same days, so a crew-day's value decides nothing")
    return word("V_even", "none", f"{quick} are quicker and cost less: they win whatever a crew-day is worth")


def _count_step(fight: Duel, mark: str) -> Step:
    count, quick, slow = fight.even_count, plain(fight.quick.method), plain(fight.slow.method)
    if count is not None:
        few, many = (quick, slow) if fight.extra_each > 0 else (slow, quick)
        rule = f"(V DD - (M_1 - M_2)) / (c_1 - c_2): {few} cost less below this count, {many} above it"
        return step(f"N_even{mark}", float(count), "each", rule)
    if not fight.extra_each:
        return word(f"N_even{mark}", "none", "each footing costs the same, so their number decides nothing")
    winner = slow if fight.extra_each > 0 else quick
    return word(
        "N_even", "none", f"the count would be below one: {winner} cost less for any number of footings"
    )

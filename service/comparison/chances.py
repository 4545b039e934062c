"""How likely each method is the cheapest, and framing has started by a day, from low, likely and high."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from functools import reduce

import numpy as np

from service.comparison.cost import Cost, CrewTime
from service.comparison.draws import POINTS, Luck, luck, sampled
from service.comparison.network import Growth, Numbers, growth
from service.comparison.result import MethodResult
from service.comparison.schedule import Timetable
from service.foundations.facts import FoundationFacts

# How far a probability may be from that of endless draws; a test holds it against two million.
ERROR_POINTS = 0.5
LAST_WORKING_DAY = 20
SURE = 0.999
ROOM = 1e-3  # days, far more than single precision errs by
TEXT = (
    f"Every duration and the price of what the ground decides run between low and high as a triangle with its peak "
    f"at likely. Work out of doors shares the weather, inspections share the inspector, and a task has the same "
    f"luck in every method; the ground is its own. Counted over {POINTS} evenly spread draws, the same every time."
)


@dataclass(frozen=True)
class Chances:
    """Probabilities of 0 to 1; ``error_points`` is their numerical error in percentage points.

    ``cheapest`` holds every usable method with a cost, in the order of the results; ``framing_by`` for every
    feasible method with a schedule the working days with the chance that framing has started by then. ``of_equals``
    is the chance of being the cheapest among the methods that were asked for.
    """

    cheapest: tuple[tuple[str, float], ...]
    framing_by: Mapping[str, tuple[tuple[float, float], ...]]
    error_points: float
    of_equals: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True)
class _Drawn:
    """A method at every draw: its days to framing and its cost, null where a price is missing."""

    method: str
    table: Timetable
    elapsed: Numbers
    cost: Numbers | None

    def started(self, day: int) -> float:
        """The share of draws in which framing has started by the end of a working day."""
        low, _, high = self.table.elapsed_days
        # Every draw lies between low and high, so most days need no counting.
        if not low < day <= high + ROOM:
            return float(day > low)
        return float(np.count_nonzero(self.elapsed < day)) / POINTS


def chances(
    results: Sequence[MethodResult], crew: CrewTime, facts: FoundationFacts, equals: Collection[str] = ()
) -> Chances:
    """Return the chances of every usable method, the same numbers on every run, and those among ``equals``.

    At equal cost the method that stands first in ``results`` is taken for the cheaper, so the chances of being
    the cheapest add up to 1, of all and of the equals.
    """
    drawn = [_draw(one, one.table, crew, facts) for one in results if one.feasible and one.table]
    usable = {one.method for one in results if one.usable}
    return Chances(
        cheapest=_cheapest([one for one in drawn if one.method in usable]),
        framing_by=_framing_by(drawn),
        error_points=ERROR_POINTS,
        of_equals=dict(_cheapest([one for one in drawn if one.method in equals])),
    )


def _draw(one: MethodResult, table: Timetable, crew: CrewTime, facts: FoundationFacts) -> _Drawn:
    grows = growth(table.count, crew.size, facts, table.dig_share)
    elapsed = sampled(table.network).elapsed_days(grows)
    cost = _costs(one.cost, table, elapsed, grows, luck(facts)) if one.cost else None
    return _Drawn(one.method, table, elapsed, cost)


def _costs(cost: Cost, table: Timetable, elapsed: Numbers, grows: Growth, lucks: Luck) -> Numbers:
    """What a method costs at every draw: goods by the ground, wages by hours, the crew's days by the clock."""
    course = sampled(table.network)
    total = lucks.by_ground(*(float(one) for one in cost.goods))
    if cost.hourly:
        total += course.hours_each(grows) * (float(cost.hourly) * table.count)
    if cost.day_value:
        days = elapsed if cost.includes_wages else course.idle_days(elapsed, grows)
        total += days * float(cost.day_value)
    return total


def _cheapest(drawn: Sequence[_Drawn]) -> tuple[tuple[str, float], ...]:
    priced = [(one.method, one.cost) for one in drawn if one.cost is not None]
    if not priced:
        return ()
    least = reduce(np.minimum, [cost for _, cost in priced])
    open_draws = np.ones(POINTS, dtype=bool)
    found = []
    for method, cost in priced:
        won = (cost == least) & open_draws
        open_draws ^= won
        found.append((method, float(np.count_nonzero(won)) / POINTS))
    return tuple(found)


def _framing_by(drawn: Sequence[_Drawn]) -> dict[str, tuple[tuple[float, float], ...]]:
    """The chance by the end of each working day, until every method is all but sure to be there."""
    found: dict[str, list[tuple[float, float]]] = {one.method: [] for one in drawn}
    for day in range(1, LAST_WORKING_DAY + 1):
        for one in drawn:
            found[one.method].append((float(day), one.started(day)))
        if all(days[-1][1] > SURE for days in found.values()):
            break
    return {method: tuple(days) for method, days in found.items()}

"""How likely each method is the cheapest, and framing has started by a day, from low, likely and high."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

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
TEXT = (
    f"Every duration and the price of what the ground decides run between low and high as a triangle with its peak "
    f"at likely. Work out of doors shares the weather, inspections share the inspector, and a task has the same "
    f"luck in every method; the ground is its own. Counted over {POINTS} evenly spread draws, the same every time."
)


@dataclass(frozen=True)
class Chances:
    """Probabilities of 0 to 1; ``error_points`` is their numerical error in percentage points.

    ``cheapest`` holds every feasible method with a cost, in the order of the results; ``framing_by`` for every
    feasible method with a schedule the working days with the chance that framing has started by then.
    """

    cheapest: tuple[tuple[str, float], ...]
    framing_by: Mapping[str, tuple[tuple[float, float], ...]]
    error_points: float


@dataclass(frozen=True)
class _Drawn:
    """A method at every draw: its days to framing and its cost, null where a price is missing."""

    method: str
    elapsed: Numbers
    cost: Numbers | None


def chances(results: Sequence[MethodResult], crew: CrewTime, facts: FoundationFacts) -> Chances:
    """Return the chances of every feasible method, the same numbers on every run.

    At equal cost the method that stands first in ``results`` is taken for the cheaper, so the chances of being
    the cheapest add up to 1.
    """
    drawn = [
        _draw(one.method, one.table, one.cost, crew, facts) for one in results if one.feasible and one.table
    ]
    return Chances(
        cheapest=tuple(_cheapest([one for one in drawn if one.cost is not None])),
        framing_by=_framing_by(drawn),
        error_points=ERROR_POINTS,
    )


def _draw(method: str, table: Timetable, cost: Cost | None, crew: CrewTime, facts: FoundationFacts) -> _Drawn:
    grows = growth(table.count, crew.size, facts)
    elapsed = sampled(table.network).elapsed_days(grows)
    return _Drawn(method, elapsed, _costs(cost, table, elapsed, grows, luck(facts)) if cost else None)


def _costs(cost: Cost, table: Timetable, elapsed: Numbers, grows: Growth, lucks: Luck) -> Numbers:
    """What a method costs at every draw: goods by the ground, wages by hours, the crew's days by the clock."""
    course = sampled(table.network)
    total = lucks.by_ground(*(float(one) for one in cost.goods))
    if cost.hourly:
        total += course.hours * (float(cost.hourly) * table.count)
    if cost.day_value:
        days = elapsed if cost.includes_wages else course.idle_days(elapsed, grows)
        total += days * float(cost.day_value)
    return total


def _cheapest(drawn: Sequence[_Drawn]) -> list[tuple[str, float]]:
    costs = [one.cost for one in drawn if one.cost is not None]
    found = []
    for place, one in enumerate(drawn):
        wins = np.ones(POINTS, dtype=bool)
        for other, cost in enumerate(costs):
            if other != place:
                wins &= costs[place] < cost if other < place else costs[place] <= cost
        found.append((one.method, float(np.count_nonzero(wins)) / POINTS))
    return found


def _framing_by(drawn: Sequence[_Drawn]) -> dict[str, tuple[tuple[float, float], ...]]:
    """The chance by the end of each working day, until every method is all but sure to be there."""
    found: dict[str, list[tuple[float, float]]] = {one.method: [] for one in drawn}
    for day in range(1, LAST_WORKING_DAY + 1):
        for one in drawn:
            # Started on day 1 is less than one day after layout began.
            share = np.count_nonzero(one.elapsed < day) / POINTS
            found[one.method].append((float(day), share))
        if all(days[-1][1] > SURE for days in found.values()):
            break
    return {method: tuple(days) for method, days in found.items()}

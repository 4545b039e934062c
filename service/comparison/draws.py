"""The luck of a job: the same draws on every run, for each task and for the ground.

Each duration runs between its low and high with the likely one as its peak: a triangle, which asks for no more than
the three figures that are known. Tasks share their luck where they share a cause, by a Gaussian copula; a task
has the same luck in every method, since there is one yard, one inspector and one crew.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from service.comparison.network import Course, Network, Numbers, course
from service.foundations.facts import FoundationFacts, TaskRow

POINTS = 65521  # a prime, so that no two coordinates fall into step
# Generating vector of a rank-1 lattice of POINTS points, found component by component (Sloan and Reztsov 2002) by
# the criterion P_2 with every weight 0.05; tests hold it against other components and against plain simulation.
LATTICE = (
    1, 24876, 14264, 10373, 26023, 6858, 30622, 7851, 21201, 16802, 28728, 17714, 2406, 28012, 22303, 11713,
    29715, 14794, 24488, 4049, 25715, 20991, 3841, 4915,
)  # fmt: skip
SINGLE = np.float32  # seven digits are plenty for odds, and half as long on the way
WIDEST = 6.0  # standard deviations the table of the normal distribution covers
TABLE_STEPS = 16384


@dataclass(frozen=True, eq=False)
class Luck:
    """Draws between 0 (goes as well as it can) and 1, one a point: for the ground, and for each task.

    Points stand by rising luck of the ground.
    """

    ground: Numbers
    ground_roots: tuple[Numbers, Numbers]
    tasks: Mapping[str, Numbers]

    def by_ground(self, low: float, likely: float, high: float) -> Numbers:
        """Return what a triangular range comes to at the ground's luck of each point."""
        width = high - low
        if width <= 0.0:
            return np.full(POINTS, likely, dtype=SINGLE)
        rising, falling = self.ground_roots
        peak = int(np.searchsorted(self.ground, (likely - low) / width))
        found = np.empty(POINTS, dtype=SINGLE)
        found[:peak] = rising[:peak] * math.sqrt(width * (likely - low)) + low
        found[peak:] = falling[peak:] * -math.sqrt(width * (high - likely)) + high
        return found


@lru_cache(maxsize=4)
def luck(facts: FoundationFacts) -> Luck:
    """Return the draws of every task that framing waits for."""
    rows = sorted((r for r in facts.tasks if r.before_framing == "yes"), key=_spread, reverse=True)
    causes = {row.task: row.cause for row in rows}
    shared = sorted(set(causes.values()) - {""})
    points = lattice(POINTS, 1 + len(shared) + len(causes))
    # The first coordinate of a lattice rises from point to point, as the ground's luck has to.
    ground, normal = points[0], _normal_of(points[1:])
    common = dict(zip(shared, normal, strict=False))
    own = dict(zip(causes, normal[len(shared) :], strict=True))
    return Luck(
        ground,
        (np.sqrt(ground).astype(SINGLE), np.sqrt(1.0 - ground).astype(SINGLE)),
        {task: _below(_mixed(own[task], common, cause, facts)) for task, cause in causes.items()},
    )


def _spread(row: TaskRow) -> float:
    """The first coordinates of a lattice are its best: they go to the tasks that vary most."""
    return row.days_high - row.days_low


def _mixed(own: Numbers, common: Mapping[str, Numbers], cause: str, facts: FoundationFacts) -> Numbers:
    """A normal draw of which the shared cause explains as much as the figures say."""
    share = facts.value(f"{cause}_correlation") if cause else 0.0
    return math.sqrt(share) * common[cause] + math.sqrt(1.0 - share) * own if cause else own


def lattice(points: int, dimensions: int) -> Numbers:
    """Return evenly spread points of the unit cube, (dimensions, points), none on its faces.

    >>> lattice(4, 1).tolist()
    [[0.125, 0.375, 0.625, 0.875]]
    """
    steps = np.outer(np.array(LATTICE[:dimensions]), np.arange(points)) % points
    places: Numbers = (steps + 0.5) / points
    return places


@lru_cache(maxsize=1)
def _normal_table() -> tuple[Numbers, Numbers]:
    deviations = np.linspace(-WIDEST, WIDEST, TABLE_STEPS + 1)
    below = np.array([0.5 * math.erfc(-one / math.sqrt(2.0)) for one in deviations.tolist()])
    return deviations, below


def _normal_of(shares: Numbers) -> Numbers:
    deviations, below = _normal_table()
    return np.interp(shares, below, deviations)


def _below(deviations: Numbers) -> Numbers:
    table, below = _normal_table()
    return np.interp(deviations, table, below)


def triangle(low: float, likely: float, high: float, draws: Numbers) -> Numbers:
    """Return what a triangular range comes to at each draw.

    >>> triangle(0.0, 1.0, 2.0, np.array([0.0, 0.125, 0.5, 1.0])).tolist()
    [0.0, 0.5, 1.0, 2.0]
    """
    width, rise = high - low, likely - low
    if width <= 0.0:
        return np.full_like(draws, likely)
    rising = low + np.sqrt(draws * width * rise)
    falling = high - np.sqrt((1.0 - draws) * width * (high - likely))
    found: Numbers = np.where(draws * width < rise, rising, falling)
    return found


# As many as the methods have by supply, season and policy of the place, each of a few megabytes.
@lru_cache(maxsize=24)
def sampled(net: Network) -> Course:
    """Return the course of a network at every draw, for the usual number of footings and crew."""
    draws = luck(net.facts).tasks
    none = np.full(POINTS, 0.5)
    lucks = [draws.get(row.task, none) for row in net.rows]
    days = np.stack([triangle(*row.days, one) for row, one in zip(net.rows, lucks, strict=True)])
    hours = np.stack([triangle(*row.hours, one) for row, one in zip(net.rows, lucks, strict=True)])
    return course(net, days, hours).as_type(SINGLE)

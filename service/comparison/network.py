"""Tasks in their order and the ways through them, worked out for any number of cases at once."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import NDArray

from service.foundations.facts import FoundationFacts, TaskRow

Numbers = NDArray[np.floating]
Way = tuple[int, ...]
CREW, INSTALLER, WAIT = "crew", "installer", "wait"
DIG = "dig"
COLD, MILD = "cold", "mild"


@dataclass(frozen=True, eq=False)
class Network:
    """A method's tasks, each after those it follows; compared by identity.

    ``before`` are places in ``rows``; ``ways`` every chain of tasks from the first to one that framing waits for.
    """

    rows: tuple[TaskRow, ...]
    before: tuple[Way, ...]
    ways: tuple[Way, ...]
    facts: FoundationFacts

    @cached_property
    def on_the_clock(self) -> tuple[bool, ...]:
        """Which tasks come after layout began; the others are ordered before it."""
        found: list[bool] = []
        for row, places in zip(self.rows, self.before, strict=True):
            found.append(row.before_framing == "yes" or any(found[place] for place in places))
        return tuple(found)


def network(method: str, only_with: frozenset[str], facts: FoundationFacts) -> Network | None:
    """Return the tasks of a method under these words, or None where they do not make a whole.

    Rows that hold only with a supply of concrete, a pile policy or cold are taken where ``only_with`` names it;
    without the word ``cold`` the rows of mild weather count. A task whose every predecessor fell away would start
    too early, so such a choice of words has no network.
    """
    words = only_with | {"" if COLD in only_with else MILD, ""}
    # Words that a method has no row for make no other network of it: what is kept by network is kept once.
    return _network(method, words & _known(method, facts), facts)


@lru_cache(maxsize=64)
def _known(method: str, facts: FoundationFacts) -> frozenset[str]:
    return frozenset(row.only_with for row in facts.tasks if row.method == method)


@lru_cache(maxsize=256)
def _network(method: str, words: frozenset[str], facts: FoundationFacts) -> Network | None:
    rows = tuple(row for row in facts.tasks if row.method == method and row.only_with in words)
    places = {row.step: place for place, row in enumerate(rows)}
    before = tuple(tuple(places[step] for step in row.predecessors if step in places) for row in rows)
    if not rows or any(row.predecessors and not found for row, found in zip(rows, before, strict=True)):
        return None
    return Network(rows, before, tuple(_ways(rows, before)), facts)


def _ways(rows: Sequence[TaskRow], before: Sequence[Way]) -> Iterator[Way]:
    """Every chain that ends with a task no other task before framing follows."""
    awaited = [place for place, row in enumerate(rows) if row.before_framing == "yes"]
    followed = {earlier for place in awaited for earlier in before[place]}

    def chains(place: int) -> Iterator[Way]:
        earlier = [one for one in before[place] if one in awaited]
        for one in earlier:
            yield from ((*chain, place) for chain in chains(one))
        if not earlier:
            yield (place,)

    for last in awaited:
        if last not in followed:
            yield from chains(last)


@dataclass(frozen=True)
class Growth:
    """Footings per head against those the durations were given for: our crew's, and the installer's people.

    One figure, or one for each number of footings. ``holes`` is how much there is to dig for one of them, against the
    hole the durations were given for.
    """

    crew: float | Numbers
    installer: float | Numbers
    holes: float = 1.0

    @property
    def digging(self) -> float | Numbers:
        """How the hours of digging grow: with the footings and with their holes."""
        return self.crew * self.holes

    def of(self, row: TaskRow) -> float | Numbers:
        """Return how the hours of one task grow."""
        if row.who == INSTALLER:
            return self.installer
        return self.digging if row.task == DIG else self.crew


def growth(count: float | Numbers, crew_size: int, facts: FoundationFacts, dig_share: float = 1.0) -> Growth:
    """Return how the hours of work grow; ``dig_share`` is one of their holes against that of the durations.

    The installer brings his own people, so our crew does not hurry him.
    """
    usual = _usual(CREW, facts)
    return Growth(count / crew_size / usual, count / facts.value("schedule_footings"), dig_share)


def _usual(who: str, facts: FoundationFacts) -> float:
    """Footings per head the durations were given for."""
    return facts.value("schedule_footings") / facts.value(
        "schedule_crew" if who == CREW else "installer_crew"
    )


def growing(row: TaskRow, days: Numbers, hours: Numbers, facts: FoundationFacts) -> Numbers:
    """Return the part of a task's days that is hours of work: it grows with footings per head.

    The rest (setting up, waiting for the next morning) does not, and waits do not grow at all.
    """
    if row.who == WAIT:
        return np.zeros_like(days)
    worked: Numbers = np.minimum(days, hours * (_usual(row.who, facts) / facts.value("working_day")))
    return worked


@dataclass(frozen=True, eq=False)
class Course:
    """How a network may go, over an axis of cases: days along each way and of the crew's own work, in parts.

    A part is (ways, cases) or (cases,): what is fixed, and what grows with our crew's or the installer's work.
    ``installer`` is null where no installer comes, ``dig`` where nothing is dug. Framing waits for every hole, so
    digging is on every way and the same on each. ``hours`` are the crew's for one footing, digging left aside.
    """

    fixed: Numbers
    crew: Numbers
    installer: Numbers | None
    dig: Numbers | None
    own_fixed: Numbers
    own_crew: Numbers
    hours: Numbers
    dig_hours: Numbers

    def elapsed_days(self, grows: Growth) -> Numbers:
        """Days from layout to framing, one a case: those of the longest way."""
        days = self.crew * grows.crew + self.fixed
        if self.installer is not None:
            days += self.installer * grows.installer
        longest: Numbers = days.max(axis=0)
        if self.dig is not None:
            longest += self.dig * grows.digging
        return longest

    def idle_days(self, elapsed: Numbers, grows: Growth) -> Numbers:
        """Of those days the ones in which the crew has nothing to do here."""
        idle: Numbers = self.own_crew * -grows.crew
        idle += elapsed
        idle -= self.own_fixed
        if self.dig is not None:
            idle -= self.dig * grows.digging
        np.maximum(idle, 0.0, out=idle)
        return idle

    def hours_each(self, grows: Growth) -> Numbers:
        """The crew's hours for one footing, one a case."""
        return self.hours + self.dig_hours * grows.holes

    def as_type(self, kind: type[np.floating]) -> Course:
        """Return the same course in numbers of another length."""
        return Course(
            fixed=self.fixed.astype(kind),
            crew=self.crew.astype(kind),
            installer=None if self.installer is None else self.installer.astype(kind),
            dig=None if self.dig is None else self.dig.astype(kind),
            own_fixed=self.own_fixed.astype(kind),
            own_crew=self.own_crew.astype(kind),
            hours=self.hours.astype(kind),
            dig_hours=self.dig_hours.astype(kind),
        )


def course(net: Network, days: Numbers, hours: Numbers) -> Course:
    """Return the sums of a network for days and hours of its tasks, each (tasks, cases), at the usual size."""
    part = np.stack([growing(row, d, h, net.facts) for row, d, h in zip(net.rows, days, hours, strict=True)])
    dug = [row.task == DIG for row in net.rows]
    ours = [row.who == CREW and row.task != DIG for row in net.rows]
    theirs = [row.who == INSTALLER for row in net.rows]
    own = [row.who == CREW and row.before_framing == "yes" for row in net.rows]
    worked = [row.who != INSTALLER and row.task != DIG for row in net.rows]

    def along(values: Numbers, take: Sequence[bool]) -> Numbers:
        return np.stack([values[[place for place in way if take[place]]].sum(axis=0) for way in net.ways])

    return Course(
        fixed=along(days - part, [True] * len(net.rows)),
        crew=along(part, ours),
        installer=along(part, theirs) if any(theirs) else None,
        dig=part[dug].sum(axis=0) if any(dug) else None,
        own_fixed=(days - part)[own].sum(axis=0),
        own_crew=part[[mine and task for mine, task in zip(own, ours, strict=True)]].sum(axis=0),
        hours=hours[worked].sum(axis=0),
        dig_hours=hours[dug].sum(axis=0),
    )


@dataclass(frozen=True)
class Times:
    """Working days since layout began at which each task starts and ends; null for those ordered before it."""

    starts: tuple[float | None, ...]
    ends: tuple[float | None, ...]


def times(net: Network, days: Sequence[float]) -> Times:
    """Return the earliest start and end of every task for one set of durations."""
    starts: list[float | None] = []
    ends: list[float | None] = []
    for places, length, here in zip(net.before, days, net.on_the_clock, strict=True):
        # Tasks ordered before the work starts (marks, booking) are not on this clock.
        start = max((ends[place] or 0.0 for place in places), default=0.0)
        starts.append(start if here else None)
        ends.append(start + length if here else None)
    return Times(tuple(starts), tuple(ends))


def slack(net: Network, days: Sequence[float], ends: Sequence[float | None]) -> tuple[float | None, ...]:
    """Return how much later each task may end without framing starting later; null where it never waits for it."""
    awaited = [place for place, row in enumerate(net.rows) if row.before_framing == "yes"]
    framing = max(ends[place] or 0.0 for place in awaited)
    latest = [framing] * len(ends)
    for place in reversed(awaited):
        for earlier in net.before[place]:
            latest[earlier] = min(latest[earlier], latest[place] - days[place])
    return tuple(
        latest[place] - (end or 0.0) if row.before_framing == "yes" else None
        for place, (row, end) in enumerate(zip(net.rows, ends, strict=True))
    )

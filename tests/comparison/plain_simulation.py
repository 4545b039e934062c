"""Chances by brute force, written apart from the service: ordinary random draws, tasks walked one after another."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from service.comparison.cost import CrewTime
from service.comparison.result import MethodResult
from service.foundations.facts import FoundationFacts, TaskRow

Numbers = NDArray[np.float64]
SAMPLES = 2_000_000
BATCH = 250_000
LAST_DAY = 20


@dataclass(frozen=True)
class Job:
    """Methods with their costs, and the crew that would build them."""

    results: tuple[MethodResult, ...]
    crew: CrewTime


@dataclass
class Simulated:
    """Shares of all samples: of being cheapest, and of framing having started by day 1, 2, ..."""

    cheapest: dict[str, float]
    framing_by: dict[str, Numbers]


def simulate(jobs: Sequence[Job], facts: FoundationFacts, seed: int = 20270405) -> list[Simulated]:
    """Return the chances of every job, all from the same samples."""
    found = [Simulated({}, {}) for _ in jobs]
    random = np.random.default_rng(seed)
    for _ in range(SAMPLES // BATCH):
        lucks = dict(_lucks(random, facts))
        durations: dict[TaskRow, tuple[Numbers, Numbers]] = {}
        for job, sums in zip(jobs, found, strict=True):
            _count(job, lucks, durations, facts, sums)
    return found


def _lucks(random: np.random.Generator, facts: FoundationFacts) -> Iterator[tuple[str, Numbers]]:
    """A uniform number for each task word and for the ground; those of one cause are correlated."""
    yield "ground", random.random(BATCH)
    shared = {cause: random.standard_normal(BATCH) for cause in ("weather", "inspection")}
    for task, cause in {row.task: row.cause for row in facts.tasks}.items():
        if cause:
            correlation = facts.value(f"{cause}_correlation")
            own = random.standard_normal(BATCH)
            yield task, ndtr(np.sqrt(correlation) * shared[cause] + np.sqrt(1 - correlation) * own)
        else:
            yield task, random.random(BATCH)


def _three(low: float, likely: float, high: float, luck: Numbers) -> Numbers:
    """The triangular distribution, turned round from its two parabolas."""
    if high == low:
        return np.full(len(luck), low)
    peak = (likely - low) / (high - low)
    left = low + (high - low) * np.sqrt(luck * peak)
    right = high - (high - low) * np.sqrt((1 - luck) * (1 - peak))
    return np.where(luck < peak, left, right)


def _count(
    job: Job,
    lucks: Mapping[str, Numbers],
    durations: dict[TaskRow, tuple[Numbers, Numbers]],
    facts: FoundationFacts,
    sums: Simulated,
) -> None:
    costs: dict[str, Numbers] = {}
    for one in job.results:
        if not one.feasible or one.table is None:
            continue
        elapsed, worked, hours = np.zeros(BATCH), np.zeros(BATCH), np.zeros(BATCH)
        ends: dict[str, Numbers] = {}
        for row in one.table.rows:
            if row not in durations:
                luck = lucks[row.task]
                durations[row] = _three(*row.days, luck), _three(*row.hours, luck)
            base, each = durations[row]
            share = one.table.dig_share if row.task == "dig" else 1.0
            if row.who != "installer":
                hours = hours + each * one.table.count * share
            if row.before_framing == "no":
                continue
            days = _days(row, base, each, one.table.count * share, job.crew.size, facts)
            start = np.zeros(BATCH)
            for before in row.predecessors:
                start = np.maximum(start, ends.get(before, 0.0))
            ends[row.step] = start + days
            elapsed = np.maximum(elapsed, ends[row.step])
            worked = worked + (days if row.who == "crew" else 0.0)
        started = np.array([np.mean(elapsed < day - 1e-9) for day in range(1, LAST_DAY + 1)])
        sums.framing_by[one.method] = sums.framing_by.get(one.method, 0.0) + started * BATCH / SAMPLES
        if one.cost is not None:
            low, likely, high = (float(part) for part in one.cost.goods)
            waiting = np.maximum(elapsed - worked, 0)
            costs[one.method] = (
                _three(low, likely, high, lucks["ground"])
                + float(one.cost.hourly) * hours
                + float(one.cost.day_value) * (elapsed if one.cost.includes_wages else waiting)
            )
    if costs:
        first = np.argmin(np.stack(list(costs.values())), axis=0)
        for place, method in enumerate(costs):
            share = float(np.mean(first == place)) * BATCH / SAMPLES
            sums.cheapest[method] = sums.cheapest.get(method, 0.0) + share


def _days(
    row: TaskRow, base: Numbers, each: Numbers, count: float, crew_size: int, facts: FoundationFacts
) -> Numbers:
    """Days of a task: its hours of work, shared out among the heads, and what is no work."""
    if row.who == "wait":
        return base
    usual = facts.value("schedule_crew" if row.who == "crew" else "installer_crew")
    heads = crew_size if row.who == "crew" else usual
    usual_footings = facts.value("schedule_footings")
    day = facts.value("working_day")
    worked = np.minimum(each * usual_footings / usual / day, base)
    return base - worked + worked * (count / heads) / (usual_footings / usual)

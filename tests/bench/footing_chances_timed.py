"""How long the chances of six methods take, by number of draws, and how far off they are against plain simulation.

`PYTHONPATH=.:tests python tests/bench/footing_chances_timed.py [rounds]`, on a quiet machine: the first column is the
largest error in percentage points over every probability of the decks, times are medians with their ratio to the
comparison's own count of draws in the same run.
"""

from __future__ import annotations

import statistics
import sys
import time
from importlib.resources import files
from pathlib import Path

from comparison.made_results import GOODS, crew, results
from comparison.plain_simulation import SAMPLES, Job, simulate

from service.comparison.chances import chances
from service.comparison.schedule import on_the_wire, timetable
from service.foundations.facts import FoundationFacts, parse_facts

SIX = tuple(GOODS)
FIVE = SIX[:-1]


def main(rounds: int = 200) -> None:
    """Print errors, then times of the chances, of the schedules and of a first call."""
    texts = Path(str(files("service"))) / "rulebooks" / "foundations"
    facts = parse_facts({file.stem: file.read_text(encoding="utf-8") for file in texts.glob("*.csv")})
    first = _milliseconds(lambda: chances(_jobs(facts)[0].results, crew(), facts), 1)
    jobs = _jobs(facts)
    start = time.process_time()
    plain = simulate(jobs, facts)
    simulated = 1000 * (time.process_time() - start) / len(jobs)
    worst = [_worst(job, one.cheapest, one.framing_by, facts) for job, one in zip(jobs, plain, strict=True)]
    six = [Job(results(SIX, 9, team, facts), team) for team in (crew(), crew(wages_in_days=False))]
    both = [_milliseconds(lambda job=job: chances(job.results, job.crew, facts), rounds) for job in six]
    tables = _milliseconds(lambda: [timetable(m, ("bagged",), 9, 3, facts) for m in SIX], rounds)
    told = _milliseconds(
        lambda: [on_the_wire(one.table, None, ()) for one in six[0].results if one.table], rounds
    )
    for line in (
        f"{'largest error, being cheapest':38} {max(a for a, _ in worst):8.2f} points",
        f"{'largest error, framing by a day':38} {max(b for _, b in worst):8.2f} points",
        f"{f'simulation of {SAMPLES:,}, a deck':38} {simulated:8.0f} ms  x {simulated / both[0]:.0f}",
        f"{'first call, draws worked out':38} {first:8.2f} ms  x {first / both[0]:.0f}",
        f"{'six methods, day value has the wages':38} {both[0]:8.2f} ms  x 1.0",
        f"{'six methods, idle days counted':38} {both[1]:8.2f} ms  x {both[1] / both[0]:.1f}",
        f"{'six timetables, kept':38} {tables:8.4f} ms  x {tables / both[0]:.3f}",
        f"{'six schedules in wire form':38} {told:8.2f} ms  x {told / both[0]:.1f}",
    ):
        sys.stdout.write(line + "\n")


def _jobs(facts: FoundationFacts) -> list[Job]:
    teams = [crew(size, day, wages) for size, day, wages in ((3, "450", True), (2, "250", False))]
    return [
        Job(results(FIVE, count, team, facts, words), team)
        for count in (4, 6, 9, 14)
        for team in teams
        for words in (("bagged", "torque_log"), ("bagged", "cold", "special_inspector"))
    ]


def _worst(job: Job, cheapest: dict, framing_by: dict, facts: FoundationFacts) -> tuple[float, float]:
    found = chances(job.results, job.crew, facts)
    first = [abs(chance - cheapest[method]) for method, chance in found.cheapest]
    days = [
        abs(chance - framing_by[method][int(day) - 1])
        for method, by in found.framing_by.items()
        for day, chance in by
    ]
    return 100 * max(first), 100 * max(days)


def _milliseconds(call: object, rounds: int) -> float:
    taken = []
    for _ in range(rounds):
        start = time.process_time()
        call()
        taken.append(1000 * (time.process_time() - start))
    return statistics.median(taken)


if __name__ == "__main__":
    main(*map(int, sys.argv[1:2]))

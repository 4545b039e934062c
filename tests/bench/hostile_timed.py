"""The hostile bodies over real HTTP, held against the largest deck taken, in one run.

How: `PYTHONPATH=.:tests python tests/bench/hostile_timed.py [rounds] [good]` from the project's folder; each body is
sent `rounds` times (3), the largest deck `good` times (3), in turn, so that the machine's mood is shared. Prints p50,
p95 and p99 of both in ms and ends with 1 if p99 of the hostile ones is more than twice that of the largest deck, or
if one of them has another answer than it is to have. The slowest five are named.
"""

from __future__ import annotations

import sys
import time

import httpx
from heavy_decks import LARGEST
from hostile import Hostile, hostile_bodies

from service.app import bundled_snapshot, make_app, make_desk
from service.cli.trial import served
from service.settings import Settings

MOST_RATIO = 2.0
JSON = {"Content-Type": "application/json"}


def main(rounds: int = 3, good: int = 3) -> int:
    """Print both and return 1 if what is asked does not hold."""
    took: dict[str, list[float]] = {one.name: [] for one in hostile_bodies()}
    largest: list[float] = []
    wrong: list[str] = []
    # whatever else runs on this machine, the largest deck is to come to its end
    app = make_app(make_desk(bundled_snapshot()), Settings(work_seconds=3600))
    with served(app) as address, httpx.Client(base_url=address, trust_env=False, timeout=600) as client:
        for turn in range(max(rounds, good)):
            if turn < good:
                largest.append(_largest(client))
            for one in hostile_bodies() if turn < rounds else ():
                took[one.name].append(_hostile(client, one, wrong))
    return _told(took, largest, wrong)


def _largest(client: httpx.Client) -> float:
    began = time.perf_counter()
    client.post("/v1/designs", json=LARGEST).raise_for_status()
    return 1000 * (time.perf_counter() - began)


def _hostile(client: httpx.Client, one: Hostile, wrong: list[str]) -> float:
    began = time.perf_counter()
    answer = client.post(one.path, content=one.body, headers=JSON)
    spent = 1000 * (time.perf_counter() - began)
    if (answer.status_code, answer.json()["code"]) != (one.status, one.code):
        wrong.append(f"{one.name}: {answer.status_code} {answer.text[:80]}")
    return spent


def _told(took: dict[str, list[float]], largest: list[float], wrong: list[str]) -> int:
    every = [one for times in took.values() for one in times]
    for name, times in (("hostile", every), ("largest", largest)):
        shown = "  ".join(f"p{part} {_part(times, part):8.1f}" for part in (50, 95, 99))
        print(f"{name}  {shown} ms  n {len(times)}")
    for name in sorted(took, key=lambda one: -max(took[one]))[:5]:
        print(f"  slowest: {max(took[name]):6.1f} ms  {name}")
    ratio = _part(every, 99) / _part(largest, 99)
    print(f"p99 hostile / p99 largest: {ratio:.3f}, at most {MOST_RATIO:g}; {len(wrong)} wrong answers")
    for one in wrong:
        print(f"  {one}")
    return int(ratio > MOST_RATIO or bool(wrong))


def _part(times: list[float], percent: int) -> float:
    ordered = sorted(times)
    return ordered[min(len(ordered) - 1, int(percent / 100 * len(ordered)))]


if __name__ == "__main__":
    sys.exit(main(*map(int, sys.argv[1:3])))

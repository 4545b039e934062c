"""From so many hundredths of a board to whole boards: plans rounded from a linear programme."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

from service.takeoff import greedy
from service.takeoff.columns import Programme, Uses
from service.takeoff.job import Board, Job, Packing

WHOLE = 1e-6  # a number of boards this near the next whole one is that


def dives(job: Job, programme: Programme) -> Iterator[Packing]:
    """Yield plans: whole boards are kept, the fullest part of a board is made one, and what is left solved again.

    At each turn what is left is also cut greedily; the last plan is the programme's alone. Where the solver gives up
    there are no more.
    """
    packing: list[Board] = []
    left = job
    while left.counts:
        counts = dict(left.counts)
        wanted = [counts.get(length, 0) for length, _ in job.counts]
        boards, _ = programme.solve(wanted)
        cut = _cut(left, programme, _kept(boards))
        if not cut:
            return
        packing += cut
        left = job.without(packing)
        if left.counts:
            yield [*packing, *left.best(greedy.openings(left))]
    yield packing


def _kept(boards: list[float]) -> list[int]:
    """The whole boards; where there is none, one of the pattern that is nearest a whole one."""
    whole = [math.floor(one + WHOLE) for one in boards]
    if not any(whole):
        whole[max(range(len(boards)), key=boards.__getitem__)] = 1
    return whole


def _cut(job: Job, programme: Programme, boards: Iterable[int]) -> list[Board]:
    """Boards of these patterns, without the pieces that are not wanted any more."""
    left, packing = dict(job.counts), list[Board]()
    for uses, times in zip(programme.uses, boards, strict=True):
        for _ in range(times):
            cuts = _wanted(programme, uses, left)
            if not cuts:
                break
            packing.append(job.board(cuts))
    return packing


def _wanted(programme: Programme, uses: Uses, left: dict[int, int]) -> list[int]:
    cuts: list[int] = []
    for (length, _), count in zip(programme.job.counts, uses, strict=True):
        taken = min(count, left.get(length, 0))
        cuts += [length] * taken
        left[length] = left.get(length, 0) - taken
    return cuts


def by_tree(job: Job, programme: Programme) -> Packing:
    """Return the plan a tree of so many nodes finds in whole boards of the patterns there are; empty for none."""
    packing = _cut(job, programme, programme.whole())
    return [] if job.without(packing).counts else packing

"""The packing of a job to take, and the price no packing is under."""

from __future__ import annotations

from functools import lru_cache
from itertools import chain
from typing import NamedTuple

from service.takeoff import greedy
from service.takeoff.alike import exact
from service.takeoff.columns import Programme, generate, uses_of
from service.takeoff.job import Board, Job, Packing
from service.takeoff.price_grid import next_price
from service.takeoff.rounding import by_tree, dives

ENOUGH = 0.0005  # how near the bound a plan is good enough
TREE_FROM = 0.005  # how far over the bound a plan must be for a tree over the patterns to be worth its time
TREE_PATTERNS = 250  # with more patterns than this a tree is not worth its time either
KEPT_PLANS = 512


class Found(NamedTuple):
    """A packing, and a price no packing of the job is under."""

    packing: tuple[Board, ...]
    bound: int


@lru_cache(maxsize=KEPT_PLANS)
def cheapest(job: Job) -> Found:
    """Return the best packing found, with a bound on every packing.

    Pieces that are all alike have an exact answer. Else greedy passes come first, then a linear programme over
    cutting patterns, which gives the bound, plans rounded from it, and a small tree over its patterns; each only
    where the plan so far may still be bettered. Limits are counts, so the same job has the same answer.

    >>> cheapest(Job(((1536, 90000), (3072, 150000)), ((1504, 3), (90, 1)), kerf=2))
    Found(packing=((3072, (1504, 1504)), (3072, (1504, 90))), bound=300000)
    """
    if len(job.counts) == 1:
        alike = tuple(exact(job))
        return Found(alike, job.cost(alike))
    first = list(greedy.openings(job))
    best, bound = job.best(first), simple_bound(job)
    if job.cost(best) > bound:
        best, bound = _by_patterns(job, first)
    return Found(tuple(best), bound)


def simple_bound(job: Job) -> int:
    """Return a price no packing is under, the greater of two arguments.

    Length: each piece with its kerf costs at least its share of the best-value board. Pieces: two pieces that
    do not fit the longest board together need a board each, at least the cheapest that holds them.
    """
    by_length = min(
        price * sum((length + job.kerf) * count for length, count in job.counts) // (stock + job.kerf)
        for stock, price in job.stock
    )
    alone = [(n, count) for n, count in job.counts if 2 * n + job.kerf > job.longest]
    by_piece = sum(job.price((length,)) * count for length, count in alone)
    return max(by_length, by_piece)


def _by_patterns(job: Job, first: list[Packing]) -> tuple[Packing, int]:
    """The best packing by column generation, begun with the patterns of these, and the bound it proves."""
    programme = Programme(job)
    programme.add(uses_of(job, chain.from_iterable(first)))
    best = job.best(first)
    least = generate(programme, stop_at=job.cost(best))
    bound = next_price(max(simple_bound(job), least), list(job.prices.values()))
    for packing in dives(job, programme):
        if _over(job, best, bound) <= ENOUGH:
            return best, bound
        best = job.best((best, packing))
    if _over(job, best, bound) > TREE_FROM and len(programme.uses) <= TREE_PATTERNS:
        best = job.best((best, by_tree(job, programme) or best))
    return best, bound


def _over(job: Job, packing: Packing, bound: int) -> float:
    return (job.cost(packing) - bound) / bound

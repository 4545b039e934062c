"""What a board is worth at most when every piece has a value: the question that prices cutting patterns."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import NamedTuple

import numpy as np

from service.takeoff.job import Job


class Bundle(NamedTuple):
    """``times`` like pieces taken together, and the room they need: any number of a piece is a sum of bundles."""

    place: int
    times: int
    room: int


class Knapsack:
    """A bounded knapsack over the pieces of a job: no board is asked for more of a piece than there is.

    A board ends without a kerf, so it holds pieces that each bring one if it were one kerf longer. Lengths are
    divided by what all the pieces with their kerfs share. All is in whole numbers, so what it finds is exact.
    """

    def __init__(self, job: Job) -> None:
        """Lay out the bundles of a job."""
        self._kerf = job.kerf
        self._unit = math.gcd(*(length + job.kerf for length, _ in job.counts))
        self._most = self.room(job.longest)
        self.pieces = len(job.counts)
        self.bundles = tuple(self._bundles(job))

    def room(self, stock: int) -> int:
        """Return the room of a stock length."""
        return (stock + self._kerf) // self._unit

    def _bundles(self, job: Job) -> Iterator[Bundle]:
        for place, (length, count) in enumerate(job.counts):
            step = (length + job.kerf) // self._unit
            left, size = min(count, self._most // step), 1
            while left:
                taken = min(size, left)
                yield Bundle(place, taken, taken * step)
                left, size = left - taken, 2 * size

    def worths(self, values: Sequence[int]) -> Worths:
        """Return the most that boards are worth with these whole values of the pieces."""
        table = np.zeros((len(self.bundles) + 1, self._most + 1), dtype=np.int64)
        for number, (place, times, room) in enumerate(self.bundles):
            before, after = table[number], table[number + 1]
            after[:room] = before[:room]
            np.add(before[: self._most + 1 - room], times * values[place], out=after[room:])
            np.maximum(after[room:], before[room:], out=after[room:])
        return Worths(self, table)


class Worths:
    """The table of one knapsack, asked by stock length.

    >>> job = Job(((96, 10), (120, 12)), ((60, 1), (30, 3)), kerf=1)
    >>> found = Knapsack(job).worths([7, 3])
    >>> found.most(96), found.counts(96), found.most(120), found.counts(120)
    (10, (1, 1), 10, (1, 1))
    """

    def __init__(self, sack: Knapsack, table: np.ndarray) -> None:
        """Keep the table: entry ``n, room`` is the most that the first ``n`` bundles are worth in so much room."""
        self._sack, self._table = sack, table

    def most(self, stock: int) -> int:
        """Return the most a board of this length is worth."""
        return int(self._table[-1, self._sack.room(stock)])

    def counts(self, stock: int) -> tuple[int, ...]:
        """Return how many of each piece make it worth that."""
        found, room = [0] * self._sack.pieces, self._sack.room(stock)
        for number in range(len(self._sack.bundles), 0, -1):
            if self._table[number, room] != self._table[number - 1, room]:
                place, times, taken = self._sack.bundles[number - 1]
                found[place] += times
                room -= taken
        return tuple(found)

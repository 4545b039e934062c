"""Column generation: cutting patterns priced by a linear programme, the bound that proves, and plans rounded from it.

Gilmore and Gomory (1961): boards are bought by pattern; the programme's prices of the pieces say which pattern is
missing. The bound is not the programme's own figure, which is a float: its prices are cut down to whole numbers, the
dearest board at these prices is found exactly, and Farley's quotient (1990) of whole numbers is a bound whatever the
prices are.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

import highspy
import numpy as np

from service.takeoff.job import Board, Cuts, Job
from service.takeoff.knapsack import Knapsack

FINENESS = 1024  # parts of a price unit that the worth of a piece is cut down to
MOST_PROGRAMMES = 60
MOST_NODES = 50
OPTIONS: dict[str, bool | int | str] = {
    "output_flag": False,
    "threads": 1,
    "random_seed": 0,
    "presolve": "off",
    "solver": "simplex",
    "mip_max_nodes": MOST_NODES,
}
Uses = tuple[int, ...]


class _Solver(highspy.Highs):
    """The solver without a word on standard output."""

    def __init__(self) -> None:
        """Go past the wrapper's own start, which prints a line before any option can be set."""
        super(highspy.Highs, self).__init__()
        for name, value in OPTIONS.items():
            self.setOptionValue(name, value)


@dataclass
class Programme:
    """Boards by pattern, as a linear programme: every piece is cut at least as often as it is wanted."""

    job: Job
    uses: list[Uses] = field(default_factory=list)
    _known: set[Uses] = field(default_factory=set)
    _asked: list[int] = field(default_factory=list)
    _highs: _Solver = field(default_factory=_Solver)

    def __post_init__(self) -> None:
        """Open the programme with a row a piece."""
        rows, self._asked = len(self.job.counts), self.wanted
        wanted = np.array(self.wanted, dtype=np.float64)
        none, nothing = np.zeros(0, dtype=np.int32), np.zeros(0)
        starts = np.zeros(rows, dtype=np.int32)
        self._highs.addRows(rows, wanted, np.full(rows, highspy.kHighsInf), 0, starts, none, nothing)

    @property
    def wanted(self) -> list[int]:
        """How many of each piece the job wants."""
        return [count for _, count in self.job.counts]

    def cuts(self, uses: Uses) -> Cuts:
        """Return the cuts of a pattern, longest first."""
        return tuple(n for (n, _), count in zip(self.job.counts, uses, strict=True) for _ in range(count))

    def add(self, patterns: Iterable[Uses]) -> bool:
        """Add the patterns that are new, each from the cheapest board that holds it; say whether any was."""
        fresh = [uses for uses in dict.fromkeys(patterns) if uses not in self._known]
        if not fresh:
            return False
        self._known.update(fresh)
        self.uses += fresh
        cells = [(place, n) for uses in fresh for place, n in enumerate(uses) if n]
        sizes = [sum(1 for n in uses if n) for uses in fresh]
        starts = np.cumsum([0, *sizes[:-1]]).astype(np.int32)
        prices = [float(self.job.price(self.cuts(uses))) for uses in fresh]
        self._highs.addCols(
            len(fresh), np.array(prices), np.zeros(len(fresh)), np.full(len(fresh), highspy.kHighsInf),
            len(cells), starts, np.array([place for place, _ in cells], dtype=np.int32),
            np.array([float(n) for _, n in cells]),
        )  # fmt: skip
        return True

    def solve(self, wanted: Sequence[int]) -> tuple[list[float], list[float]]:
        """Return how many boards of each pattern, and what each piece is worth; noughts where the solver gives up."""
        self._want(wanted)
        self._highs.run()
        if self._highs.getModelStatus() != highspy.HighsModelStatus.kOptimal:
            return [0.0] * len(self.uses), [0.0] * len(wanted)
        found = self._highs.getSolution()
        return list(found.col_value), list(found.row_dual)

    def _want(self, wanted: Sequence[int]) -> None:
        for row, (count, asked) in enumerate(zip(wanted, self._asked, strict=True)):
            if count != asked:
                self._highs.changeRowBounds(row, float(count), highspy.kHighsInf)
        self._asked = list(wanted)

    def whole(self) -> list[int]:
        """Return whole numbers of boards for the job, after a tree of so many nodes; noughts where it found none.

        The programme ends with it.
        """
        self._want(self.wanted)
        self._highs.setOptionValue("presolve", "on")
        columns = len(self.uses)
        kinds = np.full(columns, highspy.HighsVarType.kInteger)
        self._highs.changeColsIntegrality(columns, np.arange(columns, dtype=np.int32), kinds)
        self._highs.run()
        found = self._highs.getSolution()
        return [round(value) for value in found.col_value] if found.value_valid else [0] * columns


def uses_of(job: Job, boards: Iterable[Board]) -> list[Uses]:
    """Return the patterns of boards, each once."""
    every = dict.fromkeys(cuts for _, cuts in boards)
    return [tuple(cuts.count(length) for length, _ in job.counts) for cuts in every]


def generate(programme: Programme, stop_at: int) -> int:
    """Add patterns until none is missing or the bound reaches ``stop_at``; return the best bound.

    Whatever the programme says a piece is worth, the bound holds: these worths are cut down to whole numbers, no
    board of a length is worth more than its price times the greatest quotient of worth to price, so nor are all the
    boards of a plan together, and they hold every piece.
    """
    job, wanted = programme.job, programme.wanted
    sack, bound = Knapsack(job), 0
    for _ in range(MOST_PROGRAMMES):
        _, worth = programme.solve(wanted)
        values = [max(0, math.floor(FINENESS * one)) for one in worth]
        if not any(values):
            break
        worths = sack.worths(values)
        worth_of = [(worths.most(length), length, price) for length, price in job.stock]
        total = sum(count * value for count, value in zip(wanted, values, strict=True))
        bound = max(bound, min(-(-total * price // most) for most, _, price in worth_of if most))
        missing = [worths.counts(length) for most, length, price in worth_of if most > FINENESS * price]
        if bound >= stop_at or not programme.add(missing):
            break
    return bound

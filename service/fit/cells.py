"""A table cell beside its calculation, and the counts over a table."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Literal

import msgspec

from service.sizing.calculated_result import Allowable
from service.timber.refusal import NoRule

Unit = Literal["span", "in", "ratio"]
STEPS: dict[Unit, float] = {"span": 1.0, "in": 1.0, "ratio": 0.01}
# Decimals such as 0.90 - 0.89 are not exactly 0.01.
SAME = 1e-9


class Cell(msgspec.Struct, frozen=True):
    """A printed cell and what calculation gives there; a null value is "not permitted".

    ``likely`` is what a suspect cell should read; ``refused`` says why there is no calculation at all.
    """

    name: str
    group: str
    printed: float | None
    calculated: float | None
    likely: float | None = None
    refused: str = ""

    @property
    def over(self) -> float:
        """How much more is printed than calculated; endless where only one of both permits."""
        if self.printed is None or self.calculated is None:
            return 0.0 if self.printed == self.calculated else math.inf * (-1 if self.printed is None else 1)
        return self.printed - self.calculated


class TableFit(msgspec.Struct, frozen=True):
    """A published table, or a column of one, beside a calculation of all its cells."""

    key: str
    kind: str
    edition: str
    document: str
    cells: tuple[Cell, ...]
    unit: Unit = "span"
    larger_is_safer: bool = False

    @property
    def compared(self) -> tuple[Cell, ...]:
        """The cells that can be calculated."""
        return tuple(cell for cell in self.cells if not cell.refused)

    @property
    def exact(self) -> int:
        """How many cells are as calculated, to the printed digit."""
        return sum(abs(cell.over) <= SAME for cell in self.compared)

    @property
    def beyond(self) -> tuple[Cell, ...]:
        """The cells more than an inch, or a hundredth of a factor, from what is calculated."""
        return tuple(cell for cell in self.compared if abs(cell.over) > STEPS[self.unit] + SAME)

    @property
    def within(self) -> int:
        """How many cells are within an inch, or a hundredth of a factor; exact ones count."""
        return len(self.compared) - len(self.beyond)

    @property
    def unsafe(self) -> tuple[Cell, ...]:
        """The cells beyond where the table asks less of the deck than the calculation."""
        sign = -1 if self.larger_is_safer else 1
        return tuple(cell for cell in self.beyond if sign * cell.over > 0)

    @property
    def suspect(self) -> tuple[Cell, ...]:
        """The cells that seem misprinted."""
        return tuple(cell for cell in self.cells if cell.likely is not None)


def calculated_cell(
    name: str,
    group: str,
    printed: float | None,
    found: Allowable | NoRule,
    likely: float | None = None,
) -> Cell:
    """Return the cell of a calculation whose refusal means that nothing is permitted."""
    return Cell(name, group, printed, None if isinstance(found, NoRule) else found.printed, likely)


def same_cells(one: TableFit, other: TableFit) -> bool:
    """Return whether two tables print the same cells, calculated alike."""
    return _printed(one.cells) == _printed(other.cells)


def _printed(cells: Iterable[Cell]) -> list[tuple[str, float | None, float | None]]:
    return [(cell.name, cell.printed, cell.calculated) for cell in cells]

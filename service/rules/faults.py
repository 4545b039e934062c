"""What is wrong with a rule file, and where."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True)
class TableFault:
    """One fault of a rule file; ``line`` counts from 1, ``column`` is the column's name where there is one.

    >>> str(TableFault("joist_spans.csv", 12, "max_span_in", "'abc' is not a number"))
    "joist_spans.csv:12: max_span_in: 'abc' is not a number"
    """

    file: str
    line: int
    column: str | None
    text: str

    def __str__(self) -> str:
        """Return the fault as file, line, column, text."""
        place = f"{self.file}:{self.line}: "
        return place + (f"{self.column}: {self.text}" if self.column else self.text)


class TableRefused(ValueError):
    """A rule file that is not taken, with every fault found in it."""

    def __init__(self, faults: Sequence[TableFault]) -> None:
        """Hold the faults in the order they stand in the files."""
        self.faults = tuple(faults)
        super().__init__("\n".join(map(str, self.faults)))

"""An uploaded price book as rows of text cells, whatever form it came in."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field


@dataclass(frozen=True)
class Sheet:
    """Cells by line and column.

    Attributes:
        head: cells that hold for the whole version, by key
        lines: cells of each line that has any, by its place in the list, from 0
        numbers: number of the row each line stands on, for people
        digest: digest that was sent along
        head_rows: number of the row of each key of the head, where it stands on one of its own
        sections: cells of each section that has any, by its place in the list, from 0
        section_numbers: number of the row each section stands on, for people
    """

    head: Mapping[str, str]
    lines: Mapping[int, Mapping[str, str]]
    numbers: Sequence[int]
    digest: str | None = None
    head_rows: Mapping[str, int] = field(default_factory=dict)
    sections: Mapping[int, Mapping[str, str]] = field(default_factory=dict)
    section_numbers: Sequence[int] = ()

    def row(self, table: str, place: int) -> int:
        """Return the number of the row of a line or section, for people."""
        return (self.numbers if table == "lines" else self.section_numbers)[place]

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
    """

    head: Mapping[str, str]
    lines: Mapping[int, Mapping[str, str]]
    numbers: Sequence[int]
    digest: str | None = None
    head_rows: Mapping[str, int] = field(default_factory=dict)

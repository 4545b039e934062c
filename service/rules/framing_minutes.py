"""How long the work of framing takes, parsed strictly from the text of its table."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal

import msgspec

from service.rules.faults import TableFault, TableRefused
from service.rules.struct_rows import Source, Status, Word, struct_rows

FILE = "framing_minutes.csv"
Whole = Annotated[int, msgspec.Meta(gt=0, le=10_000)]


class WorkRow(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """How many minutes one person takes for one piece of work, and where that comes from."""

    work: Word
    minutes: Whole
    per: Literal["piece", "each", "row", "day"]
    status: Status
    source: Source


@dataclass(frozen=True)
class FramingMinutes:
    """Minutes one person takes, whole ones, so that sums of them are exact.

    For a joist's piece, a board of rim, of ledger and of a beam's ply; for one ledger fastener with its washers, one
    hanger, one uplift tie and one post with its cap; for a whole row of beam. ``crew_day`` is a working day.
    """

    joist: int
    rim: int
    ledger: int
    ledger_fastener: int
    hanger: int
    uplift_tie: int
    beam_ply: int
    beam: int
    post: int
    crew_day: int


WORKS: tuple[str, ...] = tuple(FramingMinutes.__dataclass_fields__)


def parse_framing_minutes(text: str) -> FramingMinutes:
    """Return the minutes of framing from the text of their table; every row names its source.

    Args:
        text: CSV with the columns of ``WorkRow``, a row for each of ``WORKS``.

    Raises:
        TableRefused: a column, a cell or a row is wrong, missing, or given twice.

    >>> try:
    ...     parse_framing_minutes("work,minutes,per,status,source\\njoist,-1,piece,memory,a guess\\n")
    ... except TableRefused as refused:
    ...     print(refused.faults[0])
    framing_minutes.csv:2: minutes: Expected `int` >= 1
    """
    faults: list[TableFault] = []
    rows = struct_rows(FILE, text, WorkRow, ("work",), faults)
    if not faults:
        faults += _of_set(rows)
    if faults:
        raise TableRefused(faults)
    return FramingMinutes(**{row.work: row.minutes for row in rows})


def _of_set(rows: list[WorkRow]) -> list[TableFault]:
    """Faults between rows; they stand from line 2 on, without blank lines."""
    given = {row.work for row in rows}
    faults = [TableFault(FILE, 1, "work", f"{work} is missing") for work in WORKS if work not in given]
    for line, row in enumerate(rows, start=2):
        if row.work not in WORKS:
            faults.append(TableFault(FILE, line, "work", f"unknown work {row.work}"))
    return faults

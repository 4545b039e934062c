"""Tables whose every row is one struct: read strictly from CSV, every fault with its file and line."""

from __future__ import annotations

import csv
from typing import Annotated, Literal, TypeVar

import msgspec

from service.rules.faults import TableFault

Status = Literal["two_sources", "one_source", "second_hand", "memory", "common_practice", "own_convention"]
Source = Annotated[str, msgspec.Meta(min_length=1, max_length=200)]
Word = Annotated[str, msgspec.Meta(pattern=r"^[a-z][a-z0-9_-]*$")]
Positive = Annotated[float, msgspec.Meta(gt=0, le=1_000_000)]
NotNegative = Annotated[float, msgspec.Meta(ge=0, le=1_000_000)]
T = TypeVar("T", bound=msgspec.Struct)


def struct_rows(
    file: str, text: str, kind: type[T], key: tuple[str, ...], faults: list[TableFault]
) -> list[T]:
    """Return the rows of a table that can be read; what is wrong with the others is added to ``faults``.

    Args:
        file: named in the faults
        text: CSV whose header line names the fields of ``kind``, in their order
        kind: what a row is
        key: the fields that no two rows may share
        faults: taken over from other tables, and added to

    >>> class Row(msgspec.Struct):
    ...     name: Word
    ...     value_in: Positive
    >>> faults = []
    >>> len(struct_rows("sizes.csv", "name,value_in\\na,1\\na,2\\nb,-1\\n", Row, ("name",), faults))
    2
    >>> print(*faults, sep="\\n")
    sizes.csv:3: name: same key as line 2
    sizes.csv:4: value_in: Expected `float` > 0.0
    """
    wanted = kind.__struct_fields__
    try:
        lines = list(csv.reader(text.splitlines(), strict=True))
    except csv.Error as error:
        faults.append(TableFault(file, 1, None, f"cannot be read as CSV: {error}"))
        return []
    if not lines or tuple(lines[0]) != wanted:
        given = ",".join(lines[0]) if lines else "none"
        columns = f"the columns are {given}; they must be {','.join(wanted)}"
        faults.append(TableFault(file, 1, None, columns))
        return []
    found: list[T] = []
    first: dict[tuple[object, ...], int] = {}
    for number, cells in enumerate(lines[1:], start=2):
        row = _row(file, number, kind, cells, faults)
        if row is None:
            continue
        place = first.setdefault(tuple(getattr(row, part) for part in key), number)
        if place != number:
            faults.append(TableFault(file, number, key[0], f"same key as line {place}"))
        found.append(row)
    return found


def _row(file: str, line: int, kind: type[T], cells: list[str], faults: list[TableFault]) -> T | None:
    names = kind.__struct_fields__
    if len(cells) != len(names):
        faults.append(TableFault(file, line, None, f"{len(cells)} cells where {len(names)} are needed"))
        return None
    try:
        return msgspec.convert(dict(zip(names, cells, strict=True)), kind, strict=False)
    except msgspec.ValidationError as error:
        what, _, path = str(error).partition(" - at `$.")
        faults.append(TableFault(file, line, path.strip("`") or None, what))
        return None

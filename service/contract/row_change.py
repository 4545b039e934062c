"""A change of one row of a rule table, as it is sent and as a comparison of two versions can be turned into."""

from __future__ import annotations

from typing import Annotated, Literal

import msgspec
from msgspec import Meta

MOST_CHANGES, LONGEST_CELL = 10_000, 2_000
RowChangeKind = Literal["added", "removed", "changed"]
TableName = Annotated[str, Meta(pattern=r"^[a-z][a-z0-9_]{0,47}$", max_length=48)]
CellValue = Annotated[
    str,
    Meta(
        max_length=LONGEST_CELL,
        description="The cell as the table prints it; the empty text is an empty cell",
        examples=["40"],
    ),
]


class CellText(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A cell of a row, by its column."""

    column: Annotated[
        str, Meta(pattern=r"^[a-z][a-z0-9_]*$", description="Name of a column", examples=["load_psf"])
    ]
    value: CellValue


class RowChange(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One row added, removed or changed. `key` names it by every key column of its table.

    Numbers in a key are compared as numbers: "40" is the row printed "40.0".
    """

    table: Annotated[TableName, Meta(description="Name of the table", examples=["joist_spans"])]
    change: Annotated[RowChangeKind, Meta(description="What is done to the row", examples=["changed"])]
    key: Annotated[
        tuple[CellText, ...],
        Meta(min_length=1, max_length=12, description="Which row: every key column with its cell"),
    ]
    cells: Annotated[
        tuple[CellText, ...],
        Meta(
            max_length=24,
            description="Other cells: the new ones of a changed row, all that are not empty of an added row",
        ),
    ] = ()

"""What of a rulebook's tables no design reads: a change there would be told as kept to, and not be."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from service.rules.amendment import Amendment
from service.rules.figures import LOCAL_FIGURES, READ_FIGURES
from service.rules.kinds import LIMIT_TABLES
from service.rules.lookups import exact
from service.rules.table import Table, Value

UNREAD_TABLES = ("post_heights_live_60",)
# Columns of joist spans that one look-up rule alone reads.
JOIST_COLUMNS = {
    "max_cantilever_in": "column_and_quarter",
    "max_span_with_cantilever_in": "with_cantilever_column",
}
PLACEMENT_READ = {
    ("ledger", "top edge distance"): ("min_in",),
    ("ledger", "bottom edge distance"): ("min_in",),
    ("ledger", "end distance"): ("min_in", "max_in"),
    ("ledger", "row spacing"): ("min_in", "max_in"),
    ("band joist", "top edge distance"): ("min_in",),
    ("band joist", "bottom edge distance"): ("min_in",),
}
PLACEMENT_READ_BY_SIZE = "bottom fastener row to top edge of ledger"


def unread(tables: Mapping[str, Table], amendment: Amendment, rows: Collection[int]) -> str:
    """Return why no design keeps to an amendment of these rows; an empty string where one does."""
    table = amendment.table
    if table in UNREAD_TABLES:
        return f"changes {table}, which no design reads: tell of it in local_notes"
    if table in LIMIT_TABLES and amendment.key not in (*READ_FIGURES, *LOCAL_FIGURES):
        return f"changes {amendment.key}, which no check reads as a figure: tell of it in local_notes"
    if table == "joist_spans":
        return _joist_columns(tables, amendment)
    if table == "ledger_placement":
        return _placement(tables[table], amendment, rows)
    return ""


def _joist_columns(tables: Mapping[str, Table], amendment: Amendment) -> str:
    rule: Value = exact(tables["settings"], {"key": "joist_cantilever_rule"}, "value").text
    for name in amendment.cells:
        if JOIST_COLUMNS.get(name, rule) != rule:
            return f"changes {name}, which this edition's look-up does not read"
    return ""


def _placement(table: Table, amendment: Amendment, rows: Collection[int]) -> str:
    for row in rows:
        member, dimension = str(table.cell(row, "member")), str(table.cell(row, "dimension"))
        by_size = dimension == PLACEMENT_READ_BY_SIZE
        read = ("min_in",) if by_size else PLACEMENT_READ.get((member, dimension), ())
        for name in amendment.cells:
            if name not in read:
                return f"changes {name} of {member} {dimension}, which no design reads: tell of it in local_notes"
    return ""

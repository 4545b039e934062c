"""Citations and working of a table reading, made only when somebody asks for them."""

from __future__ import annotations

from collections.abc import Mapping

from service.rules.kinds import CORRECTED, SUSPECT, VERIFIED_STATUS
from service.rules.table import Table, Value
from service.units.citation import Citation, CitedRow
from service.units.working import Step

OWN_CONVENTION = "convention of this service"
# Best known first: a value made of two rows is only as well known as the weaker.
WEAKNESS = ("two_sources", "one_source", "second_hand", "common_practice", "own_convention", "memory")


def shown(value: Value) -> str:
    """Return a cell as it is printed.

    >>> shown(96.0), shown(0.5), shown("2x10"), shown(None)
    ('96', '0.5', '2x10', '')
    """
    if value is None:
        return ""
    return f"{value:g}" if isinstance(value, (int, float)) else value


def _source(table: Table, row: int) -> Mapping[str, Value]:
    """The source of a row as document words: from the sources table, or from the row itself."""
    cells = dict(zip(table.columns, table.rows[row], strict=True))
    if "source_id" in cells and table.name != "sources":
        named = table.sources.get(str(cells["source_id"]))
        if named:
            return {"verified": named[2], "printed": named[5]}
    return cells


def _status(table: Table, row: int) -> str:
    source = _source(table, row)
    if "status" in source:
        return str(source["status"])
    return VERIFIED_STATUS.get(str(source.get("verified")), "one_source")


def _keys(table: Table, rows: tuple[int, ...], asked: Mapping[str, Value]) -> list[CitedRow]:
    if not rows:
        return [CitedRow(name, shown(value)) for name, value in asked.items() if value is not None]
    cited: list[CitedRow] = []
    for name, place in table.key_positions.items():
        for value in dict.fromkeys(table.rows[row][place] for row in rows):
            if value is not None:
                cited.append(CitedRow(name, shown(value)))
    return cited


def _printed_notes(table: Table, column: str, rows: tuple[int, ...]) -> list[CitedRow]:
    """What a suspect, corrected or amended cell prints, so that nobody has to trust our reading of it."""
    notes: list[CitedRow] = []
    for row in rows:
        amended = table.amended.get((row, column))
        if amended:
            notes.append(CitedRow("printed_before_amendment", amended.printed))
            continue
        flag = table.cell(row, "flag") if "flag" in table.kind.position else None
        likely = table.kind.likely.get(column)
        if flag == SUSPECT and likely and table.cell(row, likely) is not None:
            notes.append(CitedRow("printed", shown(table.cell(row, column))))
            notes.append(CitedRow("likely", shown(table.cell(row, likely))))
        if flag == CORRECTED:
            notes.append(CitedRow("printed", shown(table.cell(row, "printed_text"))))
    return notes


def _section_and_table(table: Table, rows: tuple[int, ...]) -> tuple[str, str | None]:
    source = _source(table, rows[0]) if rows else {}
    named = source.get("section") or source.get("printed")
    if not named and source.get("source"):
        read_in = str(source["source"])
        return read_in, (table.printed or None) if "Table" in read_in else None
    if not named:
        return table.section, table.printed or None
    words = str(named)
    return (words.removeprefix("Table "), words) if words.startswith("Table ") else (words, None)


def cite(table: Table, column: str, rows: tuple[int, ...], asked: Mapping[str, Value]) -> Citation:
    """Return the citation of the cells read; of the amendment where a local one changed them."""
    keys = tuple(_keys(table, rows, asked) + _printed_notes(table, column, rows))
    amended = next((table.amended[(r, column)] for r in rows if (r, column) in table.amended), None)
    if amended:
        law = amended.citation
        return Citation(
            law.document, law.edition, law.section, law.table, keys, column, table.url, law.status
        )
    section, printed = _section_and_table(table, rows)
    status = max((_status(table, row) for row in rows), key=WEAKNESS.index, default="one_source")
    if status == "own_convention":
        return Citation(OWN_CONVENTION, None, section, None, keys, column, table.url, status)
    return Citation(table.document, table.edition or None, section, printed, keys, column, table.url, status)


def working(
    table: Table, column: str, rows: tuple[int, ...], share: float, value: float | None
) -> tuple[Step, ...]:
    """Return the steps from printed cells to the value used."""
    unit = _unit(table, column, rows)
    steps = [_cell_step(table, column, row, unit) for row in rows]
    for row in rows:
        likely = table.kind.likely.get(column)
        if likely and table.cell(row, likely) is not None and (row, column) not in table.amended:
            steps.append(_cell_step(table, likely, row, unit))
    if len(rows) > 1:
        steps.append(Step("share", share, None, "ratio", "distance between the two printed rows"))
    if value is not None and len(steps) > 1:
        how = "interpolated between printed rows" if len(rows) > 1 else "safer of printed and likely"
        steps.append(Step(column, value, None, unit, how))
    return tuple(steps)


def _unit(table: Table, column: str, rows: tuple[int, ...]) -> str | None:
    if column == "value" and rows:
        own = table.cell(rows[0], "unit")
        return str(own) if own else None
    unit = table.kind.columns[table.kind.position[column]].unit
    return None if unit in ("-", "text") else unit


def _cell_step(table: Table, column: str, row: int, unit: str | None) -> Step:
    cell = table.cell(row, column)
    keys = ", ".join(
        shown(table.rows[row][p]) for p in table.key_positions.values() if table.rows[row][p] is not None
    )
    place = f"{table.name} [{keys}]"
    if isinstance(cell, float):
        return Step(column, cell, None, unit, place)
    return Step(column, None, cell or "not permitted", unit, place)

"""Citations and working of a table reading, made only when somebody asks for them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from service.rules.kinds import CORRECTED, VERIFIED_STATUS
from service.rules.table import Amended, Table, Value
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
    if not rows:
        return _cited(table, column, rows, asked)
    found = table.citations.get((column, rows))
    if found is None:
        found = table.citations[column, rows] = _cited(table, column, rows, asked)
    return found


def _cited(table: Table, column: str, rows: tuple[int, ...], asked: Mapping[str, Value]) -> Citation:
    keys = tuple(_keys(table, rows, asked))
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
    """Return the steps from printed cells to the value used.

    A cell that a local amendment, a correction or a likely value stands in for is shown too.
    """
    unit = _unit(table, column, rows)
    told = [_cell_steps(table, column, row, unit) for row in rows]
    steps = [step for read, _ in told for step in read]
    likely = [step for _, seen in told for step in seen]
    if len(rows) > 1:
        likely.append(Step("share", share, None, "ratio", "distance between the two printed rows"))
    if value is not None and likely:
        how = "interpolated between printed rows" if len(rows) > 1 else "safer of printed and likely"
        likely.append(Step(column, value, None, unit, how))
    return (*steps, *likely)


def _cell_steps(
    table: Table, column: str, row: int, unit: str | None
) -> tuple[tuple[Step, ...], tuple[Step, ...]]:
    """The steps of one cell, made once; the unit of a column of single figures is that of the row."""
    found = table.cell_steps.get((column, row))
    if found is None:
        read, likely = _row_steps(table, column, row, unit), _likely_steps(table, column, row, unit)
        found = table.cell_steps[column, row] = tuple(read), tuple(likely)
    return found


def _row_steps(table: Table, column: str, row: int, unit: str | None) -> list[Step]:
    """The cell read; before it what the code prints where a local law changed it, or where it was corrected."""
    place = _place(table, row)
    amended = table.amended.get((row, column))
    if amended:
        return list(_law_steps(amended.in_order, column, table.cell(row, column), unit, place))
    read = _step(column, table.cell(row, column), unit, place)
    if "flag" in table.kind.position and table.cell(row, "flag") == CORRECTED:
        return [_step("printed", table.cell(row, "printed_text"), None, f"{place}, a misprint"), read]
    return [read]


def _law_steps(
    laws: Sequence[Amended], column: str, value: Value, unit: str | None, place: str
) -> Iterator[Step]:
    """What the code prints, then what each amendment in turn makes of it."""
    if laws[0].change != "added":
        yield _step("printed_before_amendment", laws[0].printed, unit, place)
    after = (*(law.printed for law in laws[1:]), value)
    for law, made in zip(laws, after, strict=True):
        told = " ".join(filter(None, (law.citation.document, law.citation.section)))
        if law.change == "removed":
            yield Step(column, None, "removed", unit, f"{place}, taken out by {told}")
        else:
            yield _step(column, made, unit, f"{place}, as {told} has it")


def _likely_steps(table: Table, column: str, row: int, unit: str | None) -> list[Step]:
    likely = table.kind.likely.get(column)
    if likely is None or table.cell(row, likely) is None or (row, column) in table.amended:
        return []
    return [_step(likely, table.cell(row, likely), unit, _place(table, row))]


def _unit(table: Table, column: str, rows: tuple[int, ...]) -> str | None:
    if column == "value" and rows:
        own = table.cell(rows[0], "unit")
        return str(own) if own else None
    unit = table.kind.columns[table.kind.position[column]].unit
    return None if unit in ("-", "text") else unit


def _place(table: Table, row: int) -> str:
    cells = (table.rows[row][place] for place in table.key_positions.values())
    return f"{table.name} [{', '.join(shown(cell) for cell in cells if cell is not None)}]"


def _step(symbol: str, cell: Value, unit: str | None, source: str) -> Step:
    if isinstance(cell, float):
        return Step(symbol, cell, None, unit, source)
    return Step(symbol, None, cell or "not permitted", unit, source)

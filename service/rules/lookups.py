"""The few named ways a table is read: exact, next row up, linear between rows, largest that covers."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from service.rules.citing import cite, working
from service.rules.kinds import NOT_PERMITTED, SUSPECT
from service.rules.table import Table, Value
from service.units.citation import Citation
from service.units.working import Step

Outcome = Literal["found", "not_permitted", "off_table"]
Key = Mapping[str, Value]

# A span that is arithmetic on decimals must not miss the printed row it equals.
SAME = 1e-9


@dataclass(frozen=True, slots=True)
class Reading:
    """What a table gave: a value, a "not permitted", or nothing because the case is off the table.

    ``value`` is the safer of printed and likely where a row is suspect; ``text`` is the cell as printed.
    ``rows`` are the rows read (two where the value lies between them), ``share`` how far towards the second.
    """

    table: Table
    column: str
    key: Key
    value: float | None
    outcome: Outcome
    rows: tuple[int, ...] = ()
    share: float = 0.0
    why_not: str = ""

    @property
    def found(self) -> bool:
        """Whether the table covers the case and permits it."""
        return self.outcome == "found"

    @property
    def why(self) -> str:
        """One line for people: what was read, or why nothing was."""
        if self.outcome == "found":
            return f"read from {self.table.name}"
        asked = ", ".join(f"{name} {_plain(value)}" for name, value in self.key.items())
        reason = self.why_not or ("not permitted" if self.outcome == "not_permitted" else "off the table")
        return f"{self.table.name}: {reason} ({asked})"

    @property
    def printed(self) -> float | None:
        """The printed value, before a safer likely one was taken; null where interpolated."""
        if len(self.rows) != 1:
            return None
        value = self.table.cell(self.rows[0], self.column)
        return value if isinstance(value, float) else None

    @property
    def text(self) -> str:
        """The cell as a word where it holds no number, else an empty string."""
        value = self.table.cell(self.rows[0], self.column) if self.rows else None
        return value if isinstance(value, str) else ""

    @property
    def suspect(self) -> bool:
        """Whether a row read is printed out of family for this column."""
        return any(_likely(self.table, row, self.column) is not None for row in self.rows)

    @property
    def amended(self) -> tuple[str, ...]:
        """Ids of the local amendments that changed a cell read."""
        marks = (self.table.amended.get((row, self.column)) for row in self.rows)
        return tuple(mark.id for mark in marks if mark)

    @property
    def citation(self) -> Citation:
        """The document, table, rows and column behind the value."""
        return cite(self.table, self.column, self.rows, self.key)

    @property
    def steps(self) -> tuple[Step, ...]:
        """The reading as working: cells as printed, likely values, and the value used."""
        return working(self.table, self.column, self.rows, self.share, self.value)


def _plain(value: Value) -> str:
    return f"{value:g}" if isinstance(value, (int, float)) else str(value)


def _likely(table: Table, row: int, column: str) -> float | None:
    name = table.kind.likely.get(column)
    if name is None or table.cell(row, "flag") != SUSPECT or (row, column) in table.amended:
        return None
    value = table.cell(row, name)
    return value if isinstance(value, float) else None


def safe_value(table: Table, row: int, column: str) -> float | None:
    """Return what is read of a cell: where its row is suspect, the safer of printed and likely; None of no number."""
    value = table.rows[row][table.kind.position[column]]
    if not isinstance(value, float):
        return None
    likely = _likely(table, row, column)
    if likely is None:
        return value
    return min(value, likely) if table.kind.safer[column] == "smaller" else max(value, likely)


def _blank_outcome(table: Table, row: int, column: str) -> Outcome:
    """A blank cell is a prohibition only where the table says so; a cell with a word was found."""
    if table.cell(row, column) is not None:
        return "found"
    flagged = "flag" in table.kind.position and table.cell(row, "flag") == NOT_PERMITTED
    return "not_permitted" if flagged else "off_table"


def _reading(table: Table, key: Key, column: str, row: int) -> Reading:
    value = safe_value(table, row, column)
    outcome: Outcome = "found" if value is not None else _blank_outcome(table, row, column)
    return Reading(table, column, key, value, outcome, (row,))


def _off(table: Table, key: Key, column: str, why_not: str) -> Reading:
    return Reading(table, column, key, None, "off_table", why_not=why_not)


def _given(table: Table, key: Key, left_out: int) -> tuple[str, ...]:
    given = tuple(name for name in table.key_positions if name in key)
    if len(given) != len(key) or len(given) != len(table.key_positions) - left_out:
        wanted = " ".join(table.key_positions)
        raise KeyError(f"{table.name} is read by {wanted}; {left_out} to be left out, given {' '.join(key)}")
    return given


def exact(table: Table, key: Key, column: str) -> Reading:
    """Return the cell of the row with this whole key."""
    given = _given(table, key, 0)
    row = table.by_key.get(tuple(key[name] for name in given))
    return _off(table, key, column, "no such row") if row is None else _reading(table, key, column, row)


def next_row_up(table: Table, key: Key, column: str, x: float) -> Reading:
    """Return the cell of the first row at or above ``x`` along the key column that ``key`` leaves out."""
    given = _given(table, key, 1)
    group = table.groups(given).get(tuple(key[name] for name in given))
    if group is None:
        return _off(table, key, column, "no such rows")
    place = bisect_left(group.along, x - SAME)
    if place == len(group.along):
        return _off(table, key, column, f"{x:g} is past the last row, {group.along[-1]:g}")
    return _reading(table, key, column, group.rows[place])


def linear(table: Table, key: Key, column: str, x: float) -> Reading:
    """Return the value at ``x`` on the straight line between two printed rows; never beyond the printed ones.

    Next to a "not permitted" cell there is no line: the reading is "not permitted".
    """
    given = _given(table, key, 1)
    group = table.groups(given).get(tuple(key[name] for name in given))
    if group is None:
        return _off(table, key, column, "no such rows")
    along = group.along
    place = bisect_left(along, x - SAME)
    if place == len(along) or x < along[0] - SAME:
        return _off(table, key, column, f"{x:g} is outside the rows, {along[0]:g} to {along[-1]:g}")
    if abs(along[place] - x) <= SAME:
        return _reading(table, key, column, group.rows[place])
    share = (x - along[place - 1]) / (along[place] - along[place - 1])
    return _between(table, key, column, (group.rows[place - 1], group.rows[place]), share)


def _between(table: Table, key: Key, column: str, rows: tuple[int, int], share: float) -> Reading:
    low, high = (safe_value(table, row, column) for row in rows)
    if low is None or high is None:
        blank = rows[0] if low is None else rows[1]
        return Reading(table, column, key, None, _blank_outcome(table, blank, column), rows, share)
    return Reading(table, column, key, low + share * (high - low), "found", rows, share)


def largest_covering(table: Table, key: Key, column: str, at_least: Mapping[str, float]) -> Reading:
    """Return the largest value of the rows whose ``at_least`` columns reach what is asked; no blending.

    A row that a local amendment lowered or removed is not read past: no row as harsh as it, or harsher, gives more.
    """
    places = [(table.key_positions[name], least - SAME) for name, least in at_least.items()]
    asked = {**key, **at_least}
    covering: list[int] = []
    best: tuple[float, int] | None = None
    for row in table.rows_with(key):
        cells = table.rows[row]
        if all(_reaches(cells[place], least) for place, least in places):
            covering.append(row)
            value = safe_value(table, row, column)
            if value is not None and (best is None or value > best[0]):
                best = (value, row)
    if best is None:
        return _off(table, asked, column, "no printed row covers this")
    return _reading(table, asked, column, _amended_before(table, column, covering, best[1], tuple(at_least)))


def _amended_before(
    table: Table, column: str, covering: Sequence[int], best: int, names: Sequence[str]
) -> int:
    """The row that caps the best one: of the amended rows no harsher than it, the least; a removed one first."""
    caps = [best]
    for row in covering if table.amended else ():
        if (row, column) in table.amended and all(
            _reaches(table.cell(best, name), _least(table.cell(row, name))) for name in names
        ):
            caps.append(row)
    return min(caps, key=lambda row: safe_value(table, row, column) or 0.0)


def _reaches(cell: Value, least: float) -> bool:
    return isinstance(cell, float) and cell >= least


def _least(cell: Value) -> float:
    return cell if isinstance(cell, float) else 0.0


def at_or_above(values: tuple[float, ...], x: float) -> float | None:
    """Return the first printed value at or above ``x``, or None past the last.

    >>> at_or_above((40.0, 50.0, 60.0, 70.0), 45), at_or_above((40.0,), 41)
    (50.0, None)
    """
    return next((value for value in values if value >= x - SAME), None)


def at_or_below(values: tuple[float, ...], x: float) -> float | None:
    """Return the last printed value at or below ``x``, or None before the first.

    >>> at_or_below((1500.0, 2000.0, 3000.0), 2400), at_or_below((1500.0,), 1000)
    (2000.0, None)
    """
    return next((value for value in reversed(values) if value <= x + SAME), None)

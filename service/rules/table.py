"""One published table, as parsed: typed rows, the sources they cite and the local amendments on them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal, NamedTuple

from service.rules.kinds import KINDS, SPECIES_GROUPS, TableKind
from service.units.citation import Citation
from service.units.working import Step

Value = float | str | None
Row = tuple[Value, ...]


class Group(NamedTuple):
    """The rows that share a partial key, by rising value of the key column left out."""

    along: tuple[float, ...]
    rows: tuple[int, ...]


@dataclass(frozen=True)
class Amended:
    """What a local amendment did to one cell: its id, what stood there before, and its citation.

    ``earlier`` is the amendment that had changed it before this one did.
    """

    id: str
    printed: Value
    citation: Citation
    change: Literal["changed", "added", "removed"] = "changed"
    earlier: Amended | None = None

    @property
    def in_order(self) -> tuple[Amended, ...]:
        """Every amendment of the cell, the first first."""
        return (*(self.earlier.in_order if self.earlier else ()), self)


@dataclass(frozen=True, eq=False)
class Table:
    """A table of a rulebook; ``text`` is its canonical text and ``digest`` the SHA-256 of it.

    Rows ``removed`` by a local amendment keep their place and have lost their values: who comes to one is off the
    table, and doesn't read past it.
    """

    name: str
    rulebook_id: str
    document: str
    section: str
    printed: str
    checked_on: str
    note: str
    rows: tuple[Row, ...]
    text: str
    digest: str
    edition: str = ""
    version: int = 1
    sources: Mapping[str, Row] = field(default_factory=dict)
    amended: Mapping[tuple[int, str], Amended] = field(default_factory=dict)
    removed: frozenset[int] = frozenset()

    @property
    def kind(self) -> TableKind:
        """The declared kind of the table."""
        return KINDS[self.name]

    @property
    def columns(self) -> tuple[str, ...]:
        """Column names, in the order printed."""
        return tuple(self.kind.position)

    @property
    def url(self) -> str:
        """Where the whole table is served."""
        return f"/v1/rulebooks/{self.rulebook_id}/versions/{self.version}/tables/{self.name}"

    @cached_property
    def key_positions(self) -> Mapping[str, int]:
        """Key column to its place in a row, in key order."""
        return {name: self.kind.position[name] for name in self.kind.key}

    @cached_property
    def citations(self) -> dict[tuple[str, tuple[int, ...]], Citation]:
        """Citations already made, by column and rows: a table never changes, so they don't either."""
        return {}

    @cached_property
    def cell_steps(self) -> dict[tuple[str, int], tuple[tuple[Step, ...], tuple[Step, ...]]]:
        """Steps already made of a cell, by column and row: those it is read by, and its likely value."""
        return {}

    @cached_property
    def _groups(self) -> dict[tuple[str, ...], dict[tuple[Value, ...], Group]]:
        return {}

    @cached_property
    def by_key(self) -> Mapping[tuple[Value, ...], int]:
        """Whole key to row number."""
        places = tuple(self.key_positions.values())
        return {tuple(row[p] for p in places): number for number, row in enumerate(self.rows)}

    def cell(self, row: int, column: str) -> Value:
        """Return one cell."""
        return self.rows[row][self.kind.position[column]]

    def groups(self, given: tuple[str, ...]) -> Mapping[tuple[Value, ...], Group]:
        """Return the rows grouped by the ``given`` key columns, sorted along the one left out."""
        found = self._groups.get(given)
        if found is None:
            found = self._groups[given] = self._grouped(given)
        return found

    @cached_property
    def _partial(self) -> dict[tuple[str, ...], dict[tuple[Value, ...], list[int]]]:
        return {}

    def rows_with(self, key: Mapping[str, Value]) -> Sequence[int]:
        """Return the numbers of the rows that have these values, by any of the key columns."""
        given = tuple(name for name in self.key_positions if name in key)
        found = self._partial.get(given)
        if found is None:
            found = {}
            for number, row in enumerate(self.rows):
                found.setdefault(tuple(row[self.key_positions[name]] for name in given), []).append(number)
            self._partial[given] = found
        return found.get(tuple(key[name] for name in given), ())

    def _grouped(self, given: tuple[str, ...]) -> dict[tuple[Value, ...], Group]:
        places = [self.key_positions[name] for name in given]
        left_out = [place for name, place in self.key_positions.items() if name not in given]
        gathered: dict[tuple[Value, ...], list[tuple[float, int]]] = {}
        for number, row in enumerate(self.rows):
            along = row[left_out[0]]
            if isinstance(along, float):
                gathered.setdefault(tuple(row[p] for p in places), []).append((along, number))
        return {
            key: Group(tuple(a for a, _ in sorted(found)), tuple(n for _, n in sorted(found)))
            for key, found in gathered.items()
        }

    @cached_property
    def _printed_values(self) -> Mapping[str, tuple[float, ...]]:
        return {
            name: tuple(sorted({cell for row in self.rows if isinstance(cell := row[place], float)}))
            for name, place in self.key_positions.items()
        }

    def printed_values(self, column: str) -> tuple[float, ...]:
        """Return the distinct numbers printed in a key column, rising: loads, spans, areas, soil columns."""
        return self._printed_values[column]

    def species_group(self, species: str) -> str | None:
        """Return the table's own group for a species, or None where the table has no rows for it."""
        return self._species_groups.get(species)

    @cached_property
    def _species_groups(self) -> Mapping[str, str]:
        place = self.kind.position["species_group"]
        printed = {str(row[place]) for row in self.rows}
        return {species: group for group in printed for species in SPECIES_GROUPS[group]}

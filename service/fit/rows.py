"""Rows of a rulebook table by column, and how a cell is named on the page."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from service.rules.rulebook import Rulebook
from service.rules.table import Value

Record = Mapping[str, Value]
Books = Mapping[str, Rulebook]
GROUPS = {
    "southern_pine": "pine",
    "douglas_fir_larch_hem_fir_spruce_pine_fir": "firs",
    "redwood_western_cedars_ponderosa_red_pine": "cedars",
    "df_hf_spf_and_redwood_cedar_ponderosa_red_pine": "firs and cedars",
    "any": "any species",
}
LIVE_PSF = 40.0


def records(book: Rulebook, table: str) -> Iterator[Record]:
    """Yield the rows of a table by column name."""
    found = book.tables[table]
    return (dict(zip(found.columns, row, strict=True)) for row in found.rows)


def number(row: Record, column: str) -> float:
    """Return a cell that holds a number.

    Raises:
        TypeError: the cell is blank or a word
    """
    value = row[column]
    if not isinstance(value, float):
        raise TypeError(f"{column} holds {value!r}, not a number")
    return value


def number_or_none(row: Record, column: str) -> float | None:
    """Return a cell that holds a number or is blank."""
    return None if row.get(column) is None else number(row, column)


def text(row: Record, column: str) -> str:
    """Return a cell that holds a word; an empty word where it is blank."""
    return str(row[column] or "")


def group_of(row: Record) -> str:
    """Return the short name of the row's species group."""
    return GROUPS[text(row, "species_group")]


def load_kind(row: Record) -> str:
    """Return what varies: the tables for more than 40 psf are for snow."""
    return "snow" if number(row, "load_psf") > LIVE_PSF else "live"


def document(book: Rulebook, table: str) -> str:
    """Return where a table is printed."""
    found = book.tables[table]
    name = found.document if found.document.endswith(book.edition) else f"{found.document} {book.edition}"
    return f"{name}, {found.printed}"

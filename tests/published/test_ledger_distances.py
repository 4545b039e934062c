"""Edge distances and row spacing of ledgers against the printed table.

International Residential Code Table R507.9.1.3(2) (2015: Table R507.2.1), two sources. The distance from lower
row to ledger top is from memory of Figure R507.9.1.3(1).
"""

from __future__ import annotations

import pytest

from service.connections.ledger_placement import row_limits
from service.rules.rulebook import Rulebook, build_rulebook
from service.store.bundled import bundled

BOOKS: dict[str, Rulebook] = {}
TABLES = {"2015": "R507.2.1", "2018": "R507.9.1.3(2)", "2021": "R507.9.1.3(2)", "2024": "R507.9.1.3(2)"}
DISTANCES = {
    "ledger_top": 2.0,
    "ledger_bottom": 0.75,
    "band_top": 0.75,
    "band_bottom": 2.0,
    "rows_apart_least": 1.625,
    "rows_apart_most": 5.0,
}
REMEMBERED = {"2x8": 5.5, "2x10": 6.5, "2x12": 7.5}


def book(edition: str) -> Rulebook:
    if not BOOKS:
        BOOKS.update({b.id: b for b in (build_rulebook(one.meta, one.tables) for one in bundled().rulebooks)})
    return BOOKS[f"irc-{edition}"]


CASES = [(edition, name) for edition in TABLES for name in DISTANCES]


@pytest.mark.parametrize(("edition", "name"), CASES, ids=[f"IRC-{e}-Table-{TABLES[e]}-{n}" for e, n in CASES])
def test_printed_distance(edition: str, name: str) -> None:
    reading = getattr(row_limits(book(edition), "2x10"), name)
    assert reading.value == DISTANCES[name]
    assert reading.citation.status == "two_sources"
    assert reading.citation.table == f"Table {TABLES[edition]}"


@pytest.mark.parametrize("edition", TABLES)
@pytest.mark.parametrize("size", REMEMBERED, ids=lambda s: f"IRC-Figure-R507.9.1.3(1)-from-memory-{s}")
def test_remembered_distance(edition: str, size: str) -> None:
    reading = row_limits(book(edition), size).lower_row_to_ledger_top
    assert (reading.value, reading.citation.status) == (REMEMBERED[size], "memory")


def test_no_distance_is_remembered_for_a_2x6() -> None:
    assert row_limits(book("2021"), "2x6").lower_row_to_ledger_top.value is None

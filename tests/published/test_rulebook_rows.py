"""Every rulebook row against the published figures: none missing, none added, none changed."""

from __future__ import annotations

import csv
from collections import Counter
from functools import cache
from pathlib import Path

import pytest

REFERENCE = Path(__file__).parent / "reference" / "code"
RULEBOOKS = Path(__file__).parents[2] / "service" / "rulebooks"
OURS_ONLY = ("edition", "key", "printed")
EDITIONS = ("2015", "2018", "2021", "2024")
COPIED_FROM = {
    "joist_spans": "joist_spans",
    "joist_cantilevers": "joist_cantilevers_2021_2024",
    "beam_spans": "beam_spans",
    "beam_joist_span_factors": "beam_joist_span_factors_2021",
    "post_heights": "post_heights",
    "footing_sizes": "footing_sizes",
    "ledger_fasteners": "ledger_fasteners",
    "ledger_placement": "ledger_placement",
    "decking_joist_spacing": "decking_joist_spacing",
    "stair_and_guard_limits": "stairs_guards",
    "loads_and_soil": "loads_soil",
    "connection_rules": "ledger_lateral_hardware",
}
GUIDE_TABLES = ("dca6_joist_spans", "dca6_beam_spans", "dca6_ledger_fasteners", "dca6_limits")
CASES = [
    *((f"irc-{edition}", table, edition) for edition in EDITIONS for table in COPIED_FROM),
    ("irc-2021", "post_heights_live_60", "2021-WA"),
    *(("dca-6", table, "") for table in GUIDE_TABLES),
]

Row = frozenset[tuple[str, str]]


@cache
def _reference(name: str) -> list[dict[str, str]]:
    with (REFERENCE / f"{name}.csv").open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def _ours(book: str, table: str) -> list[dict[str, str]]:
    file = RULEBOOKS / book / f"{table}.csv"
    if not file.exists():
        return []
    lines = [line for line in file.read_text(encoding="utf-8").split("\n") if not line.startswith("#")]
    return list(csv.DictReader(lines))[1:]  # the first line under the header is the units row


def _covers(printed: str, edition: str) -> bool:
    first, _, last = printed.partition("-")
    return printed == edition or (last.isdigit() and first <= edition <= last)


def _counted(rows: list[dict[str, str]]) -> Counter[Row]:
    return Counter(frozenset((k, v) for k, v in row.items() if k not in OURS_ONLY) for row in rows)


@pytest.mark.parametrize(("book", "table", "edition"), CASES, ids=[f"{b}-{t}" for b, t, _ in CASES])
def test_rows_are_those_published(book: str, table: str, edition: str) -> None:
    source = "post_heights" if edition == "2021-WA" else COPIED_FROM.get(table, table)
    published = [row for row in _reference(source) if not edition or _covers(row["edition"], edition)]
    ours, theirs = _counted(_ours(book, table)), _counted(published)
    assert ours - theirs == Counter()
    assert theirs - ours == Counter()


@pytest.mark.parametrize("edition", EDITIONS)
def test_sources_are_those_published_and_all_used(edition: str) -> None:
    book = f"irc-{edition}"
    ours = _ours(book, "sources")
    used = {row["source_id"] for table in _tables(book) for row in _ours(book, table) if row.get("source_id")}
    assert {row["source_id"] for row in ours} == used
    assert not _counted(ours) - _counted(_reference("sources"))


def _tables(book: str) -> list[str]:
    return sorted(file.stem for file in (RULEBOOKS / book).glob("*.csv") if file.stem != "sources")


def test_no_published_row_is_left_out_altogether() -> None:
    for name in {*COPIED_FROM.values(), *GUIDE_TABLES}:
        copied = [
            row for book, table, _ in CASES if _source(book, table) == name for row in _ours(book, table)
        ]
        assert not _counted(_reference(name)).keys() - _counted(copied).keys()


def _source(book: str, table: str) -> str:
    return "post_heights" if table == "post_heights_live_60" else COPIED_FROM.get(table, table)


def test_no_table_is_without_a_published_one_or_a_reason() -> None:
    for edition in EDITIONS:
        known = {*COPIED_FROM, "settings", "post_heights_live_60"}
        assert set(_tables(f"irc-{edition}")) <= known
    assert set(_tables("dca-6")) == set(GUIDE_TABLES)

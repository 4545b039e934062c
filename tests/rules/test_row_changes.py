"""Row changes: every fault at once, untouched lines byte for byte, added rows in their place."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from rules.conftest import ROOT

from service.contract.problem import Fault, Rejected
from service.contract.row_change import CellText, RowChange, RowChangeKind
from service.rules.parse import parse_table
from service.rules.row_changes import apply_row_changes

HEAD = (
    "#table: joist_spans\n#rulebook: made-up\n#document: D\n#section: S\n#printed:\n#checked_on: 2026-11-25\n#note:\n"
    "load_psf,load_kind,species_group,nominal_size,spacing_in,max_span_in,max_span_with_cantilever_in,"
    "max_cantilever_in,source_id\npsf,text,text,text,in,in,in,in,text\n"
)
ROWS = [
    "40,live,southern_pine,2x6,12,119,,,s008",
    "40.0,live,southern_pine,2x6,24,91,,,s008",
    '40,live,southern_pine,2x8,12,157,,,"s008"',
    "40,live,southern_pine,2x8,24,116,,,s008",
]
TEXTS = {"joist_spans": HEAD + "".join(f"{row}\n" for row in ROWS)}
SOURCES = {"s008": (), "s009": ()}


def cells(**given: str) -> tuple[CellText, ...]:
    return tuple(CellText(column, value) for column, value in given.items())


def joist(
    change: RowChangeKind, size: str, spacing: str, load: str = "40", table: str = "joist_spans", **other: str
) -> RowChange:
    key = cells(load_psf=load, species_group="southern_pine", nominal_size=size, spacing_in=spacing)
    return RowChange(table=table, change=change, key=key, cells=cells(**other))


def rows_after(*changes: RowChange) -> list[str]:
    text = apply_row_changes(TEXTS, changes)["joist_spans"]
    assert text.startswith(HEAD)
    return text[len(HEAD) :].splitlines()


def refused(*changes: RowChange) -> tuple[Fault, ...]:
    with pytest.raises(Rejected) as caught:
        apply_row_changes(TEXTS, changes)
    assert caught.value.code == "invalid_upload"
    return caught.value.faults


def test_a_key_is_matched_by_value_and_nothing_else_moves() -> None:
    after = rows_after(joist("changed", "2x6", "24.0", load="40.00", max_span_in="90"))
    assert after == [ROWS[0], "40.0,live,southern_pine,2x6,24,90,,,s008", *ROWS[2:]]


def test_the_quoting_of_an_untouched_row_stays() -> None:
    assert rows_after(joist("removed", "2x6", "12")) == ROWS[1:]


def test_a_cell_is_quoted_only_where_it_has_to_be() -> None:
    after = rows_after(joist("changed", "2x8", "12", load_kind='live, "wet"'))
    assert after[2] == '40,"live, ""wet""",southern_pine,2x8,12,157,,,s008'


@pytest.mark.parametrize(
    ("size", "spacing", "place"),
    [("2x6", "16", 1), ("2x6", "8", 0), ("2x6", "48", 2), ("2x8", "16", 3), ("2x10", "12", 4)],
)
def test_an_added_row_goes_to_its_place(size: str, spacing: str, place: int) -> None:
    after = rows_after(joist("added", size, spacing, load_kind="live", max_span_in="1", source_id="s009"))
    new = f"40,live,southern_pine,{size},{spacing},1,,,s009"
    assert after == [*ROWS[:place], new, *ROWS[place:]]


def test_changes_apply_in_order() -> None:
    key = ("2x6", "12")
    new = {"load_kind": "live", "max_span_in": "120", "source_id": "s009"}
    after = rows_after(
        joist("removed", *key), joist("added", *key, **new), joist("changed", *key, max_span_in="118")
    )
    assert after == ["40,live,southern_pine,2x6,12,118,,,s009", *ROWS[1:]]
    late = refused(joist("removed", *key), joist("changed", *key, max_span_in="118"))
    assert [(fault.pointer, fault.code) for fault in late] == [("/changes/1/key", "unknown_row")]


def test_what_is_made_can_be_loaded() -> None:
    new = {"load_kind": "live", "max_span_in": "1", "source_id": "s009"}
    changes = [joist("added", size, "16", **new) for size in ("2x6", "2x8")]
    table = parse_table(apply_row_changes(TEXTS, changes)["joist_spans"], "joist_spans.csv", SOURCES)
    assert [row[4] for row in table.rows] == [12, 16, 24, 12, 16, 24]


FAULTY = [
    (joist("changed", "2x6", "12", table="joist_span", max_span_in="1"), "/table", "not_in_list", "are joist_spans"),
    (joist("changed", "2x6", "12", max_spam_in="1"), "/cells/0", "not_in_list", "max_spam_in: no column"),
    (joist("changed", "2x6", "13", max_span_in="1"), "/key", "unknown_row", "spacing_in there is 12, 24"),
    (joist("removed", "2x6", "13"), "/key", "unknown_row", "there is no row with load_psf 40"),
    (joist("added", "2x6", "12"), "/key", "row_exists", "is there already: change it instead"),
    (joist("changed", "2x6", "12", spacing_in="12"), "/cells/0", "key_column", "remove the row and add another"),
    (joist("changed", "2x6", "12"), "/cells", "too_few", "no cell is given"),
    (joist("removed", "2x6", "12", max_span_in="1"), "/cells", "too_many", "leave them out"),
    (joist("changed", "2x6", "12", max_span_in="9-6"), "/cells/0", "bad_pattern", "a decimal number of inches"),
    (joist("changed", "2x6", "12", max_span_in=" 90"), "/cells/0", "bad_pattern", "begins or ends with a space"),
    (joist("changed", "2x6", "12", load_kind="live\nsnow"), "/cells/0", "bad_pattern", "a line break"),
    (joist("changed", "2x6", "twelve", max_span_in="1"), "/key/3", "bad_pattern", "'twelve' is not a number"),
    (
        RowChange(table="joist_spans", change="removed", key=cells(load_psf="40", max_span_in="119")),
        "/key/1", "not_in_list", "max_span_in: no key column; a row is named by load_psf",
    ),
    (
        RowChange(table="joist_spans", change="removed", key=cells(load_psf="40")),
        "/key", "missing", "species_group, nominal_size, spacing_in missing",
    ),
    (
        RowChange(table="joist_spans", change="changed", key=joist("changed", "2x6", "12").key,
                  cells=(CellText("max_span_in", "1"), CellText("max_span_in", "2"))),
        "/cells/1", "duplicate_column", "given twice",
    ),
]  # fmt: skip


@pytest.mark.parametrize(("change", "place", "code", "said"), FAULTY, ids=lambda one: str(one)[:40])
def test_a_fault_names_change_table_and_column(change: RowChange, place: str, code: str, said: str) -> None:
    good = joist("changed", "2x8", "24", max_span_in="115")
    fault = next(one for one in refused(good, change) if one.pointer == f"/changes/1{place}")
    assert fault.code == code
    assert fault.detail.startswith(f"change 2: {change.table}")
    assert said in fault.detail


def test_every_fault_is_told_at_once() -> None:
    faults = refused(*(change for change, *_ in FAULTY))
    assert {fault.pointer.split("/")[2] for fault in faults} == {str(n) for n in range(len(FAULTY))}


def test_a_broken_table_is_named() -> None:
    with pytest.raises(Rejected) as caught:
        apply_row_changes({"joist_spans": "load,span\n40,119\n"}, [joist("removed", "2x6", "12")])
    assert [fault.code for fault in caught.value.faults] == ["unreadable_table"]


@pytest.mark.parametrize(
    "file", sorted(ROOT.glob("irc-*/*.csv")), ids=lambda file: f"{file.parent.name}-{file.stem}"
)
def test_a_change_back_and_forth_leaves_every_published_table_as_it_is(file: Path) -> None:
    text = file.read_bytes().decode()
    table = parse_table(text, file.name)
    printed = [next(csv.reader([line])) for line in text.splitlines() if not line.startswith("#")][2:]
    position = table.kind.position
    free = [name for name in position if name not in table.kind.key]
    changes = [
        RowChange(
            table=file.stem,
            change="changed",
            key=tuple(CellText(name, row[position[name]]) for name in table.kind.key),
            cells=tuple(CellText(name, row[position[name]]) for name in free),
        )
        for row in printed
    ]
    assert apply_row_changes({file.stem: text}, changes) == {file.stem: text}

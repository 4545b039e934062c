"""Comparisons: counts checked by another count on the raw files, and changes that lead from one to the other."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rules.conftest import ROOT

from service.contract.rule_compare import ComparedTable, ComparedVersion
from service.rules.compare import (
    RulebookTexts,
    compare_places,
    compare_rulebooks,
    compare_tables,
    row_changes_of,
)
from service.rules.jurisdiction import parse_jurisdiction
from service.rules.kinds import KINDS
from service.rules.parse import parse_table
from service.rules.row_changes import apply_row_changes
from service.rules.rulebook import parse_meta

EDITIONS = ("irc-2015", "irc-2018", "irc-2021", "irc-2024")
Counts = tuple[int | None, int | None, int | None, int | None, int | None]


def texts(edition: str) -> dict[str, str]:
    return {file.stem: file.read_bytes().decode() for file in sorted((ROOT / edition).glob("*.csv"))}


def counts(table: ComparedTable) -> Counts:
    return (
        table.rows_added, table.rows_removed, table.rows_changed, table.rows_rewritten, table.rows_same,
    )  # fmt: skip


def raw_rows(file: Path) -> dict[tuple[object, ...], dict[str, object]]:
    """The rows of a file by key, read without any code of the service but the names of its key columns."""
    if not file.exists():
        return {}
    lines = [line for line in file.read_text().splitlines() if not line.startswith("#")]
    del lines[1]  # units
    rows = [{name: said(cell) for name, cell in row.items()} for row in csv.DictReader(lines)]
    return {tuple(row[name] for name in KINDS[file.stem].key): row for row in rows}


def said(cell: str) -> object:
    try:
        return float(cell)
    except ValueError:
        return cell


@pytest.mark.parametrize(
    ("old", "new"), [("irc-2021", "irc-2024"), ("irc-2015", "irc-2021"), ("irc-2018", "irc-2018")]
)
def test_counts_by_table_are_those_of_the_raw_files(old: str, new: str) -> None:
    names = {file.stem for edition in (old, new) for file in (ROOT / edition).glob("*.csv")}
    found = {table.name: counts(table) for table in compare_tables(texts(old), texts(new))}
    assert found.keys() == names
    for name in names:
        was, now = (raw_rows(ROOT / edition / f"{name}.csv") for edition in (old, new))
        both = was.keys() & now.keys()
        changed = sum(was[key] != now[key] for key in both)
        added, removed = len(now.keys() - was.keys()), len(was.keys() - now.keys())
        assert found[name] == (added, removed, changed, 0, len(both) - changed), name


COUNTS_2021_TO_2024 = {
    "beam_joist_span_factors": (0, 6, 0, 0, 0),
    "beam_spans": (3456, 1008, 0, 0, 0),
    "connection_rules": (3, 1, 38, 0, 2),
    "decking_joist_spacing": (0, 0, 8, 0, 0),
    "footing_sizes": (0, 0, 108, 0, 0),
    "joist_cantilevers": (0, 0, 384, 0, 0),
    "joist_spans": (0, 0, 144, 0, 0),
    "ledger_fasteners": (0, 0, 84, 0, 0),
    "ledger_placement": (2, 2, 0, 0, 10),
    "loads_and_soil": (0, 0, 22, 0, 0),
    "post_heights": (0, 0, 384, 0, 0),
    "post_heights_live_60": (0, 64, 0, 0, 0),
    "settings": (0, 0, 10, 0, 8),
    "sources": (33, 39, 0, 0, 0),
    "stair_and_guard_limits": (1, 0, 56, 0, 0),
}


def test_2021_against_2024_by_table() -> None:
    tables = compare_tables(texts("irc-2021"), texts("irc-2024"))
    found = {table.name: counts(table) for table in tables}
    assert found == COUNTS_2021_TO_2024
    assert {table.name: table.change for table in tables if table.change != "changed"} == {
        "beam_joist_span_factors": "removed",
        "post_heights_live_60": "removed",
    }


def test_rows_that_name_another_source_alone_are_counted() -> None:
    tables = compare_tables(texts("irc-2021"), texts("irc-2024"))
    was, now = (raw_rows(ROOT / edition / "joist_spans.csv") for edition in ("irc-2021", "irc-2024"))
    spans = [name for name in next(iter(was.values())) if name != "source_id"]
    other = sum(any(was[key][name] != now[key][name] for name in spans) for key in was)
    assert next(one for one in tables if one.name == "joist_spans").rows_source_only == len(was) - other


def test_a_key_column_only_one_edition_prints_is_told() -> None:
    tables = compare_tables(texts("irc-2021"), texts("irc-2024"))
    assert {one.name: one.one_sided_columns for one in tables if one.one_sided_columns} == {
        "beam_spans": ("joist_cantilever_ft",)
    }


@pytest.mark.parametrize("old", EDITIONS)
@pytest.mark.parametrize("new", EDITIONS)
def test_its_changes_lead_from_one_edition_to_the_other(old: str, new: str) -> None:
    was, now = texts(old), texts(new)
    changed = apply_row_changes(was, row_changes_of(compare_tables(was, now)))
    for name in was.keys() & now.keys():
        assert rows(changed[name]) == rows(now[name]), name


def rows(text: str) -> dict[tuple[object, ...], tuple[object, ...]]:
    table = parse_table(text, "a.csv")
    return {tuple(row[place] for place in table.key_positions.values()): row for row in table.rows}


HEAD = (
    "#table: post_heights\n#rulebook: made-up\n#document: D\n#section: S\n#printed:\n#checked_on: 2026-11-25\n#note:\n"
    "load_psf,load_kind,species_group,post_size,tributary_area_sqft,max_height_in,flag,source_id\n"
    "psf,text,text,text,sqft,in,text,text\n"
)
numbers = st.sampled_from(["40", "40.0", "50", "60.25", "70"])
heights = st.sampled_from(["96", "96.0", "120", "1"])
keys = st.tuples(numbers, st.sampled_from(["southern_pine", "any"]), st.sampled_from(["4x4", "6x6"]))
notes = st.sampled_from(["s1", "s2", "s, 3", 'the "new" one'])


@st.composite
def tables(draw: st.DrawFn) -> str:
    drawn = draw(st.dictionaries(keys, st.tuples(heights, notes), min_size=1, max_size=8))
    unique = {(float(load), group, size): (load, *cells) for (load, group, size), cells in drawn.items()}
    lines = []
    for (_, group, size), (load, height, note) in unique.items():
        quoted = note.replace('"', '""')
        lines.append(f'{load},live,{group},{size},,{height},,"{quoted}"')
    return HEAD + "".join(f"{line}\n" for line in lines)


@settings(max_examples=150, deadline=None)
@given(old=tables(), new=tables())
def test_its_changes_lead_from_any_table_to_any_other(old: str, new: str) -> None:
    found = compare_tables({"post_heights": old}, {"post_heights": new})
    changed = apply_row_changes({"post_heights": old}, row_changes_of(found))["post_heights"]
    assert rows(changed) == rows(new)
    again = compare_tables({"post_heights": changed}, {"post_heights": new})[0]
    assert (again.rows_added, again.rows_removed, again.rows_changed) == (0, 0, 0)


def test_old_and_new_cells_are_told_by_column() -> None:
    row = "40,live,any,4x4,,{},,s1\n"
    found = compare_tables({"post_heights": HEAD + row.format(96)}, {"post_heights": HEAD + row.format(120)})[
        0
    ]
    assert [(one.column, one.old, one.new) for one in found.rows[0].cells] == [("max_height_in", "96", "120")]
    assert [(one.column, one.value) for one in found.rows[0].key][:2] == [
        ("load_psf", "40"),
        ("species_group", "any"),
    ]


def test_a_number_written_otherwise_is_no_change_but_counted() -> None:
    row = "{},live,any,4x4,,96,,s1\n"
    found = compare_tables(
        {"post_heights": HEAD + row.format("40")}, {"post_heights": HEAD + row.format("40.0")}
    )[0]
    assert (found.change, counts(found)) == ("changed", (0, 0, 0, 1, 0))


def test_a_table_whose_rows_have_no_counterpart_says_so() -> None:
    row, other = "40,live,any,4x4,,96,,s1\n", "#table: post_heights\nload_psf,height\npsf,in\n40,96\n"
    twice = compare_tables({"post_heights": HEAD + row}, {"post_heights": HEAD + row + row})[0]
    assert twice.why_not is not None
    assert "same key: 40.0, any, 4x4" in twice.why_not
    columns = compare_tables({"post_heights": HEAD + row}, {"post_heights": other})[0]
    assert (columns.change, counts(columns)) == ("changed", (None,) * 5)
    assert columns.why_not is not None
    assert "the header of post_heights is not load_psf,load_kind" in columns.why_not


def test_what_a_preamble_says_differently_is_told() -> None:
    row = "40,live,any,4x4,,96,,s1\n"
    later = HEAD.replace("2026-11-25", "2027-01-01").replace("made-up", "other")
    found = compare_tables({"post_heights": HEAD + row}, {"post_heights": later + row})[0]
    assert [(one.name, one.old, one.new) for one in found.preamble] == [
        ("checked_on", "2026-11-25", "2027-01-01")
    ]


def test_what_two_rulebooks_say_of_themselves() -> None:
    old, new = (side(edition) for edition in ("irc-2021", "irc-2024"))
    found = compare_rulebooks(old, new)
    assert (found.from_version.id, found.to_version.id) == ("irc-2021", "irc-2024")
    about = {one.name: (one.old, one.new) for one in found.about}
    assert about["edition"] == ('"2021"', '"2024"')
    assert "version" not in about


def side(edition: str) -> RulebookTexts:
    meta = parse_meta((ROOT / edition / "rulebook.toml").read_text())
    return RulebookTexts(ComparedVersion(id=meta.id, version=1, digest="0" * 64), meta, texts(edition))


def changes(old: str, new: str) -> dict[str, tuple[str | None, str | None]]:
    found = compare_places(*(parse_jurisdiction(text, "a.toml") for text in (old, new)))
    return {one.name: (one.old, one.new) for one in found.changes}


def test_places_are_compared_value_by_value() -> None:
    text = (ROOT / "jurisdictions" / "sallowmere-bay.toml").read_text()
    later = text.replace("value = 42", "value = 48").replace("version = 1", "version = 2")
    later = later.replace('inspections = ["footing_holes", ', "inspections = [").replace(
        "= 250\n", "= 250.0\n"
    )
    assert changes(text, later) == {
        "amendments[guards-42].value": ("42", "48"),
        "inspections": (
            '["footing_holes", "ledger_and_flashing", "framing", "final"]',
            '["ledger_and_flashing", "framing", "final"]',
        ),
    }


def test_an_amendment_that_is_gone_does_not_move_the_others() -> None:
    text = (ROOT / "jurisdictions" / "sallowmere-bay.toml").read_text()
    start = text.index("[[amendments]]")
    found = changes(text, text[:start] + text[text.index("[[amendments]]", start + 1) :])
    assert {name.split(".")[0] for name in found} == {"amendments[guards-42]"}
    assert {new for _, new in found.values()} == {None}

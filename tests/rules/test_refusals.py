"""Every refusal of a rule file names file, line and column; one malformed file for each."""

from __future__ import annotations

from pathlib import Path

import pytest

from service.rules.faults import TableRefused
from service.rules.jurisdiction import parse_jurisdiction
from service.rules.parse import parse_table

FIXTURES = Path(__file__).parent / "fixtures"
SOURCES = dict.fromkeys(("s014", "s056", "s057"), ())

TABLES = [
    ("unknown_column", 8, "joist_span_faktor", "unknown column"),
    ("missing_column", 8, "flag", "column missing"),
    ("column_twice", 8, "source_id", "column given twice"),
    ("columns_out_of_order", 8, None, "columns must stand in the order load_psf, load_kind"),
    ("duplicate_key", 12, "cantilever_to_span_ratio", "same key as line 10"),
    ("row_left_out", 12, "joist_back_span_ft", "a gap: no row for joist_back_span_ft 18"),
    ("missing_unit", 9, "max_cantilever_in", "unit missing; it must be 'in'"),
    ("wrong_unit", 9, "joist_back_span_ft", "unit 'in'; it must be 'ft'"),
    ("units_row_short", 9, None, "the units row has 7 cells, the table 8 columns"),
    ("missing_source", 10, "source_id", "source missing"),
    ("missing_source_words", 10, "source", "source missing"),
    ("unknown_source", 11, "source_id", "unknown source 's957'"),
    ("not_a_number", 10, "joist_span_factor", "'two thirds' is not a number"),
    ("infinite_number", 10, "joist_span_factor", "'inf' is not a number"),
    ("exponent_number", 10, "joist_span_factor", "'6e-1' is not a number"),
    ("negative_number", 10, "joist_span_factor", "'-0.66' is not a number"),
    ("space_in_cell", 10, "joist_span_factor", "'0.66 ' begins or ends with a space"),
    ("unknown_flag", 11, "flag", "unknown flag 'doubtful'"),
    ("np_with_value", 11, "max_cantilever_in", "flagged NP (not permitted) carries a value"),
    ("missing_value", 10, "max_cantilever_in", "cell missing"),
    ("suspect_without_likely", 11, "flag", "a suspect row gives no likely value"),
    ("likely_without_suspect", 11, "likely_joist_span_factor", "not flagged suspect"),
    ("corrected_without_printed", 10, "flag", "does not give the printed text"),
    ("row_too_long", 10, None, "the row has 6 cells, the table 5 columns"),
    ("row_too_short", 10, None, "the row has 4 cells, the table 5 columns"),
    ("unclosed_quote", 10, None, "cannot be read as CSV"),
    ("bad_verified", 10, "verified", "'three sources' is not one of"),
    ("bad_status", 10, "status", "'hearsay' is not one of"),
    ("bad_key", 10, "key", "'Ledger Size' is not lower-case words"),
    ("no_rows", 9, None, "the table has no rows"),
    ("no_units_row", 9, None, "line missing"),
    ("unknown_table", 1, "table", "'deck_spans' is no known kind of table"),
    ("unknown_preamble_key", 7, "remark", "unknown preamble key"),
    ("preamble_key_twice", 7, "section", "preamble key given twice"),
    ("preamble_key_missing", 1, "section", "preamble key missing"),
    ("preamble_without_value", 3, "document", "preamble key without a value"),
    ("bad_day", 6, "checked_on", "year-month-day"),
    ("nul_character", 10, None, "a NUL character"),
    ("carriage_return", 10, None, "a carriage return"),
    ("no_line_feed_at_end", 11, None, "exactly one line feed"),
    ("two_line_feeds_at_end", 13, None, "exactly one line feed"),
]
JURISDICTIONS = [
    ("unknown_field", 8, "permit_remarks", "unknown field"),
    ("missing_field", 1, None, "missing required field `time_zone`"),
    ("bad_id", 1, "id", "matching regex"),
    ("bad_time_zone", 4, "time_zone", "matching regex"),
    ("frost_out_of_range", 20, "site.frost_depth_in", "<= 120"),
    ("frost_as_text", 20, "site.frost_depth_in", "got `str`"),
    ("unknown_soil", 24, "site.soil_class", "'loam'"),
    ("unknown_pile_inspection", 5, "pile_inspection[0]", "'sometimes'"),
    ("no_adoptions", 2, "adoptions", "length >= 1"),
    ("adoptions_out_of_order", 11, "adoptions", "rising order"),
    ("bad_day", 17, "adoptions[1].from", "date"),
    ("unknown_setting", 20, "settings.guard_height_in", "no local setting; known are own_weight_rule"),
    ("bad_setting_value", 20, "settings.own_weight_rule", "'heavy'"),
    ("amendment_of_unknown_table", 40, "amendments[1].table", "guards is no table"),
    ("amendment_by_unknown_key", 32, "amendments[0].match", "not keyed by item"),
    ("amendment_of_a_key", 33, "amendments[0].column", "no column an amendment may change"),
    ("amendment_given_twice", 38, "amendments[1].id", "guards-42 is given twice"),
    ("amendment_without_citation", 37, "amendments[1]", "missing required field `citation`"),
    ("amendment_word_for_number", 43, "amendments[1].value", "takes a number"),
    ("digest_given", 4, "digest", "never given"),
    ("not_toml", 19, None, "Expected ']'"),
]


def _text(name: str) -> str:
    return (FIXTURES / name).read_bytes().decode()


@pytest.mark.parametrize("name", ["factors", "cantilevers", "rules", "settings", "beams"])
def test_well_made_file_is_taken(name: str) -> None:
    assert parse_table(_text(f"good_{name}.csv"), name, SOURCES).rows


@pytest.mark.parametrize(("name", "line", "column", "words"), TABLES, ids=[case[0] for case in TABLES])
def test_table_refused_with_file_and_line(name: str, line: int, column: str | None, words: str) -> None:
    with pytest.raises(TableRefused) as refused:
        parse_table(_text(f"{name}.csv"), f"{name}.csv", SOURCES)
    first = refused.value.faults[0]
    assert (first.file, first.line, first.column) == (f"{name}.csv", line, column)
    assert words in first.text
    assert str(first).startswith(f"{name}.csv:{line}: ")


@pytest.mark.parametrize(
    ("name", "line", "column", "words"), JURISDICTIONS, ids=[c[0] for c in JURISDICTIONS]
)
def test_jurisdiction_refused_with_file_and_line(
    name: str, line: int, column: str | None, words: str
) -> None:
    with pytest.raises(TableRefused) as refused:
        parse_jurisdiction(_text(f"jurisdictions/{name}.toml"), f"{name}.toml")
    first = refused.value.faults[0]
    assert (first.file, first.line, first.column) == (f"{name}.toml", line, column)
    assert words in first.text


def test_every_malformed_file_is_used() -> None:
    tables = {f"{case[0]}.csv" for case in TABLES}
    assert {f.name for f in FIXTURES.glob("*.csv") if not f.name.startswith("good_")} == tables
    places = {f"{case[0]}.toml" for case in JURISDICTIONS}
    assert {f.name for f in (FIXTURES / "jurisdictions").glob("*.toml")} == places


def test_all_faults_of_a_file_come_at_once() -> None:
    text = _text("good_factors.csv").replace("0.66", "x").replace("s057", "s957").replace("0.78", "y")
    with pytest.raises(TableRefused) as refused:
        parse_table(text, "factors.csv", SOURCES)
    assert [fault.line for fault in refused.value.faults] == [10, 11, 11]

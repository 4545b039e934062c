"""Numbers of tables: digits everybody reads, within what a deck can have."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from service.rules.faults import TableRefused
from service.rules.kinds import KINDS
from service.rules.parse import cell_fault, parse_table

FIXTURES = Path(__file__).parent / "fixtures"


@pytest.mark.parametrize("cell", ["\u0661\u0662", "1\u0662", "\uff11\uff12", "1.\u0665", "\u0967"])
@pytest.mark.parametrize("column", ["spacing_in", "max_span_in"])
def test_other_digits_are_no_number(cell: str, column: str) -> None:
    kind = KINDS["joist_spans"]
    assert cell_fault(kind.columns[kind.position[column]], cell) == f"{cell!r} is not a number"


def test_a_day_is_written_in_the_same_digits() -> None:
    text = (FIXTURES / "good_cantilevers.csv").read_text(encoding="utf-8").replace("2026-", "202\u0666-")
    with pytest.raises(TableRefused, match="year-month-day"):
        parse_table(text, "a.csv")


@pytest.mark.parametrize(
    ("table", "column", "most", "unit"),
    [("joist_spans", "max_span_in", 600, " in"), ("beam_spans", "likely_max_beam_span_in", 600, " in"),
     ("joist_spans", "max_cantilever_in", 1200, " in"), ("post_heights", "max_height_in", 1200, " in"),
     ("ledger_placement", "min_in", 1200, " in"), ("beam_joist_span_factors", "joist_span_factor", 2, "")],
)  # fmt: skip
def test_a_value_is_above_nothing_and_not_absurd(table: str, column: str, most: int, unit: str) -> None:
    kind = KINDS[table]
    found = kind.columns[kind.position[column]]
    for cell in ("0.001", "1", f"{most}", f"{most}.0"):
        assert cell_fault(found, cell) is None
    for cell in ("0", "0.0", f"{most}.001", "9999999"):
        assert cell_fault(found, cell) == f"{cell!r} is out of range: above 0, at most {most}{unit}"


def test_a_key_may_be_nothing() -> None:
    kind = KINDS["beam_spans"]
    assert cell_fault(kind.columns[kind.position["joist_cantilever_ft"]], "0") is None


def test_a_table_with_a_value_of_nothing_is_refused_where_it_stands() -> None:
    text = re.sub(r"(?m),12,,s014$", ",0,,s014", (FIXTURES / "good_cantilevers.csv").read_text("utf-8"))
    with pytest.raises(TableRefused) as refused:
        parse_table(text, "a.csv")
    assert [(one.line, one.column) for one in refused.value.faults] == [(10, "max_cantilever_in")]
    assert "above 0, at most 1200 in" in refused.value.faults[0].text

"""The table of framing minutes is read strictly: what is wrong with it is told with file and line."""

from __future__ import annotations

from importlib.resources import files

import pytest

from service.rules.faults import TableRefused
from service.rules.framing_minutes import WORKS, parse_framing_minutes

TEXT = (files("service") / "rulebooks" / "framing" / "framing_minutes.csv").read_text("utf-8")


def test_the_bundled_table_has_every_work_with_its_source() -> None:
    rows = TEXT.splitlines()[1:]
    assert [row.partition(",")[0] for row in rows] == list(WORKS)
    assert all("common practice" in row or "convention" in row for row in rows)
    assert parse_framing_minutes(TEXT).hanger == 5


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("work,minutes", "work,hours", "framing_minutes.csv:1: the columns are work,hours,per,status,source"),
        ("joist,12,", "joist,0,", "framing_minutes.csv:2: minutes: Expected `int` >= 1"),
        ("joist,12,", "joist,1.5,", "framing_minutes.csv:2: minutes: Expected `int`"),
        ("joist,12,", "joist,,", "framing_minutes.csv:2: minutes: Expected `int`"),
        ("joist,12,piece,", "joist,12,box,", "framing_minutes.csv:2: per: Invalid enum value 'box'"),
        (
            "joist,12,piece,common_practice",
            "joist,12,piece,heard",
            "framing_minutes.csv:2: status: Invalid enum",
        ),
        ("rim,15,", "joist,15,", "framing_minutes.csv:3: work: same key as line 2"),
        ("hanger,5,", "bolt,5,", "framing_minutes.csv:1: work: hanger is missing"),
        ("hanger,5,", "bolt,5,", "framing_minutes.csv:6: work: unknown work bolt"),
        (
            "rim,15,piece,common_practice,",
            "rim,15,piece,",
            "framing_minutes.csv:3: 4 cells where 5 are needed",
        ),
        ("rim,15,", 'rim,15"', "framing_minutes.csv:"),
    ],
)
def test_a_malformed_table_is_refused_with_file_and_line(old: str, new: str, told: str) -> None:
    assert old in TEXT
    with pytest.raises(TableRefused) as refused:
        parse_framing_minutes(TEXT.replace(old, new, 1))
    assert any(str(fault).startswith(told) for fault in refused.value.faults), refused.value

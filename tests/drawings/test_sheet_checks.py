"""The checker of sheets sees what it is there to see."""

from __future__ import annotations

import pytest
from drawings.sheet_checks import faults

GOOD = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 300 200">'
    '<g id="a"><text x="40" y="60" font-size="8">one</text></g>'
    '<g id="b"><text x="40" y="80" font-size="8" transform="rotate(-90 40 80)">two</text></g></svg>'
)


def test_a_good_sheet_has_no_fault() -> None:
    assert faults(GOOD) == []


@pytest.mark.parametrize(
    ("was", "now", "fault"),
    [
        ('font-size="8">one', 'font-size="6.9">one', "is set in 6.9 pt"),
        ('x="40" y="60"', 'x="40" y="82"', "lie over each other"),
        ('y="60"', 'y="12"', "leaves the paper"),
        ('id="b"', 'id="a"', "is given 2 times"),
        ('font-size="8">one', 'font-size="8" fill="#ff0000">one', "has the colour #ff0000"),
        (">one<", "> <", "says nothing"),
    ],
)
def test_each_fault_is_seen(was: str, now: str, fault: str) -> None:
    assert any(fault in one for one in faults(GOOD.replace(was, now)))

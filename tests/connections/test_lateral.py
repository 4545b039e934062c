"""Lateral ties: IRC R507.9.2 (2015: R507.2.4), two of 1500 lb within 24 in of each end, or four of 750 lb."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.connections.lateral import LateralAsk, lateral_ties
from service.sizing.criteria import Criteria

CRITERIA = Callable[..., Criteria]
LINES = (0.75, *range(16, 192, 16), 191.25)
ASK = LateralAsk("main.ledger-1", (0.0, 0.0), (16.0, 0.0), 12.0, "toward_deck", LINES)


@pytest.mark.parametrize("edition", ["2015", "2018", "2021", "2024"])
def test_two_heavy_devices_near_the_ends(criteria: CRITERIA, edition: str) -> None:
    ties = lateral_ties(criteria(edition), ASK)
    assert [one.capacity_lb for one in ties.devices] == [1500, 1500]
    assert [one.x_ft * 12 for one in ties.devices] == pytest.approx([16, 176])
    assert [(one.capacity, one.passes) for one in ties.findings] == [(2, True), (1500, True), (24, True)]
    assert {one.citation.section for one in ties.findings} == {
        "R507.2.4" if edition == "2015" else "R507.9.2"
    }


@pytest.mark.parametrize("edition", ["2015", "2018", "2021", "2024"])
def test_four_lighter_devices_spread(criteria: CRITERIA, edition: str) -> None:
    ties = lateral_ties(criteria(edition), replace(ASK, way="four"))
    assert [one.capacity_lb for one in ties.devices] == [750] * 4
    assert [one.x_ft * 12 for one in ties.devices] == pytest.approx([16, 64, 112, 160])
    assert all(one.passes for one in ties.findings)


@pytest.mark.parametrize(
    ("direction", "word"), [("along_wall", "blocking"), ("unknown", "not known"), ("toward_deck", "access")]
)
def test_the_floor_inside_decides_what_to_watch(criteria: CRITERIA, direction: str, word: str) -> None:
    notes = lateral_ties(criteria(), replace(ASK, floor_joist_direction=direction)).cautions
    assert len(notes) == 1
    assert word in notes[0].text + notes[0].action


@pytest.mark.parametrize(
    ("projection", "warned"), [(12.0, False), (16.0, False), (16.01, True), (24.0, True)]
)
def test_deeper_than_wide(criteria: CRITERIA, projection: float, warned: bool) -> None:
    # DCA 6 scope: length out from the house not over the width along it.
    notes = lateral_ties(criteria(), replace(ASK, projection_ft=projection)).cautions
    assert ("deeper_than_wide" in {one.code for one in notes}) == warned


@given(width=st.integers(24, 1200), spacing=st.sampled_from([12, 16, 24, 19.2]))
def test_devices_stand_within_24_in_of_each_end_and_apart(
    criteria: CRITERIA, width: int, spacing: float
) -> None:
    lines = [0.75, width - 0.75]
    at = spacing
    while at < width - 0.75:
        lines.append(at)
        at += spacing
    ask = replace(ASK, end_ft=(width / 12, 0.0), joists_at_in=tuple(lines))
    ties = lateral_ties(criteria(), ask)
    first, last = (one.x_ft * 12 for one in ties.devices)
    assert first <= 24
    assert width - last <= 24 + 1e-9
    assert first < last
    assert all(one.passes for one in ties.findings)


def test_a_ledger_along_y(criteria: CRITERIA) -> None:
    ties = lateral_ties(criteria(), replace(ASK, start_ft=(4.0, 10.0), end_ft=(4.0, 0.0), joists_at_in=()))
    assert [(one.x_ft, one.y_ft) for one in ties.devices] == [(4, 9), (4, 1)]

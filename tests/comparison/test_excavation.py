"""The hole beside a house, its widths turned round, and the load line both ways, by hand and as laws.

Sources: 29 CFR 1926 Subpart P Appendix B (slopes: stable rock vertical, type A 3/4, B 1, C 1-1/2 to 1), OSHA
memorandum of 30 June 1995 (2 ft of working room), 29 CFR 1926.651(i)(2) (nothing dug below the footing); the load line
is common practice.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.comparison.beside_house import zone_widths
from service.foundations.backfill import Excavation, excavation
from service.foundations.facts import FoundationFacts
from service.sizing.criteria import Criteria
from service.units.citation import Citation

Make = Callable[..., Criteria]
CITED = Citation("test")
SLOPES = (0.0, 0.75, 1.0, 1.5)


def hole(depth_in: float = 96.0, slope: float = 1.0, projection_in: float = 0.0) -> Excavation:
    return Excavation(depth_in, slope, 24.0, projection_in, 45.0, 12.0, "by hand", CITED, CITED)


# 8 ft deep: at grade 2, 8, 10, 14 ft; at 32 in 2, 6, 7.33, 10 ft; the floor is the working room.
ZONES = {
    "stable_rock": {0: 2, 24: 2, 32: 2, 48: 2, 72: 2, 96: 2},
    "type_a": {0: 8, 24: 6.5, 32: 6, 48: 5, 72: 3.5, 96: 2},
    "type_b": {0: 10, 24: 8, 32: 7.3333, 48: 6, 72: 4, 96: 2},
    "type_c": {0: 14, 24: 11, 32: 10, 48: 8, 72: 5, 96: 2},
}


@pytest.mark.parametrize("slope", ZONES, ids=lambda word: f"29-CFR-1926-P-App-B-{word}")
def test_the_zone_from_the_ground_to_the_floor(slope: str, criteria: Make, facts: FoundationFacts) -> None:
    dug = excavation(criteria(excavation_slope=slope), facts)
    assert dug is not None
    told = {one.depth_in: one.width_ft for one in zone_widths(dug, 32.0)}
    assert told == pytest.approx(ZONES[slope], abs=1e-4)


def test_frost_below_the_hole_is_no_row_of_the_zone() -> None:
    assert [one.depth_in for one in zone_widths(hole(40.0), 48.0)] == [0.0, 10.0, 20.0, 30.0, 40.0]


def test_the_five_ft_rule_falls_short_of_a_basement_dug_at_one_to_one() -> None:
    """DCA 6 as reported: 5 ft. At 32 in the zone of an 8 ft basement is 7 ft 4 in, of a 4 ft crawl space 3 ft 4."""
    assert hole().width_in(32.0) == 88.0 > 60.0
    assert hole(48.0).width_in(32.0) == 40.0 < 60.0


# x from the wall, original ground, out of the load line: H 96 in, d = H - (x - 24) / S and d = H - x
BY_HAND = [
    (1.0, 10.0, 96.0, 86.0), (1.0, 24.0, 96.0, 72.0), (1.0, 36.0, 84.0, 60.0), (1.0, 117.0, 3.0, 0.0),
    (1.0, 130.0, 0.0, 0.0), (1.5, 54.0, 76.0, 42.0), (0.75, 54.0, 56.0, 42.0), (0.0, 23.0, 96.0, 73.0),
    (0.0, 24.0, 0.0, 72.0), (0.0, 64.0, 0.0, 32.0),
]  # fmt: skip


@pytest.mark.parametrize(("slope", "edge_in", "ground_in", "line_in"), BY_HAND)
def test_depths_under_an_edge_by_hand(slope: float, edge_in: float, ground_in: float, line_in: float) -> None:
    dug = hole(96.0, slope)
    assert dug.original_ground_in(edge_in) == pytest.approx(ground_in)
    assert dug.clear_of_load_line_in(edge_in) == pytest.approx(line_in)
    least_in = max(
        min(96.0, ground_in + 12.0), line_in
    )  # 12 in into it, R403.1.4, or on the floor of the hole
    assert dug.stands_clear(edge_in, least_in)
    assert not dug.stands_clear(edge_in, least_in - 0.01) or ground_in == line_in == 0 or slope == 0


def test_a_projecting_house_footing_widens_the_hole() -> None:
    assert hole(projection_in=6.0).dug_in(96.0) == 30.0
    assert hole(projection_in=6.0).original_ground_in(29.0) == 96.0


def test_below_the_house_footing_a_near_hole_undermines_it() -> None:
    """29 CFR 1926.651(i)(2): the working room is kept free however little deeper, and 45 degrees where that is more."""
    for depth_in, clear_in in ((32.0, 24.0), (20.1, 24.0), (50.0, 30.0)):
        assert not hole(20.0).stands_clear(clear_in - 0.1, depth_in)
        assert hole(20.0).stands_clear(clear_in, depth_in)
    assert hole(20.0).stands_clear(0.0, 20.0)


edges = st.floats(-24.0, 300.0)
depths = st.floats(0.0, 180.0)
slopes = st.sampled_from(SLOPES)


@given(shallow=depths, more=st.floats(0.0, 60.0), at=depths, slope=slopes)
def test_a_deeper_foundation_never_has_a_narrower_zone(
    shallow: float, more: float, at: float, slope: float
) -> None:
    assert hole(shallow + more, slope).width_in(at) >= hole(shallow, slope).width_in(at)


@given(upper=depths, more=st.floats(0.0, 60.0), slope=slopes)
def test_the_hole_never_widens_downwards(upper: float, more: float, slope: float) -> None:
    assert hole(180.0, slope).width_in(upper + more) <= hole(180.0, slope).width_in(upper)


@given(near=edges, more=st.floats(0.0, 100.0), at=depths, deep=depths, slope=slopes)
def test_farther_out_never_fill_where_nearer_is_none(
    near: float, more: float, at: float, deep: float, slope: float
) -> None:
    dug = hole(deep, slope)
    assert dug.stands_clear(near + more, at) or not dug.stands_clear(near, at)
    assert dug.original_ground_in(near + more) <= dug.original_ground_in(near)


@given(edge=st.floats(0.0, 300.0), deep=depths, slope=slopes)
def test_dug_to_original_ground_and_out_of_the_line_a_footing_stands_clear(
    edge: float, deep: float, slope: float
) -> None:
    dug = hole(deep, slope)
    bottom = max(dug.bearing_depth_in(edge), dug.clear_of_load_line_in(edge))
    assert bottom <= dug.depth_in
    assert dug.stands_clear(edge + 0.001, bottom)  # a thousandth of an inch for what floats leave over

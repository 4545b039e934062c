"""Stairs off a level: geometry, loads, sloping ground, and laws that hold for any rise."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.contract.spec import DeckingSpec, DeckSpec, LevelSpec, StairSpec
from service.framing.stair_place import StairPlace, places_of
from service.framing.stairs import StairResult, lay_out_stair
from service.rules.rulebook import build_rulebook
from service.sizing.criteria import Criteria, Ground
from service.store.bundled import bundled

OUTLINE = ((0.0, 0.0), (16.0, 0.0), (16.0, 12.0), (0.0, 12.0))


@cache
def criteria(edition: str = "2021", snow_psf: float = 0.0) -> Criteria:
    books = {book.id: book for book in (build_rulebook(one.meta, one.tables) for one in bundled().rulebooks)}
    ground = Ground(32, "clay", 1500, None, None, None, None, "type_c", True)
    group = "southern_pine"
    return Criteria(
        books[f"irc-{edition}"], books["dca-6"], None, 40, 10, snow_psf, 40, group, group, "no_2",
        "hot_dip_galvanized", ground,
    )  # fmt: skip


def place(
    surface_in: float, fall_y: float = 0.0, outline: Any = OUTLINE, boards: str = "wood", **more: Any
) -> StairPlace:
    level = LevelSpec(outline_ft=outline, surface_height_in=surface_in, decking=DeckingSpec(material=boards))
    found = places_of(DeckSpec(levels=(level,)))["main"]
    return replace(found, **{"grade": lambda x, y: -fall_y * y, **more})


def stair(surface_in: float = 36, fall_y: float = 0.0, snow: float = 0.0, **spec: Any) -> StairResult:
    asked = StairSpec(**{"edge": 2, "offset_ft": 6, "width_in": 48, **spec})
    return lay_out_stair(asked, 1, place(surface_in, fall_y), criteria(snow_psf=snow))


def test_a_stair_off_the_yard_edge() -> None:
    found = stair()
    assert found.stair is not None
    flight = found.stair.flights[0]
    assert (found.stair.id, found.stair.mark, found.stair.rise_in) == ("deck.stair-1", "S1", 36)
    assert (flight.risers, flight.treads, flight.run_in) == (5, 4, 42)
    # edge 2 runs from (16, 12) to (0, 12): 6 ft along is x = 10, four wide ends at x = 6
    assert found.stair.foot_ft == pytest.approx((8.0, 12 + 3.5))
    landing = found.stair.landings[0]
    assert (landing.x_ft, landing.y_ft) == pytest.approx((6.0, 15.5))
    assert (landing.width_in, landing.depth_in, landing.height_in) == pytest.approx((48, 36, 0))
    assert found.reasons == ()
    assert all(finding.passes for finding in found.findings)


def test_header_carries_half_the_run_at_40_and_10() -> None:
    found = stair()
    assert found.load is not None
    assert found.load.reaction_lb == pytest.approx(42 / 12 / 2 * 4 * 50)
    assert (found.load.start_ft, found.load.end_ft) == ((10.0, 12.0), (6.0, 12.0))
    assert (found.load.edge, found.load.from_ft, found.load.to_ft) == (2, 6.0, 10.0)
    assert found.loads is not None
    assert (found.loads.lines, found.loads.foot_lb) == ((), pytest.approx(3.5 / 2 * 4 * 50))
    assert found.loads.total_lb == pytest.approx(3.5 * 4 * 50)


def test_snow_over_40_governs_the_stair_too() -> None:
    found = stair(snow=60)
    assert found.load is not None
    assert found.load.reaction_lb == pytest.approx(42 / 12 / 2 * 4 * 70)


def test_handrail_and_guard_of_a_high_stair() -> None:
    low, high = stair(36).stair, stair(48).stair
    assert low is not None
    assert high is not None
    assert low.handrail is not None
    assert (low.handrail.required, low.handrail.height_in, low.handrail.sides) == (True, 36, 1)
    assert low.guard is None  # the top tread lies 28.8 in up
    assert high.guard is not None
    assert (high.guard.sides, high.handrail is not None and high.handrail.sides) == (2, 2)


def test_falling_ground_makes_the_rise_that_of_the_foot() -> None:
    found = stair(30, fall_y=1.0)
    assert found.stair is not None
    foot_y = found.stair.foot_ft[1]
    assert found.stair.rise_in == pytest.approx(30 + foot_y)
    assert found.stair.foot_height_in == pytest.approx(-foot_y)
    assert found.stair.flights[0].risers == 6


def test_ground_falling_faster_than_a_stair_is_refused_not_looped() -> None:
    found = stair(120, fall_y=6, tread_in=24)
    assert found.stair is None
    assert [reason.code for reason in found.reasons] == ["check_failed"]


def test_ground_above_the_deck_is_refused() -> None:
    assert stair(10, fall_y=-2.0).stair is None


def test_a_step_has_one_riser_and_no_stringers() -> None:
    found = stair(7)
    assert found.stair is not None
    assert (found.stair.flights[0].treads, found.stair.flights[0].stringers) == (0, 0)
    assert found.load is not None
    assert found.load.reaction_lb == 0


def test_a_landing_stair_bears_on_two_lines_and_its_foot() -> None:
    tall = stair(200)
    assert tall.stair is not None
    assert tall.loads is not None
    assert len(tall.stair.flights) == 2
    assert [line.kind for line in tall.loads.lines] == ["landing_near", "landing_far"]
    assert [landing.id for landing in tall.stair.landings] == ["deck.landing-1", "deck.landing-2"]


def test_loads_of_a_stair_with_a_landing_add_up() -> None:
    tall = stair(200)
    assert tall.stair is not None
    assert tall.loads is not None
    # the landing's frame reaches back under the flight above, by at most a tread
    back = tall.loads.platforms[0].depth_in - 36
    assert 9 < back <= 10.5
    run_ft = tall.stair.foot_ft[1] - 12
    assert tall.loads.total_lb == pytest.approx((run_ft + back / 12) * 4 * 50)


def test_a_mid_support_is_sized_for_stringers_in_one_piece_too() -> None:
    found = stair(140)
    assert found.stair is not None
    assert found.loads is not None
    run_in = found.stair.flights[0].run_in
    assert (found.stair.flights[0].risers, found.stair.flights[0].bays) == (19, 2)
    (line,) = found.loads.lines
    assert line.load_lb == pytest.approx(run_in / 24 * 4 * 50)  # half of either bay
    # the middle of three supports of two equal spans takes 5/8 of all (statics)
    assert line.whole_lb == pytest.approx(run_in / 12 * 4 * 50 * 5 / 8)


def test_a_beam_under_the_stringers_lies_against_their_lower_edge() -> None:
    found = stair(140)
    assert found.loads is not None
    (line,) = found.loads.lines
    # by hand: 19 risers of 7.368, middle at 94.5 in: 66.32 down, 1 tread, 11.25 x 12.83 / 10.5 = 13.74 of board
    assert line.top_in == pytest.approx(140 - 66.316 - 1 - 13.744, abs=0.01)
    # the beam's low face is 1.5 in farther out, the stringers 1.05 in lower there
    assert line.top_over_in(3.0) == pytest.approx(line.top_in - 1.5 * 7.3684 / 10.5, abs=0.001)


def test_composite_treads_bring_stringers_to_12_in_and_their_label() -> None:
    asked = StairSpec(edge=2, offset_ft=6, width_in=48)
    found = lay_out_stair(asked, 1, place(36, boards="composite"), criteria())
    assert found.stair is not None
    assert found.stair.flights[0].stringers == 5
    assert found.stair.flights[0].stringer_spacing_in <= 12
    assert [caution.code for caution in found.cautions] == ["maker_listing_governs"]


def test_either_sense_of_the_outline_faces_the_yard() -> None:
    turned = ((0.0, 12.0), (16.0, 12.0), (16.0, 0.0), (0.0, 0.0))
    asked = StairSpec(edge=0, offset_ft=6, width_in=48)
    found = lay_out_stair(asked, 1, place(36, outline=turned), criteria())
    assert found.stair is not None
    assert found.stair.foot_ft == pytest.approx((8.0, 15.5))


@given(
    surface=st.floats(1, 240),
    tread=st.floats(10, 16),
    fall=st.floats(-1, 4),
    edition=st.sampled_from(["2015", "2018", "2021", "2024"]),
)
def test_risers_are_equal_and_climb_the_whole_rise(
    surface: float, tread: float, fall: float, edition: str
) -> None:
    asked = StairSpec(edge=2, offset_ft=6, width_in=48, tread_in=tread)
    found = lay_out_stair(asked, 1, place(surface, fall), criteria(edition))
    if found.stair is None:
        return
    flights = found.stair.flights
    assert len({flight.riser_in for flight in flights}) == 1
    assert flights[0].riser_in <= 7.75 + 1e-9
    assert sum(f.risers * f.riser_in for f in flights) == pytest.approx(found.stair.rise_in)
    assert all(flight.treads == flight.risers - 1 for flight in flights)
    most = 147 if edition == "2015" else 151
    assert all(flight.risers * flight.riser_in <= most + 1e-6 for flight in flights)
    foot_y = found.stair.foot_ft[1]
    assert surface + fall * foot_y == pytest.approx(found.stair.rise_in)
    assert len({finding.id for finding in found.findings}) == len(found.findings)

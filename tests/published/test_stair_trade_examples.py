"""Worked examples of the trade: common practice, no source, unless a section stands beside them."""

from __future__ import annotations

from functools import cache

import pytest

from service.connections.stair_layout import stair_layout
from service.contract.spec_stairs import StairLayoutSpec
from service.contract.stair_layout import StairLayout
from service.rules.rulebook import build_rulebook
from service.sizing import stairs
from service.sizing.stair_limits import StairRules
from service.store.bundled import bundled


@cache
def rules(edition: str = "2021") -> StairRules:
    books = {book.id: book for book in (build_rulebook(one.meta, one.tables) for one in bundled().rulebooks)}
    return StairRules(books[f"irc-{edition}"], books["dca-6"])


def layout(edition: str = "2021", **given: object) -> StairLayout:
    return stair_layout(StairLayoutSpec(rulebook=f"irc-{edition}", **given), rules(edition))


def failed(found: StairLayout) -> set[str]:
    return {finding.check for finding in found.checks if not finding.passes}


def test_common_practice_throat_of_cut_2x12_7_3_4_with_11_is_4_91_and_fails() -> None:
    assert stairs.throat_in(7.75, 11) == pytest.approx(4.91, abs=0.005)
    pinned = layout(total_rise_in=23.25, tread_in=11, stringer="cut")
    assert pinned.flights[0].throat_in == pytest.approx(4.91, abs=0.005)
    assert failed(pinned) == {"stringer_throat"}
    assert pinned.verdict.status == "engineer_required"
    assert layout(total_rise_in=23.25, tread_in=11).flights[0].stringer_kind == "solid"


def test_common_practice_three_at_7_1_2_climb_22_1_2_without_a_handrail() -> None:
    found = layout(total_rise_in=22.5)
    assert (found.risers, found.flights[0].riser_in, found.handrail.required) == (3, 7.5, False)
    assert found.cautions == ()


def test_common_practice_four_at_7_climb_28_with_a_handrail_and_no_guard() -> None:
    found = layout(total_rise_in=28)
    assert (found.risers, found.flights[0].riser_in) == (4, 7)
    assert found.handrail.required
    assert not found.guard.surface_required
    assert {caution.code for caution in found.cautions} == {
        "three_riser_advice",
        "handrail_without_guard",
        "guard_not_required_but_advised",
    }
    assert '4 3/4"' in found.cautions[0].action


def test_common_practice_three_risers_reach_23_1_4() -> None:
    assert layout(total_rise_in=23.25).risers == 3
    assert layout(total_rise_in=23.26).risers == 4


def test_common_practice_7_1_4_beside_7_3_4_fails_and_is_named() -> None:
    found = layout(risers_in=(7.5, 7.25, 7.75, 7.5))
    assert found.worst_pair is not None
    assert (found.worst_pair.first, found.worst_pair.second, found.worst_pair.passes) == (2, 3, False)
    assert failed(found) == {"riser_uniformity"}
    assert found.verdict.status == "not_permitted"
    assert found.verdict.reasons[0].citation.section == "R311.7.5.1"


def test_common_practice_a_riser_a_tread_too_short_at_the_bottom_is_found() -> None:
    found = layout(risers_in=(8.5, 7.5, 7.5, 6.5))
    assert failed(found) == {"riser_height", "riser_uniformity"}


@pytest.mark.parametrize(
    ("edition", "rise_in", "flights"),
    [("2015", 147, 1), ("2015", 147.5, 2), ("2018", 147.5, 1), ("2018", 151, 1), ("2024", 151.5, 2)],
    ids=["IRC 2015 R311.7.3 147", "IRC 2015 R311.7.3 over 147", "IRC 2018 R311.7.3 over 147",
         "IRC 2018 R311.7.3 151", "IRC 2024 R318.7.3 over 151"],
)  # fmt: skip
def test_flight_limit_brings_a_landing(edition: str, rise_in: float, flights: int) -> None:
    found = layout(edition, total_rise_in=rise_in)
    assert len(found.flights) == flights
    assert len(found.landings) == flights
    assert "flight_rise" not in failed(found)


def test_common_practice_first_and_top_notch() -> None:
    """Every riser is the same once 1 in treads and a 1-1/2 in paver are down."""
    found = layout(total_rise_in=36, tread_thickness_in=1.0, landing_finish_in=1.5)
    riser = 36 / 5
    assert found.notches is not None
    assert found.notches.first_notch_in == pytest.approx(riser - 1.0 + 1.5)
    assert found.notches.top_notch_below_surface_in == pytest.approx(riser + 1.0)
    assert found.flights[0].drop_in == pytest.approx(-0.5)


@pytest.mark.parametrize(
    ("rise_in", "kind", "verdict"),
    [(53, "cut", "prescriptive"), (60, "solid", "prescriptive"), (124, "solid", "prescriptive"),
     (130, "solid", "engineer_required")],
    ids=["AWC DCA 6 cut within 72 in", "AWC DCA 6 cut over 72 in", "AWC DCA 6 solid within 159 in",
         "AWC DCA 6 solid over 159 in"],
)  # fmt: skip
def test_stringer_by_span(rise_in: float, kind: str, verdict: str) -> None:
    """Rise 53 in: seven risers, 63 in run; 60: eight, 73-1/2; 124: sixteen, 157-1/2; 130: seventeen, 168."""
    found = layout(total_rise_in=rise_in)
    assert found.flights[0].stringer_kind == kind
    assert found.verdict.status == verdict


@pytest.mark.parametrize(("width_in", "count"), [(36, 3), (48, 4), (60, 5)])
def test_stringers_18_in_apart_awc_dca_6_from_memory(width_in: float, count: int) -> None:
    flight = layout(total_rise_in=36, width_in=width_in).flights[0]
    assert flight.stringers == count
    assert flight.stringer_spacing_in <= 18


def test_narrow_stair_and_shallow_tread_are_not_permitted() -> None:
    found = layout(total_rise_in=36, width_in=30, tread_in=9)
    assert failed(found) == {"stair_width", "tread_depth"}
    assert {reason.code for reason in found.verdict.reasons} == {"check_failed"}
    assert all(f.would_pass for f in found.checks if not f.passes)

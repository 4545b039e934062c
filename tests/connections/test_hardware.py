"""Hangers, uplift ties, caps, notches and saddles."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.connections.hangers import choose_hanger
from service.connections.posts import seat_on_pier, seat_on_post
from service.connections.uplift import TIP_LOAD_LB, JoistEnd, net_uplift_lb, uplift_tie
from service.mechanics.beam import Beam, Load, Point, Uniform
from service.mechanics.response import analyse
from service.sizing.criteria import Criteria

CRITERIA = Callable[..., Criteria]

# DCA 6 (2012), joist hanger table, from memory: 400 / 500 / 600 / 700 lb.
LEAST = {"2x6": 400, "2x8": 500, "2x10": 600, "2x12": 700}


@pytest.mark.parametrize("size", LEAST, ids=lambda size: f"DCA6-2012-hanger-table-from-memory-{size}")
def test_hangers_of_usual_reactions(criteria: CRITERIA, size: str) -> None:
    hanger = choose_hanger(criteria(), "main.joists-1", size, 1, LEAST[size])
    assert (hanger.capacity_lb, hanger.caution) == (LEAST[size], None)
    assert hanger.finding.citation.status == "memory"


@pytest.mark.parametrize("size", LEAST)
def test_a_hanger_over_the_guide_is_ordered_by_its_listing(criteria: CRITERIA, size: str) -> None:
    hanger = choose_hanger(criteria(), "main.joists-1", size, 1, LEAST[size] + 1)
    assert hanger.capacity_lb == LEAST[size] + 50
    assert hanger.caution is not None
    assert hanger.caution.code == "maker_listing_governs"
    assert f"{LEAST[size] + 50}" in hanger.caution.action
    assert hanger.finding.passes
    assert hanger.finding.citation.status == "own_convention"


def by_statics(joist: JoistEnd, live_psf: float, dead_psf: float) -> float:
    """The reaction at the support behind the cantilever, from the continuous-beam solver; uplift positive."""
    dead = 0.6 * dead_psf * joist.spacing_in / 12
    far, near = joist.other_cantilever_ft, joist.other_cantilever_ft + joist.back_span_ft
    length = near + joist.cantilever_ft
    beam = Beam(length, (far, near))
    live = Uniform(near, length, live_psf * joist.spacing_in / 12)
    lifts: list[Load] = [live, Point(length, TIP_LOAD_LB)]
    reactions = [analyse(beam, [Uniform(0.0, length, dead), lift], 1.0).reactions_lb[0] for lift in lifts]
    return max(0.0, *(-one for one in reactions))


@given(
    span=st.floats(4, 18),
    share=st.floats(0.05, 0.25),
    other=st.floats(0, 3),
    spacing=st.sampled_from([12, 16, 24]),
)
def test_uplift_is_what_statics_gives(span: float, share: float, other: float, spacing: int) -> None:
    joist = JoistEnd(span, span * share, other, spacing)
    assert net_uplift_lb(joist, 40, 10) == pytest.approx(by_statics(joist, 40, 10), abs=1e-6)


def test_220_lb_at_the_tip_lifts_below_about_15_ft() -> None:
    # Trade notes: common practice figure; quarter-span cantilever, 16 in spacing, dead load 10 psf.
    lifts = [net_uplift_lb(JoistEnd(span, span / 4, 0, 16), 0, 10) > 0 for span in (14.0, 14.6, 14.7, 16.0)]
    assert lifts == [True, True, False, False]


def test_a_longer_cantilever_never_lifts_less() -> None:
    lifts = [net_uplift_lb(JoistEnd(10, tenths / 10, 0, 16), 40, 10) for tenths in range(26)]
    assert all(b >= a for a, b in pairwise(lifts))


def test_the_tie_holds_the_uplift(criteria: CRITERIA) -> None:
    tie = uplift_tie(criteria(snow_psf=60.0), "main.ledger-1", JoistEnd(8, 2, 0, 24))
    assert tie.uplift_lb == net_uplift_lb(JoistEnd(8, 2, 0, 24), 60, 10) > 0
    assert tie.capacity_lb >= tie.uplift_lb
    assert tie.capacity_lb % 50 == 0
    assert (tie.finding.check, tie.finding.citation.section) == ("ledger_uplift", "R507.8")


def test_no_cantilever_no_uplift(criteria: CRITERIA) -> None:
    assert uplift_tie(criteria(), "main.ledger-1", JoistEnd(12, 0, 0, 16)).uplift_lb == 0


SEATS = [
    # post, beam, plies, stands; 1.5 in a ply on dressed posts (IRC R507.5.1: every ply bears)
    ("4x4", "2x10", 1, True), ("4x4", "2x10", 2, True), ("4x4", "2x10", 3, False), ("6x6", "2x10", 3, True),
    ("4x6", "2x8", 3, True), ("8x8", "2x12", 3, True), ("4x4", "4x8", 1, True),
]  # fmt: skip


@pytest.mark.parametrize(("post", "beam", "plies", "stands"), SEATS)
@pytest.mark.parametrize("edition", ["2015", "2018", "2021", "2024"])
def test_three_plies_are_too_wide_for_a_4x4(
    criteria: CRITERIA, edition: str, post: str, beam: str, plies: int, stands: bool
) -> None:
    seat = seat_on_post(criteria(edition), "main.beam-1", post, beam, plies)
    assert [one.passes for one in seat.findings] == [stands]
    assert seat.kind == "cap"
    assert (seat.findings[0].would_pass is None) == stands


@pytest.mark.parametrize(
    ("post", "plies", "stands"),
    [("6x6", 2, True), ("6x6", 3, False), ("4x4", 2, False), ("8x8", 2, True), ("8x8", 3, False)],
)
def test_a_notch_is_for_two_plies_on_a_6x6(criteria: CRITERIA, post: str, plies: int, stands: bool) -> None:
    # IRC Figure R507.5.1(2), from memory: 2.5 in of wood left beside the notch.
    seat = seat_on_post(criteria(), "main.beam-1", post, "2x10", plies, notch=True)
    assert seat.item is None
    assert all(one.passes for one in seat.findings) == stands
    assert seat.findings[-1].citation.status == "memory"


@pytest.mark.parametrize(("bearing", "stands"), [(3.0, True), (2.9375, False), (5.5, True)])
def test_a_saddle_bears_3_in(criteria: CRITERIA, bearing: float, stands: bool) -> None:
    # IRC R507.5.1 (2015: R507.7): 3 in on concrete.
    seat = seat_on_pier(criteria(), "main.beam-1", "2x8", 2, bearing)
    assert seat.item == "saddle.2ply.hot_dip_galvanized"
    assert [one.passes for one in seat.findings] == [stands]

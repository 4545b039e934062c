"""Guards of a level: where, posts, what carries them, and refusals."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations, pairwise
from math import dist, hypot
from typing import Any

import pytest
from guard_decks import RECTANGLE, criteria, guarded
from hypothesis import given
from hypothesis import strategies as st

from service.connections.door import check_door_step
from service.connections.guard_anchorage import connector_item
from service.connections.guards import GuardResult
from service.contract.spec import DeckSpec, HouseSpec, LevelSpec, StairSpec
from service.framing.guard_falls import without
from service.framing.guard_places import parts_of, spaced
from service.framing.stair_place import places_of
from service.framing.stairs import lay_out_stair
from service.sizing.guard_posts import connector_tension_lb

GALVANIZED = "hot_dip_galvanized"


def guards(surface_in: float = 36, with_stair: bool = False, fall_y: float = 0.0, **more: Any) -> GuardResult:
    def grade(x: float, y: float) -> float:
        return -fall_y * y

    stairs = []
    if with_stair:
        level = LevelSpec(outline_ft=RECTANGLE, surface_height_in=surface_in)
        place = replace(places_of(DeckSpec(levels=(level,)))["main"], grade=grade)
        built = lay_out_stair(StairSpec(edge=2, offset_ft=6, width_in=48), 1, place, criteria()).stair
        assert built is not None
        stairs.append(built)
    return guarded(RECTANGLE, surface_in, grade=grade, stairs=stairs, **more)


def codes(found: GuardResult) -> list[str]:
    return [reason.code for reason in found.reasons]


def test_guard_on_every_open_edge_over_30_in_and_none_on_the_house() -> None:
    assert [guard.edge for guard in guards(30.01).guards] == [1, 2, 3]
    assert guards(30).guards == ()
    assert [guard.edge for guard in guards(12, extent="all_edges").guards] == [1, 2, 3]


def test_falling_ground_guards_only_the_edges_that_are_high() -> None:
    """36 in out from the yard edge the ground is 15 ft from the house."""
    found = guards(20, fall_y=0.7)
    assert [guard.edge for guard in found.guards] == [2]
    assert guards(20, fall_y=0.66).guards == ()


def test_required_guard_left_out_is_not_permitted() -> None:
    found = guards(36, extent="none")
    assert codes(found) == ["guard_omitted"]
    assert [finding.passes for finding in found.findings if finding.check == "guard_required"] == [False] * 3
    assert guards(30, extent="none").reasons == ()


def test_posts_stand_evenly_at_most_6_ft_apart_common_practice() -> None:
    found = guards()
    assert [len(guard.posts) for guard in found.guards] == [3, 4, 3]
    ids = [post.id for guard in found.guards for post in guard.posts]
    assert ids[:3] == ["main.guard-post-1-1", "main.guard-post-1-2", "main.guard-post-1-3"]
    assert len(set(ids)) == len(ids)
    assert all(f.passes for f in found.findings)


def test_stair_opening_splits_the_run() -> None:
    found = guards(with_stair=True)
    yard = [(guard.start_ft, guard.end_ft) for guard in found.guards if guard.edge == 2]
    assert yard == [((16.0, 12.0), (10.0, 12.0)), ((6.0, 12.0), (0.0, 12.0))]
    assert all(
        not (6.0 < post.x_ft < 10.0) for guard in found.guards if guard.edge == 2 for post in guard.posts
    )


def test_every_post_is_carried_by_more_than_a_rim() -> None:
    found = guards(with_stair=True)
    for guard in found.guards:
        for post in guard.posts:
            assert len(post.carried_by) >= 2
            assert any("joists" in held or "blocking" in held for held in post.carried_by)
    known = {blocking.id for blocking in found.blocking}
    asked = {held for g in found.guards for p in g.posts for held in p.carried_by if "blocking" in held}
    assert asked == known
    assert min(known) == "main.blocking-3"
    pieces = sum(
        "blocking" in held for guard in found.guards for post in guard.posts for held in post.carried_by
    )
    assert pieces == sum(blocking.count for blocking in found.blocking)


def test_post_at_a_joist_holds_to_it_and_between_joists_to_a_stub_and_block() -> None:
    """Joists at 112 and 128 in; the stair's side post stands at 121-3/4."""
    plain, split = guards(), guards(with_stair=True)
    yard = next(guard for guard in plain.guards if guard.edge == 2)
    assert yard.posts[0].carried_by == ("main.rim-2", "main.joists-1")
    beside = next(guard for guard in split.guards if guard.edge == 2).posts[-1]
    assert beside.x_ft * 12 == pytest.approx(121.75)
    assert beside.carried_by[0] == "main.rim-2"
    because = {blocking.id: blocking for blocking in split.blocking}
    stub, block = (because[held] for held in beside.carried_by[1:])
    assert (stub.length_in, block.length_in) == (14.5, 14.5)
    assert "stub" in stub.because
    assert "between two joists" in block.because


def test_side_joist_is_tied_to_its_neighbour_at_each_post() -> None:
    side = guards().guards[0]
    assert all(post.carried_by[0] == "main.joists-1" for post in side.posts)
    assert {post.carried_by[1] for post in side.posts} == {"main.blocking-3"}


def test_hardware_of_a_side_mount() -> None:
    post = guards().guards[0].posts[0]
    # 3.5 in of post, 1.5 in of joist, 3/4 in of washers and nut: 5.75
    bolt, washer = f"bolt.1-2in.6in.{GALVANIZED}", f"washer.1-2in.{GALVANIZED}"
    connector = f"guard_post_connector.tension_1800lb.{GALVANIZED}"
    assert post.hardware == (bolt,) * 2 + (washer,) * 4 + (connector,)


@pytest.mark.parametrize("mount", ["side", "surface"])
def test_no_two_posts_share_a_place_and_every_run_ends_on_its_own_posts(mount: str) -> None:
    """Beside the stair a post's face is flush with the opening, at a corner 1-1/4 in off it."""
    found = guards(post_mount=mount, with_stair=True)
    spots = [(post.x_ft, post.y_ft) for guard in found.guards for post in guard.posts]
    assert all(max(abs(a - c), abs(b - d)) * 12 >= 3.5 - 1e-6 for (a, b), (c, d) in combinations(spots, 2))
    yard = [guard for guard in found.guards if guard.edge == 2]
    for guard, corner, beside in ((yard[0], 0, -1), (yard[1], -1, 0)):
        ends = {0: guard.start_ft, -1: guard.end_ft}
        off = [dist(ends[i], (guard.posts[i].x_ft, guard.posts[i].y_ft)) * 12 for i in (corner, beside)]
        assert off == [pytest.approx(hypot(3.0, 1.75)), pytest.approx(hypot(1.75, 1.75))]


def test_surface_mounted_posts_stand_on_the_deck_over_blocking() -> None:
    found = guards(post_mount="surface")
    posts = [post for guard in found.guards for post in guard.posts]
    assert all(post.mount == "surface" and "blocking" in post.carried_by[0] for post in posts)
    assert all(0 < post.x_ft < 16 and 0 < post.y_ft < 12 for post in posts)


def test_price_book_without_a_tested_connector_needs_an_engineer() -> None:
    assert codes(guards(offered={"lumber.2x8.southern_pine.no_2.uc3b"})) == ["guard_connector_unproven"]
    assert codes(guards(offered={connector_item("side", GALVANIZED)})) == []
    assert codes(guards(12, offered=set())) == []


def test_no_price_book_is_a_caution() -> None:
    assert [caution.code for caution in guards().cautions] == ["maker_listing_governs"]
    assert guards(offered={connector_item("side", GALVANIZED)}).cautions == ()


def test_rims_carrying_posts_are_2x8_or_deeper_awc_dca_6() -> None:
    assert set(codes(guards(size="2x6"))) == {"size_or_spacing_off_tables", "guard_connector_unproven"}
    assert codes(guards(size="2x8")) == []


def test_posts_too_far_apart_rest_on_memory() -> None:
    found = guards(post_spacing_ft=8)
    assert set(codes(found)) == {"memory_value_decides"}
    assert all(finding.would_pass for finding in found.findings if not finding.passes)


@pytest.mark.parametrize(("size_in", "tension_lb"), [(7.25, 1686), (9.25, 1276)])
def test_connector_tension_by_statics(size_in: float, tension_lb: float) -> None:
    """Moment about the member's lower edge: 200 lb at 36 + 1 + depth over depth - 2."""
    lever = 36 + 1 + size_in
    assert connector_tension_lb(200, 36, 1, size_in) * (size_in - 2) == pytest.approx(200 * lever)
    assert connector_tension_lb(200, 36, 1, size_in) == pytest.approx(tension_lb, abs=0.5)


def test_a_42_in_guard_on_a_2x8_rim_overloads_the_connector() -> None:
    assert connector_tension_lb(200, 42, 1, 7.25) > 1800
    assert connector_tension_lb(200, 42, 1, 9.25) < 1800


def test_low_deck_with_a_handrail_is_advised_both_ways() -> None:
    found = guards(28, with_stair=True)
    assert [caution.code for caution in found.cautions] == [
        "three_riser_advice",
        "handrail_without_guard",
        "guard_not_required_but_advised",
    ]
    assert guards(22, with_stair=True).cautions == ()
    assert "handrail_without_guard" not in [c.code for c in guards(28, True, extent="all_edges").cautions]


def test_check_ids_are_unique() -> None:
    found = guards(with_stair=True)
    assert len({finding.id for finding in found.findings}) == len(found.findings)


def test_deck_above_the_sill_fails_the_door() -> None:
    house = HouseSpec(wall="wood_band", door_sill_height_in=37.5)
    findings, reasons = check_door_step(house, 38, criteria().rulebook)
    assert [finding.passes for finding in findings] == [True, False]
    assert [reason.code for reason in reasons] == ["check_failed"]
    assert check_door_step(HouseSpec(), 38, criteria().rulebook) == ((), ())


def test_exit_door_that_does_not_swing_over_the_deck_may_step_7_3_4() -> None:
    house = HouseSpec(wall="wood_band", door_sill_height_in=37.5, door_swings_out=False)
    assert check_door_step(house, 37.5 - 7.75, criteria().rulebook)[1] == ()
    assert check_door_step(house, 37.5 - 7.76, criteria().rulebook)[1] != ()


@given(length=st.floats(0.6, 100), most=st.floats(2, 8))
def test_posts_are_even_and_never_too_far_apart(length: float, most: float) -> None:
    places = spaced(0, length, parts_of(length, most))
    gaps = [b - a for a, b in pairwise(places)]
    assert all(gap <= most + 1e-7 for gap in gaps)
    assert max(gaps) - min(gaps) < 1e-9
    assert (places[0], places[-1]) == (0, pytest.approx(length))


@given(
    length=st.floats(4, 60),
    openings=st.lists(st.tuples(st.floats(0, 50), st.floats(2, 8)), max_size=3),
)
def test_stretches_and_openings_do_not_overlap(length: float, openings: list[tuple[float, float]]) -> None:
    gaps = [(start, min(start + wide, length)) for start, wide in openings if start < length]
    left = without([(0.0, length)], gaps)
    for start, end in left:
        assert 0 <= start < end <= length
        assert all(end <= a + 1e-9 or start >= b - 1e-9 for a, b in gaps)
    stations = [(at + 0.5) / 100 * length for at in range(100)]
    assert all(any(a - 1e-9 <= at <= b + 1e-9 for a, b in [*left, *gaps]) for at in stations)

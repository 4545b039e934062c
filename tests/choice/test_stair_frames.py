"""What stands under stairs: hand figures, who holds the upper end, and loads in that equal reactions out."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from doctest_names import _names
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from service.checks.judged import Judged
from service.checks.verdict import verdict
from service.checks.zoning import judge_setbacks
from service.choice.level.stair_frames import (
    Head,
    StairFrame,
    StairFrames,
    footings_alone,
    stair_demands,
    stair_frames,
)
from service.choice.level.stair_sizes import stair_ask
from service.contract.spec import DeckSpec, HouseSpec, LevelSpec, PropertyLineSpec, SiteSpec, StairSpec
from service.foundations.stair_pad import PadAsk, stair_pad
from service.framing.stair_clashes import clashes
from service.framing.stair_place import places_of
from service.framing.stairs import lay_out_stairs

YARD, SIDE = 2, 1
KINDS = ("edge_beam", "side", "cantilever", "flush")


def framed(
    spec: DeckSpec, kind: Any = "edge_beam", edition: str = "2021", post: str = "6x6", stock_in: float = 240.0
) -> StairFrames:
    criteria = _names()[f"criteria_{edition}"]
    places = places_of(spec)
    laid = lay_out_stairs(spec.stairs, places, criteria)
    heads = {one.stair.id: Head(kind, "main.rim-1") for one in laid if one.stair is not None}
    found = stair_frames(laid, heads, stair_ask(criteria, stock_in, post), "B")
    return replace(found, judged=found.judged + Judged((), clashes(laid, places)))


def deck(surface_in: float, *stairs: StairSpec, **site: float) -> DeckSpec:
    level = LevelSpec(width_ft=16, projection_ft=12, surface_height_in=surface_in)
    house = HouseSpec(wall="wood_band")
    return DeckSpec(levels=(level,), stairs=stairs, house=house, site=SiteSpec(**site))


def stair(**spec: Any) -> StairSpec:
    return StairSpec(**{"edge": YARD, "offset_ft": 4, "width_in": 48, **spec})


def one(found: StairFrames) -> StairFrame:
    (frame,) = found.frames
    return frame


def reasons(found: StairFrames) -> list[str]:
    return [reason.code for reason in verdict(found.judged, 1.15).reasons]


def two_levels(upper_in: float, lower_in: float, **spec: Any) -> DeckSpec:
    upper = LevelSpec(id="up", width_ft=16, projection_ft=10, surface_height_in=upper_in)
    lower = LevelSpec(id="low", origin_ft=(0, 10), width_ft=16, projection_ft=12, surface_height_in=lower_in)
    down = stair(**{"level": "up", "down_to": "low", **spec})
    return DeckSpec(levels=(upper, lower), stairs=(down,), house=HouseSpec(wall="wood_band"))


def test_an_edge_beam_takes_the_stair_and_its_foot_stands_on_a_pad() -> None:
    found = framed(deck(36, stair()))
    frame = one(found)
    assert (frame.stair.head, frame.stair.carried_by, frame.beams) == ("hung", "main.rim-1", ())
    # 42 in of run at 50 psf, 4 ft wide: half to either end
    assert frame.edge_load is not None
    assert frame.edge_load.reaction_lb == pytest.approx(350)
    assert frame.pad is not None
    pad = frame.pad.footing
    assert (pad.serves, pad.load_lb) == ("deck.stair-1", pytest.approx(350))
    # 36 in to walk on, and one tread back under the stringers' foot
    assert pad.concrete is not None
    assert (pad.concrete.width_in, pad.concrete.length_in) == (48, 46.5)
    assert pad.concrete.volume_cuft == pytest.approx(4 * 46.5 / 12 / 3)
    assert reasons(found) == []


def test_a_poured_pad_is_the_callers_and_not_in_the_order() -> None:
    assert one(framed(deck(36, stair(down_to="pad")))).pad is None


def test_a_pad_bears_where_the_stringers_stand() -> None:
    frame = one(framed(deck(36, stair())))
    assert frame.pad is not None
    (check,) = frame.pad.findings
    # 1500 psf on 48 x 10.5 in
    assert (check.demand, check.capacity) == (pytest.approx(350), pytest.approx(1500 * 4 * 10.5 / 12))
    criteria = _names()["criteria_2021"]
    soft = replace(criteria, ground=replace(criteria.ground, soil_bearing_psf=50.0))
    ask = PadAsk("deck.stair-1", "S1-F", (8.0, 15.0), 0.0, 350.0, 48.0, 46.5, 10.5)
    (weak,) = stair_pad(ask, soft).findings
    assert (weak.capacity, weak.passes) == (pytest.approx(175), False)


@pytest.mark.parametrize(
    ("edition", "flights"), [("2015", 2), ("2018", 1), ("2021", 1), ("2024", 1)], ids=lambda v: str(v)
)
def test_a_landing_comes_at_147_in_of_2015_and_151_in_since(edition: str, flights: int) -> None:
    """R311.7.3: 147 in (2015), 151 in (2018 on)."""
    frame = one(framed(deck(149, stair()), edition=edition))
    assert len(frame.stair.flights) == flights
    kinds = [beam.line.kind for beam in frame.beams]
    assert kinds == (["landing_near", "landing_far"] if flights == 2 else ["mid_support"])


def test_a_landing_stands_on_two_beams_with_joists_between_them() -> None:
    found = framed(deck(160, stair()))
    frame = one(found)
    landing, foot = frame.stair.landings
    near, far = frame.beams
    # by hand: 21 risers of 7.619, eleven down; seat 10.5 x ((1 + 11.25 x 12.973 / 10.5) / 7.619 - 1) = 10.034
    assert landing.height_in == pytest.approx(160 - 11 * 7.61905, abs=1e-3)
    assert near.line.out_in == pytest.approx(105 - 10.034, abs=1e-3)
    assert far.line.out_in == pytest.approx(105 + 36)
    (joists,) = landing.joists
    # from rim to rim less both, and from beam to beam 3 in less than the whole depth
    assert joists.lines[0].length_in == pytest.approx(46.034 - 3, abs=1e-3)
    assert joists.lines[0].spans_in == (pytest.approx(46.034 - 3, abs=1e-3),)
    assert [support.member for support in joists.lines[0].supports] == [near.beam.id, far.beam.id]
    assert (joists.size, joists.count) == ("2x8", 4)
    assert near.beam.bottom_height_in == pytest.approx(landing.height_in - 1 - 7.25 - 5.5)
    # half of ten treads and half of the landing, at 50 psf
    assert near.beam.line_load_plf == pytest.approx((105 / 2 + 46.034 / 2) / 12 * 50, abs=0.1)
    assert far.beam.line_load_plf == pytest.approx((94.5 / 2 + 46.034 / 2) / 12 * 50, abs=0.1)
    assert [post.id for post in frame.posts][-1] == "deck.stair-1.post-2-2"
    assert landing.guard is not None
    assert (landing.guard.sides, landing.guard.height_in, foot.guard) == (2, 36, None)
    assert reasons(found) == []


def test_a_landing_is_braced_both_ways_as_a_deck_that_stands_free() -> None:
    frame = one(framed(deck(160, stair())))
    ways = {(brace.post, brace.direction) for brace in frame.stair.braces}
    posts = {post.id for post in frame.posts}
    assert ways == {(post, way) for post in posts for way in ("along_beam", "across_beam")}
    # two legs of 17 in between posts 42 in apart leave room for both
    assert [brace.length_in for brace in frame.stair.braces] == [pytest.approx(17 * 2**0.5)] * 8


def test_posts_of_a_landing_over_the_limit_are_an_engineers() -> None:
    assert reasons(framed(deck(240, stair()))) == ["tall_freestanding"]


@pytest.mark.parametrize("kind", ["side", "cantilever", "flush"])
def test_an_edge_that_takes_no_stair_leaves_it_to_a_beam_of_its_own(kind: str) -> None:
    found = framed(deck(48, stair(edge=SIDE)), kind)
    frame = one(found)
    (beam,) = frame.beams
    assert frame.edge_load is None
    assert (frame.stair.head, frame.stair.carried_by) == ("own_beam", "deck.stair-1.beam-1")
    # half an inch clear of the edge, half the beam's 3 in farther
    assert beam.beam.start_ft == (pytest.approx(16 + 2 / 12), pytest.approx(4))
    assert beam.beam.end_ft == (pytest.approx(16 + 2 / 12), pytest.approx(8))
    # by hand: 7 risers of 6.857: 0.327 down at 0.5 in, tread 1, board 11.25 x 12.541 / 10.5 = 13.437; to its far face
    # another 1.959
    assert beam.beam.bottom_height_in == pytest.approx(48 - 0.327 - 1 - 13.437 - 1.959 - 5.5, abs=0.01)
    assert beam.beam.line_load_plf == pytest.approx(63 / 24 * 50)
    assert reasons(found) == []


def test_a_stair_with_no_room_for_its_beam_says_how_much_is_missing() -> None:
    found = framed(deck(24, stair(edge=SIDE)), "side")
    assert reasons(found) == ["stair_on_end_joist"]
    assert 'even a 2x6 needs 7/16" more room' in found.judged.reasons[-1].text
    assert one(found).edge_load is not None


@pytest.mark.parametrize("surface_in", [9.0, 15.0, 23.25])
def test_up_to_three_risers_stand_as_a_box_step(surface_in: float) -> None:
    found = framed(deck(surface_in, stair(edge=SIDE)), "side")
    frame = one(found)
    assert (frame.stair.head, frame.edge_load, frame.beams) == ("box", None, ())
    assert frame.pad is not None
    run_in = frame.stair.flights[0].run_in
    assert frame.pad.footing.load_lb == pytest.approx(run_in / 12 * 4 * 50)
    assert frame.pad.footing.concrete is not None
    assert frame.pad.footing.concrete.length_in == run_in + 36
    assert reasons(found) == []


def test_one_riser_needs_no_members() -> None:
    found = framed(two_levels(36, 29))
    frame = one(found)
    assert (frame.stair.head, frame.beams, frame.pad, frame.edge_load) == ("step", (), None, None)
    assert reasons(found) == []


def test_three_risers_to_a_lower_level_are_within_a_foot_of_its_load() -> None:
    found = framed(two_levels(44, 22))
    (check,) = [finding for finding in found.judged.findings if finding.check == "stair_foot_on_level"]
    # 21 in of run: 43.75 plf at its foot, 50 on a foot of deck
    assert (check.demand, check.capacity, check.passes) == (pytest.approx(43.75), 50, True)
    assert one(found).stair.rise_in == 22
    assert reasons(found) == []


def test_a_longer_flight_to_a_lower_level_is_an_engineers() -> None:
    found = framed(two_levels(60, 22))
    assert reasons(found) == ["stair_foot_on_level"]


def test_a_foot_past_the_lower_floor_fails_with_what_would_pass() -> None:
    spec = two_levels(60, 22)
    short = LevelSpec(id="low", origin_ft=(0, 10), width_ft=16, projection_ft=5, surface_height_in=22)
    spec = DeckSpec(levels=(spec.levels[0], short), stairs=spec.stairs, house=spec.house)
    (failed,) = [f for f in framed(spec).judged.findings if f.check == "stair_landing" and not f.passes]
    assert failed.would_pass is not None
    assert "wholly on level low" in failed.would_pass


def test_posts_do_not_go_through_a_lower_floor() -> None:
    found = framed(two_levels(60, 22), "cantilever")
    assert "stair_on_cantilever" in reasons(found)
    assert any("through the floor of level low" in reason.text for reason in found.judged.reasons)
    tall = framed(two_levels(240, 80))
    assert "stair_support_not_framed" in reasons(tall)
    assert one(tall).beams == ()


def test_a_wide_stair_stands_on_several_posts_in_lengths_that_can_be_had() -> None:
    frame = one(framed(deck(140, stair(offset_ft=0, width_in=192)), stock_in=144))
    (beam,) = frame.beams
    assert len(beam.beam.supports_ft) == 4
    assert beam.beam.splices
    assert {splice.at_post for splice in beam.beam.splices} <= {post.id for post in frame.posts[1:-1]}
    assert sum(post.load_lb for post in frame.posts) == pytest.approx(beam.line.load_lb)


def test_each_post_on_a_hillside_has_its_own_height() -> None:
    spec = deck(96, stair(), grade_fall_y_in_per_ft=2.0, grade_fall_x_in_per_ft=1.0)
    found = framed(spec)
    frame = one(found)
    # the stair's middle leaves at x 10, y 12; its foot is where the ground is as low as its risers come
    foot_x, foot_y = frame.stair.foot_ft
    assert frame.stair.foot_height_in == pytest.approx(-(foot_x + 2 * foot_y))
    assert frame.stair.rise_in == pytest.approx(96 + foot_x + 2 * foot_y)
    for beam in frame.beams:
        for post, stand in zip(beam.posts, beam.stands, strict=True):
            ground = -(post.x_ft + 2 * post.y_ft)
            assert stand.grade_in == pytest.approx(ground)
            assert post.height_in == pytest.approx(beam.beam.bottom_height_in - ground - 3)
    heights = [post.height_in for post in frame.posts]
    assert len(set(heights)) == len(heights)
    assert "ground_falls_at_foot" in [caution.code for caution in found.judged.cautions]


def test_demands_name_posts_footings_and_the_ground_under_them() -> None:
    found = framed(deck(160, stair()))
    demands = stair_demands(found, attached=True)
    assert [demand.footing_id for demand in demands] == [
        f"deck.stair-1.footing-{beam}-{post}" for beam in (1, 2) for post in (1, 2)
    ]
    assert {demand.post for demand in demands} == {post.id for post in found.posts}
    saddle = stair_demands(framed(deck(27, stair(edge=SIDE)), "side"), attached=False)
    assert [(one.post, one.serves, one.seat) for one in saddle] == [(None, "deck.stair-1.beam-1", "2ply")] * 2


def test_stairs_that_meet_are_refused_in_words() -> None:
    outline = ((0, 0), (24, 0), (24, 12), (12, 12), (12, 20), (0, 20))
    level = LevelSpec(outline_ft=outline, surface_height_in=36)
    inside = stair(edge=2, offset_ft=8), stair(edge=3, offset_ft=0)
    apart = stair(edge=2, offset_ft=0), stair(edge=3, offset_ft=4)
    house = HouseSpec(wall="wood_band")
    for stairs, expected in ((inside, ["stair_blocked"]), (apart, [])):
        found = framed(DeckSpec(levels=(level,), stairs=stairs, house=house))
        assert reasons(found) == expected


def test_a_stair_over_a_floor_it_does_not_go_down_to_is_refused() -> None:
    assert reasons(framed(two_levels(36, 20, down_to="grade"))) == ["stair_blocked"]


def test_a_stair_into_a_wall_is_refused() -> None:
    # a wall of the house along x = 16 from y = 4 on, and a stair off the side before it
    outline = ((0, 0), (12, 0), (12, 4), (16, 4), (16, 12), (0, 12))
    level = LevelSpec(outline_ft=outline, surface_height_in=36, house_edges=(0, 3))
    spec = DeckSpec(
        levels=(level,), stairs=(stair(edge=1, offset_ft=0, width_in=48),), house=HouseSpec(wall="wood_band")
    )
    assert reasons(framed(spec)) == []
    across = LevelSpec(outline_ft=((0, 0), (12, 0), (12, 8), (15, 8), (15, 4), (16, 4), (16, 12), (0, 12)),
                       surface_height_in=36, house_edges=(0, 4))  # fmt: skip
    blocked = DeckSpec(
        levels=(across,), stairs=(stair(edge=1, offset_ft=4, width_in=36),), house=HouseSpec(wall="wood_band")
    )
    assert "stair_blocked" in reasons(framed(blocked))


def total_out_lb(frame: StairFrame) -> float:
    """What everything under a stair bears: edge, posts and saddles, foot."""
    edge = frame.edge_load.reaction_lb if frame.edge_load is not None else 0.0
    return edge + sum(stand.load_lb for beam in frame.beams for stand in beam.stands) + frame.foot_lb


@settings(max_examples=120, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    surface=st.floats(7, 240),
    width=st.integers(24, 144),
    tread=st.floats(10, 14),
    fall=st.floats(-0.5, 2),
    kind=st.sampled_from(KINDS),
    edition=st.sampled_from(["2015", "2018", "2021", "2024"]),
    stringer=st.sampled_from(["auto", "cut", "solid"]),
)
def test_loads_in_equal_reactions_out(
    surface: float, width: int, tread: float, fall: float, kind: str, edition: str, stringer: str
) -> None:
    spec = stair(offset_ft=0, width_in=width, tread_in=tread, stringer=stringer)
    found = framed(deck(surface, spec, grade_fall_y_in_per_ft=fall), kind, edition)
    if "stair_support_not_framed" in reasons(found):
        return
    for frame in found.frames:
        built = frame.stair
        platforms = sum(
            line.length_in + 3 for landing in built.landings for j in landing.joists for line in j.lines[:1]
        )
        area_in = sum(flight.run_in for flight in built.flights) + platforms
        assert total_out_lb(frame) == pytest.approx(area_in / 12 * width / 12 * 50, rel=1e-6, abs=1e-6)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    surface=st.floats(24, 240), width=st.integers(24, 192), kind=st.sampled_from(KINDS), fall=st.floats(0, 2)
)
def test_every_beam_stands_on_posts_over_the_ground_and_every_post_on_a_footing(
    surface: float, width: int, kind: str, fall: float
) -> None:
    found = framed(deck(surface, stair(offset_ft=0, width_in=width), grade_fall_y_in_per_ft=fall), kind)
    demands = stair_demands(found, attached=True)
    assert {demand.post for demand in demands} - {None} == {post.id for post in found.posts}
    for frame in found.frames:
        for beam in frame.beams:
            assert len(beam.stands) == len(beam.beam.supports_ft) >= 2
            assert all(beam.beam.bottom_height_in >= stand.grade_in + 3 - 1e-6 for stand in beam.stands)
            bearing = max(beam.beam.overhang_start_in / beam.beam.spans_in[0], 0.0)
            assert bearing <= 0.25 + 1e-9
        for landing in frame.stair.landings:
            for joists in landing.joists:
                assert all(len(line.supports) == 2 for line in joists.lines)


def test_a_lot_line_is_measured_from_the_landing_at_the_foot() -> None:
    stairs = framed(deck(36, stair())).stairs
    line = PropertyLineSpec(side="rear", distance_from_house_ft=40, setback_ft=20)
    corners = ((0.0, 0.0), (16.0, 0.0), (16.0, 12.0), (0.0, 12.0))
    (check,) = judge_setbacks([line], corners, stairs).findings
    # 12 ft of deck, 42 in of treads and 36 in of landing
    assert check.demand == pytest.approx(40 - 12 - 3.5 - 3)
    side = framed(deck(36, stair(edge=SIDE)), "side").stairs
    right = PropertyLineSpec(side="right", distance_from_house_ft=24, setback_ft=2)
    (check,) = judge_setbacks([right], corners, side).findings
    assert check.demand == pytest.approx(24 - 16 - 3.5 - 3)


@pytest.mark.parametrize(("surface_in", "footings"), [(7.0, 0), (20.0, 0), (24.0, None), (48.0, 2)])
def test_how_many_footings_a_stair_needs_where_no_edge_takes_it(
    surface_in: float, footings: int | None
) -> None:
    spec = deck(surface_in, stair())
    criteria = _names()["criteria_2021"]
    (laid,) = lay_out_stairs(spec.stairs, places_of(spec), criteria)
    assert footings_alone(laid, stair_ask(criteria, 240.0, "6x6")) == footings


def test_a_hump_between_posts_lifts_the_beam_or_refuses_it() -> None:
    spec = deck(48, stair(offset_ft=0, width_in=96))
    criteria = _names()["criteria_2021"]
    flat = places_of(spec)["main"]
    found = []
    for top_in in (10.0, 26.0):
        hump = replace(
            flat,
            grade=lambda x, y, top_in=top_in: max(0.0, top_in * (1 - abs(x - 12)) if 12 < y < 13 else 0.0),
        )
        laid = lay_out_stairs(spec.stairs, {"main": hump}, criteria)
        heads = {"deck.stair-1": Head("cantilever", "main.rim-1")}
        found.append(stair_frames(laid, heads, stair_ask(criteria, 240.0, "6x6"), None))
    low, high = found
    (beam,) = one(low).beams
    assert 3 <= beam.gap_in < min(beam.beam.bottom_height_in - stand.grade_in for stand in beam.stands)
    assert one(high).beams == ()
    assert reasons(high) == ["stair_on_cantilever"]

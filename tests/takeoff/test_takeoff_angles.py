"""Angled cuts, rims and beams in any direction, skewed hangers, and wood near the ground where it lies."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from service.contract.report_frame import Beam, Blocking, Lap, Ledger, Post, Splice, Support
from service.contract.spec import LevelSpec, SiteSpec
from service.contract.spec_site import GradePointSpec
from service.framing.frame import Frame
from service.takeoff.connectors import connectors
from service.takeoff.lines import rim_breaks_in
from service.takeoff.order import take_off
from service.takeoff.parts import Part, alike, grouped
from tests.takeoff.shapes import LUMBER, frame_for, joists_for, level_for, rim_for, spec_for

JOIST = "lumber.2x8.southern_pine.no_2"
HDG = "hot_dip_galvanized"
SQUARE = ((0.0, 0.0), (16.0, 0.0), (16.0, 12.0), (0.0, 12.0))
LONG = ((0.0, 0.0), (40.0, 0.0), (40.0, 12.0), (0.0, 40.0))
ANGLES = st.floats(-60, 60).map(lambda deg: round(deg, 1))


def of(takeoff, member):
    """Pieces of a member: length, start and end cut, how many."""
    return [
        (piece.length_in, *(cut.angle_deg for cut in piece.end_cuts), piece.quantity)
        for piece in takeoff.pieces
        if member in piece.members and piece.item.startswith("lumber")
    ]


def ledger_at(start_ft, end_ft, number=1) -> Ledger:
    return Ledger(
        id=f"level-1.ledger-{number}", mark=f"L{number}", edge=0, size="2x8", start_ft=start_ft, end_ft=end_ft,
        lands_on="wood_band", sheathing_thickness_in=0.5, fastener=f"lag_screw.1-2in.4in.{HDG}", spacing_in=15.0,
        row_heights_in=(30.0, 33.0), fastener_count=10, lateral_devices=(), **LUMBER,
    )  # fmt: skip


def beam_at(start_ft, end_ft, placement="flush", bottom_in=20.0, splices=()) -> Beam:
    return Beam(
        id="level-1.beam-1", mark="B1", size="2x10", plies=2, placement=placement, start_ft=start_ft, end_ft=end_ft,
        bottom_height_in=bottom_in, supports_ft=(), spans_in=(), overhang_start_in=0.0, overhang_end_in=0.0,
        splices=splices, line_load_plf=100.0, **LUMBER,
    )  # fmt: skip


def post_at(number, x_ft, y_ft) -> Post:
    return Post(
        id=f"level-1.post-1-{number}", mark=f"P1-{number}", level="level-1", beam="level-1.beam-1", size="6x6",
        x_ft=x_ft, y_ft=y_ft, height_in=15.0, cut_length_in=14.0, load_lb=2000.0, base=None, cap=None, **LUMBER,
    )  # fmt: skip


@given(start=ANGLES, end=ANGLES)
def test_a_piece_is_the_same_whichever_way_it_lies(start, end):
    turned = (-end, -start)
    for code in (f"{JOIST}.uc3b", "decking.5-4x6.wood", "fascia.1x12.composite"):
        assert alike(code, turned) == alike(code, (start, end))
    over = (-start, -end)
    assert alike(f"{JOIST}.uc3b", over) == alike(f"{JOIST}.uc3b", (start, end))
    same_face = over in ((start, end), turned)
    assert (alike("decking.5-4x6.wood", over) == alike("decking.5-4x6.wood", (start, end))) == same_face


@given(
    st.lists(
        st.tuples(st.sampled_from([47.97, 48.0, 60.0]), ANGLES, ANGLES, st.integers(1, 4)), min_size=1, max_size=30
    )
)  # fmt: skip
def test_grouping_keeps_every_part_and_its_cuts(drawn):
    parts = [Part(f"{JOIST}.uc3b", length, f"m.rim-{n}", count, (start, end))
             for n, (length, start, end, count) in enumerate(drawn)]  # fmt: skip
    pieces = grouped(parts)
    assert sum(piece.quantity for piece in pieces) == sum(part.quantity for part in parts)
    for part in parts:
        (piece,) = (one for one in pieces if part.member in one.members)
        angles = sorted(abs(cut.angle_deg) for cut in piece.end_cuts)
        assert angles == pytest.approx(sorted(map(abs, part.cuts_deg)))
        assert all((cut.kind == "square") == (cut.angle_deg == 0) for cut in piece.end_cuts)
        assert abs(piece.length_in - part.length_in) <= 1 / 32


def test_a_square_end_is_never_one_piece_with_an_angled_one():
    parts = [Part(f"{JOIST}.uc3b", 96.0, "m.rim-1", cuts_deg=cuts) for cuts in ((0.0, 0.0), (45.0, 0.0))]
    assert [tuple(cut.kind for cut in piece.end_cuts) for piece in grouped(parts)] == [
        ("square", "square"), ("bevel", "square"),
    ]  # fmt: skip


def test_a_lapped_joist_keeps_its_angled_end_on_its_own_part(criteria):
    group = joists_for(SQUARE)
    # The centre line is 141 in; cut at 45 degrees its end is 0.75 in longer to the long point.
    line = replace(
        group.lines[0], length_in=141.75, end_cut_deg=-45.0, laps=(Lap("level-1.beam-1", 80.0, 3.0),)
    )
    level = level_for(SQUARE, joists=(replace(group, count=1, lines=(line,)),))
    assert of(take_off(frame_for(spec_for(SQUARE), level), spec_for(SQUARE), criteria, None), group.id) == [
        (81.5, 0.0, 0.0, 1), (63.25, 45.0, 0.0, 1),
    ]  # fmt: skip


def test_an_angled_rim_is_joined_on_the_ends_of_joists(criteria):
    # From (40, 12) to (0, 40) the rim is 585.9 in long: joists at 16 in meet it every 19.53 in.
    rim = rim_for((40.0, 12.0), (0.0, 40.0), cuts=(55.0, 35.0))
    run = 12 * math.hypot(40, 28)
    assert rim.length_in == pytest.approx(
        run + 0.75 * (math.tan(math.radians(55)) + math.tan(math.radians(35)))
    )
    group = joists_for(LONG)
    inside = [replace(line, y_end_ft=40 - 0.7 * line.x_ft - 0.0763) for line in group.lines]
    level = level_for(LONG, joists=(replace(group, lines=tuple(inside)),), rims=(rim,))
    lead = 0.75 * math.tan(math.radians(55))
    places = [0.75, *(16.0 * n for n in range(1, 30)), 479.25]
    met = sorted(lead + (480 - at) * run / 480 for at in places)
    assert rim_breaks_in(rim, level) == pytest.approx(met)
    pieces = of(take_off(frame_for(spec_for(LONG), level), spec_for(LONG), criteria, None), rim.id)
    assert sum(length * count for length, *_, count in pieces) == pytest.approx(rim.length_in, abs=3 / 32)
    assert max(length for length, *_ in pieces) <= 240
    assert sorted(angle for _, *angles, _ in pieces for angle in angles if angle) == [35.0, 55.0]


def test_a_rim_beside_a_joist_is_joined_over_a_beam():
    rim = rim_for((0.0625, 0.0), (0.0625, 30.0))
    level = level_for(SQUARE, rims=(rim,), beams=(beam_at((0.1, 14.0), (16.0, 14.0), "dropped"),))
    assert rim_breaks_in(rim, level) == pytest.approx((168.0,))


def test_plies_of_an_angled_beam_are_joined_over_its_posts(criteria):
    # A beam from (0, 8) to (24, 26) is 30 ft; its middle post stands 15 ft along.
    splices = (Splice(1, "level-1.post-1-2"),)
    level = level_for(SQUARE, beams=(beam_at((0.0, 8.0), (24.0, 26.0), splices=splices),))
    posts = (post_at(1, 0.8, 8.6), post_at(2, 12.0, 17.0), post_at(3, 23.2, 25.4))
    frame = Frame((level,), posts, (), ())
    found = take_off(frame, spec_for(SQUARE), criteria, None)
    assert of(found, "level-1.beam-1") == [(360.0, 0.0, 0.0, 1), (180.0, 0.0, 0.0, 2)]


def hung(level, criteria):
    """Hangers of a level's joists, by code without size and coating, and what no hanger is made for."""
    found = {}
    for need in connectors(frame_for(spec_for(SQUARE), level), criteria.coating):
        if need.item.startswith("joist_hanger"):
            form = need.item.split(".")[4] if need.item.count(".") > 3 else "usual"
            found[form] = found.get(form, 0) + need.quantity
            assert bool(need.because) == (form == "skewed")
    return found


def held_joists(holder, at_in=0.0, plies=1):
    group = joists_for(SQUARE, supports=(Support(holder, at_in),))
    return replace(group, plies=plies)


@pytest.mark.parametrize(
    ("to_ft", "from_ft", "forms"),
    [
        ((16.0, 0.0), (0.0, 0.0), {"usual": 11, "concealed_flange": 2}),
        ((18.0, 0.0), (-2.0, 0.0), {"usual": 13}),
        # A wall that runs north-east is faced to the south-east: joists to the north run away to the left.
        ((18.0, 9.0), (-2.0, -9.0), {"skewed_left_42": 13}),
        ((18.0, -9.0), (-2.0, 9.0), {"skewed_right_42": 13}),
        ((-2.0, -9.0), (18.0, 9.0), {"skewed_left_42": 13}),
        ((18.0, 0.1), (-2.0, 0.0), {"usual": 13}),
        ((10.0, 20.0), (6.0, 0.0), {"skewed": 13}),
    ],
    ids=["wall", "longer wall", "left", "right", "left, drawn the other way", "out of true", "too steep"],
)
def test_hangers_go_by_the_room_and_the_angle(criteria, to_ft, from_ft, forms):
    level = level_for(SQUARE, joists=(held_joists("level-1.ledger-1"),), ledgers=(ledger_at(from_ft, to_ft),))
    assert hung(level, criteria) == forms


def test_joists_hung_at_their_far_end_face_the_other_way(criteria):
    group = held_joists("level-1.beam-1", at_in=141.0)
    level = level_for(SQUARE, joists=(group,), beams=(beam_at((-2.0, 21.0), (18.0, 3.0)),))
    # The beam is faced to the north-east: joists come from the south, which is to the right.
    assert hung(level, criteria) == {"skewed_right_42": 13}


@pytest.mark.parametrize(("plies", "concealed"), [(1, 0), (2, 2)])
def test_doubled_joists_need_more_room(criteria, plies, concealed):
    # End joists stand 2.55 in from the ends: a flange needs 1.5 in beside half the joist, 2.25 or 3 in.
    ledger = ledger_at((-0.15, 0.0), (16.15, 0.0))
    level = level_for(SQUARE, joists=(held_joists(ledger.id, plies=plies),), ledgers=(ledger,))
    assert hung(level, criteria).get("concealed_flange", 0) == concealed


def test_a_skewed_hanger_the_book_does_not_sell_is_named(criteria, prices):
    ledger = ledger_at((-2.0, -9.0), (18.0, 9.0))
    level = level_for(SQUARE, joists=(held_joists(ledger.id),), ledgers=(ledger,))
    found = take_off(frame_for(spec_for(SQUARE), level), spec_for(SQUARE), criteria, prices)
    named = {one.item: one.quantity for one in found.unpriced}
    assert named[f"joist_hanger.2x8.1ply.{HDG}.skewed_left_42"] == 13
    assert not found.total.complete


@pytest.mark.parametrize(("yard", "house", "ties"), [(24.0, 0.0, 13), (0.0, 24.0, 0), (0.0, 0.0, 0)])
def test_a_joist_that_tips_over_its_beam_is_tied_at_the_ledger(criteria, yard, house, ties):
    ledger, beam = ledger_at((0.0, 0.0), (16.0, 0.0)), beam_at((0.0, 10.0), (16.0, 10.0), "dropped")
    both = (Support(ledger.id, 0.0), Support(beam.id, 118.0))
    group = joists_for(SQUARE, supports=both)
    lines = (
        replace(line, cantilever_yard_in=yard, cantilever_house_in=house)
        for line in group.lines
    )  # fmt: skip
    level = level_for(SQUARE, joists=(replace(group, lines=tuple(lines)),), ledgers=(ledger,), beams=(beam,))
    needs = connectors(frame_for(spec_for(SQUARE), level), criteria.coating)
    assert sum(need.quantity for need in needs if need.item.startswith("uplift_tie")) == 13 + ties


def test_joists_along_the_house_tip_at_either_end(criteria):
    ledger, beam = ledger_at((16.0, 0.0), (16.0, 12.0)), beam_at((2.0, 0.0), (2.0, 12.0), "dropped")
    group = joists_for(SQUARE, along_house=True, supports=(Support(beam.id, 22.0), Support(ledger.id, 189.0)))
    lines = tuple(replace(line, cantilever_house_in=24.0) for line in group.lines)
    level = level_for(SQUARE, joists=(replace(group, lines=lines),), ledgers=(ledger,), beams=(beam,))
    needs = list(connectors(frame_for(spec_for(SQUARE), level), criteria.coating))
    assert sum(need.quantity for need in needs if need.item.startswith("uplift_tie")) == 2 * len(lines)


def treatments(takeoff):
    return {
        member: piece.item.rpartition(".")[2]
        for piece in takeoff.pieces
        if piece.item.startswith("lumber")
        for member in piece.members
    }


def test_wood_is_treated_for_the_ground_under_it(criteria):
    # Surface 13 in over the datum: joist bottoms at 4.75. The ground falls 2 in a foot away from the house.
    site = SiteSpec(grade_fall_y_in_per_ft=2.0)
    spec = spec_for(SQUARE, heights_in=(13.0,), site=site)
    near, far = rim_for((0.0, 0.9), (16.0, 0.9)), rim_for((0.0, 11.9), (16.0, 11.9), number=2)
    high = beam_at(
        (0.0, 11.0), (16.0, 11.0), "dropped", bottom_in=-4.5
    )  # clear of the ground, hard to replace
    level = level_for(
        SQUARE, surface_in=13.0, rims=(near, far), beams=(high,), ledgers=(ledger_at((0.0, 0.0), (16.0, 0.0)),),
        blocking=(Blocking(id="level-1.blocking-1", size="2x8", length_in=14.5, count=3, because="rows"),),
    )  # fmt: skip
    assert treatments(take_off(frame_for(spec, level), spec, criteria, None)) == {
        "level-1.joists-1": "uc4a", "level-1.ledger-1": "uc4a", "level-1.rim-1": "uc3b", "level-1.rim-2": "uc3b",
        "level-1.beam-1": "uc4a", "level-1.blocking-1": "uc4a",
    }  # fmt: skip


def test_ground_that_rises_along_a_rim_counts_at_its_highest(criteria):
    # Its bottom lies 11.75 in over the datum; the ground rises a quarter inch a foot: 4 in at the far end.
    spec = spec_for(SQUARE, heights_in=(17.5,), site=SiteSpec(grade_fall_x_in_per_ft=-0.25))
    near, far = rim_for((0.0, 11.9), (12.0, 11.9)), rim_for((0.0, 11.9), (16.0, 11.9), number=2)
    level = level_for(SQUARE, surface_in=17.5, rims=(near, far))
    found = treatments(take_off(frame_for(spec, level), spec, criteria, None))
    assert (found["level-1.rim-1"], found["level-1.rim-2"]) == ("uc3b", "uc4a")


def test_a_mound_under_the_middle_of_a_rim_counts(criteria):
    mound = [(0.0, 0.0, 0.0), (16.0, 0.0, 0.0), (0.0, 12.0, 0.0), (16.0, 12.0, 0.0), (8.0, 11.9, 7.0)]
    points = tuple(GradePointSpec(x_ft=x, y_ft=y, grade_in=z) for x, y, z in mound)
    spec = spec_for(SQUARE, heights_in=(17.5,), site=SiteSpec(grade_points=points))
    over, beside = rim_for((0.0, 11.9), (16.0, 11.9)), rim_for((0.0, 0.9), (16.0, 0.9), number=2)
    level = level_for(SQUARE, surface_in=17.5, rims=(over, beside))
    found = treatments(take_off(frame_for(spec, level), spec, criteria, None))
    assert (found["level-1.rim-1"], found["level-1.rim-2"]) == ("uc4a", "uc3b")


def test_a_deeper_member_hangs_lower(criteria):
    # Joist bottoms 6.75 in over the ground, tops at 14; a 2x10 reaches down to 4.75.
    spec = spec_for(SQUARE, heights_in=(15.0,))
    deep = replace(rim_for((0.0, 11.9), (16.0, 11.9)), size="2x10")
    level = level_for(SQUARE, surface_in=15.0, rims=(deep,))
    found = treatments(take_off(frame_for(spec, level), spec, criteria, None))
    assert found == {"level-1.joists-1": "uc3b", "level-1.rim-1": "uc4a"}


@pytest.mark.parametrize(("down_to", "use"), [("grade", "uc4a"), ("lower", "uc3b")])
def test_stringers_down_to_a_level_stand_clear_of_the_ground(frame, spec, criteria, down_to, use):
    wish = spec()
    lower = LevelSpec(
        id="lower", origin_ft=(0.0, 12.0), width_ft=16.0, projection_ft=8.0, surface_height_in=14
    )
    wish = replace(wish, levels=(*wish.levels, lower), stairs=(replace(wish.stairs[0], down_to=down_to),))
    found = take_off(frame(), wish, criteria, None)
    (stringers,) = (p for p in found.pieces if p.members[0].startswith("deck.stair-1.stringer"))
    assert stringers.item.rpartition(".")[2] == use


def test_every_ledger_has_its_own_flashing_and_tape(criteria):
    ledgers = (ledger_at((0.0, 0.0), (16.0, 0.0)), ledger_at((16.0, 0.0), (22.0, 8.0), number=2))
    level = level_for(SQUARE, ledgers=ledgers)
    found = take_off(frame_for(spec_for(SQUARE), level), spec_for(SQUARE), criteria, None)
    pieces = [(p.length_in, p.members) for p in found.pieces if p.item.startswith("ledger_flashing")]
    # In 10 ft lengths that lap 4 in: 16 ft is 120 and 76, 10 ft is one.
    assert pieces == [(120.0, ("level-1.ledger-1", "level-1.ledger-2")), (76.0, ("level-1.ledger-1",))]
    (tape,) = (line for line in found.hardware if line.item.startswith("flashing_tape"))
    assert tape.members == ("level-1.ledger-1", "level-1.ledger-2")

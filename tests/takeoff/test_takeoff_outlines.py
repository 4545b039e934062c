"""Boards of any outline, counted by hand on plain shapes, and covering the floor on all others.

Boards are 5.5 in wide with a gap of 1/8 in: a row takes 5.625 in.
"""

from __future__ import annotations

import math
from collections import Counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from service.contract.spec import HouseSpec
from service.takeoff.decking import decking_parts
from service.takeoff.ladders import Ladders
from service.takeoff.order import take_off
from service.takeoff.rows import ends_without_joist
from service.takeoff.surfaces import Surface, surfaces
from service.units.rounding import cut_length
from tests.takeoff.shapes import CLIPPED, L_SHAPE, frame_for, joists_for, level_for, outlines, spec_for

BOARD = "decking.5-4x6.wood"
PITCH = 5.625
SLANT = math.hypot(48, 48)
WELL = (
    (0.0, 0.0),
    (16.0, 0.0),
    (16.0, 12.0),
    (10.0, 12.0),
    (10.0, 8.0),
    (6.0, 8.0),
    (6.0, 12.0),
    (0.0, 12.0),
)
TEE = ((0.0, 0.0), (16.0, 0.0), (16.0, 6.0), (11.0, 6.0), (11.0, 12.0), (5.0, 12.0), (5.0, 6.0), (0.0, 6.0))


def order(spec, criteria, prices=None, *levels):
    return take_off(frame_for(spec, *levels), spec, criteria, prices)


def boards(takeoff, item=BOARD):
    """Lengths with the sizes of their end cuts, and how many."""
    found = Counter()
    for piece in takeoff.pieces:
        if piece.item == item:
            angles = tuple(sorted(abs(cut.angle_deg) for cut in piece.end_cuts))
            found[(piece.length_in, *angles)] += piece.quantity
    return found


def surface_of(spec, *levels) -> Surface:
    return surfaces(frame_for(spec, *levels), spec)[0]


def test_an_l_shape_has_long_rows_up_to_its_corner(criteria):
    # 72 / 5.625 = 12.8: the 13th row still reaches into the wide part; 144 / 5.625 = 25.6 makes 26.
    assert boards(order(spec_for(L_SHAPE), criteria)) == {(192.0, 0, 0): 13, (96.0, 0, 0): 13}


def test_joists_of_an_l_shape_are_those_of_the_frame(criteria):
    joists = boards(order(spec_for(L_SHAPE), criteria), "lumber.2x8.southern_pine.no_2.uc3b")
    # 12 ft joists at 0.75, 16, .. 80 in; from 96 in on the floor is 6 ft deep.
    assert joists == {(141.0, 0, 0): 6, (69.0, 0, 0): 7}


def test_a_clipped_corner_cuts_each_board_a_pitch_shorter(criteria):
    # The clip begins at 96 in: in the 18th row, whose end is part straight, part slanted, and fitted on the deck.
    slanted = {(cut_length(192 - (PITCH * row - 96)), 0, 45.0): 1 for row in range(18, 26)}
    assert boards(order(spec_for(CLIPPED), criteria)) == {(192.0, 0, 0): 18} | slanted


def test_a_notch_parts_its_rows(criteria):
    # 96 / 5.625 = 17.07: the 18th row still lies half before the well; 8 more are parted by it.
    assert boards(order(spec_for(WELL), criteria)) == {(192.0, 0, 0): 18, (72.0, 0, 0): 16}


def test_the_leg_of_a_t_has_short_rows(criteria):
    assert boards(order(spec_for(TEE), criteria)) == {(192.0, 0, 0): 13, (72.0, 0, 0): 13}


def test_borders_and_fascia_are_mitred_round_a_clipped_corner(criteria, prices):
    spec = spec_for(CLIPPED, border_boards=1, material="composite")
    found = order(spec, criteria, prices)
    ends = {
        (96.0, 0, 22.5): 1, (cut_length(SLANT), 22.5, 22.5): 1, (144.0, 22.5, 45.0): 1, (144.0, 0, 45.0): 1,
    }  # fmt: skip
    assert boards(found, "decking.5-4x6.composite").items() >= ends.items()
    # Outside the deck each grows by its thickness times the tangent of the mitre.
    at_clip, at_corner = 0.75 * math.tan(math.radians(22.5)), 0.75
    # The longest board of the book is 12 ft: the yard edge is longer by its mitres, and is joined on a joist.
    joint, side = 64 + at_corner, (144 + at_corner) / 2
    yard = {joint: 1, 144 + at_clip + at_corner - joint: 1}
    joined = Counter()
    for (length, *_), count in boards(found, "fascia.1x12.composite").items():
        joined[length] += count
    expected = {**yard, side: 2, 96 + at_clip: 1, SLANT + 2 * at_clip: 1}
    assert joined == {cut_length(length): count for length, count in expected.items()}


def test_a_second_ring_of_borders_is_shorter_outside_and_longer_inside(criteria):
    found = surface_of(spec_for(L_SHAPE, border_boards=2))
    right, shelf, leg, top, left, *second = (run.length_in for run in found.borders)
    assert (right, top, left) == (72.0, 96.0, 144.0)
    # Into the inner corner a board goes on as far as it is wide.
    assert (shelf, leg) == (96 + PITCH, 72 + PITCH)
    assert second == [72 - PITCH, 96 + PITCH, 72 + PITCH, 96 - 2 * PITCH, 144 - PITCH]


def test_a_border_is_cut_along_the_wall_it_ends_at(criteria):
    leaning = ((0.0, 0.0), (16.0, 0.0), (24.0, 8.0), (8.0, 8.0))
    right, yard, left = surface_of(spec_for(leaning, border_boards=1)).borders
    side = 12 * math.hypot(8, 8)
    # At the wall the right border is longer inside, the left one outside; the yard's 67.5 degrees no saw turns.
    assert right.cuts_deg == pytest.approx((-45.0, 0.0), abs=1e-3)
    assert right.length_in == pytest.approx(side + PITCH)
    assert left.cuts_deg == pytest.approx((22.5, 45.0), abs=1e-3)
    assert left.length_in == pytest.approx(side)
    assert yard.cuts_deg == pytest.approx((0.0, 22.5), abs=1e-3)


def test_a_border_ends_square_where_the_wall_turns_away(criteria):
    # The deck goes 6 ft past the corner of a house that stands at x > 10 and y < 0.
    past = ((0.0, -6.0), (10.0, -6.0), (10.0, 0.0), (16.0, 0.0), (16.0, 8.0), (0.0, 8.0))
    found = surface_of(spec_for(past, house_edges=(1,), border_boards=1))
    shelf = found.borders[1]
    assert (shelf.length_in, shelf.cuts_deg) == (72.0, (0.0, 45.0))


UPPER = ((0.0, 0.0), (16.0, 0.0), (16.0, 10.0), (0.0, 10.0))
LOWER = ((0.0, 10.0), (20.0, 10.0), (20.0, 18.0), (0.0, 18.0))


def test_a_lower_level_has_no_border_against_the_face_of_the_upper(criteria):
    spec = spec_for(UPPER, LOWER, border_boards=1)
    upper, lower = surfaces(frame_for(spec), spec)
    assert [edge.length_in for edge in upper.free_edges] == [120.0, 192.0, 120.0]
    # 4 ft of its inner edge stick out beside the upper level.
    assert [edge.length_in for edge in lower.free_edges] == [48.0, 96.0, 240.0, 96.0]
    assert [run.cuts_deg for run in lower.borders] == [(0.0, 45.0), (45.0, 45.0), (45.0, 45.0), (45.0, 0.0)]


def test_levels_are_ordered_each_by_its_own_boards_and_joists(criteria):
    spec = spec_for(UPPER, LOWER)
    thick = replace(spec.levels[1], decking=replace(spec.levels[1].decking, thickness_in=1.5))
    found = order(replace(spec, levels=(spec.levels[0], thick)), criteria)
    assert boards(found) == {(192.0, 0, 0): 22}, "120 / 5.625 = 21.3 rows"
    assert boards(found, "decking.2x6.wood") == {(240.0, 0, 0): 18}, "96 / 5.625 = 17.07 rows"
    of = {member for piece in found.pieces for member in piece.members}
    assert of == {"level-1.joists-1", "level-2.joists-1"}


def test_boards_of_one_height_run_on_where_levels_touch(criteria):
    spec = spec_for(UPPER, LOWER, heights_in=(36.0, 36.0), border_boards=1)
    upper, lower = surfaces(frame_for(spec), spec)
    assert [edge.length_in for edge in upper.free_edges] == [120.0, 120.0]
    assert [edge.length_in for edge in lower.free_edges] == [48.0, 96.0, 240.0, 96.0]


ALONG_WALL = ((0.0, 0.0), (16.0, 0.0), (16.0, 8.0), (0.0, 8.0))
ROUND_CORNER = ((0.0, 8.0), (8.0, 8.0), (8.0, 16.0), (0.0, 16.0))
WRAP = ((0.0, 0.0), (16.0, 0.0), (16.0, 8.0), (8.0, 8.0), (8.0, 16.0), (0.0, 16.0))


def wrapped(**changed):
    away = joists_for(ALONG_WALL)
    along = joists_for(ROUND_CORNER, number=2, along_house=True)
    return level_for(WRAP, joists=(away, along), **changed)


def test_boards_turn_where_the_joists_do(criteria):
    found = order(spec_for(WRAP), criteria, None, wrapped())
    # Along the wall: 96 / 5.625 = 17.07, and the 18th lies beside the board between, from the corner on.
    # Round the corner they run out from the middle of that board: 96 - 2.8125.
    assert boards(found) == {(192.0, 0, 0): 17, (96.0, 0, 0): 1 + 1, (93.1875, 0, 0): 18}
    turned = [piece for piece in found.pieces if piece.length_in == 93.1875 and piece.item == BOARD]
    assert [piece.members for piece in turned] == [("level-1.joists-2",)]


def test_rows_round_the_corner_cross_the_joists_there(criteria):
    first, second = surface_of(spec_for(WRAP), wrapped()).fields
    assert first.rows[0].crossings_in == (0.75, *(16.0 * n for n in range(1, 12)), 191.25)
    # Joists at 96.75, 112, .. 176, 191.25 in from the house wall; boards begin at the yard edge, 192 in.
    assert second.rows[0].crossings_in == (0.75, 16.0, 32.0, 48.0, 64.0, 80.0)


def test_two_directions_without_regions_are_refused(criteria):
    level = wrapped()
    nameless = replace(level, joists=tuple(replace(group, region_ft=()) for group in level.joists))
    with pytest.raises(ValueError, match="each group needs its region"):
        order(spec_for(WRAP), criteria, None, nameless)


def test_joists_that_end_early_are_not_crossed(criteria):
    low, high = joists_for(UPPER), joists_for(LOWER, number=2, spacing_in=12.0)
    both = ((0.0, 0.0), (16.0, 0.0), (16.0, 10.0), (20.0, 10.0), (20.0, 18.0), (0.0, 18.0))
    (field,) = surface_of(spec_for(both), level_for(both, joists=(low, high))).fields
    assert len(field.rows[0].crossings_in) == 13
    assert len(field.rows[-1].crossings_in) == 21


def test_an_end_on_the_rim_is_held_there(criteria):
    found = order(spec_for(L_SHAPE), criteria)
    screws = sum(line.quantity for line in found.hardware if line.item.startswith("decking_screw"))
    # 13 rows on 13 joists, 13 on the six long ones and the rim, two screws each.
    assert screws == 2 * (13 * 13 + 13 * (6 + 1))


@pytest.mark.parametrize(
    ("number", "joists", "on_rim"),
    [(18, 12, 1), (25, 10, 1), (24, 10, 1), (22, 11, 1), (21, 11, 1), (0, 13, 0)],
)
def test_slanted_rows_cross_the_joists_under_them(number, joists, on_rim):
    # Row n ends at 192 - (5.625 n - 96); joists stand at 0.75, 16, .. 176, 191.25.
    (field,) = surface_of(spec_for(CLIPPED)).fields
    row = field.rows[number]
    assert (len(row.crossings_in), ends_without_joist(row, 3.0)) == (joists, on_rim)


@settings(max_examples=300)
@given(
    outline=outlines(), borders=st.integers(0, 2), angle=st.sampled_from([0.0, 30.0, 45.0, 90.0]), walls=st.data()
)  # fmt: skip
def test_boards_cover_any_floor_and_waste_only_at_its_edges(outline, borders, angle, walls):
    at_house = walls.draw(st.lists(st.integers(0, len(outline) - 1), unique=True))
    found = surface_of(spec_for(outline, border_boards=borders, angle_deg=angle, house_edges=at_house))
    (field,) = found.fields
    bought = PITCH * sum(row.length_in for row in (*field.rows, *found.borders))
    area = found.outline.area
    assert bought >= area * (1 - 1e-9)
    # A row is longer than the floor under it only where an edge crosses it: at most the edges' own length.
    assert bought <= area + PITCH * found.outline.length * (1 + 2 * borders)


@settings(max_examples=60)
@given(
    outline=outlines(), borders=st.integers(0, 2), angle=st.sampled_from([0.0, 45.0]), at_ft=st.floats(-4, 4)
)
def test_boards_that_turn_cover_any_floor(outline, borders, angle, at_ft):
    far = 40.0
    left = ((-far, -far), (at_ft, -far), (at_ft, far), (-far, far))
    right = ((at_ft, -far), (far, -far), (far, far), (at_ft, far))
    groups = (
        replace(joists_for(outline), region_ft=left),
        replace(joists_for(outline, number=2, along_house=True), region_ft=right),
    )
    spec = spec_for(outline, border_boards=borders, angle_deg=angle, house_edges=())
    found = surface_of(spec, level_for(outline, joists=groups))
    assert len(found.fields) == 2
    runs = [*found.borders, *found.between, *(row for field in found.fields for row in field.rows)]
    assert PITCH * sum(run.length_in for run in runs) >= found.outline.area * (1 - 1e-9)


@settings(max_examples=60)
@given(outline=outlines(), borders=st.integers(0, 2))
def test_every_piece_has_a_member_and_grouping_keeps_the_length(criteria, prices, outline, borders):
    spec = spec_for(outline, border_boards=borders, house_edges=())
    frame = frame_for(spec)
    found = take_off(frame, spec, criteria, prices)
    assert all(piece.members and set(piece.members) <= {"level-1.joists-1"} for piece in found.pieces)
    (surface,) = surfaces(frame, spec)
    parts = [part for part in decking_parts(surface, Ladders(prices)) if part.item == BOARD]
    grouped = [piece for piece in found.pieces if piece.item == BOARD]
    assert sum(piece.quantity for piece in grouped) == sum(part.quantity for part in parts)
    total = sum(part.length_in * part.quantity for part in parts)
    assert sum(piece.length_in * piece.quantity for piece in grouped) == pytest.approx(
        total, abs=len(parts) / 32
    )


def test_a_deck_with_no_wall_has_four_free_edges(criteria):
    found = surface_of(spec_for(UPPER, house=HouseSpec(wall="none"), border_boards=1))
    assert sum(run.length_in for run in found.borders) == 2 * (192 + 120)

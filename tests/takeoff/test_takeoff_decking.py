"""Deck boards cover the deck, joints lie on joists, and neighbours do not share one."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import Polygon

from service.takeoff.decking import divisions_of_rows, staggered
from service.takeoff.order import take_off
from service.takeoff.rows import Row, rows
from service.takeoff.surfaces import surfaces


def test_rows_of_a_rectangle_cover_it(frame, spec, criteria):
    order = take_off(frame(), spec(), criteria, None)
    boards = [p for p in order.pieces if p.item == "decking.5-4x6.wood" and "main.joists-1" in p.members]
    assert [(p.length_in, p.quantity) for p in boards] == [(192.0, 26)]


@given(st.integers(250, 900), st.floats(8, 24))
def test_joints_lie_on_joists_and_are_staggered(length_in, spacing_in):
    breaks = [spacing_in * n for n in range(1, int(length_in / spacing_in) + 1)]
    even, odd = (staggered(float(length_in), 240.0, breaks, odd=one) for one in (False, True))
    ends = []
    for boards in (even, odd):
        assert sum(boards) == pytest.approx(length_in)
        assert max(boards) <= 240
        joints = [sum(boards[:n]) for n in range(1, len(boards))]
        assert all(min(abs(at - b) for b in breaks) < 1e-6 for at in joints)
        ends.append(joints)
    assert not [1 for a in ends[0] for b in ends[1] if abs(a - b) < 1e-6]


@given(st.integers(250, 700), st.integers(12, 24), st.integers(2, 9))
def test_however_rows_are_divided_neighbours_have_their_joints_on_other_joists(length_in, spacing_in, count):
    breaks = tuple(float(at) for at in range(spacing_in, length_in, spacing_in))
    alike = [Row(0.0, float(length_in), 5.5 * n, n, crossings_in=breaks) for n in range(count)]
    found = list(divisions_of_rows(alike, 240.0))
    assert len(found) == 1 or count >= 4
    for pair in found:
        even, odd = ({sum(boards[:n]) for n in range(1, len(boards))} for boards in pair)
        assert even | odd <= set(breaks)
        assert not even & odd
        assert all(sum(boards) == length_in and max(boards) <= 240 for boards in pair)


def test_rows_of_a_long_deck_are_divided_so_that_least_is_wasted(frame, spec, criteria):
    """24 ft: beside rows of two 12 ft boards, rows of 160 and 128 in waste 48 in a row; 16 and 8 ft waste none."""
    order = take_off(frame(width_in=288.0), spec(24.0), criteria, None)
    boards = {p.length_in: p.quantity for p in order.pieces if p.item == "decking.5-4x6.wood"}
    del boards[48.0]
    assert boards == {144.0: 2 * 13, 192.0: 13, 96.0: 13}


def test_borders_take_the_free_edges_and_shorten_the_field(frame, spec, criteria):
    plain = take_off(frame(), spec(), criteria, None)
    bordered = take_off(frame(), spec(border_boards=1), criteria, None)
    lengths = {p.length_in: p.quantity for p in bordered.pieces if p.item == "decking.5-4x6.wood"}
    assert lengths[192.0] == 1, "the yard edge"
    sides = [p for p in bordered.pieces if p.item == "decking.5-4x6.wood" and p.length_in == 144.0]
    angles = [tuple(cut.angle_deg for cut in p.end_cuts) for p in sides]
    assert angles == [(0.0, 45.0), (45.0, 0.0)], "a side's mirror image would show its other face"
    assert lengths[192.0 - 2 * 5.625] == 25
    bought = [sum(12 * d.length_ft * d.quantity for d in order.decking) for order in (plain, bordered)]
    assert bought[1] >= bought[0]


@pytest.mark.parametrize("angle", [0.0, 30.0, 45.0])
def test_boards_at_an_angle_cover_the_area(frame, spec, angle):
    (surface,) = surfaces(frame(), spec(angle_deg=angle))
    (field,) = surface.fields
    covered = sum(row.length_in for row in field.rows) * surface.pitch_in
    assert covered >= 192 * 144
    assert covered <= 192 * 144 * (1.06 if angle == 0 else 1.15)


def test_rows_of_an_l_shape_stop_at_the_corner():
    found = rows(Polygon([(0, 0), (192, 0), (192, 72), (96, 72), (96, 144), (0, 144)]), 6.0)
    assert [row.length_in for row in found] == [192.0] * 12 + [96.0] * 12
    assert all(b.at_in > a.at_in for a, b in pairwise(found))


def test_fascia_is_ordered_only_where_the_book_sells_it(frame, spec, criteria, prices):
    wood = take_off(frame(), spec(), criteria, prices)
    composite = take_off(frame(), spec(material="composite"), criteria, prices)
    assert not [p for p in wood.pieces if p.item.startswith("fascia")]
    fascia = sum(p.length_in * p.quantity for p in composite.pieces if p.item.startswith("fascia"))
    assert fascia == 192 + 288 + 4 * 0.75, "two boards are mitred round each of two corners, outside the deck"

"""Where braces go: geometry, checked by hand and by Pythagoras."""

from __future__ import annotations

from math import dist, hypot
from typing import Any

import pytest
from context import context, designed, spec_of

from service.connections.brace_places import brace_place
from service.contract.report import DesignReport
from service.contract.report_frame import Beam, Brace, Post


def beam(y_ft: float, placement: Any = "dropped", ends: Any = None) -> Beam:
    start, end = ends or ((0.0, y_ft), (16.0, y_ft))
    return Beam(
        id=f"main.beam-{y_ft:g}", mark="B1", size="2x10", plies=2, placement=placement, species="southern_pine",
        grade="no_2", start_ft=start, end_ft=end, bottom_height_in=60.0, supports_ft=(1.0, 15.0),
        spans_in=(168.0,), overhang_start_in=12.0, overhang_end_in=12.0, splices=(), line_load_plf=300.0,
    )  # fmt: skip


def post(x_ft: float, y_ft: float) -> Post:
    return Post(
        id="main.post-1-1", mark="P1-1", level="main", beam="", size="6x6", species="southern_pine", grade="no_2",
        x_ft=x_ft, y_ft=y_ft, height_in=57.0, cut_length_in=56.0, load_lb=2000.0, base=None, cap=None,
    )  # fmt: skip


@pytest.mark.parametrize(("x_ft", "to_ft"), [(1.0, 3.0), (15.0, 13.0)])
def test_along_the_beam_it_goes_inward(x_ft: float, to_ft: float) -> None:
    place = brace_place(post(x_ft, 10.0), beam(10.0), (beam(10.0),), "along_beam", 24.0)
    assert (place.start_ft, place.end_ft) == ((x_ft, 10.0), (to_ft, 10.0))
    assert (place.low_height_in, place.high_height_in) == (36.0, 60.0)


@pytest.mark.parametrize(("y_ft", "to_ft"), [(2.0, 4.0), (10.0, 8.0)])
def test_across_the_beam_it_goes_to_the_other_beam_up_to_the_joists(y_ft: float, to_ft: float) -> None:
    both = beam(2.0), beam(10.0)
    own = both[0] if y_ft == 2.0 else both[1]
    place = brace_place(post(1.0, y_ft), own, both, "across_beam", 24.0)
    assert place.end_ft == pytest.approx((1.0, to_ft))
    # joists sit on the beam, 9.25 in deep
    assert (place.low_height_in, place.high_height_in) == (45.25, 69.25)


def test_joists_hung_on_the_beam_are_met_at_their_own_bottom() -> None:
    own = beam(10.0, "flush")
    place = brace_place(post(1.0, 10.0), own, (beam(2.0, "flush"), own), "across_beam", 24.0, 62.0)
    assert (place.low_height_in, place.high_height_in) == (38.0, 62.0)


def test_a_beam_away_from_the_house_is_braced_along_y_and_across_x() -> None:
    left, right = beam(1.0, ends=((2.0, 0.0), (2.0, 12.0))), beam(2.0, ends=((9.0, 0.0), (9.0, 12.0)))
    at = post(2.0, 11.0)
    assert brace_place(at, left, (left, right), "along_beam", 12.0).end_ft == pytest.approx((2.0, 10.0))
    assert brace_place(at, left, (left, right), "across_beam", 12.0).end_ft == pytest.approx((3.0, 11.0))


def deck(**given: Any) -> DesignReport:
    level = {"width_ft": 16, "projection_ft": 12, "surface_height_in": given.pop("surface_in", 72)}
    return designed(spec_of(levels=[level], **given), context("alder-county"))


@pytest.mark.parametrize("attachment", ["ledger", "freestanding"])
def test_braces_of_a_deck_and_its_stair_are_as_long_as_they_lie(attachment: str) -> None:
    report = deck(
        house={"wall": "wood_band", "door_sill_height_in": 169.5, "rim_depth_in": 11.25},
        framing={"attachment": attachment},
        stairs=[{"edge": 2, "offset_ft": 4, "width_in": 48}],
        surface_in=168,
    )
    posts = {one.id: one for one in report.posts}
    beams = {one.id: one for one in (*report.levels[0].beams, *(b for s in report.stairs for b in s.beams))}
    found: list[Brace] = [*report.levels[0].braces, *(one for s in report.stairs for one in s.braces)]
    assert {one.id.split(".")[0] for one in found} == {"main", "deck"}
    for one in found:
        rise, run = one.high_height_in - one.low_height_in, 12 * dist(one.start_ft, one.end_ft)
        assert hypot(rise, run) == pytest.approx(one.length_in, abs=1e-2), one.id
        at, under = posts[one.post], beams[one.beam]
        assert one.start_ft == (at.x_ft, at.y_ft)
        assert at.bottom_height_in < one.low_height_in < at.top_height_in == under.bottom_height_in
        assert one.high_height_in >= under.bottom_height_in
        if one.id.startswith("main"):
            # inward: nearer to the middle of all beams' ends
            ends = [end for b in report.levels[0].beams for end in (b.start_ft, b.end_ft)]
            middle = sum(x for x, _ in ends) / len(ends), sum(y for _, y in ends) / len(ends)
            assert dist(one.end_ft, middle) < dist(one.start_ft, middle), one.id

"""A stair past the last post brings that post more than its own weight, whether the beam is whole or broken."""

from __future__ import annotations

import pytest
from laid import rectangle_region

from service.framing.beam_row import BeamRow
from service.framing.boards import Boards
from service.framing.edge_loads import EdgeLoad
from service.framing.layout import Arrangement, Layout
from service.framing.members import Members, Setting, build, numbered

WIDTH_IN, DEPTH_IN, STAIR_LB = 240.0, 120.0, 3000.0


def built(*stairs_ft: tuple[float, float]) -> Members:
    """A deck of 20 by 10 ft on posts at 2, 10 and 18 ft, and stairs between these places along its yard edge."""
    region = rectangle_region(WIDTH_IN, DEPTH_IN, "open")
    rows = tuple(
        BeamRow((0.0, y), (WIDTH_IN, y), (0,), posts_in=(24.0, 120.0, 216.0)) for y in (1.5, DEPTH_IN - 1.5)
    )
    layout = Layout(Arrangement(region, rows, 3.0, "dropped", 240.0), "2x8", 16.0, rows, "2x12", 2, "6x6")
    y_ft = DEPTH_IN / 12
    loads = tuple(EdgeLoad("deck.stair-1", 2, (b, y_ft), (a, y_ft), STAIR_LB) for a, b in stairs_ft)
    setting = Setting(
        "main", "southern_pine", "no_2", 36.0, 1.0, lambda _x, _y: 0.0, 50.0, Boards(240.0), loads
    )
    return build(setting, layout, numbered([layout])[0])


def sizing_lb(made: Members) -> list[float]:
    return [stand.sizing_load_lb for stand in made.stands if stand.beam == "main.beam-2"]


def test_an_end_post_gets_what_the_lever_of_the_overhang_makes_of_a_stair() -> None:
    """3,000 lb on 0 to 3 ft, posts at 2 and 10 ft: 3,000 x 8.5 / 8 = 3,187.5 lb on the first, and less on the next.

    The next posts are given all of the stair, as any post of a beam under one.
    """
    more = [a - b for a, b in zip(sizing_lb(built((0.0, 3.0))), sizing_lb(built()), strict=True)]
    assert more[0] == pytest.approx(3187.5)
    assert more[2] == pytest.approx(STAIR_LB)


def test_a_stair_within_the_spans_brings_no_post_more_than_itself() -> None:
    for place_ft in ((2.0, 5.0), (8.5, 11.5), (13.0, 16.0)):
        more = [a - b for a, b in zip(sizing_lb(built(place_ft)), sizing_lb(built()), strict=True)]
        assert max(more) <= STAIR_LB + 1e-6
        assert more[0] == more[2] == pytest.approx(STAIR_LB)

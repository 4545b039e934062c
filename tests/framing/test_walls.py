"""Which walls stand beside a deck, and how far a place lies from the nearest."""

from __future__ import annotations

import math
from typing import Any

import pytest

from service.contract.spec import DeckSpec, EdgeWallSpec, HouseSpec, LevelSpec
from service.framing.walls import wall_distance_ft, walls_of

RECTANGLE = ((0, 0), (16, 0), (16, 12), (0, 12))
# round the right corner of the house: its front y = 0 to x = 16, its side x = 16 down to y = -10
WRAP = ((0, 0), (16, 0), (16, -10), (24, -10), (24, 12), (0, 12))
# the deck goes on straight past the end of a wing that stands on its left to y = 12
PAST_A_WING = ((0, 0), (16, 0), (16, 20), (0, 20), (0, 12))


def distance(place: tuple[float, float], *outlines: tuple[tuple[float, float], ...], **house: Any) -> float:
    levels = tuple(
        LevelSpec(id=f"l{n}", outline_ft=tuple((float(x), float(y)) for x, y in one), surface_height_in=34)
        for n, one in enumerate(outlines)
    )
    return wall_distance_ft(
        walls_of(DeckSpec(levels=levels, house=HouseSpec(**{"wall": "wood_band", **house}))), *place
    )


def at(edge: int, level: int = 0, wall: Any = "wood_band") -> EdgeWallSpec:
    return EdgeWallSpec(level=f"l{level}", edge=edge, wall=wall)


@pytest.mark.parametrize("place", [(8, 10), (0, 1.5), (16, 12), (-6, 4), (40, 7.25)])
def test_before_one_wall_it_is_y(place: tuple[float, float]) -> None:
    assert distance(place, RECTANGLE) == place[1]


CASES = {
    # a wing on the left: the nearer of front and wing, and the wing may go on past the deck
    "inner corner, by the front": ((10, 5), (RECTANGLE,), (at(3),), 5),
    "inner corner, by the wing": ((3, 5), (RECTANGLE,), (at(3),), 3),
    "past the deck the wing may go on": ((2, 20), (RECTANGLE,), (at(3),), 2),
    "between two wings": ((13, 11), (RECTANGLE,), (at(1), at(3)), 3),
    # round a corner: before the front y, beside the house x - 16, off the corner the corner itself
    "wrap, before the front": ((10, 3), (WRAP,), (at(1),), 3),
    "wrap, beside the house": ((20, -3), (WRAP,), (at(1),), 4),
    "wrap, off the corner": ((19, 4), (WRAP,), (at(1),), 5),
    "wrap, past the deck the side may go on": ((22, -14), (WRAP,), (at(1),), 6),
    "two levels round a corner": (
        (19, 4), (RECTANGLE, ((16, -10), (24, -10), (24, 12), (16, 12))), (at(3, 1, "none"),), 5,
    ),
    "straight on past a wing": ((1, 16), (PAST_A_WING,), (at(4),), math.hypot(1, 4)),
    "beside that wing": ((1, 8), (PAST_A_WING,), (at(4),), 1),
    "a wall said to be none": ((3, 5), (RECTANGLE,), (at(3, wall="none"),), 5),
}  # fmt: skip


@pytest.mark.parametrize("case", CASES)
def test_nearest_wall(case: str) -> None:
    place, outlines, others, expected = CASES[case]
    assert distance(place, *outlines, edge_walls=others) == pytest.approx(expected)


def test_a_level_that_does_not_touch_the_house_stands_before_the_whole_wall_line() -> None:
    away = tuple((x + 30, y + 6) for x, y in RECTANGLE)
    assert distance((32, 7), away) == 7


def test_without_a_house_no_wall_is_near() -> None:
    assert distance((3, 5), RECTANGLE, wall="none") == math.inf
    assert distance((3, 5), RECTANGLE, wall="none", edge_walls=(at(3),)) == 3


def test_the_sense_of_the_outline_changes_nothing() -> None:
    turned = tuple(reversed(WRAP))
    for place in ((19, 4), (20, -3), (10, 3), (22, -14)):
        assert distance(place, turned, edge_walls=(at(3),)) == pytest.approx(
            distance(place, WRAP, edge_walls=(at(1),))
        )

"""The outline as framed does not depend on how the caller wrote it down."""

from __future__ import annotations

from service.contract.spec import DeckSpec, EdgeWallSpec, HouseSpec, LevelSpec
from service.framing.sides import Outline, level_outline

L_SHAPE = ((0.0, 0.0), (24.0, 0.0), (24.0, 12.0), (12.0, 12.0), (12.0, 20.0), (0.0, 20.0))


def _outline(points: tuple[tuple[float, float], ...], **house: object) -> Outline:
    level = LevelSpec(outline_ft=points, surface_height_in=36)
    return level_outline(DeckSpec(levels=(level,), house=HouseSpec(wall="wood_band", **house)), level)  # type: ignore[arg-type]


def _shape(outline: Outline) -> list[tuple[object, ...]]:
    return [(side.edge.start_ft, side.edge.end_ft, side.edge.outward, side.wall) for side in outline.sides]


def test_the_other_sense_and_another_first_corner_give_the_same_sides() -> None:
    turned = L_SHAPE[2:] + L_SHAPE[:2]
    assert _shape(_outline(L_SHAPE)) == _shape(_outline(tuple(reversed(L_SHAPE)))) == _shape(_outline(turned))


def test_a_corner_on_a_straight_line_is_left_out_and_its_edges_still_found() -> None:
    more = (*L_SHAPE[:3], (18.0, 12.0), *L_SHAPE[3:])
    outline = _outline(more)
    assert _shape(outline) == _shape(_outline(L_SHAPE))
    side, along = outline.place(3, 1.0, 3.0)
    assert side.edge.number == 2
    assert along == 7.0


def test_a_stretch_on_an_outline_given_backwards_lies_where_the_caller_meant() -> None:
    forward, backward = _outline(L_SHAPE), _outline(tuple(reversed(L_SHAPE)))
    # edge 4 forward runs from (12, 20) to (0, 20); backward edge 0 runs from (0, 20) to (12, 20)
    (_, here), (_, there) = forward.place(4, 2.0, 3.0), backward.place(0, 7.0, 3.0)
    assert here == there == 2.0


def test_walls_are_told_apart_and_a_wall_that_ends_keeps_its_corner() -> None:
    points = ((0.0, 0.0), (10.0, 0.0), (16.0, 0.0), (16.0, 12.0), (0.0, 12.0))
    other = (EdgeWallSpec(edge=1, wall="brick_veneer"), EdgeWallSpec(edge=4, wall="brick_veneer"))
    outline = _outline(points, edge_walls=other)
    assert [side.wall for side in outline.sides] == ["", "0", None, None, "0"]

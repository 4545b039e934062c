"""Everything under a stair is in the order: beams, posts, landings with their boards and guards, pads."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pytest
from doctest_names import _names

from service.choice.level.stair_frames import Head, StairFrames, stair_demands, stair_frames
from service.choice.level.stair_sizes import stair_ask
from service.contract.report_frame import Concrete, Footing
from service.contract.report_order import Piece, Takeoff
from service.contract.spec import DeckSpec, LevelSpec, StairSpec
from service.foundations.demand import Demand
from service.framing.frame import Frame
from service.framing.stair_place import places_of
from service.framing.stairs import lay_out_stairs
from service.takeoff.order import take_off

HDG = "hot_dip_galvanized"


def footing(demand: Demand) -> Footing:
    pier = Concrete(
        shape="round", shaft_diameter_in=12.0, base_shape=None, base_size_in=None, thickness_in=None,
        depth_below_grade_in=32.0, volume_cuft=2.0,
    )  # fmt: skip
    return Footing(
        id=demand.footing_id, mark=demand.mark, post=demand.post, serves=demand.serves, method="tube_form_pier",
        x_ft=demand.x_ft, y_ft=demand.y_ft, load_lb=demand.load_lb, tributary_sqft=10.0, grade_height_in=0.0,
        top_height_in=demand.top_above_grade_in, bottom_height_in=-32.0, exposed_in=3.0, in_backfill_zone=False,
        concrete=pier,
        pile=None,
    )  # fmt: skip


def ordered(surface_in: float, kind: Any = "edge_beam", **spec: Any) -> tuple[Takeoff, StairFrames]:
    level = LevelSpec(width_ft=16, projection_ft=12, surface_height_in=surface_in)
    asked = StairSpec(**{"edge": 2, "offset_ft": 4, "width_in": 48, **spec})
    deck = DeckSpec(levels=(level,), stairs=(asked,))
    criteria, places = _names()["criteria_2021"], places_of(deck)
    laid = lay_out_stairs(deck.stairs, places, criteria)
    heads = {"deck.stair-1": Head(kind, "main.rim-1")}
    found = stair_frames(laid, heads, stair_ask(criteria, 240.0, "6x6"), None)
    footings = [footing(one) for one in stair_demands(found, attached=True)]
    footings += [pad.footing for pad in found.pads]
    frame = Frame((), found.posts, tuple(footings), found.stairs)
    return take_off(frame, deck, criteria, None), found


def of(order: Takeoff, member: str) -> Sequence[Piece]:
    return [piece for piece in order.pieces if member in piece.members]


def count(order: Takeoff, item: str) -> float:
    return sum(line.quantity for line in order.hardware if line.item == item)


def test_a_landing_is_ordered_whole() -> None:
    order, found = ordered(160)
    (stair,) = found.stairs
    lumber = [piece for piece in order.pieces if piece.item.startswith("lumber.2x8")]
    # four joists and two rims, the rims as wide as the stair; a block behind each of the four guard posts
    assert sum(piece.quantity for piece in lumber) == 6 + 4
    assert {piece.length_in for piece in of(order, "deck.landing-1.rim-1")} == {48.0}
    beams = [
        piece for piece in order.pieces if piece.item.startswith("lumber.2x6") and piece.length_in == 48.0
    ]
    assert sum(piece.quantity for piece in beams) == 2 * 2
    assert sum(piece.quantity for piece in order.pieces if piece.item.startswith("post.6x6")) == 4
    assert {member for piece in of(order, stair.braces[0].id) for member in piece.members} >= {
        brace.id for brace in stair.braces
    }
    # joists tied on both beams, posts in bases under caps
    assert count(order, f"uplift_tie.1ply.{HDG}") == 2 * 4
    assert count(order, f"post_base.6x6.{HDG}") == count(order, f"post_cap.6x6.2ply.{HDG}") == 4
    # 46 in of boards 5-1/2 in wide with 1/8 in between: nine
    boards = [piece for piece in of(order, "deck.landing-1") if piece.item.startswith("decking")]
    assert sum(piece.quantity for piece in boards if piece.length_in == 48.0) >= 9
    assert any(piece.item.startswith("guard.2x2.baluster") for piece in of(order, "deck.landing-1"))
    assert any(piece.item == "guard.2x2.handrail.wood" for piece in of(order, "deck.landing-1"))


def test_concrete_of_piers_and_pad_is_ordered_together() -> None:
    order, found = ordered(160)
    (pad,) = found.pads
    assert pad.footing.concrete is not None
    (line,) = order.concrete
    assert line.volume_cuft == pytest.approx(4 * 2.0 + pad.footing.concrete.volume_cuft)
    (alone,) = ordered(36)[0].concrete
    # 15.5 / 3 cu ft and a tenth more, 0.45 cu ft a bag
    assert (alone.item, alone.quantity) == ("concrete.bag.60lb", 13)


def test_hung_stringers_take_connectors_and_standing_ones_ties() -> None:
    hung, own = ordered(48)[0], ordered(48, "side", edge=1)[0]
    connector, tie = f"stringer_connector.sloped.{HDG}", f"uplift_tie.1ply.{HDG}"
    assert (count(hung, connector), count(hung, tie)) == (4, 0)
    assert (count(own, connector), count(own, tie)) == (0, 4)
    held = ordered(140)[0]
    assert (count(held, connector), count(held, tie)) == (4, 4)


def test_a_box_step_has_legs_at_its_back() -> None:
    order, _ = ordered(23.25, "side", edge=1)
    # 23.25 less 1 of tread and 11.25 x 13.05 / 10.5 of board
    legs = [piece for piece in order.pieces if piece.length_in < 10 and piece.item.startswith("lumber.2x12")]
    assert [(piece.quantity, piece.length_in) for piece in legs] == [(4, pytest.approx(8.25, abs=1 / 16))]
    assert count(order, f"stringer_connector.sloped.{HDG}") == 0

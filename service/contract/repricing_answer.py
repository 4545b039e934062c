"""What an open quote comes to at other prices."""

from __future__ import annotations

from typing import Literal

import msgspec

from service.contract.money import Money
from service.contract.report import Caution, JurisdictionRef, PriceBookRef, RulebookRef, Verdict
from service.contract.report_order import OrderTotal, Unpriced


class MovedLine(msgspec.Struct, frozen=True, kw_only=True):
    """A line of the order whose price moved; `previous_extended` is what the same quantity came to before.

    Like lines are one; where a box holds another number now, both amounts are for whole boxes.
    """

    item: str
    length_ft: float | None
    quantity: float
    unit: str
    previous_extended: Money
    extended: Money
    change: Money


class RecutBoard(msgspec.Struct, frozen=True, kw_only=True):
    """`count` boards of one stock length cut alike, from one end."""

    item: str
    length_ft: float
    count: int
    cuts_in: tuple[float, ...]
    offcut_in: float


class LeftOut(msgspec.Struct, frozen=True):
    """An item re-cutting could not be judged for, and why."""

    item: str
    because: str


class Recut(msgspec.Struct, frozen=True, kw_only=True):
    """The same pieces cut from the boards that are cheapest now.

    Both costs are at the prices of the answer, quantity breaks counted, over the items whose boards can be bought
    both as listed and as cut anew. A `saving` above zero: cutting anew saves money. `only_recut` names items
    whose boards can no longer all be bought as listed, or do not hold the pieces, but whose pieces can be cut from
    others; they are in no sum. `boards` is the whole new plan, theirs too. `because` names items whose boards do not
    hold the pieces, and says how a `saving` can be below zero; empty where there is nothing to say.
    """

    cost_as_listed: Money
    cost_recut: Money
    saving: Money
    only_recut: tuple[str, ...]
    left_out: tuple[LeftOut, ...]
    boards: tuple[RecutBoard, ...]
    because: str = ""


class FrameCost(msgspec.Struct, frozen=True, kw_only=True):
    """A frame in one line, what its order comes to and what is said of it."""

    summary: str
    total: OrderTotal
    verdict: Literal["prescriptive", "engineer_required", "not_permitted"]


class FrameChange(msgspec.Struct, frozen=True, kw_only=True):
    """The frame that was quoted against the frame chosen freely, both ordered at the prices of the answer.

    `another_frame_cheaper` only where both orders are priced whole, the other costs less and its verdict is no
    worse; else `cheapest` is `kept` and `saving` is zero. `quoted_from`: where the sizes of `kept` come from.
    """

    another_frame_cheaper: bool
    quoted_from: Literal["pins", "previous_price_book"]
    kept: FrameCost
    cheapest: FrameCost
    saving: Money


class RepricedDesign(msgspec.Struct, frozen=True, kw_only=True):
    """The design whose order was repriced: its id, verdict, cautions and versions."""

    design_id: str
    as_of: str
    engine_version: str
    jurisdiction: JurisdictionRef | None
    rulebook: RulebookRef
    verdict: Verdict
    cautions: tuple[Caution, ...]


class Repricing(msgspec.Struct, frozen=True, kw_only=True):
    """An open quote at other prices.

    `total` is null for a spec no frame was found for. `change` and `change_percent` are null unless the total is
    complete, as a total with lines left out is not compared, and where one of the two price books has tax in its
    prices and the other has not: then no line is compared either. `because` says which; empty where there is a
    `change`. `compared_lines` is how many lines have a price now and
    a known one before; `moved` are those of them that moved most, at most five. `unpriced` lines are in no sum.
    `packs_assumed` names items whose quantity was taken for boxes, rolls or pounds of the price book, as neither a
    `unit` nor `previous_price_book` says what it counts: where it counts pieces, the total is far too high.
    """

    reference: str
    price_book: PriceBookRef
    previous_total: Money
    total: OrderTotal | None
    change: Money | None
    change_percent: float | None
    because: str = ""
    compared_lines: int
    moved: tuple[MovedLine, ...]
    unpriced: tuple[Unpriced, ...]
    packs_assumed: tuple[str, ...]
    recut: Recut | None
    frame: FrameChange | None
    design: RepricedDesign | None

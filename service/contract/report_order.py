"""The takeoff: pieces, boards, cutting plan, hardware, concrete, decking and money."""

from __future__ import annotations

import msgspec

from service.contract.money import Money


class EndCut(msgspec.Struct, frozen=True, kw_only=True):
    """How one end of a piece is cut: ``square``, ``bevel`` through the thickness of a piece that stands on edge,
    ``miter`` across the wide face of a board that lies flat, of a brace or of a sloping rail.

    ``angle_deg`` is off square; it is positive where the piece is longer on its right, looking from its start to
    its end. Two ends of one sign lean towards each other, two of different signs the same way.
    """

    end: str
    kind: str
    angle_deg: float


class Piece(msgspec.Struct, frozen=True, kw_only=True):
    """Like pieces cut to one length, to the longer points, and the members each serves."""

    id: str
    item: str
    length_in: float
    quantity: int
    end_cuts: tuple[EndCut, ...]
    members: tuple[str, ...]


class StockLine(msgspec.Struct, frozen=True, kw_only=True):
    """Boards of one stock length to buy; ``availability`` says whether the yard has them or orders them."""

    item: str
    length_ft: float
    quantity: int
    sku: str | None
    unit_price: str | None
    extended: Money | None
    availability: str | None = None


class Cut(msgspec.Struct, frozen=True, kw_only=True):
    """One piece cut from a board."""

    piece: str
    length_in: float


class CuttingLine(msgspec.Struct, frozen=True, kw_only=True):
    """How ``count`` boards of one length are cut, what is left of each, and whether that is worth keeping."""

    item: str
    length_ft: float
    count: int
    cuts: tuple[Cut, ...]
    offcut_in: float
    usable_offcut: bool


class CuttingBound(msgspec.Struct, frozen=True, kw_only=True):
    """List price of the boards, before quantity breaks, against a proven bound that no plan for these pieces beats."""

    cost: Money
    bound: Money
    gap_percent: float


class StockOffered(msgspec.Struct, frozen=True, kw_only=True):
    """A stock length the price book offers for an item in this order."""

    item: str
    length_ft: float
    unit_price: str


class OrderLine(msgspec.Struct, frozen=True, kw_only=True):
    """Hardware and fasteners by item."""

    item: str
    quantity: float
    unit: str
    sku: str | None
    unit_price: str | None
    extended: Money | None
    members: tuple[str, ...]
    availability: str | None = None


class ConcreteLine(msgspec.Struct, frozen=True, kw_only=True):
    """Concrete by bag or by the yard; ``because`` says why it comes that way."""

    item: str
    quantity: float
    unit: str
    volume_cuft: float
    waste_percent: float
    sku: str | None
    unit_price: str | None
    extended: Money | None
    because: str = ""
    availability: str | None = None


class DeckingLine(msgspec.Struct, frozen=True, kw_only=True):
    """Deck boards of one stock length."""

    item: str
    length_ft: float | None
    quantity: int
    sku: str | None
    unit_price: str | None
    extended: Money | None
    availability: str | None = None


class GroundworkLine(msgspec.Struct, frozen=True, kw_only=True):
    """A machine hired for the footings, or ``spoil.soil``: soil that is left over, loose, in cubic yards.

    Spoil is a quantity to be rid of, without a price: what that costs depends on where it may go. Work bought in and
    fees stay with the comparison of footing methods.
    """

    item: str
    quantity: float
    unit: str
    sku: str | None
    unit_price: str | None
    extended: Money | None
    members: tuple[str, ...]
    because: str = ""
    availability: str | None = None


class Substitution(msgspec.Struct, frozen=True, kw_only=True):
    """``item``, which cannot be had, and what the order has ``instead`` of it.

    Where only a stock length is out, ``length_ft`` names it, both items are the same and the pieces are cut from other
    lengths. ``cost_difference`` is what the order costs more, at list price; null where the book has no price for
    what is replaced.
    """

    item: str
    instead: str
    because: str
    length_ft: float | None = None
    quantity: float = 0.0
    unit: str = "each"
    cost_difference: Money | None = None
    members: tuple[str, ...] = ()


class Unpriced(msgspec.Struct, frozen=True, kw_only=True):
    """A line the price book has no price for; never guessed."""

    item: str
    quantity: float
    unit: str
    because: str


class OrderTotal(msgspec.Struct, frozen=True, kw_only=True):
    """The sum of the priced lines; ``complete`` is false when a line has no price."""

    currency: str
    amount: str
    complete: bool
    tax_included: bool


class Takeoff(msgspec.Struct, frozen=True, kw_only=True):
    """Everything to order for one design.

    Offcuts of lumber and posts from ``usable_offcut_in`` on are marked as worth keeping. Machines hired, in
    ``groundwork``, are in ``subtotal`` and ``total``; services and fees of the footings are not, the footing
    comparison has them.
    """

    kerf_in: float
    usable_offcut_in: float
    pieces: tuple[Piece, ...]
    stock: tuple[StockLine, ...]
    cutting_plan: tuple[CuttingLine, ...]
    cutting_bound: CuttingBound | None
    stock_offered: tuple[StockOffered, ...]
    hardware: tuple[OrderLine, ...]
    concrete: tuple[ConcreteLine, ...]
    decking: tuple[DeckingLine, ...]
    substitutions: tuple[Substitution, ...]
    unpriced: tuple[Unpriced, ...]
    lumber_waste_percent: float
    subtotal: Money | None
    total: OrderTotal | None
    groundwork: tuple[GroundworkLine, ...] = ()

"""One line of a repricing: an order, or the spec it came from, and what it came to when it was quoted."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated

import msgspec
from msgspec import Meta

from service.contract.faults import spec_faults
from service.contract.price_book import QuantityUnit
from service.contract.problem import Allowed, Fault, pointer
from service.contract.spec import DeckSpec, Reference
from service.contract.spec_wishes import CurrencyCode
from service.contract.strict import DEFAULT_LIMITS, Limits, decode

MOST_LINES = 2000
MOST_PIECES = 2000
ItemCode = Annotated[
    str,
    Meta(
        pattern=r"^[a-z][a-z0-9_]*(\.[a-z0-9][a-z0-9_-]*){1,6}$",
        description="Item code, as takeoffs give it",
        examples=["lumber.2x10.southern_pine.no_2.uc3b"],
    ),
]
PinnedBook = Annotated[
    str, Meta(min_length=5, max_length=47, pattern=r"^[a-z][a-z0-9]*(-[a-z0-9]+)*@[1-9][0-9]{0,5}$")
]


class AmountGiven(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """An amount the caller knows."""

    currency: Annotated[CurrencyCode, Meta(description="ISO 4217 code", examples=["USD"])]
    amount: Annotated[
        str,
        Meta(pattern=r"^[0-9]{1,9}\.[0-9]{2}$", description="Amount with two decimals", examples=["4027.47"]),
    ]


class LineGiven(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One line of an order, as a takeoff gives it. Lines of one `item`, `length_ft` and `unit` count as one line."""

    item: ItemCode
    length_ft: Annotated[
        Annotated[float, Meta(ge=0.01, le=99.99)] | None,
        Meta(description="Stock length, ft; null where the item has none", examples=[12.0]),
    ] = None
    quantity: Annotated[
        float,
        Meta(ge=0.01, le=100_000, description="How many of unit; a part counts as one", examples=[13.0]),
    ]
    unit: Annotated[
        QuantityUnit | None,
        Meta(
            description="Unit of quantity, as the takeoff gives it. A box, roll or lb is that of previous_price_book "
            "where it sells the item by that, else that of the prices asked for. Null: the unit "
            "previous_price_book sells the item by; without previous_price_book the unit it is sold by now, and what "
            "is sold by the box, roll or lb is named in packs_assumed. Where previous_price_book does not sell what "
            "is now sold so, the line stays unpriced: a count of pieces would be priced as boxes",
            examples=["piece"],
        ),
    ] = None
    previous_extended: Annotated[
        AmountGiven | None,
        Meta(
            description="What this line came to when it was quoted; null: not known, for all lines joined with it"
        ),
    ] = None


class PieceGiven(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Like pieces that are cut from the boards of the order."""

    item: ItemCode
    length_in: Annotated[float, Meta(ge=0.0625, le=1200, description="Cut length", examples=[141.0])]
    quantity: Annotated[int, Meta(ge=1, le=MOST_PIECES, description="How many", examples=[13])]


class RepricingSpec(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """An open quote: its order or its deck spec, one of the two, and the total it was quoted at."""

    reference: Annotated[
        Reference, Meta(description="Caller's own reference, returned as given", examples=["LEAD-2041"])
    ]
    previous_total: Annotated[AmountGiven, Meta(description="What the order came to when it was quoted")]
    lines: Annotated[
        Annotated[tuple[LineGiven, ...], Meta(min_length=1, max_length=MOST_LINES)] | None,
        Meta(description="The order; null where spec is given"),
    ] = None
    pieces: Annotated[
        tuple[PieceGiven, ...],
        Meta(
            max_length=MOST_LINES,
            description="All that is cut from the boards in lines; empty: re-cutting is not judged",
        ),
    ] = ()
    spec: Annotated[DeckSpec | None, Meta(description="The deck; null where lines are given")] = None
    previous_price_book: Annotated[
        PinnedBook | None,
        Meta(
            description="Version the quote was made from; null: not known, so fewer things can be compared",
            examples=["brindlemoor-yard@1"],
        ),
    ] = None


def repricing_spec(body: bytes, limits: Limits = DEFAULT_LIMITS) -> RepricingSpec:
    """Return the open quote in a line of NDJSON, or raise Rejected with every fault of it.

    >>> body = b'{"reference": "LEAD-7", "previous_total": {"currency": "USD", "amount": "54.50"},'
    >>> repricing_spec(body + b' "lines": [{"item": "concrete.bag.60lb", "quantity": 10}]}').lines[0].quantity
    10.0
    """
    return decode(body, RepricingSpec, limits, repricing_faults)


def repricing_faults(quote: RepricingSpec) -> Iterator[Fault]:
    """Yield the faults between the fields of an open quote, those of its spec among them."""
    if quote.spec is None:
        if quote.lines is None:
            yield Fault(pointer("lines"), "missing", "an open quote needs lines, or else spec")
    else:
        for name in ("lines", "pieces"):
            if getattr(quote, name):
                detail = f"give either spec or lines and pieces; {name} also given"
                yield Fault(pointer(name), "both_given", detail)
        for fault in spec_faults(quote.spec):
            yield msgspec.structs.replace(fault, pointer=pointer("spec") + fault.pointer)
    yield from _piece_faults(quote)
    yield from _currency_faults(quote)


def _piece_faults(quote: RepricingSpec) -> Iterator[Fault]:
    count = sum(piece.quantity for piece in quote.pieces)
    if count > MOST_PIECES:
        allowed = Allowed(max=float(MOST_PIECES))
        yield Fault(
            pointer("pieces"), "too_many", f"{count} pieces in all, at most {MOST_PIECES} taken", allowed
        )


def _currency_faults(quote: RepricingSpec) -> Iterator[Fault]:
    """The currencies within a quote against that of its previous total."""
    one = quote.previous_total.currency
    for number, line in enumerate(quote.lines or ()):
        if line.previous_extended is not None and line.previous_extended.currency != one:
            at = pointer("lines", number, "previous_extended", "currency")
            yield Fault(at, "currency_mixed", f"one currency an answer: the previous total is in {one}")

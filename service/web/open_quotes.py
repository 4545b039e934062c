"""One open quote, from its bytes to what it comes to at the prices of a book."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

import msgspec

from service.choice.level.context import Context
from service.contract.faults import FIRST_DAY
from service.contract.parse import parse
from service.contract.problem import Allowed, Fault, Rejected, pointer
from service.contract.repricing import RepricingSpec, repricing_spec
from service.contract.repricing_answer import Repricing
from service.contract.spec import DeckSpec
from service.contract.strict import DEFAULT_LIMITS
from service.repricing.reprice import reprice_lines, reprice_spec
from service.rules.price_book import PriceBook
from service.store.errors import NotServed
from service.web.caller import NOBODY, Caller
from service.web.desk import Desk
from service.web.resolve import context_of, name_faults

SPEC = pointer("spec")


def reprice_quote(body: bytes, desk: Desk, prices: PriceBook, caller: Caller = NOBODY) -> Repricing:
    """Return what the open quote in a body comes to at the prices of a book.

    The price book a spec names is not looked at: ``prices`` are those of the call.

    Raises:
        Rejected: with the faults of its form, between its fields and of the names in it, all together
    """
    quote = _read(body, desk)
    previous = _previous(quote, desk, caller)
    if quote.spec is None:
        return reprice_lines(quote, prices, previous)
    return reprice_spec(quote, _context(quote.spec, desk, prices), previous)


def _read(body: bytes, desk: Desk) -> RepricingSpec:
    try:
        return repricing_spec(body)
    except Rejected as refused:
        if refused.code != "invalid_spec":
            raise
        value: Any = parse(body, DEFAULT_LIMITS.depth)
        spec = value.get("spec") if isinstance(value, dict) else None
        named = name_faults({**spec, "price_book": None}, desk) if isinstance(spec, dict) else ()
        faults = (*refused.faults, *_inside(named))[: DEFAULT_LIMITS.faults]
        raise Rejected(
            "invalid_spec", refused.detail if not named else f"{len(faults)} faults", faults
        ) from None


def _inside(faults: Iterable[Fault]) -> Iterable[Fault]:
    return (msgspec.structs.replace(fault, pointer=SPEC + fault.pointer) for fault in faults)


def _context(spec: DeckSpec, desk: Desk, prices: PriceBook) -> Context:
    try:
        found = context_of(msgspec.structs.replace(spec, price_book=None), desk)
    except Rejected as refused:
        raise Rejected(refused.code, refused.detail, tuple(_inside(refused.faults))) from None
    return replace(found, prices=prices)


def _previous(quote: RepricingSpec, desk: Desk, caller: Caller) -> PriceBook | None:
    reference = quote.previous_price_book
    if reference is None:
        return None
    try:
        # its version is pinned, so the day does not matter
        return desk.price_book(reference, FIRST_DAY, caller)
    except NotServed as missing:
        fault = Fault(
            pointer("previous_price_book"),
            "unknown_price_book",
            str(missing),
            Allowed(one_of=desk.books(caller)),
        )
        raise Rejected("invalid_spec", "1 fault", (fault,)) from None

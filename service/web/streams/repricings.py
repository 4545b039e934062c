"""POST /v1/repricings: open quotes at the prices of another book, or of another day."""

from __future__ import annotations

from typing import Any, cast

from litestar import asgi
from litestar.types import Receive, Scope, Send

from service.contract.ids import pinned_text
from service.contract.problem import Allowed, Fault, pointer
from service.rules.price_book import PriceBook
from service.store.errors import NotServed
from service.web.caller import Caller
from service.web.chosen import choose
from service.web.desk import Desk
from service.web.queries import invalid_query
from service.web.streams.query import FIRST_LINE, PRICE_BOOK, read_query
from service.web.streams.serve import AnyRequest, Plan, serve

PARAMETERS = (PRICE_BOOK, FIRST_LINE)


@asgi("/v1/repricings", copy_scope=False, operation_id="reprice")
async def reprice(scope: Scope, receive: Receive, send: Send) -> None:
    """Price the open quote of each line anew.

    A quote is its order, or the spec it came from, with the total it was quoted at. Each answer has the old and
    the new total, the lines that moved most, whether cutting the boards anew saves money, and for a spec whether
    another frame is now cheaper. Lines are answered in their order: a result, or a problem.
    """
    await serve(scope, cast("Any", receive), cast("Any", send), _planned)


def _planned(request: AnyRequest, desk: Desk, caller: Caller) -> Plan:
    given = read_query(request, PARAMETERS)
    prices = _prices(given["price_book"] or caller.bound_book, desk, caller)
    choose(prices=prices)
    pinned = pinned_text(prices.id, prices.version)
    return Plan("repricings", int(given["first_line"]), {"price_book": pinned})


def _prices(reference: str | None, desk: Desk, caller: Caller) -> PriceBook:
    at, known = pointer("price_book"), Allowed(one_of=desk.books(caller))
    if reference is None:
        detail = "a repricing needs the price book to price by"
        raise invalid_query([Fault(at, "missing", detail, known)])
    try:
        return desk.price_book(reference, desk.today(None), caller)
    except NotServed as unknown:
        raise invalid_query([Fault(at, "unknown_price_book", str(unknown), known)]) from None

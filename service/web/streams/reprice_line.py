"""One open quote of a repricing."""

from __future__ import annotations

from service.contract.stream import RepricingResult
from service.web.desk import Desk
from service.web.open_quotes import reprice_quote
from service.web.streams.messages import Call


def reprice_line(number: int, text: bytes, call: Call, desk: Desk) -> RepricingResult:
    """Return the answer to an open quote; the price book among the options is pinned.

    Raises:
        Rejected: the quote cannot be used
    """
    prices = desk.price_book(call.options["price_book"], desk.today(None), call.caller)
    repricing = reprice_quote(text, desk, prices, call.caller)
    return RepricingResult(line=number, reference=repricing.reference, repricing=repricing)

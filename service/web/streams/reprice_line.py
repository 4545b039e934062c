"""One open quote of a repricing."""

from __future__ import annotations

from collections.abc import Mapping

from service.contract.stream import RepricingResult
from service.web.desk import Desk
from service.web.open_quotes import reprice_quote


def reprice_line(number: int, text: bytes, options: Mapping[str, str], desk: Desk) -> RepricingResult:
    """Return the answer to an open quote; the price book in the options is pinned.

    Raises:
        Rejected: the quote cannot be used
    """
    prices = desk.price_book(options["price_book"], desk.today(None))
    repricing = reprice_quote(text, desk, prices)
    return RepricingResult(line=number, reference=repricing.reference, repricing=repricing)

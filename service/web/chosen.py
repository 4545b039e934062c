"""Which versions of rulebook, place and price book a request is answered by; its answer names them, a refusal too.

They are found far below where headers are made, and in another thread, so they are left here for the request they
belong to. Outside a request, as in the processes that work lines, nothing is kept.
"""

from __future__ import annotations

from contextvars import ContextVar

from service.contract.ids import pinned_text
from service.rules.jurisdiction import Jurisdiction
from service.rules.price_book import PriceBook
from service.rules.rulebook import Rulebook

RULEBOOK, PLACE, PRICE_BOOK = b"deck-rulebook", b"deck-jurisdiction", b"deck-price-book"
_CHOSEN: ContextVar[dict[bytes, bytes] | None] = ContextVar("chosen", default=None)


def new_choice() -> dict[bytes, bytes]:
    """Return the headers of the request that begins here; what it chooses comes to stand in them."""
    found: dict[bytes, bytes] = {}
    _CHOSEN.set(found)
    return found


def choose(
    rulebook: Rulebook | None = None,
    prices: PriceBook | None = None,
    place: Jurisdiction | None = None,
) -> None:
    """Have the answer say by which versions it was made."""
    kept = _CHOSEN.get()
    if kept is None:
        return
    for name, version in ((RULEBOOK, rulebook), (PLACE, place), (PRICE_BOOK, prices)):
        if version is not None:
            kept[name] = pinned_text(version.id, version.version).encode()

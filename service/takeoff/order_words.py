"""What an order asks its reader to look at: lines without a price, and what stands in for something else."""

from __future__ import annotations

from collections.abc import Iterator

from service.checks.judged import caution
from service.contract.report import Caution
from service.contract.report_order import Takeoff


def order_cautions(takeoff: Takeoff) -> Iterator[Caution]:
    """Yield the cautions of an order."""
    if takeoff.unpriced:
        items = tuple(dict.fromkeys(one.item for one in takeoff.unpriced))
        left_out = ", and the total leaves them out" if takeoff.total else ""
        yield caution(
            "unpriced_lines",
            f"Some lines of the order have no price{left_out}: {', '.join(items)}",
            "Ask the yard for these, or another yard; unpriced says why each has none",
        )
    if takeoff.substitutions:
        yield caution(
            "items_substituted",
            f"Something is out of stock: {'; '.join(one.because for one in takeoff.substitutions)}",
            "Have the yard confirm what it sends, and show it on the permit drawings where they name the item",
        )

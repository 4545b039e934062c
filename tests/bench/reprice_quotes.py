"""Open quotes repriced one after another on one core, decode to encode: milliseconds of CPU an item.

Run with `PYTHONPATH=.:tests python tests/bench/reprice_quotes.py`. Items: the lines of the takeoff of
`ledger-composite` cut down to 30, the same with all pieces, its spec, and its spec with the book it was quoted from.
"""

from __future__ import annotations

import json
import time
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import msgspec

from service.app import bundled_snapshot, make_desk
from service.pipeline import design
from service.repricing.lines import lines_of
from service.repricing.recut import pieces_of
from service.rules.price_book import PriceBook
from service.web.desk import Desk
from service.web.open_quotes import reprice_quote
from service.web.resolve import context_of, read_spec

EXAMPLE = Path(__file__).parents[2] / "openapi" / "examples" / "ledger-composite.json"
BOOK, LINES, ROUNDS = "brindlemoor-yard@1", 30, 5


def quotes(desk: Desk, prices: PriceBook) -> dict[str, tuple[dict[str, Any], int]]:
    """What is timed, and how often a round."""
    spec = read_spec(EXAMPLE.read_bytes(), desk)
    takeoff = design(spec, replace(context_of(spec, desk), prices=prices)).takeoff
    lines = msgspec.to_builtins(lines_of(takeoff))
    pieces = msgspec.to_builtins(pieces_of(takeoff))
    given = json.loads(EXAMPLE.read_text("utf-8"))
    return {
        f"{LINES} lines": ({"lines": lines[:LINES]}, 300),
        f"{LINES} lines, earlier book": ({"lines": lines[:LINES], "previous_price_book": BOOK}, 300),
        f"{len(lines)} lines and {len(pieces)} pieces": ({"lines": lines, "pieces": pieces}, 20),
        "spec": ({"spec": given}, 2),
        "spec, earlier book": ({"spec": given, "previous_price_book": BOOK}, 1),
    }


def main() -> None:
    """Print the least time of a few rounds of each."""
    desk = make_desk(bundled_snapshot())
    prices = desk.price_book(BOOK, date(2026, 11, 25))
    fixed = {"reference": "Q-1", "previous_total": {"currency": "USD", "amount": "4000.00"}}
    for name, (content, times) in quotes(desk, prices).items():
        body = json.dumps({**fixed, **content}).encode()
        least = min(_seconds(body, desk, prices, times) for _ in range(ROUNDS)) / times
        print(f"{name:32} {1000 * least:8.2f} ms {1 / least:8.0f} a second")


def _seconds(body: bytes, desk: Desk, prices: PriceBook, times: int) -> float:
    began = time.process_time()
    for _ in range(times):
        msgspec.json.encode(reprice_quote(body, desk, prices))
    return time.process_time() - began


if __name__ == "__main__":
    main()

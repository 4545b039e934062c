"""Decks whose permit packages are looked at: examples of the service, and one of each verdict."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any

from context import context, designed, spec_of

from service.contract.report import DesignReport

EXAMPLES = Path(__file__).parents[1] / "openapi" / "examples"
DECKS = ("ledger-composite", "freestanding-veneer", "hillside")
ENGINEER, REFUSED, UNPRICED = "hot-tub", "refused", "unpriced"
ALL = (*DECKS, ENGINEER, REFUSED, UNPRICED)


@cache
def spec_json(name: str) -> dict[str, Any]:
    """The JSON of a deck: an example, or one of it that is refused for its ledger, or has no prices."""
    if name == REFUSED:
        # brick veneer takes no ledger (R507.9.1.1)
        return {**spec_json("freestanding-veneer"), "framing": {"attachment": "ledger"}}
    if name == UNPRICED:
        return {**spec_json("two-levels"), "price_book": None}
    found: dict[str, Any] = json.loads((EXAMPLES / f"{name}.json").read_text("utf-8"))
    return found


@cache
def report_of(name: str) -> DesignReport:
    """The report of a deck."""
    given = spec_json(name)
    where = context(given["jurisdiction"], given.get("rulebook"), priced=given.get("price_book") is not None)
    return designed(spec_of(**given), where)

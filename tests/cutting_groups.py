"""The 20 cutting groups of `tests/published/reference/cutting_stock.json`, as jobs for the planner.

Their header: lengths in 1/8 in; a board takes pieces when sum(length) + kerf x (n - 1) is at most its length, so a last
cut may lose its kerf in the offcut; prices in cents a board, any number of boards.
"""

from __future__ import annotations

import json
from decimal import Decimal
from pathlib import Path

from service.takeoff.cutting import Demand, Saw
from service.takeoff.job import Stock

FILE = Path(__file__).parent / "published" / "reference" / "cutting_stock.json"
GROUPS = json.loads(FILE.read_text(encoding="utf-8"))["instances"]
UNIT_IN = 1 / 8


def demands_of(group):
    """The pieces of a group."""
    return [Demand(f"p{n}", one["length"] * UNIT_IN, one["qty"]) for n, one in enumerate(group["demand"])]


def stock_of(group):
    """The boards a group may be cut from."""
    return [Stock(float(one["ft"]), Decimal(one["price"]) / 100) for one in group["stocks"]]


def saw_of(group):
    """The saw of a group."""
    return Saw(group["kerf"] * UNIT_IN)


def optimum_of(group):
    """The proven least cost of a group."""
    return Decimal(group["optimum"]["cost"]) / 100

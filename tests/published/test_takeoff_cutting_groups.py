"""The 20 cutting groups with proven optima (synthetic prices; the proof is named in the file)."""

from __future__ import annotations

import json
from decimal import Decimal
from pathlib import Path

import pytest

from service.takeoff.cutting import Demand, Stock, plan

GROUPS = json.loads((Path(__file__).parent / "reference" / "cutting_stock.json").read_text())["instances"]
UNIT_IN = 1 / 8


@pytest.mark.parametrize("group", GROUPS, ids=[f"cutting_stock.json:{one['id']}:optimum" for one in GROUPS])
def test_plan_is_valid_and_the_optimum_lies_between_bound_and_cost(group):
    demands = [Demand(f"p{n}", one["length"] * UNIT_IN, one["qty"]) for n, one in enumerate(group["demand"])]
    stock = [Stock(float(one["ft"]), Decimal(one["price"]) / 100) for one in group["stocks"]]
    found = plan(demands, stock, group["kerf"] * UNIT_IN)
    optimum = Decimal(group["optimum"]["cost"]) / 100
    assert found.bound <= optimum <= found.cost
    assert not found.too_long
    wanted = {one.piece: one.quantity for one in demands}
    for board in found.boards:
        kerfs = group["kerf"] * UNIT_IN * (len(board.cuts) - 1)
        assert sum(length for _, length in board.cuts) + kerfs <= 12 * board.length_ft
        for piece, _ in board.cuts:
            wanted[piece] -= board.count
    assert set(wanted.values()) == {0}

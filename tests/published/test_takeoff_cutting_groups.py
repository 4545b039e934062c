"""The 20 cutting groups with proven optima (synthetic prices; the proof is named in the file).

Limits on how far plans may be over the optimum are those asked of this service; times are in `tests/bench/`.
"""

from __future__ import annotations

from decimal import Decimal
from statistics import fmean

import pytest
from cutting_groups import GROUPS, demands_of, optimum_of, saw_of, stock_of

from service.takeoff.cutting import plan

NAMES = [f"cutting_stock.json:{one['id']}:optimum" for one in GROUPS]
MOST_OVER_PERCENT, MEAN_OVER_PERCENT, MONEY_OVER_PERCENT = 2.0, 0.25, 0.15


def planned(group):
    return plan(demands_of(group), stock_of(group), saw_of(group))


@pytest.mark.parametrize("group", GROUPS, ids=NAMES)
def test_plan_is_valid_and_the_optimum_lies_between_bound_and_cost(group):
    found, optimum = planned(group), optimum_of(group)
    assert found.bound <= optimum <= found.cost
    assert 100 * (found.cost / optimum - 1) <= MOST_OVER_PERCENT
    assert not found.too_long
    wanted = {one.piece: one.quantity for one in demands_of(group)}
    kerf_in = saw_of(group).kerf_in
    for board in found.boards:
        kerfs = kerf_in * (len(board.cuts) - 1)
        assert sum(length for _, length in board.cuts) + kerfs <= 12 * board.length_ft
        for piece, _ in board.cuts:
            wanted[piece] -= board.count
    assert set(wanted.values()) == {0}


@pytest.mark.parametrize("group", GROUPS, ids=[name.replace("optimum", "lp_bound") for name in NAMES])
def test_bound_is_as_high_as_the_linear_programme_of_the_file(group):
    """The file's figure is rounded to four decimals of a cent; ours is cut down to whole parts, then to the prices."""
    lp_bound = Decimal(str(group["optimum"]["lp_bound"])) / 100
    assert planned(group).bound >= lp_bound - Decimal("0.01")


def test_plans_of_all_groups_are_near_their_optima():
    costs = [(planned(group).cost, optimum_of(group)) for group in GROUPS]
    over_percent = [100 * float(cost / optimum - 1) for cost, optimum in costs]
    by_money = 100 * float(sum(cost for cost, _ in costs) / sum(optimum for _, optimum in costs) - 1)
    assert fmean(over_percent) <= MEAN_OVER_PERCENT
    assert by_money <= MONEY_OVER_PERCENT

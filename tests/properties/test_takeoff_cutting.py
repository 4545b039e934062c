"""Cutting plans: every piece is cut, every board can be cut, and no plan costs less than the bound."""

from __future__ import annotations

from collections import Counter
from decimal import Decimal

from hypothesis import given, settings
from hypothesis import strategies as st

from service.takeoff.cutting import Demand, Stock, plan

KERF_IN = 0.125
SIXTEENTHS = st.integers(min_value=16, max_value=250 * 16).map(lambda n: n / 16)
DEMANDS = st.lists(st.tuples(SIXTEENTHS, st.integers(1, 8)), min_size=1, max_size=8)
STOCK = st.dictionaries(
    st.sampled_from([8, 10, 12, 14, 16, 18, 20]), st.integers(500, 6000), min_size=1, max_size=7
).map(lambda found: [Stock(float(ft), Decimal(cents) / 100) for ft, cents in sorted(found.items())])


def demands_of(given_pieces):
    return [Demand(f"piece-{n}", length, count) for n, (length, count) in enumerate(given_pieces)]


@settings(max_examples=150, deadline=None)
@given(DEMANDS, STOCK)
def test_plan_cuts_every_piece_and_every_board_can_be_cut(pieces, stock):
    demands = demands_of(pieces)
    found = plan(demands, stock, KERF_IN)
    cut = Counter()
    for board in found.boards:
        lengths = [length for _, length in board.cuts]
        used = sum(lengths) + KERF_IN * (len(lengths) - 1)
        assert used <= 12 * board.length_ft
        assert board.offcut_in == max(0.0, 12 * board.length_ft - used - KERF_IN)
        for name, _ in board.cuts:
            cut[name] += board.count
    left = {demand.piece for demand in found.too_long}
    longest_in = 12 * max(offer.length_ft for offer in stock)
    for demand in demands:
        assert cut[demand.piece] == (0 if demand.piece in left else demand.quantity)
        assert (demand.piece in left) == (demand.length_in > longest_in)


@settings(max_examples=100, deadline=None)
@given(DEMANDS, STOCK)
def test_cost_is_the_price_of_the_boards_and_at_least_the_bound(pieces, stock):
    found = plan(demands_of(pieces), stock, KERF_IN)
    price = {offer.length_ft: offer.price for offer in stock}
    assert found.cost == sum(price[board.length_ft] * board.count for board in found.boards)
    assert found.bound <= found.cost


def cheapest_by_trying_all(lengths, stock):
    """The least price of any way to share the pieces among boards, by every partition of them."""
    if not lengths:
        return Decimal(0)
    first, rest = lengths[0], lengths[1:]
    best = None
    for mask in range(1 << len(rest)):
        together = [first, *(rest[i] for i in range(len(rest)) if mask >> i & 1)]
        used = sum(together) + KERF_IN * (len(together) - 1)
        prices = [offer.price for offer in stock if 12 * offer.length_ft >= used]
        if prices:
            others = cheapest_by_trying_all([rest[i] for i in range(len(rest)) if not mask >> i & 1], stock)
            if others is not None and (best is None or min(prices) + others < best):
                best = min(prices) + others
    return best


@settings(max_examples=60, deadline=None)
@given(st.lists(st.integers(16, 96 * 16).map(lambda n: n / 16), min_size=1, max_size=5), STOCK)
def test_bound_is_never_over_the_true_least_cost(lengths, stock):
    found = plan([Demand(f"p{n}", length, 1) for n, length in enumerate(lengths)], stock, KERF_IN)
    least = cheapest_by_trying_all(lengths, stock)
    assert found.bound <= least <= found.cost


@settings(max_examples=40, deadline=None)
@given(DEMANDS, STOCK)
def test_same_job_same_plan_whatever_the_order_of_the_stock(pieces, stock):
    demands = demands_of(pieces)
    assert plan(demands, stock, KERF_IN) == plan(demands, list(reversed(stock)), KERF_IN)


def test_a_last_cut_may_lose_its_kerf_in_the_offcut():
    one = plan([Demand("p", 47.9375, 2)], [Stock(8.0, Decimal(9))], KERF_IN)
    assert [(board.count, board.offcut_in) for board in one.boards] == [(1, 0.0)]
    two = plan([Demand("p", 48.0, 2)], [Stock(8.0, Decimal(9))], KERF_IN)
    assert [board.count for board in two.boards] == [2], "two of 48 in and a kerf are longer than 96 in"


def test_pairs_of_short_stock_beat_long_stock_when_they_are_cheaper():
    stock = [Stock(8.0, Decimal("5.00")), Stock(16.0, Decimal("11.00"))]
    found = plan([Demand("p", 95.0, 4)], stock, KERF_IN)
    assert found.cost == Decimal("20.0000")

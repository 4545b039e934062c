"""Cutting plans: every piece is cut, every board can be cut, and no plan costs less than the bound."""

from __future__ import annotations

from collections import Counter
from decimal import Decimal

from hypothesis import given, settings
from hypothesis import strategies as st

from service.takeoff.cutting import Demand, Saw, plan
from service.takeoff.job import Job, Stock
from service.takeoff.plans import cheapest

KERF_IN = 0.125
SAW = Saw(KERF_IN, 24.0)
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
    found = plan(demands, stock, SAW)
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
    found = plan(demands_of(pieces), stock, SAW)
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


FEW_LENGTHS = st.lists(st.integers(16, 96 * 16).map(lambda n: n / 16), min_size=1, max_size=3)
FEW_PIECES = FEW_LENGTHS.flatmap(lambda found: st.lists(st.sampled_from(found), min_size=1, max_size=7))
NO_TWO_ALIKE = st.lists(st.integers(16, 96 * 16).map(lambda n: n / 16), min_size=1, max_size=6)


@settings(max_examples=120, deadline=None)
@given(FEW_PIECES | NO_TWO_ALIKE, STOCK)
def test_true_least_cost_lies_between_bound_and_cost(lengths, stock):
    found = plan([Demand(f"p{n}", length, 1) for n, length in enumerate(lengths)], stock, SAW)
    least = cheapest_by_trying_all(lengths, stock)
    assert found.bound <= least <= found.cost


@settings(max_examples=60, deadline=None)
@given(st.integers(16, 96 * 16).map(lambda n: n / 16), st.integers(1, 7), STOCK)
def test_pieces_all_alike_are_cut_at_the_true_least_cost(length, count, stock):
    found = plan([Demand("p", length, count)], stock, SAW)
    assert found.bound == found.cost == cheapest_by_trying_all([length] * count, stock)


@settings(max_examples=80, deadline=None)
@given(DEMANDS, STOCK)
def test_a_second_run_and_another_order_of_the_pieces_cost_the_same(pieces, stock):
    demands = demands_of(pieces)
    first = plan(demands, stock, SAW)
    cheapest.cache_clear()  # else the second run would be the first one's answer
    assert plan(demands, stock, SAW) == first
    turned = plan(demands[::-1], stock, SAW)
    assert (turned.cost, turned.bound) == (first.cost, first.bound)


@settings(max_examples=40, deadline=None)
@given(DEMANDS, STOCK)
def test_same_job_same_plan_whatever_the_order_of_the_stock(pieces, stock):
    demands = demands_of(pieces)
    assert plan(demands, stock, SAW) == plan(demands, list(reversed(stock)), SAW)


def test_a_last_cut_may_lose_its_kerf_in_the_offcut():
    one = plan([Demand("p", 47.9375, 2)], [Stock(8.0, Decimal(9))], SAW)
    assert [(board.count, board.offcut_in) for board in one.boards] == [(1, 0.0)]
    two = plan([Demand("p", 48.0, 2)], [Stock(8.0, Decimal(9))], SAW)
    assert [board.count for board in two.boards] == [2], "two of 48 in and a kerf are longer than 96 in"


def test_pairs_of_short_stock_beat_long_stock_when_they_are_cheaper():
    stock = [Stock(8.0, Decimal("5.00")), Stock(16.0, Decimal("11.00"))]
    found = plan([Demand("p", 95.0, 4)], stock, SAW)
    assert found.cost == Decimal("20.0000")


def test_of_equal_cost_the_fewest_boards_are_cut():
    stock = [Stock(8.0, Decimal("5.00")), Stock(16.0, Decimal("10.00"))]
    found = plan([Demand("p", 90.0, 4)], stock, SAW)
    assert [(board.length_ft, board.count) for board in found.boards] == [(16.0, 2)]


def test_of_equal_cost_and_boards_the_longest_usable_offcut_is_left():
    """Two boards either way: 60 in and 30 in of the pieces apart leave 35.9 and 65.9 in, together 5.8 and 60 more."""
    job = Job(((96 * 16, 100),), ((60 * 16, 1), (36 * 16, 1), (30 * 16, 1)), kerf=2, usable=24 * 16)
    apart = [job.board([60 * 16]), job.board([36 * 16, 30 * 16])]
    together = [job.board([60 * 16, 30 * 16]), job.board([36 * 16])]
    assert job.best([apart, together]) == together
    assert job.best([together, apart]) == together


def test_an_offcut_is_usable_from_its_least_length_on():
    stock = [Stock(8.0, Decimal(9))]
    for length_in, usable in ((71.875, True), (71.9375, False)):
        (board,) = plan([Demand("p", length_in, 1)], stock, SAW).boards
        assert board.usable is usable, f"{board.offcut_in} in are left"
    (board,) = plan([Demand("p", 20.0, 1)], stock, Saw(KERF_IN)).boards
    assert not board.usable, "of what is not kept nothing is usable"

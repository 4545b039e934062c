"""Every piece and every connector comes from a member, and none is lost."""

from __future__ import annotations

from collections import Counter
from math import ceil

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from service.contract.report_frame import Level, Pile, Splice
from service.framing.frame import Frame
from service.takeoff.items import is_item
from service.takeoff.order import take_off

QUICK = settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
HDG = "hot_dip_galvanized"
# Two sides; 42 in level less a post leaves 38.5, and six of 1.5 leave openings of 4.21 in, five would leave 5.17.
STAIR_BALUSTERS = 2 * 6


def by_member(takeoff, member):
    return [piece for piece in takeoff.pieces if member in piece.members]


def quantity(takeoff, start):
    return sum(line.quantity for line in takeoff.hardware if line.item.startswith(start))


@QUICK
@given(
    width_ft=st.integers(8, 40), plies=st.integers(1, 3), lapped=st.booleans(), joist_plies=st.integers(1, 2)
)
def test_joists_and_plies_equal_the_members(frame, spec, criteria, width_ft, plies, lapped, joist_plies):
    made = frame(width_in=12.0 * width_ft, plies=plies, lapped=lapped, joist_plies=joist_plies)
    order = take_off(made, spec(float(width_ft)), criteria, None)
    group = made.levels[0].joists[0]
    lumber = [p for p in by_member(order, "main.joists-1") if p.item == "lumber.2x8.southern_pine.no_2.uc3b"]
    blocks = [p for p in lumber if "main.blocking-1" in p.members]
    pieces = sum(p.quantity for p in lumber) - sum(b.quantity for b in blocks)
    assert pieces == group.count * joist_plies * (2 if lapped else 1)
    beam = by_member(order, "main.beam-1")
    assert sum(p.length_in * p.quantity for p in beam) == plies * 12 * width_ft
    posts = [p for p in order.pieces if p.item.startswith("post.6x6")]
    assert sum(p.quantity for p in posts) == len(made.posts)
    assert quantity(order, "post_base") == quantity(order, "post_cap") == len(made.posts)
    assert quantity(order, "joist_hanger") == group.count
    # At the ledger as well: the cantilever past the beam lifts that end.
    assert quantity(order, "uplift_tie") == group.count * (3 if lapped else 2)


@QUICK
@given(width_ft=st.integers(8, 40))
def test_every_board_is_cut_into_the_pieces_and_nothing_else(frame, spec, criteria, prices, width_ft):
    order = take_off(frame(width_in=12.0 * width_ft), spec(float(width_ft)), criteria, prices)
    cut = Counter()
    for line in order.cutting_plan:
        for piece in line.cuts:
            cut[piece.piece] += line.count
    short = {one.item for one in order.unpriced if "longer than" in one.because}
    for piece in order.pieces:
        if piece.item not in short:
            assert cut[piece.id] == piece.quantity
    bought = Counter()
    for line in (*order.stock, *order.decking):
        bought[line.item, line.length_ft] += line.quantity
    sawn = Counter()
    for line in order.cutting_plan:
        sawn[line.item, line.length_ft] += line.count
    assert bought == sawn


def test_lapped_joists_are_longer_by_the_lap(frame, spec, criteria):
    whole = by_member(take_off(frame(), spec(), criteria, None), "main.joists-1")
    lapped = by_member(take_off(frame(lapped=True), spec(), criteria, None), "main.joists-1")
    joist = [p.length_in for p in whole if p.item.startswith("lumber")]
    halves = [p.length_in for p in lapped if p.item.startswith("lumber")]
    assert joist == [141.0]
    assert halves == [118.5, 25.5]
    assert sum(halves) == joist[0] + 3


def test_plies_are_cut_over_the_posts_they_are_spliced_on(frame, spec, criteria):
    made = frame(width_in=360.0, splices=(Splice(1, "main.post-1-2"),))
    order = take_off(made, spec(30.0), criteria, None)
    lengths = sorted(p.length_in for p in by_member(order, "main.beam-1"))
    assert lengths == [180.0, 360.0]
    too_long = [one for one in order.unpriced if "360" in one.because]
    assert len(too_long) == 1
    assert too_long[0].quantity == 1, "a ply no board is long enough for is named, without a price book too"


def test_a_ledger_and_a_rim_longer_than_stock_are_butted(frame, spec, criteria):
    splices = (Splice(1, "main.post-1-2"), Splice(2, "main.post-1-2"))
    order = take_off(frame(width_in=288.0, splices=splices), spec(24.0), criteria, None)
    assert sum(p.quantity * p.length_in for p in by_member(order, "main.ledger-1") if "2x8" in p.item) >= 288
    rim = [p for p in by_member(order, "main.rim-1") if "2x8" in p.item]
    assert max(p.length_in for p in rim) <= 240
    assert not order.unpriced


def test_a_flush_beam_takes_hangers_and_no_ties(frame, spec, criteria):
    order = take_off(frame(placement="flush"), spec(), criteria, None)
    assert quantity(order, "joist_hanger") == 2 * 13
    assert quantity(order, "uplift_tie") == 0
    concealed = [h.quantity for h in order.hardware if h.item.endswith("concealed_flange")]
    assert concealed == [4]


def test_wood_near_the_soil_is_ordered_for_ground_contact(frame, spec, criteria):
    for bottom_in, use in ((5.0, "uc4a"), (6.5, "uc3b")):
        order = take_off(frame(joist_bottom_in=bottom_in), spec(), criteria, None)
        assert {p.item for p in by_member(order, "main.rim-1")} == {f"lumber.2x8.southern_pine.no_2.{use}"}


def test_what_is_hard_to_replace_is_ordered_for_ground_contact(frame, spec, criteria):
    order = take_off(frame(), spec(), criteria, None)
    assert {p.item for p in by_member(order, "main.beam-1")} == {"lumber.2x10.southern_pine.no_2.uc4a"}
    hung = {p.item for p in by_member(order, "main.ledger-1") if p.item.startswith("lumber")}
    assert hung == {"lumber.2x8.southern_pine.no_2.uc4a"}
    assert {p.item for p in by_member(order, "main.post-1-1")} == {"post.6x6.southern_pine.no_2.uc4b"}


def test_a_stair_is_matched_to_its_own_request_when_an_earlier_one_has_none(frame, spec, criteria):
    made = frame()
    second = replace(made.stairs[0], id="deck.stair-2")
    thin, thick = (replace(spec().stairs[0], tread_thickness_in=t) for t in (1.0, 1.5))
    wanted = replace(spec(), stairs=(thin, thick))
    order = take_off(Frame(made.levels, made.posts, made.footings, (second,)), wanted, criteria, None)
    assert [p.quantity for p in order.pieces if p.item == "decking.2x6.wood"] == [8]


def test_hardware_without_a_code_is_named_never_dropped(frame, spec, criteria, prices):
    made = frame()
    (level,) = made.levels
    ledger = replace(level.ledgers[0], fastener="designed", fastener_count=0)
    post = replace(made.posts[0], beam="main.beam-9")
    bare = Frame((replace(level, ledgers=(ledger,)),), (post,), made.footings, ())
    order = take_off(bare, spec(), criteria, prices)
    assert {one.item for one in order.unpriced} == {"service.engineer.ledger_anchors", "post_cap.6x6"}
    assert not order.total.complete


def test_piles_take_caps_and_no_concrete(frame, spec, criteria):
    pile = Pile(
        shaft="round_2-7-8in", helices=(10.0, 12.0), length_ft=11.0, kt_per_ft=9.0, torque_ft_lb=900.0
    )
    order = take_off(frame(pile=pile), spec(), criteria, None)
    assert quantity(order, "helical_pile.round_2-7-8in.helix_10in_12in") == 3
    assert quantity(order, "pile_extension.round_2-7-8in.5ft") == 3
    assert quantity(order, f"pile_cap.round_2-7-8in.6x6.{HDG}") == 3
    assert quantity(order, "post_base") == quantity(order, "anchor.1-2in.10in") == 0
    assert order.concrete == ()
    assert not [p for p in order.pieces if p.item.startswith("form.")]


def test_ledger_fasteners_are_those_of_the_ledger_with_a_washer_each(frame, spec, criteria):
    order = take_off(frame(), spec(), criteria, None)
    assert quantity(order, f"lag_screw.1-2in.4in.{HDG}") == 14
    bolts = quantity(order, "bolt.1-2in")  # of guard posts and braces
    assert quantity(order, "washer") == 14 + 2 * bolts
    assert quantity(order, f"lateral_device.1500lb.{HDG}") == 2


@pytest.mark.parametrize(
    ("code", "count"),
    [
        (f"nail.8d.{HDG}", 3 * 13),
        # rim 3 each of 13 ends; plies 2 rows of 13; blocking 6 each of 12; hangers, bases and caps by allowance;
        # the cleat under four stringers 3 each
        (f"nail.10d.{HDG}", 3 * 13 + 2 * 13 + 6 * 12 + 12 * 13 + 12 * 3 + 12 * 3 + 3 * 4),
        # ties at beam and ledger 8 each, stringer connectors 12 each, two angles at the block of each stair post
        (f"nail.10d_1-1-2in.{HDG}", 8 * 26 + 12 * 4 + 8 * 2 * 4),
    ],
    ids=[
        "R602.3(1) joist to beam, 3-8d",
        "R507.6.2 rim 3-10d, R507.5 plies 2 rows at 16 in",
        "common practice: 1-1/2 in nails into one ply",
    ],
)
def test_nails(frame, spec, criteria, code, count):
    assert quantity(take_off(frame(), spec(), criteria, None), code) == count


def test_laps_are_nailed_and_joints_of_boards_screwed_twice(frame, spec, criteria):
    orders = [
        take_off(frame(width_in=288.0, lapped=lapped), spec(24.0), criteria, None) for lapped in (False, True)
    ]
    joists = 19
    nails, short = (
        [quantity(order, f"nail.{size}.{HDG}") for order in orders] for size in ("10d", "10d_1-1-2in")
    )
    # Three through each lap, and a second uplift tie with its eight.
    assert nails[1] - nails[0] == joists * 3
    assert short[1] - short[0] == joists * 8
    rails_and_balusters = sum(
        p.quantity for p in orders[0].pieces
        if "main.guard-1" in p.members and p.item.startswith(("lumber.2x4", "guard"))
    ) - STAIR_BALUSTERS  # fmt: skip
    stairs = 2 * 4 * (2 * 4 + 5) + 4 * (2 * 2 + STAIR_BALUSTERS)
    boards = quantity(orders[0], f"decking_screw.no_8.2-1-2in.{HDG}") - stairs - 4 * rails_and_balusters
    assert boards == 2 * 26 * (joists + 1), "a row of two boards has both ends on one joist"


def test_bolts_of_a_brace_are_ordered(frame, spec, criteria):
    order = take_off(frame(), spec(), criteria, None)
    bolts = {h.item: h.quantity for h in order.hardware if "main.brace-1" in h.members}
    assert (
        bolts[f"bolt.1-2in.6in.{HDG}"] == 2 + 2 * 4 + 2 * 4
    )  # two in each of four guard posts and four of the stair
    assert bolts[f"bolt.1-2in.8in.{HDG}"] == 2
    assert f"washer.1-2in.{HDG}" in bolts
    assert f"structural_screw.1-4in.4in.{HDG}" not in bolts


def test_deck_screws_are_two_a_support(frame, spec, criteria):
    order = take_off(frame(), spec(), criteria, None)
    rows = ceil(144 / 5.625)
    field = 2 * 13 * rows
    stair = 2 * 4 * (2 * 4 + 5) + 4 * (2 * 2 + STAIR_BALUSTERS)
    rails_and_balusters = sum(
        p.quantity for p in order.pieces
        if "main.guard-1" in p.members and p.item.startswith(("lumber.2x4", "guard"))
    )  # fmt: skip
    assert quantity(order, f"decking_screw.no_8.2-1-2in.{HDG}") == (
        field + stair + 4 * (rails_and_balusters - STAIR_BALUSTERS)
    )


def test_a_deck_without_a_frame_has_an_empty_order(frame, spec, criteria, prices):
    (level,) = frame().levels
    bare = Level(id="main", area_sqft=192.0, clearance=level.clearance)
    order = take_off(Frame((bare,), (), (), ()), spec(), criteria, prices)
    assert (order.pieces, order.stock, order.hardware, order.concrete) == ((), (), (), ())
    assert order.total.amount == "0.00"


def test_every_code_follows_the_grammar_and_the_demo_book_knows_it(frame, spec, criteria, prices):
    order = take_off(frame(), spec(), criteria, prices)
    lines = (*order.stock, *order.decking, *order.hardware, *order.concrete)
    assert all(is_item(line.item) for line in lines)
    assert order.unpriced == ()
    assert order.total is not None
    assert order.total.complete

"""What the ground takes and gives, method by method, counted by hand: forms, bars, stone, blocks, hire, spoil."""

from __future__ import annotations

import math
from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from service.contract.report_frame import Concrete, Footing, Pile, Post, Reinforcement
from service.contract.report_order import Takeoff
from service.foundations.hardware import STONE_BAG
from service.framing.frame import Frame
from service.takeoff.csv_form import as_csv
from service.takeoff.groundwork import SPOIL, Groundwork, displaced_cuft
from service.takeoff.order import AS_ASKED, take_off

HDG = "hot_dip_galvanized"
AUGER, MIXER = ("rental.auger.day", 1.0), ("rental.mixer.day", 2.0)
LUMBER: dict[str, Any] = {"species": "southern_pine", "grade": "no_2"}


def cylinder(diameter_in: float, length_in: float) -> float:
    return math.pi * diameter_in**2 / 4 * length_in / 1728


def poured(volume_cuft: float, **more: Any) -> Concrete:
    given: dict[str, Any] = {
        "shape": "round", "shaft_diameter_in": 12.0, "base_shape": None, "base_size_in": None, "thickness_in": None,
        "depth_below_grade_in": 32.0, "volume_cuft": volume_cuft,
    }  # fmt: skip
    return Concrete(**{**given, **more})


def footing(
    number: int, method: str, concrete: Concrete | None, top_in: float = 3.0, pile: Any = None
) -> Footing:
    return Footing(
        id=f"main.footing-1-{number}", mark=f"F1-{number}", post=f"main.post-1-{number}",
        serves=f"main.post-1-{number}", method=method, x_ft=5.0 * number, y_ft=10.0, load_lb=2000.0,
        tributary_sqft=40.0, grade_height_in=0.0, top_height_in=top_in,
        bottom_height_in=-1.0 if method == "pier_block_on_grade" else -32.0,
        exposed_in=max(0.0, top_in), in_backfill_zone=False, concrete=concrete, pile=pile,
    )  # fmt: skip


def post(number: int, cut_in: float) -> Post:
    return Post(
        id=f"main.post-1-{number}", mark=f"P1-{number}", level="main", beam="main.beam-1", size="6x6",
        x_ft=5.0 * number, y_ft=10.0, height_in=cut_in, cut_length_in=cut_in, load_lb=2000.0, base=None, cap=None,
        **LUMBER,
    )  # fmt: skip


# A 12 in shaft of 35 in, 3 in of it out of the ground.
PIER = poured(cylinder(12, 35))
# A 22 in square pad 8 in thick under a 12 in pier of 27 in, with 4 bars of 29 in in it.
PAD = poured(
    22 * 22 * 8 / 1728 + cylinder(12, 27), base_shape="square", base_size_in=22.0, thickness_in=8.0,
    reinforcement=Reinforcement(size="no_4", bars=4, length_in=29.0),
)  # fmt: skip
# A 24 in bell: 6 in of cylinder, a cone of 10 in and 19 in of 12 in tube; some 3 cu ft.
BELL = poured(3.0, base_shape="round", base_size_in=24.0, thickness_in=6.0, bell_height_in=10.0)
# A 20 in square pad 8 in thick, its top 24 in under grade, on 4 in of stone.
BURIED = poured(
    20 * 20 * 8 / 1728, shape="square", shaft_diameter_in=None, base_shape="square", base_size_in=20.0,
    thickness_in=8.0, stone_cuft=20 * 20 * 4 / 1728,
)  # fmt: skip
BLOCK = poured(
    0.0, shape="square", shaft_diameter_in=None, base_shape="square", base_size_in=11.0, stone_cuft=0.6
)
PILE = Pile(shaft="round_2-7-8in", helices=(10.0,), length_ft=9.0, kt_per_ft=9.0, torque_ft_lb=900.0)

FOOTINGS: dict[str, Footing] = {
    "tube_form_pier": footing(1, "tube_form_pier", PIER),
    "pad_and_pier": footing(1, "pad_and_pier", PAD),
    "belled_pier": footing(1, "belled_pier", BELL),
    "post_on_buried_pad": footing(1, "post_on_buried_pad", BURIED, top_in=-24.0),
    "helical_pile": footing(1, "helical_pile", None, pile=PILE),
    "pier_block_on_grade": footing(1, "pier_block_on_grade", BLOCK, top_in=7.0),
}
# Of three like footings: forms, bars and posts in pieces; bags; blocks and metal each.
PIECES: dict[str, dict[tuple[str, float], int]] = {
    "tube_form_pier": {("form.12in.tube", 35.0): 3},
    "pad_and_pier": {("form.12in.tube", 27.0): 3, ("reinforcement.no_4.grade_40", 29.0): 12},
    "belled_pier": {("form.12in.tube", 19.0): 3},
    "post_on_buried_pad": {},
    "helical_pile": {},
    "pier_block_on_grade": {},
}
BASES = {f"post_base.6x6.{HDG}": 3.0, f"anchor.1-2in.10in.{HDG}": 3.0}
EACH: dict[str, dict[str, float]] = {
    "tube_form_pier": BASES,
    "pad_and_pier": BASES,
    "belled_pier": {**BASES, "form.24in.bell": 3.0},
    # three times 0.926 cu ft of stone in bags of half a cubic foot: 5.6, so 6
    "post_on_buried_pad": {STONE_BAG: 6.0},
    "helical_pile": {"helical_pile.round_2-7-8in.helix_10in": 3.0, "pile_extension.round_2-7-8in.5ft": 3.0,
                     f"pile_cap.round_2-7-8in.6x6.{HDG}": 3.0},
    # three times 0.6 cu ft: 3.6, so 4, where bags for each hole would be 6
    "pier_block_on_grade": {"pier_block.11in.precast": 3.0, STONE_BAG: 4.0},
}  # fmt: skip
# Concrete below grade, stone, and 5.5 x 5.5 in of post 24 in down to the pad, of one footing, cu ft.
DUG = {
    "tube_form_pier": cylinder(12, 32),
    "pad_and_pier": 22 * 22 * 8 / 1728 + cylinder(12, 24),
    "belled_pier": 3.0 - cylinder(12, 3),
    "post_on_buried_pad": 20 * 20 * (8 + 4) / 1728 + 5.5 * 5.5 * 24 / 1728,
    "helical_pile": 0.0,
    # let 1 in into the ground
    "pier_block_on_grade": 0.6 + 11 * 11 * 1 / 1728,
}
GROUND_ITEMS = ("form", "reinforcement", "aggregate", "pier_block", "post_base", "anchor", "helical_pile",
                "pile_extension", "pile_cap", "saddle")  # fmt: skip


def deck(method: str) -> Frame:
    one = FOOTINGS[method]
    three = tuple(footing(n, method, one.concrete, one.top_height_in, one.pile) for n in (1, 2, 3))
    return Frame((), tuple(post(n, 40.0) for n in (1, 2, 3)), three, ())


@pytest.fixture
def order(spec: Any, criteria: Any, prices: Any) -> Any:
    def go(method: str, groundwork: Groundwork = AS_ASKED, book: Any = prices) -> Takeoff:
        return take_off(deck(method), spec(), criteria, book, groundwork)

    return go


def of_ground(code: str) -> bool:
    return code.partition(".")[0] in GROUND_ITEMS


@pytest.mark.parametrize("method", FOOTINGS)
def test_goods_of_three_footings(order: Any, method: str) -> None:
    found = order(method)
    assert {(p.item, p.length_in): p.quantity for p in found.pieces if of_ground(p.item)} == PIECES[method]
    assert {x.item: x.quantity for x in found.hardware if of_ground(x.item)} == EACH[method]
    assert not [one.item for one in found.unpriced if of_ground(one.item)]


@pytest.mark.parametrize("method", FOOTINGS)
def test_spoil_is_what_the_footings_displace_swollen_by_a_quarter(order: Any, method: str) -> None:
    """Swell of dug soil by a quarter: common practice."""
    spoil = [line for line in order(method).groundwork if line.item == SPOIL]
    cuyd = 3 * DUG[method] * 1.25 / 27
    assert [line.quantity for line in spoil] == ([pytest.approx(cuyd)] if cuyd else [])
    for line in spoil:
        assert (line.unit, line.extended, line.members) == (
            "cuyd",
            None,
            tuple(f"main.footing-1-{n}" for n in (1, 2, 3)),
        )


def test_a_post_above_grade_displaces_nothing() -> None:
    pier = FOOTINGS["tube_form_pier"]
    assert displaced_cuft(pier, post(1, 40.0)) == displaced_cuft(pier) == pytest.approx(cylinder(12, 32))


def test_bars_are_cut_from_the_cheapest_lengths(order: Any) -> None:
    """12 bars of 29 in: four from 10 ft (4 x 29 + 3 kerfs = 116.4 in), eight from 20 ft (8 x 29 + 7 = 232.9 in)."""
    stock = {
        x.length_ft: x.quantity for x in order("pad_and_pier").stock if x.item.startswith("reinforcement")
    }
    assert stock == {10.0: 1, 20.0: 1}  # 5.85 + 10.90, where three of 10 ft are 17.55


def test_hire_is_in_the_totals(order: Any) -> None:
    bare, hired = order("tube_form_pier"), order("tube_form_pier", Groundwork("bagged", (AUGER, MIXER)))
    lines = {line.item: line for line in hired.groundwork}
    # a day of the auger at 118.00, two of the mixer at 74.00
    assert [(lines[code].quantity, lines[code].extended.amount) for code, _ in (AUGER, MIXER)] == [
        (1, "118.00"), (2, "148.00"),
    ]  # fmt: skip
    for total in ("subtotal", "total"):
        before, after = (Decimal(getattr(one, total).amount) for one in (bare, hired))
        assert after - before == Decimal("266.00")
    assert hired.total.complete == bare.total.complete
    assert list(lines) == ["rental.auger.day", "rental.mixer.day", SPOIL]


def test_hire_without_a_price_is_named_and_the_total_is_not_whole(order: Any, without: Any) -> None:
    found = order("tube_form_pier", Groundwork("bagged", (AUGER, MIXER)), without("rental.auger."))
    assert [(x.item, x.quantity, x.unit) for x in found.unpriced if x.item.startswith("rental")] == [
        ("rental.auger.day", 1, "day")
    ]
    assert not found.total.complete
    assert {x.item: x.extended and x.extended.amount for x in found.groundwork} == {
        "rental.auger.day": None, "rental.mixer.day": "148.00", SPOIL: None,
    }  # fmt: skip


def test_hire_without_a_price_book_is_counted(order: Any) -> None:
    found = order("tube_form_pier", Groundwork("bagged", (MIXER,)), None)
    assert next((x.item, x.quantity, x.extended) for x in found.groundwork) == ("rental.mixer.day", 2, None)
    assert not [x for x in found.unpriced if x.item.startswith("rental")]


def test_the_csv_has_hire_as_items_and_spoil_as_a_quantity(order: Any, without: Any) -> None:
    hired = Groundwork("bagged", (AUGER, MIXER))
    text = as_csv(order("tube_form_pier", hired, without("rental.auger.")), "prescriptive", ())
    rows = [line.split(",") for line in text.splitlines() if "rental" in line or "spoil" in line]
    assert [row[:2] for row in rows] == [
        ["item", "rental.mixer.day"],
        ["quantity", "spoil.soil"],
        ["unpriced", "rental.auger.day"],
    ]
    assert (rows[0][3], rows[0][4], rows[0][7]) == ("2", "day", "148.00")
    assert rows[1][4] == "cuyd"


def test_a_supply_nobody_asked_for_says_that_it_came_cheaper(spec: Any, criteria: Any, prices: Any) -> None:
    said = {}
    for wanted, taken in (("auto", "bagged"), ("auto", "ready_mix"), ("ready_mix", "ready_mix")):
        found = take_off(deck("tube_form_pier"), spec(supply=wanted), criteria, prices, Groundwork(taken))
        said[wanted, taken] = found.concrete[0].because
    assert said["auto", "bagged"].startswith("bagged concrete costs less")
    assert said["auto", "ready_mix"].startswith("ready-mix comes cheaper with its labour")
    assert said["ready_mix", "ready_mix"].startswith("ready-mix was asked for")


def test_a_bar_longer_than_any_stock_is_named(order: Any, spec: Any, criteria: Any, prices: Any) -> None:
    long = replace(deck("pad_and_pier"), footings=(
        footing(1, "pad_and_pier", poured(5.0, reinforcement=Reinforcement(size="no_4", bars=4, length_in=250.0))),
    ))  # fmt: skip
    found = take_off(long, spec(), criteria, prices)
    assert [x.item for x in found.unpriced if x.item.startswith("reinf")] == ["reinforcement.no_4.grade_40"]

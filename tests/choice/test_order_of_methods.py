"""What the order buys for the footings is what the comparison counted for the same method, for all six."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from typing import Any

import msgspec
import pytest
from context import context, designed, spec_of

from service.choice.level.cases import cases_of
from service.choice.level.worked import Worked
from service.choice.search.decide import best_frame
from service.sizing.resolve import criteria_of, resolve_spec

METHODS = (
    "tube_form_pier", "pad_and_pier", "belled_pier", "post_on_buried_pad", "helical_pile", "pier_block_on_grade",
)  # fmt: skip
CREW = {"currency": "USD", "hourly_rate": "48.00", "crew_day_value": "1450.00"}
FREE = {"attachment": "freestanding"}
DECKS: dict[str, dict[str, Any]] = {
    "a row of three": {"levels": [{"width_ft": 16, "projection_ft": 12, "surface_height_in": 36}]},
    "ready-mix": {
        "levels": [{"width_ft": 20, "projection_ft": 14, "surface_height_in": 60}],
        "foundation": {"concrete_supply": "ready_mix"},
    },
    # a deck on blocks lies low and stands free (IRC R507.3, exception)
    "low": {"levels": [{"width_ft": 12, "projection_ft": 10, "surface_height_in": 19}], "framing": FREE},
    # 60 in of frost: piers with bars in them
    "deep": {
        "levels": [{"width_ft": 16, "projection_ft": 12, "surface_height_in": 48}],
        "site": {"frost_depth_in": 60}, "framing": FREE,
    },
}  # fmt: skip
CUT = ("form", "reinforcement")


def worked(deck: str, method: str) -> Worked:
    """A deck worked out with a method, in a place that lets a low deck's beams stand on blocks."""
    where = context("alder-county")
    settings = msgspec.structs.replace(where.rulebook.in_force_settings, pier_blocks_carry_beams=True)
    book = replace(where.rulebook, settings=settings)
    given = DECKS[deck]
    spec = spec_of(**{
        "jurisdiction": "alder-county", "crew": CREW, "house": {"wall": "none"}, **given,
        "foundation": {**given.get("foundation", {}), "method": method},
    })  # fmt: skip
    resolved = resolve_spec(spec, book, where.jurisdiction, "brindlemoor-yard@4", where.as_of)
    criteria = criteria_of(resolved, book, where.guide, where.jurisdiction, where.timber)
    found = best_frame(cases_of(resolved, replace(where, rulebook=book), criteria)[0], "freestanding")
    assert found is not None
    return found


def of_footings(found: Worked) -> set[str]:
    return {footing.id for footing in found.frame.footings}


def ordered(found: Worked) -> Counter[str]:
    """What the order has for footings: hardware, concrete and machines by the supplier's unit.

    Nails of post bases come from the boxes of the whole frame; the comparison leaves them out.
    """
    order, footings = found.takeoff, of_footings(found)
    lines = [
        line for line in order.hardware if set(line.members) & footings and not line.item.startswith("nail")
    ]
    hired = [line for line in order.groundwork if line.extended is not None]
    return Counter({line.item: line.quantity for line in (*lines, *order.concrete, *hired)})


CASES = [
    (deck, method)
    for deck in DECKS
    for method in METHODS
    if (method == "pier_block_on_grade") <= (deck == "low")
    and not (deck == "low" and method == "post_on_buried_pad")
]


@pytest.mark.parametrize(("deck", "method"), CASES)
def test_goods_are_those_of_the_comparison(deck: str, method: str) -> None:
    found = worked(deck, method)
    assert found.method is not None
    assert found.method.method == method
    assert {one.method for one in found.frame.footings} == {method}
    kinds = [(line.item.partition(".")[0], line) for line in found.method.lines]
    goods = {
        x.item: x.quantity for kind, x in kinds if kind not in (*CUT, "post", "service") and not _fee(x.item)
    }
    goods |= {x.item: x.quantity for _, x in kinds if x.item.endswith(".bell")}
    assert goods == ordered(found)


def _fee(code: str) -> bool:
    """An inspector's fee stays with the comparison; that for a short load comes with the truck."""
    return code.startswith("fee.inspection")


@pytest.mark.parametrize(("deck", "method"), CASES)
def test_what_is_cut_from_lengths_costs_no_more_than_was_compared(deck: str, method: str) -> None:
    """The order cuts tubes and bars of all footings together; the comparison takes one stock length for each kind."""
    found = worked(deck, method)
    assert found.method is not None
    compared: Counter[str] = Counter()
    for line in found.method.lines:
        if line.item.partition(".")[0] in CUT and not line.item.endswith(".bell"):
            compared[line.item] += float(line.extended or 0)  # type: ignore[assignment]
    bought: Counter[str] = Counter()
    for board in found.takeoff.stock:
        if board.item.partition(".")[0] in CUT and board.extended:
            bought[board.item] += float(board.extended.amount)  # type: ignore[assignment]
    assert set(compared) == set(bought)
    assert all(bought[code] <= compared[code] + 0.005 for code in bought)


def test_every_method_is_here_and_a_deep_pier_has_bars() -> None:
    assert {method for _, method in CASES} == set(METHODS)
    stock = {line.item for line in worked("deep", "pad_and_pier").takeoff.stock}
    assert "reinforcement.no_4.grade_40" in stock


def test_a_post_on_a_pad_is_one_piece_from_beam_to_pad() -> None:
    found, piers = worked("a row of three", "post_on_buried_pad"), worked("a row of three", "tube_form_pier")
    footings = {one.post: one for one in found.frame.footings}
    beams = {beam.id: beam for level in found.frame.levels for beam in level.beams}
    for post in found.frame.posts:
        pad = footings[post.id]
        assert pad.concrete is not None
        top = pad.bottom_height_in + (pad.concrete.thickness_in or 0.0)
        assert post.cut_length_in == post.height_in == pytest.approx(beams[post.beam].bottom_height_in - top)
        assert post.base is None
    longest = [
        max(p.length_in for p in one.takeoff.pieces if p.item.startswith("post.6x6"))
        for one in (found, piers)
    ]
    assert longest[0] > longest[1] + 24
    assert all(p.item.endswith(".uc4b") for p in found.takeoff.pieces if p.item.startswith("post.6x6"))


def test_posts_of_two_levels_go_down_to_their_pads_once() -> None:
    """Levels are put together, and their plies joined anew, from posts as they stand on piers."""
    spec = spec_of(
        jurisdiction="alder-county",
        house={"wall": "none"},
        levels=[
            {"id": "main", "width_ft": 16, "projection_ft": 12, "surface_height_in": 48},
            {"id": "low", "origin_ft": [0, 12], "width_ft": 16, "projection_ft": 10, "surface_height_in": 34},
        ],
        foundation={"method": "post_on_buried_pad"},
    )
    report = designed(spec, context("alder-county"))
    footings = {one.post: one for one in report.footings}
    beams = {beam.id: beam for level in report.levels for beam in level.beams}
    assert {post.level for post in report.posts} == {"main", "low"}
    for post in report.posts:
        pad = footings[post.id]
        assert pad.method == "post_on_buried_pad"
        assert post.height_in == pytest.approx(
            beams[post.beam].bottom_height_in - pad.top_height_in, abs=1e-3
        )
    heights = [one.demand for one in report.checks if one.check == "post_height" and "post" in one.member]
    assert sorted(heights) == pytest.approx(sorted(post.height_in for post in report.posts), abs=1e-3)

"""The money told of options, alternatives and wishes: one basis, found again when what is told is posted back.

The basis is that frames are compared by, ``search.cost``: nothing of it is worked out here but by posting.
"""

from __future__ import annotations

import dataclasses
import json
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from context import context, prices, spec_of

from service.contract.report import DesignReport
from service.contract.report_choice import PreferenceCost
from service.pipeline import design

EXAMPLES = Path(__file__).parents[2] / "openapi" / "examples"
TUB = {
    "kind": "hot_tub", "level": "main", "x_ft": 8, "y_ft": 2, "width_ft": 7, "length_ft": 7, "filled_weight_lb": 4600,
    "people": 6,
}  # fmt: skip
HOUSE = {"wall": "wood_band", "door_sill_height_in": 37.5, "rim_depth_in": 11.25}
WITH_A_TUB: dict[str, Any] = {
    "jurisdiction": "alder-county", "price_book": "brindlemoor-yard", "house": HOUSE, "heavy_objects": [TUB],
    "levels": [{"id": "main", "width_ft": 16, "projection_ft": 12, "surface_height_in": 36}],
}  # fmt: skip


def request(name: str) -> dict[str, Any]:
    """A request by name: an example that is sent along, or one of this file."""
    if name == "with_a_tub":
        return WITH_A_TUB
    found: dict[str, Any] = json.loads((EXAMPLES / f"{name}.json").read_text("utf-8"))
    return found


def posted(name: str, *, wishes: bool = False, method: str | None = None, **framing: Any) -> DesignReport:
    """A design, with other wishes of its frame or of its footings."""
    given = {**request(name), "price_book": "brindlemoor-yard"}
    given["framing"] = {**given.get("framing", {}), **framing}
    if method:
        given["foundation"] = {**given.get("foundation", {}), "method": method}
    where = dataclasses.replace(context(given.get("jurisdiction"), given.get("rulebook")), prices=prices())
    return design(spec_of(**given), where, with_wishes=wishes)


@cache
def answered(name: str) -> DesignReport:
    return posted(name, wishes=True)


def compared(report: DesignReport) -> Decimal:
    """What a deck is compared by."""
    assert report.search is not None
    assert report.search.cost is not None
    return Decimal(report.search.cost.total.amount)


@pytest.mark.parametrize("name", ["with_a_tub", "hillside", "two-levels", "ledger-composite"])
def test_what_a_deck_is_compared_by_has_all_its_footings(name: str) -> None:
    report = answered(name)
    (method,) = [
        one
        for one in report.footing_comparison.methods
        if one.method in {footing.method for footing in report.footings} and one.footings
    ]
    assert report.search is not None
    assert report.search.cost is not None
    assert method.cost is not None
    assert report.search.cost.footings.amount == method.cost.likely


@pytest.mark.parametrize("method", ["belled_pier", "pad_and_pier", "helical_pile"])
def test_a_footing_method_under_a_tub_costs_what_the_deck_with_it_costs_more(method: str) -> None:
    ours = answered("with_a_tub")
    (wish,) = [one for one in ours.preference_costs if one.value == method]
    assert not wish.already
    again = posted("with_a_tub", method=method)
    assert wish.cost is not None
    assert Decimal(wish.cost.amount) == compared(again) - compared(ours)
    assert wish.footing_count == len(again.footings) - len(ours.footings)


# Each wish as the spec asks for it.
WISHES: dict[tuple[str, str], dict[str, Any]] = {
    ("one_size", "true"): {"one_size": True},
    ("joist_spacing_in", "12"): {"joist_spacing_in": 12},
    ("beam_plies", "3"): {"beam_plies": 3},
    ("attachment", "ledger"): {"attachment": "ledger"},
    ("attachment", "freestanding"): {"attachment": "freestanding"},
    ("footing_method", "pad_and_pier"): {"method": "pad_and_pier"},
    ("footing_method", "belled_pier"): {"method": "belled_pier"},
    ("objective", "fewest_footings"): {"objective": "fewest_footings"},
}
# The first two have stairs and guards; the third a tub, the last two levels side by side.
POSTED = ("ledger-composite", "hillside", "with_a_tub", "clipped-corner", "two-levels")


@pytest.mark.parametrize("name", POSTED)
def test_a_wish_posted_costs_what_was_told(name: str) -> None:
    ours, found = answered(name), 0
    several = len(ours.levels) > 1
    for one in ours.preference_costs:
        pins = WISHES.get((one.preference, one.value))
        # Of several levels, standing free is told of the levels as they are answered beside it.
        if pins is None or one.already or one.cost is None or (several and one.preference == "attachment"):
            continue
        again = posted(name, **pins)
        assert again.verdict.status == one.verdict, one.text
        assert Decimal(one.cost.amount) == compared(again) - compared(ours), one.text
        assert one.footing_count == len(again.footings) - len(ours.footings), one.text
        found += 1
    assert found >= 4


def pins_of(differences: tuple[str, ...]) -> dict[str, Any]:
    """The sizes of an alternative, pinned as its differences name them."""
    words = {
        one.partition(": ")[0]: one.partition(": ")[2].partition(" instead of ")[0] for one in differences
    }
    pins: dict[str, Any] = {}
    if "attachment" in words:
        pins["attachment"] = words["attachment"]
    if "joists" in words:
        size, _, spacing = words["joists"].partition(" at ")
        pins |= {"joist_size": size, "joist_spacing_in": float(spacing.removesuffix(" in"))}
    if "beams" in words:
        plies, _, size = words["beams"].partition("-ply ")
        pins |= {"beam_plies": int(plies), "beam_size": size}
    pins |= {"beam_placement": words["placement"]} if "placement" in words else {}
    pins |= {"post_size": words["posts"]} if "posts" in words else {}
    return pins


@pytest.mark.parametrize("name", ["ledger-composite", "hillside", "freestanding-veneer", "clipped-corner"])
def test_an_alternative_posted_pinned_costs_what_was_told(name: str) -> None:
    """Pins leave open where members stand: the deck posted costs no more, and the same where it is the same frame."""
    ours, same = answered(name), 0
    for one in ours.alternatives:
        method = "post_on_buried_pad" if "posts on buried pads" in " ".join(one.differences) else None
        again = posted(name, method=method, **pins_of(one.differences))
        assert one.cost_change is not None
        assert again.search is not None
        more = compared(again) - compared(ours)
        assert more <= Decimal(one.cost_change.amount), one.summary
        if again.search.deflection_in == one.deflection_in and again.search.head_room_in == one.head_room_in:
            assert more == Decimal(one.cost_change.amount), one.summary
            same += 1
    assert same >= 2


@pytest.mark.parametrize("name", ["ledger-composite", "hillside", "two-levels"])
def test_one_frame_costs_the_same_wherever_it_is_told(name: str) -> None:
    """As an option, as an alternative and as a wish."""
    report = answered(name)
    for option in report.attachment.options:
        (wish,) = [one for one in report.preference_costs if one.value == option.kind]
        if len(report.levels) == 1:
            assert option.cost_change == wish.cost
        alike = [one for one in report.alternatives if one.because.startswith("The other way of support")]
        if option.kind != report.attachment.kind and alike and len(report.levels) == 1:
            assert (option.cost, option.cost_change) == (alike[0].cost, alike[0].cost_change)
    own = next(one for one in report.attachment.options if one.kind == report.attachment.kind)
    assert own.cost_change is not None
    assert Decimal(own.cost_change.amount) == 0


@pytest.mark.parametrize("name", ["hillside", "ledger-composite"])
def test_what_is_held_back_and_costs_less_is_told_among_the_other_frames(name: str) -> None:
    report = answered(name)
    for one in report.preference_costs:
        better = one.cost is not None and Decimal(one.cost.amount) < 0
        if one.preference not in ("post_size", "footing_method") or not better or (one.days or 0) > 0:
            continue
        if one.verdict == "prescriptive":
            told = [other.cost_change for other in report.alternatives]
            assert one.cost in told, one.text
    assert report.search is not None
    assert report.search.left_aside[0] == "on 6x6 posts"
    (cheapest,) = [one for one in report.preference_costs if one.value == "cost"]
    assert ", ".join(report.search.left_aside) in cheapest.text


def test_where_a_price_is_missing_the_item_is_named() -> None:
    report = answered("snow-country")
    (cedar,) = [one for one in report.preference_costs if one.value == "western_cedar"]
    assert cedar.cost is None
    assert "price not known: " in cedar.text
    for one in report.alternatives:
        if one.cost_change is None:
            assert any(text.startswith("price not known: ") for text in one.gives_up), one.summary
    without = answered_without_prices()
    assert all("price not known" not in one.text for one in without.preference_costs)


def answered_without_prices() -> DesignReport:
    given = {key: value for key, value in request("hillside").items() if key not in ("price_book", "crew")}
    where = context(given.get("jurisdiction"), given.get("rulebook"), priced=False)
    return design(spec_of(**given), where, with_wishes=True)


def test_a_wish_is_refused_by_what_is_against_it_and_not_against_the_deck_answered() -> None:
    """Snow beyond every table is said of the deck itself: the wish fails by a check of its own."""
    given = {**WITH_A_TUB, "heavy_objects": [], "site": {"ground_snow_load_psf": 300}}
    where = dataclasses.replace(context("alder-county"), prices=prices())
    report = design(spec_of(**given), where, with_wishes=True)
    ours = {(one.code, one.text) for one in report.verdict.reasons}
    refused = [one for one in report.preference_costs if one.verdict is None]
    (tubes,) = [one for one in refused if one.value == "tube_form_pier"]
    assert [one.code for one in tubes.why_not] == ["check_failed"]
    assert not [text for one in refused for text in one.why_not if (text.code, text.text) in ours]


def test_a_wish_says_what_it_brings_along() -> None:
    """24 ft by 16 ft: at 12 in the beam stands at the ends of the joists, so they deflect more than at 16 in."""
    given = {**WITH_A_TUB, "heavy_objects": []}
    given["levels"] = [{"id": "main", "width_ft": 24, "projection_ft": 16, "surface_height_in": 36}]
    where = dataclasses.replace(context("alder-county"), prices=prices())
    report = design(spec_of(**given), where, with_wishes=True)
    (close,) = [one for one in report.preference_costs if one.preference == "joist_spacing_in"]
    assert (close.deflection_in or 0) > 0
    moved = [one for one in close.differences if one.startswith("joist cantilever: ")]
    assert len(moved) == 1
    assert moved[0].replace(": ", " ") in close.text
    (stiff,) = [one for one in report.preference_costs if one.value == "stiffness"]
    tenth = (Decimal("0.1") * compared(report)).quantize(Decimal("0.01"))
    assert f"for a tenth over the cheapest at most, {tenth} USD more" in stiff.text


# -- with a price book that lacks something -------------------------------------------------------------------------


@cache
def without_items(kind: str, name: str = "hillside", **framing: Any) -> DesignReport:
    """A design priced by a book without the items that begin so; "" leaves none."""
    given = {**request(name), "price_book": "brindlemoor-yard"}
    given["framing"] = {**given.get("framing", {}), **framing}
    book = prices()
    held = tuple(line for line in book.lines if not line.item.startswith(kind))
    where = dataclasses.replace(
        context(given.get("jurisdiction"), given.get("rulebook")),
        prices=dataclasses.replace(book, lines=held),
    )
    return design(spec_of(**given), where, with_wishes=True)


@pytest.mark.parametrize("kind", ["", "post.6x6"])
def test_a_way_of_support_has_no_cost_where_a_price_is_not_known(kind: str) -> None:
    report = without_items(kind)
    assert report.search is not None
    assert report.search.cost is not None
    assert not report.search.cost.complete
    assert [(one.cost, one.cost_change) for one in report.attachment.options] == [(None, None)] * 2
    assert all(one.cost is None for one in report.alternatives)


def wish_of(report: DesignReport, value: str) -> PreferenceCost:
    (found,) = [one for one in report.preference_costs if one.value == value]
    return found


def test_the_cheapest_and_the_stiffest_say_so_where_prices_are_not_known() -> None:
    report = without_items("post.6x6")
    cheapest, stiffest = wish_of(report, "cost"), wish_of(report, "stiffness")
    assert cheapest.already
    assert "prices that are not known" in cheapest.text
    assert not cheapest.proven
    assert "a tenth over the cheapest" not in stiffest.text
    assert "not known" in stiffest.text
    assert not stiffest.proven


def test_an_item_of_the_frame_answered_that_has_no_price_is_said_to_be_its() -> None:
    wish = wish_of(without_items("post.6x6"), "4x4")
    assert "price not known: post.6x6" in wish.text
    assert wish.text.count("of the frame answered") == 1


def test_a_footing_method_for_less_says_what_holds_it_back_and_nothing_else() -> None:
    report = answered("hillside")
    (pads,) = [one for one in report.alternatives if one.because.startswith("Posts on buried pads")]
    assert pads.because == "Posts on buried pads, for less: it serves less long."
    assert "serves less long" in pads.gives_up
    every = [
        one.because
        for name in POSTED
        for one in answered(name).alternatives
        if "4x4 posts, for less" in one.because
    ]
    assert set(every) == {"4x4 posts, for less: posts thinner than 6x6 are not tried unasked."}

"""A spec designed by two versions: what is found to differ, and that nothing is where nothing does."""

from __future__ import annotations

import json
from collections import Counter
from dataclasses import replace
from pathlib import Path
from typing import Any

import msgspec
import pytest

from service.choice.level.context import Context
from service.contract.report import DesignReport, Reason
from service.contract.report_order import OrderTotal
from service.contract.rule_impact import MOST_TOLD, RuleImpact
from service.contract.spec import DeckSpec
from service.impact.compare import impact_of, is_change, rule_impact
from service.rules.amend import apply_amendments
from service.rules.jurisdiction import parse_jurisdiction
from tests.context import context, designed, rulebooks, spec_of
from tests.later_rules import place_of_the_first, second_rulebook

EXAMPLES = Path(__file__).parents[2] / "openapi" / "examples"
COUNTY = "alder-county"
SMALL: dict[str, Any] = {"levels": [{"width_ft": 10, "projection_ft": 6, "surface_height_in": 24}]}


def example(**changes: Any) -> DeckSpec:
    """The deck with a ledger of the examples: its joists span 140.25 in, 0.988 of the 142 in of the first version."""
    return spec_of(**json.loads((EXAMPLES / "ledger-composite.json").read_text("utf-8")) | changes)


@pytest.fixture(scope="module")
def found() -> RuleImpact:
    where = context(COUNTY)
    return rule_impact(example(), where, where.rulebook, second_rulebook())


@pytest.fixture(scope="module")
def report() -> DesignReport:
    return designed(example(), context(COUNTY))


def changes_of(found: RuleImpact) -> dict[tuple[str, str], tuple[str | None, str | None]]:
    return {(one.member, one.field): (one.from_, one.to) for one in found.members.changed}


def test_a_joist_over_the_new_span_gets_another_size(found: RuleImpact, report: DesignReport) -> None:
    """By hand: 140.25 in is over 138 in; the next row of 16 in spacing is 2x10 with 168 in."""
    (span,) = [one for one in report.checks if one.id == "main.joists-1:joist_span:table"]
    assert (span.demand, span.capacity, span.ratio) == (140.25, 142.0, 0.988)
    changes = changes_of(found)
    assert changes["main.joists-1", "size"] == ("2x8", "2x10")
    assert ("main.joists-1", "spacing_in") not in changes
    assert changes["main.ledger-1", "size"] == ("2x8", "2x10")
    # 7.25 in joists become 9.25 in, so the beam lies 2 in lower
    assert changes["main.beam-1", "bottom_height_in"] == ("16.5", "14.5")
    assert (found.members.added, found.members.removed) == ((), ())
    assert is_change(found)


def test_both_designs_are_those_of_the_spec_alone(found: RuleImpact) -> None:
    where = context(COUNTY)
    first = designed(example(), where)
    second = designed(example(), replace(where, rulebook=second_rulebook()))
    assert (found.design_ids.from_, found.design_ids.to) == (first.design_id, second.design_id)
    assert (found.rulebooks.from_, found.rulebooks.to) == (first.rulebook, second.rulebook)
    assert (found.order.from_, found.order.to) == (first.takeoff.total, second.takeoff.total)
    assert (found.footings.from_, found.footings.to) == (len(first.footings), len(second.footings))
    old, new = (Counter(one.item for one in each.takeoff.stock) for each in (first, second))
    assert old != new
    assert found.order.lines_changed > 0


def test_the_change_of_the_order_is_to_the_cent(found: RuleImpact) -> None:
    assert found.order.from_ is not None
    assert found.order.to is not None
    assert found.order.change is not None
    cents = [
        round(100 * float(one.amount)) for one in (found.order.from_, found.order.to, found.order.change)
    ]
    assert cents[1] - cents[0] == cents[2] > 0
    assert found.order.because == ""


def test_the_same_version_twice_changes_nothing() -> None:
    where = context(COUNTY)
    found = rule_impact(example(), where, where.rulebook, where.rulebook)
    assert found.design_ids.from_ == found.design_ids.to
    assert not is_change(found)
    assert found.order.change is not None
    assert found.order.change.amount == "0.00"


def test_a_deck_the_new_version_does_not_touch_is_the_same() -> None:
    where = context(COUNTY)
    found = rule_impact(spec_of(**SMALL), where, where.rulebook, second_rulebook())
    assert not is_change(found)
    assert found.design_ids.from_ != found.design_ids.to


def test_a_wider_stair_asked_for_fails_and_forbids() -> None:
    stair = {"level": "main", "edge": 2, "offset_ft": 6, "width_in": 42}
    where = context(COUNTY)
    found = rule_impact(example(stairs=[stair]), where, where.rulebook, second_rulebook())
    assert (found.verdict.from_, found.verdict.to) == ("prescriptive", "not_permitted")
    assert [(one.code, one.member) for one in found.reasons.added] == [("check_failed", "deck.stair-1")]
    (check,) = found.checks.newly_failing
    assert check.id == "deck.stair-1:stair_width:rule"
    assert check.from_ is not None
    assert check.to is not None
    assert (check.from_.capacity, check.to.capacity, check.unit) == (36.0, 44.0, "in")
    assert (check.from_.passes, check.to.passes) == (True, False)
    back = rule_impact(example(stairs=[stair]), where, second_rulebook(), where.rulebook)
    assert [one.id for one in back.checks.no_longer_failing] == [check.id]
    assert [one.code for one in back.reasons.removed] == ["check_failed"]


def test_an_amendment_that_does_not_fit_is_a_reason_added() -> None:
    given = place_of_the_first()
    place = parse_jurisdiction(given.text, given.name)
    first, second = (apply_amendments(one, place) for one in (rulebooks()["irc-2021"], second_rulebook()))
    assert (first.unapplied, second.unapplied) == ((), ("stainless-3000",))
    where = replace(context(COUNTY), jurisdiction=place, rulebook=first)
    found = rule_impact(example(), where, first, second)
    assert (found.verdict.from_, found.verdict.to) == ("prescriptive", "engineer_required")
    (reason,) = found.reasons.added
    assert reason.code == "rulebook_not_in_force"
    assert "stainless-3000" in reason.text


@pytest.mark.parametrize(("own", "to"), [("irc-2021", "irc-2021"), ("irc-2021", "irc-2024")])
def test_both_versions_count_as_in_force(own: str, to: str) -> None:
    where = context(COUNTY)
    assert where.in_force == own
    found = rule_impact(spec_of(**SMALL), where, where.rulebook, rulebooks()[to])
    codes = {one.code for one in (*found.reasons.added, *found.reasons.removed)}
    assert "rulebook_not_in_force" not in codes


def test_a_spec_of_a_rulebook_not_in_force_says_so_both_times() -> None:
    where = context(COUNTY, "irc-2018")
    assert where.in_force == "irc-2021"
    alone = designed(example(), where)
    assert "rulebook_not_in_force" in {one.code for one in alone.verdict.reasons}
    found = rule_impact(example(), where, where.rulebook, rulebooks()["irc-2024"])
    assert found.verdict.from_ == found.verdict.to == "engineer_required"


def test_versions_out_of_force_that_the_spec_names_are_told_both_times() -> None:
    where = context(COUNTY)
    own = replace(where, rulebook=replace(where.rulebook, out_of_force=("irc-2021@1",)))
    found = rule_impact(example(), own, where.rulebook, second_rulebook())
    assert found.verdict.from_ == found.verdict.to == "engineer_required"
    assert found.design_ids.from_ == designed(example(), own).design_id
    assert (found.reasons.added, found.reasons.removed) == ((), ())


def test_without_prices_the_order_is_still_compared() -> None:
    where: Context = context(COUNTY, None, False)
    found = rule_impact(example(price_book=None), where, where.rulebook, second_rulebook())
    assert (found.order.from_, found.order.to, found.order.change) == (None, None, None)
    assert found.order.because == "no price book is named"
    assert found.order.lines_changed > 0


def test_totals_that_are_not_complete_are_not_compared(report: DesignReport) -> None:
    total = report.takeoff.total
    assert total is not None
    part: OrderTotal = msgspec.structs.replace(total, complete=False)
    other = msgspec.structs.replace(report, takeoff=msgspec.structs.replace(report.takeoff, total=part))
    found = impact_of(report, other)
    assert (found.order.change, found.order.because) == (None, "not every line of both orders has a price")
    assert is_change(found)


def test_a_deck_no_frame_is_found_for_loses_its_members(report: DesignReport) -> None:
    low = example(levels=[{"width_ft": 16, "projection_ft": 12, "surface_height_in": 5}])
    found = impact_of(report, designed(low, context(COUNTY)))
    assert found.verdict.to == "not_permitted"
    assert "main.joists-1" in found.members.removed
    assert found.order.because == "no frame was found in one of the designs, so there is no order"
    assert found.footings.to == 0


def with_reasons(report: DesignReport, *reasons: Reason) -> DesignReport:
    verdict = msgspec.structs.replace(report.verdict, reasons=reasons)
    return msgspec.structs.replace(report, verdict=verdict)


def test_reasons_of_a_member_are_the_same_whatever_their_figures(report: DesignReport) -> None:
    old = Reason(code="check_failed", text="150 against 142 in", member="main.joists-1")
    new = msgspec.structs.replace(old, text="150 against 138 in")
    assert not is_change(impact_of(with_reasons(report, old), with_reasons(report, new)))
    twice = impact_of(with_reasons(report, old), with_reasons(report, new, new))
    assert twice.reasons.added == (new,)
    assert is_change(twice)


def test_reasons_of_the_deck_differ_by_their_text(report: DesignReport) -> None:
    old = Reason(code="rulebook_not_in_force", text="The local amendment a does not fit.")
    new = msgspec.structs.replace(old, text="The local amendment b does not fit.")
    found = impact_of(with_reasons(report, old), with_reasons(report, new))
    assert (found.reasons.added, found.reasons.removed) == ((new,), (old,))


def test_lists_are_bounded_and_say_what_they_leave_out(report: DesignReport) -> None:
    reasons = tuple(Reason(code="check_failed", text=str(n)) for n in range(MOST_TOLD + 7))
    checks = tuple(
        msgspec.structs.replace(report.checks[0], id=f"main.joists-1:x:{n}", passes=False)
        for n in range(MOST_TOLD + 9)
    )
    posts = tuple(
        msgspec.structs.replace(report.posts[0], id=f"main.post-9-{n}") for n in range(MOST_TOLD + 11)
    )
    other = msgspec.structs.replace(with_reasons(report, *reasons), checks=checks, posts=posts)
    found, back = impact_of(report, other), impact_of(other, report)
    assert (len(found.reasons.added), found.reasons.added_left_out) == (MOST_TOLD, 7)
    assert (len(found.checks.newly_failing), found.checks.newly_failing_left_out) == (MOST_TOLD, 9)
    assert (len(found.members.added), found.members.added_left_out) == (MOST_TOLD, 11)
    assert (len(back.reasons.removed), back.reasons.removed_left_out) == (MOST_TOLD, 7)
    assert (len(back.checks.no_longer_failing), back.checks.no_longer_failing_left_out) == (MOST_TOLD, 9)
    assert (len(back.members.removed), back.members.removed_left_out) == (MOST_TOLD, 11)
    moved = tuple(msgspec.structs.replace(one, size="8x8", cut_length_in=1.0) for one in posts)
    last = impact_of(other, msgspec.structs.replace(other, posts=moved)).members
    assert len(last.changed) == MOST_TOLD
    assert last.changed_left_out == sum(2 - (one.size == "8x8") for one in posts) - MOST_TOLD


def test_an_impact_is_the_same_bytes_every_time(found: RuleImpact) -> None:
    where = context(COUNTY)
    again = rule_impact(example(), where, where.rulebook, second_rulebook())
    assert msgspec.json.encode(again) == msgspec.json.encode(found)
    assert b'"from":' in msgspec.json.encode(found)
    assert b"from_" not in msgspec.json.encode(found)

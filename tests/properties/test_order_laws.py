"""Laws of every order: its members are the report's, the frame is served whole, its money adds up."""

from __future__ import annotations

import csv
import io
from collections import Counter
from collections.abc import Iterator
from decimal import Decimal

import pytest
from order_decks import REQUESTS, ordered

from service.contract.report import DesignReport
from service.contract.report_frame import Joists
from service.takeoff.csv_form import COLUMNS, FORMULA_SIGNS, as_csv
from service.takeoff.items import is_item
from service.takeoff.stair_parts import LEAST_LEG_IN

ALL = pytest.mark.parametrize("name", REQUESTS)


def wooden(report: DesignReport) -> Iterator[str]:
    """Every member of the frame that is cut from wood."""
    for level in report.levels:
        for group in (level.joists, level.ledgers, level.rims, level.beams, level.blocking, level.braces):
            yield from (one.id for one in group)
        yield from (post.id for guard in level.guards for post in guard.posts)
    yield from (post.id for post in report.posts)
    for stair in report.stairs:
        count = sum(flight.stringers for flight in stair.flights)
        yield from (f"{stair.id}.stringer-{n}" for n in range(1, count + 1))
        yield from (one.id for one in (*stair.beams, *stair.braces))
        for landing in stair.landings:
            yield from (one.id for one in (*landing.joists, *landing.rims))


def members(report: DesignReport) -> set[str]:
    """Every member of the report."""
    found = {*wooden(report), *(one.id for one in report.footings), *(one.id for one in report.stairs)}
    found |= {guard.id for level in report.levels for guard in level.guards}
    return found | {landing.id for stair in report.stairs for landing in stair.landings}


@ALL
def test_every_member_of_an_order_is_in_the_report_and_every_member_of_wood_is_cut(name: str) -> None:
    report = ordered(name)
    known, order = members(report), report.takeoff
    named = {one for line in (*order.pieces, *order.hardware, *order.substitutions) for one in line.members}
    assert named <= known
    assert set(wooden(report)) <= {one for piece in order.pieces for one in piece.members}


def _joists(report: DesignReport) -> Iterator[Joists]:
    yield from (one for level in report.levels for one in level.joists)
    yield from (one for stair in report.stairs for landing in stair.landings for one in landing.joists)


@ALL
def test_joists_beams_and_posts_are_as_many_and_as_long_as_in_the_report(name: str) -> None:
    report = ordered(name)
    joists = sum(one.plies * len(one.lines) for one in _joists(report))
    laps = sum(one.plies * len(line.laps) for one in _joists(report) for line in one.lines)
    ids = {one.id for one in _joists(report)}
    cut = sum(
        piece.quantity
        for piece in report.takeoff.pieces
        if piece.item.startswith("lumber") and set(piece.members) <= ids
    )
    shared = [p for p in report.takeoff.pieces if ids & set(p.members) and not set(p.members) <= ids]
    assert cut <= joists + laps <= cut + sum(p.quantity for p in shared if p.item.startswith("lumber"))
    posts = Counter(post.cut_length_in for post in report.posts)
    ordered_posts = [p for p in report.takeoff.pieces if {post.id for post in report.posts} & set(p.members)]
    assert sum(p.quantity for p in ordered_posts) == sum(posts.values())


@ALL
def test_every_line_has_a_known_code_and_no_piece_is_a_sliver(name: str) -> None:
    order = ordered(name).takeoff
    lines = (*order.stock, *order.decking, *order.hardware, *order.concrete)
    assert all(is_item(line.item) for line in lines)
    assert all(line.quantity > 0 for line in lines)
    framing = [piece for piece in order.pieces if piece.item.startswith(("lumber", "post"))]
    assert all(piece.length_in >= LEAST_LEG_IN for piece in framing)


@ALL
def test_csv_reads_back_with_the_same_total_and_no_formula(name: str) -> None:
    report = ordered(name)
    order = report.takeoff
    rows = list(
        csv.DictReader(io.StringIO(as_csv(order, report.verdict.status, report.cautions)), strict=True)
    )
    assert all(set(row) == set(COLUMNS) for row in rows)
    assert not [cell for row in rows for cell in row.values() if cell.startswith(FORMULA_SIGNS)]
    kinds = Counter(row["line_kind"] for row in rows)
    lines = (*order.stock, *order.decking, *order.hardware, *order.concrete, *order.groundwork)
    priced = [line for line in lines if line.extended]
    assert kinds["item"] == len(priced)
    assert (kinds["unpriced"], kinds["caution"]) == (len(order.unpriced), len(report.cautions))
    total = sum(Decimal(row["extended"]) for row in rows if row["extended"])
    assert total == Decimal(order.total.amount if order.total else "0.00")
    assert [float(row["quantity"]) for row in rows if row["line_kind"] == "item"] == [
        line.quantity for line in priced
    ]


@ALL
def test_a_total_is_complete_unless_a_line_has_no_price_and_then_a_caution_says_so(name: str) -> None:
    report = ordered(name)
    told = "unpriced_lines" in {one.code for one in report.cautions}
    assert told == bool(report.takeoff.unpriced)
    if report.takeoff.total:
        assert report.takeoff.total.complete == (not report.takeoff.unpriced)


@ALL
def test_concrete_says_why_it_comes_as_it_does(name: str) -> None:
    assert all(line.because for line in ordered(name).takeoff.concrete)


@ALL
def test_every_guard_post_has_its_bolts_and_connector_and_every_handrail_a_bracket_at_each_end(
    name: str,
) -> None:
    order = ordered(name).takeoff
    counts = Counter[str]()
    for line in order.hardware:
        counts[line.item.split(".")[0]] += int(line.quantity)
    posts = sum(p.quantity for p in order.pieces if p.item.startswith("post.4x4"))
    assert counts["guard_post_connector"] == posts
    rails = sum(p.quantity for p in order.pieces if p.item == "guard.2x2.handrail.wood")
    assert counts["handrail_bracket"] >= 2 * rails or not rails

"""What holds for every design, whatever the deck: laws of the wire contract, and of statics.

All laws look at the same decks: the seed is committed, and a deck is designed once.
"""

from __future__ import annotations

import itertools
import json
import math
from collections import Counter
from collections.abc import Callable, Iterator
from functools import cache
from typing import Any

import msgspec
import pytest
from context import context, designed, prices, spec_of
from deck_strategy import decks
from hypothesis import HealthCheck, Phase, given, seed, settings

from service.contract.ids import MEMBER
from service.contract.report import DesignReport
from service.contract.report_frame import Beam
from service.contract.words.check_words import CHECKS

SAME_DECKS = 507
FEW = settings(
    max_examples=40, deadline=None, database=None, phases=(Phase.generate,),
    suppress_health_check=list(HealthCheck),
)  # fmt: skip
KNOWN_CHECKS = {word.code for word in CHECKS.words}
BALANCE = 0.001  # the answer rounds loads to a tenth of a pound


@cache
def _report(text: str) -> DesignReport:
    return _fresh(json.loads(text))


def _fresh(deck: dict[str, Any]) -> DesignReport:
    return designed(spec_of(**deck), context(None, deck["rulebook"]))


def report_of(deck: dict[str, Any]) -> DesignReport:
    return _report(json.dumps(deck, sort_keys=True))


def _numbers(value: object, at: str) -> Iterator[tuple[str, float]]:
    if isinstance(value, dict):
        for key, part in value.items():
            yield from _numbers(part, f"{at}/{key}")
    elif isinstance(value, list):
        for place, part in enumerate(value):
            yield from _numbers(part, f"{at}/{place}")
    elif isinstance(value, float):
        yield at, value


def every_number_is_finite(report: DesignReport) -> None:
    for at, value in _numbers(msgspec.to_builtins(report), ""):
        assert math.isfinite(value), at
        assert str(value) != "-0.0", at


def _members(report: DesignReport) -> list[str]:
    kinds = ("joists", "ledgers", "rims", "beams", "blocking", "braces", "guards")
    on_levels = [one.id for level in report.levels for kind in kinds for one in getattr(level, kind)]
    guard_posts = [post.id for level in report.levels for guard in level.guards for post in guard.posts]
    rest = [one.id for one in (*report.posts, *report.footings, *report.stairs)]
    return [*on_levels, *guard_posts, *rest]


def ids_are_unique_and_well_formed(report: DesignReport) -> None:
    members, checks = _members(report), [check.id for check in report.checks]
    assert [one for one, times in Counter(members).items() if times > 1] == []
    assert [one for one, times in Counter(checks).items() if times > 1] == []
    assert [one for one in members if not MEMBER.fullmatch(one)] == []


def every_check_is_of_a_member_and_cites_something(report: DesignReport) -> None:
    members = set(_members(report))
    for check in report.checks:
        assert check.id.startswith(f"{check.member}:{check.check}:{check.basis}"), check.id
        assert check.check in KNOWN_CHECKS, check.id
        assert check.citation.document, check.id
        away = (
            check.member.startswith(("house.", "site.", "deck.stair", "deck.landing"))
            or ".ledger-" in check.member
        )
        assert away or check.member in members, check.id
        if check.basis == "table" and check.capacity is not None:
            assert check.citation.rows, check.id
            assert check.citation.table_url, check.id


def no_failing_check_is_prescriptive(report: DesignReport) -> None:
    """But for a calculation a little over its capacity beside a table that permits: that is a caution."""
    permitted = {c.member for c in report.checks if c.basis == "table" and c.passes}
    said = "table_permits_calculation_does_not" in {caution.code for caution in report.cautions}
    failing = [
        (c.id, c.demand, c.capacity)
        for c in report.checks
        if not c.passes
        and not (c.basis == "calculated" and c.member in permitted and (c.ratio or 9) <= 1.15 and said)
    ]
    assert not (failing and report.verdict.status == "prescriptive"), failing
    assert (report.verdict.status == "prescriptive") == (not report.verdict.reasons)


ADVISED = {"joist_cantilever", "beam_span", "post_height", "joist_spacing_for_decking", "beam_overhang"}


def a_failing_member_says_what_would_pass(report: DesignReport) -> None:
    for check in report.checks:
        if not check.passes and check.check in ADVISED:
            assert check.would_pass, check.id
        if not check.passes and check.check == "joist_span":
            assert check.would_pass or report.alternatives, check.id


def a_deck_without_a_frame_is_still_a_whole_answer(report: DesignReport) -> None:
    level = report.levels[0]
    if any(reason.code == "no_frame_found" for reason in report.verdict.reasons):
        assert report.verdict.status == "not_permitted"
        assert (level.joists, level.beams, report.posts, report.footings) == ((), (), (), ())
        assert report.takeoff.pieces == ()
        assert report.cautions
        assert report.permits.drawings_needed
    else:
        assert level.joists
        assert level.beams
        assert report.footings
        assert report.takeoff.pieces


def joists_stand_by_the_rule_of_counting(report: DesignReport) -> None:
    """Count = ceil(width / spacing) + 1, from 0.75 in to width less 0.75 in (trade convention of this service)."""
    spec = report.resolved_spec.levels[0]
    for group in report.levels[0].joists:
        width_in = (spec.width_ft or 0) * 12
        assert group.count == len(group.lines) == math.ceil(width_in / group.spacing_in - 1e-6) + 1
        places = [(line.x_ft or 0) * 12 for line in group.lines]
        assert places[0] == pytest.approx(0.75, abs=0.01)
        assert places[-1] == pytest.approx(width_in - 0.75, abs=0.01)
        assert max(b - a for a, b in itertools.pairwise(places)) <= group.spacing_in + 0.01
        gap = 0.0 if report.attachment.kind == "ledger" or report.resolved_spec.house.wall == "none" else 1.0
        rims = 3.0 if report.levels[0].beams[0].placement == "dropped" else _flush_rims_in(report)
        wanted = (spec.projection_ft or 0) * 12 - rims - gap
        assert all(line.length_in == pytest.approx(wanted, abs=0.01) for line in group.lines)


def _flush_rims_in(report: DesignReport) -> float:
    """Joists end at the faces of flush beams; an attached deck has a ledger instead of the first."""
    beams = report.levels[0].beams
    widths = [(3.5 if beam.size.startswith("4x") else 1.5) * beam.plies for beam in beams]
    return widths[0] + (1.5 if report.attachment.kind == "ledger" else widths[-1])


def loads_in_are_reactions_out(report: DesignReport) -> None:
    """Equilibrium of the joists about the wall line, and of each beam; the boards carry to the wall line."""
    level = report.levels[0]
    if not level.beams:
        return
    psf, spec = report.loads.design_psf, report.resolved_spec.levels[0]
    projection, width = spec.projection_ft or 0, spec.width_ft or 0
    arms = [(beam.line_load_plf, beam.start_ft[1]) for beam in level.beams]
    from_ft = 1.5 / 12 if report.attachment.kind == "ledger" else 0.0
    moment = sum(load * (at - from_ft) for load, at in arms)
    assert moment == pytest.approx(psf * (projection - from_ft) ** 2 / 2, rel=BALANCE)
    carried = sum(load for load, _ in arms)
    if report.attachment.kind == "freestanding":
        assert carried == pytest.approx(psf * projection, rel=BALANCE)
    assert carried <= psf * projection * (1 + BALANCE)
    for beam in level.beams:
        stands, carries = _on_footings(report, beam), beam.line_load_plf * width
        if report.stairs and beam is level.beams[-1]:
            assert stands >= carries * (1 - BALANCE)  # a stair on the yard edge comes on top
        else:
            assert stands == pytest.approx(carries, rel=BALANCE)


def _on_footings(report: DesignReport, beam: Beam) -> float:
    posts = {post.id for post in report.posts if post.beam == beam.id}
    return sum(one.load_lb for one in report.footings if one.serves == beam.id or one.post in posts)


def an_unknown_wall_means_standing_free(report: DesignReport) -> None:
    """A ledger is hung on an unknown wall only where the caller asks for one, and never without an engineer."""
    spec = report.resolved_spec
    if spec.house.wall == "unknown" and report.attachment.kind == "ledger":
        assert spec.framing.attachment == "ledger"
        assert report.verdict.status != "prescriptive"


def geometry_closes(report: DesignReport) -> None:
    """Spans and overhangs fill every beam; posts reach from pier to beam; every seat and splice has a place."""
    grounds = {one.id for one in report.footings}
    posts = {one.id for one in report.posts}
    for beam in report.levels[0].beams:
        length = (beam.end_ft[0] - beam.start_ft[0]) * 12
        assert sum(beam.spans_in) + beam.overhang_start_in + beam.overhang_end_in == pytest.approx(
            length, abs=0.01
        )
        assert len(beam.supports_ft) == len(beam.spans_in) + 1
        for splice in beam.splices:
            assert splice.at_post in posts | grounds, splice.at_post
            assert 1 <= splice.ply <= beam.plies
    for post in report.posts:
        assert post.height_in - 1.0 == pytest.approx(post.cut_length_in, abs=0.001)  # 1 in stand-off
        assert post.height_in >= 4.0
    for footing in report.footings:
        assert footing.post is None or footing.post in posts


def checks_look_at_the_members_answered(report: DesignReport) -> None:
    """What a check demands is the worst that the drawn member shows."""
    checks = {check.id: check for check in report.checks}
    for beam in report.levels[0].beams:
        (span,) = [c for c in report.checks if c.member == beam.id and c.check == "beam_span"]
        assert span.demand == pytest.approx(max(beam.spans_in), abs=0.001)
        overhang = checks[f"{beam.id}:beam_overhang:rule"]
        ends = ((beam.overhang_start_in, beam.spans_in[0]), (beam.overhang_end_in, beam.spans_in[-1]))
        assert overhang.ratio == pytest.approx(max(over / (span / 4) for over, span in ends), abs=0.002)
    for post in report.posts:
        (height,) = [c for c in report.checks if c.member == post.id and c.check == "post_height"]
        assert height.demand == pytest.approx(post.height_in, abs=0.001)
        for step in height.working:
            if step.symbol == "A":
                heaviest = max(post.load_lb, _broken_lb(report, post.id)) / report.loads.design_psf
                assert (step.value or 0) >= max(20.0, heaviest) - 0.01


def _beams(report: DesignReport) -> list[Beam]:
    """The beams of the level and those under its stairs."""
    return [*report.levels[0].beams, *(beam for stair in report.stairs for beam in stair.beams)]


def _broken_lb(report: DesignReport, post: str) -> float:
    """The load on a post if every ply ended over every post between: simple spans, the outer ones overhanging."""
    beam = next(b for b in _beams(report) if post.startswith(b.id.replace("beam", "post") + "-"))
    place, spans = int(post.rsplit("-", 1)[1]) - 1, [span / 12 for span in beam.spans_in]
    over = {0: beam.overhang_start_in / 12, len(spans): beam.overhang_end_in / 12}
    feet = over.get(place, 0.0)
    for side, far in ((place - 1, place - 1), (place, place + 1)):
        if 0 <= side < len(spans):
            own, away = over.get(place, 0.0), over.get(far, 0.0)
            feet += spans[side] / 2 + (own**2 - away**2) / (2 * spans[side])
    return feet * beam.line_load_plf


def the_order_has_every_member(report: DesignReport) -> None:
    level, order = report.levels[0], report.takeoff
    hardware = Counter[str]()
    for line in order.hardware:
        hardware[line.item.split(".")[0]] += int(line.quantity)
    for group in level.joists:
        wanted = group.count * (len(group.lines[0].laps) + 1)
        cut = [p for p in order.pieces if group.id in p.members and p.item.startswith("lumber.")]
        alone = all(piece.members == (group.id,) for piece in cut)  # like pieces of a rim stand on one line
        assert (
            sum(piece.quantity for piece in cut) == wanted if alone else wanted < sum(p.quantity for p in cut)
        )
        flush = level.beams[0].placement == "flush"
        hung = (1 if report.attachment.kind == "ledger" else 0) + (len(level.beams) if flush else 0)
        assert hardware["joist_hanger"] == group.count * hung
    posts = [p for p in order.pieces if p.item.startswith("post.") and ".post-" in p.members[0]]
    assert sum(piece.quantity for piece in posts) == len(report.posts)
    on_concrete = [f for f in report.footings if f.post is not None and f.concrete is not None]
    assert hardware["post_base"] == len(on_concrete)
    assert hardware["post_cap"] == len(report.posts)
    in_saddles = [
        f for f in report.footings if f.post is None and ".beam-" in f.serves and f.concrete is not None
    ]
    assert hardware["saddle"] == len(in_saddles)
    # posts of its rails, not those a stair stands on
    of_stairs = [
        p
        for p in order.pieces
        if p.item.startswith("post.4x4") and p.members[0].startswith("deck.") and ".post-" not in p.members[0]
    ]
    railed = sum(len(g.posts) for g in level.guards) + sum(p.quantity for p in of_stairs)
    assert hardware["guard_post_connector"] == railed


def beams_are_ordered_ply_by_ply(report: DesignReport) -> None:
    """The lumber of a size that only beams and rims and ledgers use adds up to their plies and lengths."""
    level = report.levels[0]
    for size in {beam.size for beam in level.beams} - {group.size for group in level.joists} - {"2x8"}:
        pieces = [
            p for p in report.takeoff.pieces
            if p.item.startswith(f"lumber.{size}.") and all(_of_beam(member) for member in p.members)
        ]  # fmt: skip
        wanted = sum(beam.plies * _long_in(beam) for beam in _beams(report) if beam.size == size)
        assert sum(p.quantity * p.length_in for p in pieces) == pytest.approx(wanted, rel=0.001)


def _of_beam(member: str) -> bool:
    return member.rpartition(".")[2].startswith("beam-")


def _long_in(beam: Beam) -> float:
    return sum(beam.spans_in) + beam.overhang_start_in + beam.overhang_end_in


def no_piece_is_longer_than_the_longest_board(report: DesignReport) -> None:
    """Of the frame: stringers and rails of a stair are not the frame's to choose."""
    longest = {}
    for line in prices().lines:
        if line.length_ft:
            longest[line.item] = max(longest.get(line.item, 0.0), line.length_ft * 12)
    too_long = [
        (piece.item, piece.length_in, piece.members)
        for piece in report.takeoff.pieces
        if piece.item in longest
        and piece.length_in > longest[piece.item]
        and ".stair-" not in piece.members[0]
    ]
    assert too_long == []


LAWS: list[Callable[[DesignReport], None]] = [
    every_number_is_finite,
    ids_are_unique_and_well_formed,
    every_check_is_of_a_member_and_cites_something,
    no_failing_check_is_prescriptive,
    a_failing_member_says_what_would_pass,
    a_deck_without_a_frame_is_still_a_whole_answer,
    joists_stand_by_the_rule_of_counting,
    loads_in_are_reactions_out,
    an_unknown_wall_means_standing_free,
    geometry_closes,
    checks_look_at_the_members_answered,
    the_order_has_every_member,
    beams_are_ordered_ply_by_ply,
    no_piece_is_longer_than_the_longest_board,
]


@pytest.mark.parametrize("law", LAWS, ids=lambda law: law.__name__)
@seed(SAME_DECKS)
@FEW
@given(deck=decks())
def test_every_design(law: Callable[[DesignReport], None], deck: dict[str, Any]) -> None:
    law(report_of(deck))


@seed(SAME_DECKS)
@FEW
@given(deck=decks())
def test_same_spec_same_bytes(deck: dict[str, Any]) -> None:
    assert msgspec.json.encode(_fresh(deck)) == msgspec.json.encode(report_of(deck))


@seed(SAME_DECKS)
@FEW
@given(deck=decks())
def test_resolved_spec_posted_back_gives_the_same_design(deck: dict[str, Any]) -> None:
    first = report_of(deck)
    resolved = msgspec.json.decode(msgspec.json.encode(first.resolved_spec))
    again = designed(spec_of(**resolved), context(None, deck["rulebook"]))
    assert again.design_id == first.design_id
    assert msgspec.json.encode(again) == msgspec.json.encode(first)

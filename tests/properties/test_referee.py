"""The referee is silent on sound frames, and speaks when any one thing about them is wrong."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from functools import cache
from typing import Any

import msgspec
import pytest
from context import EDITIONS, NOWHERE, context, designed, spec_of
from properties.hand_made import slanted_front, two_ways
from properties.outlines import outline_case, sound
from properties.referee import RULES, wrong
from properties.referee_answer import Answer, answer_of
from properties.referee_loads import reactions

from service.contract.report_frame import Level, Splice, Support

BAND = {"wall": "wood_band", "door_sill_height_in": 37.5, "rim_depth_in": 11.25, "foundation_depth_in": 96}
ALONE = {"house": {"wall": "none"}}
CRAWL = {**BAND, "foundation_depth_in": 48}  # no footing of the ledger deck is near its fill
DECKS: dict[str, dict[str, Any]] = {
    "ledger": {"house": CRAWL, "levels": [{"width_ft": 16, "projection_ft": 12, "surface_height_in": 36}]},
    "alone": {**ALONE, "levels": [{"width_ft": 18, "projection_ft": 12, "surface_height_in": 40}]},
    "low": {**ALONE, "levels": [{"width_ft": 14, "projection_ft": 10, "surface_height_in": 21.5}],
            "framing": {"joist_size": "2x8", "beam_size": "2x8"}},
    "flush": {**ALONE, "levels": [{"width_ft": 12, "projection_ft": 9, "surface_height_in": 30}],
              "framing": {"beam_placement": "flush"}},
    "long": {**ALONE, "levels": [{"width_ft": 48, "projection_ft": 10, "surface_height_in": 40}]},
    "deep": {**ALONE, "levels": [{"width_ft": 14, "projection_ft": 26, "surface_height_in": 40}],
             "framing": {"joist_direction": "away_from_house"}},
    "along": {**ALONE, "levels": [{"width_ft": 14, "projection_ft": 26, "surface_height_in": 40}],
              "framing": {"joist_direction": "along_house"}},
}  # fmt: skip
JUDGED_ELSEWHERE = ("every_member_is_checked",)  # hand-made frames have no checks
_replace: Callable[..., Any] = msgspec.structs.replace


@cache
def frame(name: str, edition: str = "2021") -> Answer:
    """A rectangle's answer, its ledger's area filled in where the answer leaves it out."""
    where = context(None, f"irc-{edition}")
    found = answer_of(designed(spec_of(site=NOWHERE, rulebook=f"irc-{edition}", **DECKS[name]), where), where)
    return _told(found)


def _told(found: Answer) -> Answer:
    level = found.levels[0]
    if not any(ledger.tributary_sqft == 0 for ledger in level.ledgers):
        return found
    carried = sum(footing.load_lb for footing in found.footings) / found.criteria.design_psf
    (ledger,) = level.ledgers
    return of_level(found, ledgers=(_replace(ledger, tributary_sqft=level.area_sqft - carried),))


def of_level(found: Answer, **changes: Any) -> Answer:
    """The answer with something of its level changed."""
    return dataclasses.replace(found, levels=(_replace(found.levels[0], **changes),))


def with_first(found: Answer, kind: str, **changes: Any) -> Answer:
    """The answer with its level's first member of a kind changed."""
    members = getattr(found.levels[0], kind)
    return of_level(found, **{kind: (_replace(members[0], **changes), *members[1:])})


def with_line(found: Answer, number: int = 5, **changes: Any) -> Answer:
    """The answer with one joist line changed."""
    lines = list(found.levels[0].joists[0].lines)
    lines[number] = _replace(lines[number], **changes)
    return with_first(found, "joists", lines=tuple(lines))


def without_line(found: Answer, number: int) -> Answer:
    """The answer less one joist line."""
    lines = list(found.levels[0].joists[0].lines)
    del lines[number]
    return with_first(found, "joists", lines=tuple(lines), count=len(lines))


def with_one(found: Answer, kind: str, **changes: Any) -> Answer:
    """The answer with its first post, footing or check changed."""
    members = getattr(found, kind)
    return dataclasses.replace(found, **{kind: (_replace(members[0], **changes), *members[1:])})


def line_of(found: Answer) -> Any:
    return found.levels[0].joists[0].lines[5]


def beam_of(found: Answer) -> Any:
    return found.levels[0].beams[0]


@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize("name", DECKS)
def test_rectangles_are_sound(name: str, edition: str) -> None:
    found = frame(name, edition)
    assert found.framed
    assert wrong(found) == []


@pytest.mark.parametrize("made", [slanted_front, two_ways], ids=lambda made: made.__name__)
def test_hand_made_frames_are_sound(made: Callable[[], Answer]) -> None:
    assert wrong(made(), without=JUDGED_ELSEWHERE) == []


def _moved_load(found: Answer) -> Answer:
    """A fifth of the first post's load goes to the second and on into its footing: the sum stays."""
    one, two, *rest = found.footings
    more = 0.2 * one.load_lb
    psf = found.criteria.design_psf
    feet = tuple(
        _replace(foot, load_lb=load, tributary_sqft=load / psf)
        for foot, load in ((one, one.load_lb - more), (two, two.load_lb + more))
    )
    brought = {foot.post: foot.load_lb for foot in feet}
    posts = tuple(_replace(post, load_lb=brought.get(post.id, post.load_lb)) for post in found.posts)
    return dataclasses.replace(found, posts=posts, footings=(*feet, *rest))


def _shifted_post(found: Answer) -> Answer:
    """Post and footing both stand a foot off their support."""
    post = _replace(found.posts[0], x_ft=found.posts[0].x_ft + 1)
    feet = tuple(_replace(f, x_ft=post.x_ft) if f.post == post.id else f for f in found.footings)
    return dataclasses.replace(found, posts=(post, *found.posts[1:]), footings=feet)


def _long_overhang(found: Answer) -> Answer:
    beam = beam_of(found)
    places = (6.0, *beam.supports_ft[1:])
    spans = (12 * (places[1] - places[0]), *beam.spans_in[1:])
    return with_first(found, "beams", supports_ft=places, spans_in=spans, overhang_start_in=72.0)


def _rising_ground(found: Answer) -> Answer:
    site = _replace(found.spec.site, grade_fall_y_in_per_ft=-4.0)
    spec = _replace(found.spec, site=site)
    return dataclasses.replace(found, spec=spec, status="prescriptive")


def _through_a_beam(found: Answer) -> Answer:
    line = line_of(found)
    kept = (line.supports[0], line.supports[-1])
    return with_line(found, supports=kept, spans_in=(kept[1].at_in - kept[0].at_in,))


def _bare(found: Answer) -> Answer:
    return of_level(found, joists=())


def _twice(found: Answer) -> Answer:
    level: Level = found.levels[0]
    return of_level(found, joists=(*level.joists, _replace(level.joists[0], id="main.joists-9")))


def _single(found: Answer, kind: str) -> Answer:
    return dataclasses.replace(found, **{kind: getattr(found, kind)[1:]})


def _other_wall(found: Answer) -> Answer:
    house = _replace(found.spec.house, wall="unknown")
    return dataclasses.replace(found, spec=_replace(found.spec, house=house), status="prescriptive")


BROKEN: list[tuple[str, str, str, Callable[[Answer], Answer]]] = [
    ("without_a_frame_nothing_stands", "no joists", "ledger", _bare),
    ("framed_means_every_kind_of_member", "no beams", "ledger", lambda a: of_level(a, beams=())),
    ("framed_means_every_kind_of_member", "no footings", "ledger", lambda a: dataclasses.replace(a, footings=())),
    ("lines_are_lines", "a line too long", "ledger", lambda a: with_line(a, length_in=line_of(a).length_in + 1)),
    ("lines_are_lines", "miscounted", "ledger", lambda a: with_first(a, "joists", count=12)),
    ("lines_are_lines", "beyond the front", "alone", lambda a: with_line(
        a, y_end_ft=line_of(a).y_end_ft + 1, length_in=line_of(a).length_in + 12)),
    ("lines_are_lines", "given the wrong way", "ledger", lambda a: with_line(a, x_ft=None)),
    ("no_bay_is_too_wide", "a line missing", "ledger", lambda a: without_line(a, 5)),
    ("no_bay_is_too_wide", "closer spacing said", "ledger", lambda a: with_first(a, "joists", spacing_in=12.0)),
    ("no_bay_is_too_wide", "a line short of the rim", "ledger", lambda a: with_line(
        a, y_end_ft=line_of(a).y_end_ft - 1, length_in=line_of(a).length_in - 12)),
    ("no_bay_is_too_wide", "a line moved", "alone", lambda a: with_line(a, x_ft=line_of(a).x_ft + 0.1)),
    ("joists_keep_apart", "a group twice", "ledger", _twice),
    ("every_line_is_carried_twice", "one support", "ledger", lambda a: with_line(
        a, supports=line_of(a).supports[:1], spans_in=())),
    ("every_line_is_carried_twice", "a span too long", "ledger", lambda a: with_line(a, spans_in=(150.0,))),
    ("every_line_is_carried_twice", "nobody there", "alone", lambda a: with_line(
        a, supports=(Support("main.beam-7", line_of(a).supports[0].at_in), line_of(a).supports[1]))),
    ("every_line_is_carried_twice", "beam elsewhere", "alone", lambda a: with_first(
        a, "beams", start_ft=(beam_of(a).start_ft[0], beam_of(a).start_ft[1] + 0.5),
        end_ft=(beam_of(a).end_ft[0], beam_of(a).end_ft[1] + 0.5))),
    ("every_line_is_carried_twice", "beam too short", "alone", lambda a: with_first(
        a, "beams", start_ft=(beam_of(a).start_ft[0] + 2, beam_of(a).start_ft[1]))),
    ("beams_passed_are_supports", "a beam unsaid", "deep", _through_a_beam),
    ("cantilevers_are_as_drawn", "said shorter", "alone", lambda a: with_line(
        a, cantilever_yard_in=line_of(a).cantilever_yard_in - 2)),
    ("cantilevers_are_as_drawn", "said none", "long", lambda a: with_line(
        a, cantilever_house_in=0.0, cantilever_yard_in=0.0)),
    ("cantilevers_are_as_drawn", "said where it hangs", "ledger", lambda a: with_line(a, cantilever_house_in=4.0)),
    ("joists_keep_to_the_edition", "too slight", "ledger", lambda a: with_first(a, "joists", size="2x6")),
    ("regions_are_the_floor", "half of it", "ledger", lambda a: with_first(
        a, "joists", region_ft=((0.0, 0.0), (16.0, 0.0), (16.0, 6.0), (0.0, 6.0)))),
    ("ends_are_cut_to_their_side", "askew", "ledger", lambda a: with_line(a, end_cut_deg=10.0)),
    ("every_side_is_followed", "no rim", "ledger", lambda a: of_level(a, rims=())),
    ("every_side_is_followed", "half a rim", "ledger", lambda a: with_first(a, "rims", end_ft=(8.0, 11.9375))),
    ("every_side_is_followed", "no end joist", "alone", lambda a: without_line(a, 0)),
    ("every_side_is_followed", "half a ledger", "ledger", lambda a: with_first(a, "ledgers", start_ft=(8.0, 0.0))),
    ("rims_are_as_long_as_drawn", "too long", "ledger", lambda a: with_first(a, "rims", length_in=204.0)),
    ("rims_are_as_long_as_drawn", "outside", "ledger", lambda a: with_first(a, "rims", end_ft=(17.0, 11.9375))),
    ("rims_meet_at_corners", "cut askew", "ledger", lambda a: with_first(a, "rims", start_cut_deg=20.0)),
    ("ledgers_hang_on_walls", "in the open", "ledger", lambda a: with_first(
        a, "ledgers", start_ft=(0.0, 1.0), end_ft=(16.0, 1.0))),
    ("ledgers_hang_on_walls", "another edge", "ledger", lambda a: with_first(a, "ledgers", edge=2)),
    ("ledgers_hang_on_walls", "an unknown wall", "ledger", _other_wall),
    ("ledgers_tell_their_area", "untold", "ledger", lambda a: with_first(a, "ledgers", tributary_sqft=0.0)),
    ("beams_close", "a span said longer", "alone", lambda a: with_first(
        a, "beams", spans_in=(beam_of(a).spans_in[0] + 1, *beam_of(a).spans_in[1:]))),
    ("beams_close", "an overhang said shorter", "alone", lambda a: with_first(a, "beams", overhang_end_in=2.0)),
    ("beams_close", "beyond the side", "alone", lambda a: with_first(
        a, "beams", end_ft=(beam_of(a).end_ft[0] + 1, beam_of(a).end_ft[1]),
        overhang_end_in=beam_of(a).overhang_end_in + 12)),
    ("beams_close", "on one post", "alone", lambda a: with_first(
        a, "beams", supports_ft=beam_of(a).supports_ft[:1], spans_in=())),
    ("beams_close", "over a quarter", "ledger", _long_overhang),
    ("every_support_is_a_post_or_a_saddle", "a post moved", "alone", _shifted_post),
    ("every_support_is_a_post_or_a_saddle", "a post missing", "alone", lambda a: _single(a, "posts")),
    ("every_support_is_a_post_or_a_saddle", "a saddle missing", "low", lambda a: _single(a, "footings")),
    ("every_support_is_a_post_or_a_saddle", "under no beam", "alone", lambda a: with_one(
        a, "posts", beam="main.beam-9")),
    ("every_post_is_on_one_footing", "a footing missing", "alone", lambda a: _single(a, "footings")),
    ("every_post_is_on_one_footing", "two footings", "alone", lambda a: dataclasses.replace(
        a, footings=(*a.footings, _replace(a.footings[0], id="main.footing-9-9")))),
    ("every_post_is_on_one_footing", "a footing moved", "alone", lambda a: with_one(
        a, "footings", y_ft=a.footings[0].y_ft + 0.5)),
    ("every_post_is_on_one_footing", "another load", "alone", lambda a: with_one(a, "posts", load_lb=10.0)),
    ("heights_close", "a post too high", "alone", lambda a: with_one(a, "posts", height_in=a.posts[0].height_in + 1)),
    ("heights_close", "cut too short", "alone", lambda a: with_one(a, "posts", cut_length_in=5.0)),
    ("heights_close", "a pier too high", "alone", lambda a: with_one(a, "footings", top_height_in=6.0)),
    ("heights_close", "exposed more", "alone", lambda a: with_one(a, "footings", exposed_in=6.0)),
    ("heights_close", "a saddle too high", "low", lambda a: with_one(a, "footings", top_height_in=9.0)),
    ("heights_close", "another grade", "alone", lambda a: with_one(a, "footings", grade_height_in=2.0)),
    ("heights_close", "a beam too high", "alone", lambda a: with_first(
        a, "beams", bottom_height_in=beam_of(a).bottom_height_in + 1)),
    ("heights_close", "a beam in the ground", "alone", _rising_ground),
    ("ground_is_under_the_frame", "joists in the ground", "alone", _rising_ground),
    ("splices_keep_to_the_rule", "over an end post", "long", lambda a: with_first(
        a, "beams", splices=(Splice(1, "main.post-1-1"),))),
    ("splices_keep_to_the_rule", "all plies at once", "long", lambda a: with_first(
        a, "beams", splices=tuple(Splice(p, "main.post-1-2") for p in range(1, beam_of(a).plies + 1)))),
    ("splices_keep_to_the_rule", "a ply too many", "long", lambda a: with_first(
        a, "beams", splices=(Splice(4, "main.post-1-2"),))),
    ("beams_keep_to_the_edition", "too slight", "alone", lambda a: with_first(a, "beams", size="2x6", plies=1)),
    ("beams_keep_to_the_edition", "joists on both sides", "deep", lambda a: dataclasses.replace(
        a, status="prescriptive")),
    ("posts_keep_to_the_edition", "too slender", "alone", lambda a: with_one(a, "posts", size="4x4", height_in=180.0)),
    ("areas_add_up", "another area", "ledger", lambda a: of_level(a, area_sqft=191.0)),
    ("areas_add_up", "a load lost", "alone", lambda a: with_one(
        a, "footings", load_lb=a.footings[0].load_lb - 50, tributary_sqft=(a.footings[0].load_lb - 50) / 50)),
    ("areas_add_up", "an area wrong", "alone", lambda a: with_one(a, "footings", tributary_sqft=1.0)),
    ("areas_add_up", "a ledger's area wrong", "ledger", lambda a: with_first(
        a, "ledgers", tributary_sqft=a.levels[0].ledgers[0].tributary_sqft + 1)),
    ("footings_carry_what_stands_on_them", "load on the wrong post", "alone", _moved_load),
    ("footings_carry_what_stands_on_them", "a ledger's area wrong", "ledger", lambda a: with_first(
        a, "ledgers", tributary_sqft=a.levels[0].ledgers[0].tributary_sqft * 1.1)),
    ("every_member_is_checked", "no checks", "ledger", lambda a: dataclasses.replace(a, checks=())),
    ("every_member_is_checked", "a span not looked at", "alone", lambda a: dataclasses.replace(a, checks=tuple(
        _replace(c, demand=1.0) if c.check == "beam_span" else c for c in a.checks))),
    ("passing_means_within", "passes over its limit", "alone", lambda a: dataclasses.replace(a, checks=tuple(
        _replace(c, demand=c.capacity * 2) if c.check == "joist_span" else c for c in a.checks))),
    ("prescriptive_means_every_check_passes", "a check fails", "ledger", lambda a: with_one(a, "checks", passes=False)),
    ("prescriptive_means_every_check_passes", "no reason", "ledger", lambda a: dataclasses.replace(
        a, status="engineer_required", reasons=())),
]  # fmt: skip


@pytest.mark.parametrize(("rule", "what", "name", "broken"), BROKEN, ids=[f"{r}-{w}" for r, w, *_ in BROKEN])
def test_the_referee_speaks(rule: str, what: str, name: str, broken: Callable[[Answer], Answer]) -> None:
    said = wrong(broken(frame(name)))
    assert [one for one in said if one.startswith(f"{rule}: ")], (what, said)


def test_every_rule_is_broken_once() -> None:
    assert {rule for rule, *_ in BROKEN} == set(RULES)


def test_frames_show_what_they_are_named_for() -> None:
    assert frame("ledger").levels[0].ledgers
    assert {one.post for one in frame("low").footings} == {None}
    assert {beam.placement for beam in frame("flush").levels[0].beams} == {"flush"}
    assert beam_of(frame("long")).splices
    assert len(line_of(frame("deep")).supports) == 3
    assert line_of(frame("along")).y_ft is not None


def _carrier_on_a_ledger(found: Answer) -> Answer:
    """The girder's place is taken by a doubled joist, and that hangs on a ledger."""
    level = found.levels[0]
    away, along = level.joists
    last = away.lines[-1]
    carrier = _replace(away, id="main.joists-3", plies=2, lines=(last,), count=1)
    hung = tuple(
        _replace(line, supports=(Support("main.joists-3", line.supports[0].at_in), line.supports[1]))
        for line in along.lines
    )
    on_wall = _replace(last.supports[0], member="main.ledger-1")
    carrier = _replace(carrier, lines=(_replace(last, supports=(on_wall, last.supports[1])),))
    wall = slanted_front().levels[0].ledgers
    groups = (
        _replace(away, lines=away.lines[:-1], count=away.count - 1),
        _replace(along, lines=hung),
        carrier,
    )
    return of_level(found, joists=groups, ledgers=wall)


def _slid(found: Answer, number: int, by_ft: float) -> Answer:
    line = found.levels[0].joists[0].lines[number]
    return with_line(found, number, x_ft=line.x_ft + by_ft)


HAND_BROKEN: list[tuple[str, Callable[[], Answer], Callable[[Answer], Answer]]] = [
    ("hangs on main.ledger-1", two_ways, _carrier_on_a_ledger),
    ("both stand at", two_ways, lambda a: _slid(a, 3, 1.3)),
    ("in no bay", slanted_front, lambda a: _slid(a, 4, 0.1)),
    ("cantilevers 9 in", slanted_front, lambda a: with_line(a, cantilever_yard_in=9.0)),
    ("is called no cantilever", slanted_front, lambda a: with_line(a, cantilever_yard_in=0.0)),
    ("its side wants -14.0", slanted_front, lambda a: with_line(a, end_cut_deg=14.04)),
    ("its side wants -14.0", slanted_front, lambda a: with_line(a, end_cut_deg=0.0)),
    ("is bare", slanted_front, lambda a: with_first(a, "rims", end_ft=(8.0, 9.9))),
    ("leaves the floor", slanted_front, lambda a: with_first(a, "rims", end_ft=(16.0, 8.2))),
    ("at a corner that turns", slanted_front, lambda a: with_first(a, "rims", end_cut_deg=45.0)),
    ("leaves the floor", slanted_front, lambda a: with_first(a, "beams", end_ft=(16.0, 8.1))),
    ("does not lie under", slanted_front, lambda a: with_first(a, "beams", end_ft=(16.0, 6.5))),
    ("is bare", two_ways, lambda a: of_level(a, beams=tuple(b for b in a.levels[0].beams if b.placement != "flush"))),
    ("the footing has", slanted_front, _moved_load),
]  # fmt: skip


@pytest.mark.parametrize(
    ("says", "made", "broken"), HAND_BROKEN, ids=[f"{n}-{w}" for n, (w, *_) in enumerate(HAND_BROKEN)]
)
def test_the_referee_speaks_of_hand_made_frames(
    says: str, made: Callable[[], Answer], broken: Callable[[Answer], Answer]
) -> None:
    said = wrong(broken(made()), without=JUDGED_ELSEWHERE)
    assert [one for one in said if says in one], said


@pytest.mark.parametrize("number", range(9))
@pytest.mark.parametrize("made", [slanted_front, two_ways], ids=lambda made: made.__name__)
def test_a_line_missing_from_a_hand_made_frame_is_seen(made: Callable[[], Answer], number: int) -> None:
    """Whichever line it is: at an end, at a slant, beside the girder."""
    assert [
        one
        for one in wrong(without_line(made(), number), JUDGED_ELSEWHERE)
        if "no_bay" in one or "bare" in one
    ]


def test_the_referee_s_statics_are_those_of_the_books() -> None:
    """Simple span, overhang by moments about the other end, two equal spans (3/8 and 10/8 of a span's load)."""
    assert reactions((0.0, 100.0), 100.0, ((25.0, 25.0, 400.0),)) == pytest.approx((300, 100))
    assert reactions((0.0, 100.0), 120.0, ((100.0, 120.0, 100.0),)) == pytest.approx((-10, 110))
    assert reactions((0.0, 60.0, 120.0), 120.0, ((0.0, 120.0, 160.0),)) == pytest.approx((30, 100, 30))


def test_random_outlines_are_the_same_on_every_run() -> None:
    drawn = [outline_case(seed) for seed in range(64)]
    assert [outline_case(case.seed) for case in drawn] == drawn
    assert all(sound(case.spec) for case in drawn)

"""What makes a frame buildable, each on a made deck: room under beams, posts clear of stairs, whole inches, joints.

The limits are conventions of this service or common practice, no source, where nothing else is named.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import msgspec
import pytest
from context import context, designed, spec_of
from shapely import Point, Polygon, box

from service.checks.frame import judge_splices
from service.checks.stair_way import judge_stair_way, posts_in_way
from service.choice.level.case import Case
from service.choice.level.cases import cases_of
from service.choice.level.worked import Worked, work_out
from service.choice.search.decide import decide
from service.contract.report import DesignReport
from service.contract.report_frame import Beam
from service.framing.layout import Layout
from service.framing.stairs import StairResult
from service.sizing.resolve import criteria_of, resolve_spec

PLACE = "alder-county"
WALL = {"wall": "wood_band", "door_sill_height_in": 43.5}


def asked(**given: Any) -> dict[str, Any]:
    level = {"width_ft": 20, "projection_ft": 12, "surface_height_in": 40}
    return {"jurisdiction": PLACE, "house": WALL, "levels": [level], **given}


def cases(**given: Any) -> tuple[Case, ...]:
    where = context(PLACE)
    resolved = resolve_spec(spec_of(**asked(**given)), where.rulebook, where.jurisdiction, None, where.as_of)
    judged_by = criteria_of(resolved, where.rulebook, where.guide, where.jurisdiction, where.timber)
    return cases_of(resolved, where, judged_by)


def chosen(**given: Any) -> Worked:
    (case,) = cases(**given)
    found = decide(case).chosen
    assert found is not None
    return found


def report(**given: Any) -> DesignReport:
    return designed(spec_of(**asked(**given)), context(PLACE))


def failing(worked: Worked) -> set[str]:
    return {found.check for found in worked.judged.findings if not found.passes}


# Room under beams


def test_a_frame_with_too_little_room_is_told_and_never_chosen() -> None:
    """Dropped 2x12s under 2x12s need 22.5 in and 3 in of pier under 1 in of boards: 26.5 in; at 24 in they don't."""
    (case,) = cases()
    found = decide(case).chosen
    assert found is not None
    deep = replace(found.layout, joist_size="2x12", beam_size="2x12")
    for surface_in, told in ((26.5, False), (26.25, True), (24.0, True)):
        low = {"width_ft": 20, "projection_ft": 12, "surface_height_in": surface_in}
        (lower,) = cases(levels=[low])
        made = work_out(lower, (deep,))
        assert ("beam_clear_of_grade" in failing(made)) is told
        best = decide(lower).chosen
        assert best is not None
        assert "beam_clear_of_grade" not in failing(best)


@pytest.mark.parametrize("fall", [0.5, -0.75])
def test_beams_clear_sloping_ground_all_along(fall: float) -> None:
    found = report(site={"grade_fall_x_in_per_ft": fall, "grade_fall_y_in_per_ft": -0.25})
    beams = [beam for level in found.levels for beam in level.beams]
    assert beams
    for beam in beams:
        ends = [-fall * x + 0.25 * y for x, y in (beam.start_ft, beam.end_ft)]
        assert beam.bottom_height_in - max(ends) >= 3.0 - 1e-6


# Posts and stairs

STAIR = {"level": "main", "edge": 2, "offset_ft": 6, "width_in": 48}
UPPER = {"id": "main", "width_ft": 16, "projection_ft": 10, "surface_height_in": 60}


def below(offset_ft: float, down_to: str, width_ft: float = 16.0) -> dict[str, Any]:
    """A low level in front of the upper one, which a stair of the upper one comes down upon."""
    low = {"id": "low", "origin_ft": [0, offset_ft], "width_ft": width_ft, "projection_ft": 12}
    low |= {"surface_height_in": 30, "house_edges": []}
    return {"levels": [UPPER, low], "stairs": [{**STAIR, "down_to": down_to}]}


def way(found: DesignReport) -> bool:
    (check,) = [one for one in found.checks if one.check == "post_under_stair_landing"]
    assert check.citation.status == "own_convention"
    assert check.passes is (check.would_pass is None)
    return check.passes


def stands_in_it(found: DesignReport, without: str) -> bool:
    """In plain geometry: a footing of the deck within the stair's own plan, told by the answer."""
    (stair,) = found.stairs
    plan = Polygon(stair.footprint_ft)
    own = (one for one in found.footings if not one.serves.startswith((*without.split(), "deck.")))
    return any(plan.buffer(-0.01).contains(Point(one.x_ft, one.y_ft)) for one in own)


def test_posts_stand_clear_of_a_plain_stair() -> None:
    found = report(stairs=[STAIR], levels=[UPPER])
    assert way(found)
    assert not stands_in_it(found, "-")


def test_a_post_in_a_stairs_way_is_told() -> None:
    """A stair down to the ground over a floor in its way: that floor's posts stand where people walk."""
    seen = set()
    for offset_ft in (10.5, 12.0, 13.0, 14.0, 16.0, 24.0):
        found = report(**below(offset_ft, "grade", 8.5))
        clear = way(found)
        assert clear is not stands_in_it(found, "-"), offset_ft
        seen.add(clear)
    assert seen == {True, False}


def test_posts_of_the_floor_a_stair_comes_down_to_are_in_nobodys_way() -> None:
    found = report(**below(10.5, "low", 8.5))
    assert way(found)
    assert stands_in_it(found, "-")
    assert not stands_in_it(found, "low")


def test_a_search_can_leave_out_frames_whose_posts_stand_in_a_stairs_way() -> None:
    _, low = cases(**below(13.0, "grade", 8.5))
    found = decide(low).chosen
    assert found is not None
    assert posts_in_way("low", found.layout, low.every_stair)
    assert not posts_in_way("low", found.layout, ())
    assert not posts_in_way("main", _elsewhere(found.layout), low.every_stair)


def _elsewhere(layout: Layout) -> Layout:
    """The same frame 30 ft to the side."""
    region = layout.region
    x, y = region.axes.origin_ft
    moved = replace(region, axes=replace(region.axes, origin_ft=(x + 30.0, y)))
    return replace(layout, arrangement=replace(layout.arrangement, region=moved))


def _plan_of(stair: StairResult) -> tuple[float, float, float, float]:
    assert stair.plan is not None
    bounds: tuple[float, float, float, float] = stair.plan.footprint.bounds
    return bounds


def test_a_post_whose_face_reaches_onto_the_landing_stands_in_it() -> None:
    """A 6x6 is 5.5 in square: 1.25 in past its floor's edge is behind the fascia, 2 in are not."""
    (case,) = cases(stairs=[STAIR], levels=[UPPER])
    found = decide(case).chosen
    assert found is not None
    (stair,) = case.every_stair
    left, _, right, far = _plan_of(stair)
    row = found.layout.rows[-1]
    for past_ft, told in ((1.25 / 12, False), (2.0 / 12, True), (-0.5, True)):
        # The middle of its first post stands half a side less that much beyond the end of the landing.
        beyond = far + 2.75 / 12 - (past_ft if past_ft > 0 else 1.0)
        place = (12 * (left + right) / 2, 12 * beyond)
        at = replace(row, start_in=place, end_in=(place[0] + 100.0, place[1]), posts_in=(0.0,))
        assert posts_in_way("main", replace(found.layout, rows=(at,)), case.every_stair) is told


def test_a_pier_that_stands_out_of_the_ground_beside_a_landing_is_in_its_way() -> None:
    """Plain geometry: the landing's rectangle against a circle of the pier, 1.5 in of it let be."""
    seen = set()
    for width_ft, projection_ft in ((4.0, 17.0), (4.0, 12.0), (5.0, 18.0), (7.0, 15.0)):
        high = {"id": "main", "width_ft": 12, "projection_ft": 12, "surface_height_in": 36}
        low = {"id": "low", "origin_ft": [12, 0], "width_ft": width_ft, "projection_ft": projection_ft}
        low |= {"surface_height_in": 18, "house_edges": []}
        stairs = [{**STAIR, "offset_ft": 0}]
        found = report(
            levels=[high, low], stairs=stairs, house={"wall": "none"}, foundation={"method": "tube_form_pier"}
        )
        (landing,) = found.stairs[0].landings
        corner = (landing.x_ft, landing.y_ft)
        plan = box(*corner, corner[0] + landing.width_in / 12, corner[1] + landing.depth_in / 12)
        into = [
            one.concrete.shaft_diameter_in / 24 - plan.distance(Point(one.x_ft, one.y_ft))
            for one in found.footings
            if one.concrete and one.concrete.shaft_diameter_in and one.exposed_in > 0
        ]
        told = any(one > 1.5 / 12 + 1e-6 for one in into)
        assert way(found) is not told, (width_ft, into)
        seen.add(told)
    assert seen == {True, False}


# Posts in whole inches, room for the beam, joints

YARDS: tuple[dict[str, Any], ...] = (
    {},
    {"framing": {"attachment": "freestanding"}},
    {"levels": [{"width_ft": 33.4, "projection_ft": 17.3, "surface_height_in": 50}]},
    {"levels": [{"width_ft": 44.1, "projection_ft": 22.2, "surface_height_in": 50}]},
    {
        "levels": [
            {
                "outline_ft": [[0, 0], [22.3, 0], [22.3, 9.1], [12, 9.1], [12, 15.7], [0, 15.7]],
                "house_edges": [0],
                "surface_height_in": 44,
            }
        ]
    },
)


@pytest.mark.parametrize("given", YARDS)
def test_posts_stand_whole_inches_apart_and_only_the_last_span_takes_the_rest(given: dict[str, Any]) -> None:
    beams = [beam for level in report(**given).levels for beam in level.beams]
    assert beams
    for beam in beams:
        places = [beam.overhang_start_in]
        for span in beam.spans_in:
            places.append(places[-1] + span)
        assert all(at == pytest.approx(round(at), abs=1e-6) for at in places[:-1]), beam


@pytest.mark.parametrize("given", YARDS)
def test_a_cantilever_leaves_room_for_the_beam_and_the_rim(given: dict[str, Any]) -> None:
    found = report(**given)
    widest = max(1.5 * beam.plies for level in found.levels for beam in level.beams)
    for level in found.levels:
        for group in level.joists:
            for line in group.lines:
                for reach in (line.cantilever_house_in, line.cantilever_yard_in):
                    assert reach == 0 or reach >= widest / 2 + 1.5


@pytest.mark.parametrize("given", YARDS)
def test_boards_of_beams_are_joined_over_interior_posts_only(given: dict[str, Any]) -> None:
    """DCA 6 and common practice: never between posts, never over the post that ends a beam."""
    for level in report(**given).levels:
        for beam in level.beams:
            inner = {str(n) for n in range(2, len(beam.supports_ft))}
            assert all(one.at_post.rpartition("-")[2] in inner for one in beam.splices)
            assert all(check.passes for check in judge_splices(beam, cases()[0].criteria))


def joined_beam() -> Beam:
    found = report(**YARDS[3])
    return next(b for level in found.levels for b in level.beams if b.splices and len(b.supports_ft) > 3)


def test_a_joint_over_the_last_post_fails_its_check() -> None:
    beam, judged_by = joined_beam(), cases()[0].criteria
    post, _, _ = beam.splices[0].at_post.rpartition("-")
    for at, stands in ((1, False), (len(beam.supports_ft), False), (2, True)):
        splice = msgspec.structs.replace(beam.splices[0], at_post=f"{post}-{at}")
        (check,) = judge_splices(msgspec.structs.replace(beam, splices=(splice,)), judged_by)
        assert check.passes is stands
    both = tuple(msgspec.structs.replace(s, at_post=f"{post}-2") for s in (beam.splices[0],) * beam.plies)
    (check,) = judge_splices(msgspec.structs.replace(beam, splices=both), judged_by)
    assert not check.passes


def test_a_block_on_the_ground_counts_with_all_its_width() -> None:
    """It has no shaft: 11 in of block stand beside the landing, 3 in from its middle, though the post would pass."""
    (case,) = cases(stairs=[STAIR], levels=[UPPER])
    found = decide(case).chosen
    assert found is not None
    (stair,) = case.every_stair
    left, _, right, far = _plan_of(stair)
    (members,) = found.levels[0].built
    stand = replace(members.stands[0], x_ft=(left + right) / 2, y_ft=far + 3.0 / 12)
    alone = replace(members, stands=(stand,))
    footing = next(one for one in found.frame.footings if one.id == f"main.footing-{stand.place}")
    assert footing.concrete is not None
    concrete = msgspec.structs.replace(footing.concrete, shaft_diameter_in=None, base_size_in=11.0)
    for exposed_in, told in ((0.0, True), (6.0, False)):
        block = msgspec.structs.replace(footing, exposed_in=exposed_in, concrete=concrete)
        (finding,) = judge_stair_way([("main", alone)], [stair], [block]).findings
        assert finding.passes is told

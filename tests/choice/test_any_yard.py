"""Decks of real yards: what each has to show, whatever frame is chosen."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from context import context, designed, spec_of

from service.contract.report import DesignReport

EXAMPLES = Path(__file__).parents[2] / "openapi" / "examples"
WALL = {
    "wall": "wood_band", "foundation_wall": "poured_concrete", "door_sill_height_in": 85.5, "rim_depth_in": 11.25,
    "floor_joist_direction": "toward_deck",
}  # fmt: skip
HALF_JOIST_FT = 0.75 / 12


def deck(**given: Any) -> DesignReport:
    plain: dict[str, Any] = {"jurisdiction": "alder-county", "house": WALL}
    return designed(spec_of(**{**plain, **given}), context("alder-county"))


def example(name: str, **changes: Any) -> DesignReport:
    given = json.loads((EXAMPLES / f"{name}.json").read_text("utf-8"))
    given.pop("price_book")
    return designed(spec_of(**{**given, **changes}), context(given["jurisdiction"]))


def codes(report: DesignReport) -> set[str]:
    return {reason.code for reason in report.verdict.reasons}


PARTLY = {
    "outline_ft": [[0, 0], [10, 0], [30, 0], [30, 12], [0, 12]], "house_edges": [0], "surface_height_in": 84,
}  # fmt: skip


# IRC 2021 R507.9.2: a device within 24 in of each end of the deck. A ledger of 10 ft under a deck of 30 can't.
def test_a_ledger_shorter_than_its_deck_is_an_engineers() -> None:
    report = deck(levels=[PARTLY], framing={"attachment": "ledger"})
    assert report.verdict.status == "engineer_required"
    assert "lateral_ties_short_of_deck" in codes(report)


# DCA 6: corner posts over 24 in get diagonals; what the house does not hold, across the beams too.
def test_a_deck_held_by_the_house_in_part_is_braced_both_ways_at_its_outer_corner() -> None:
    report = deck(levels=[PARTLY], framing={"attachment": "ledger"})
    (level,) = report.levels
    corner = max(report.posts, key=lambda post: (round(post.x_ft, 1), -post.y_ft))
    ways = {brace.direction for brace in level.braces if brace.post == corner.id}
    assert corner.height_in > 24
    assert ways == {"along_beam", "across_beam"}


@pytest.mark.parametrize("name", ["l-round-a-corner", "clipped-corner", "wrap-of-two-walls"])
@pytest.mark.parametrize("attachment", ["ledger", "freestanding"])
def test_no_joist_stands_half_off_what_carries_it(name: str, attachment: str) -> None:
    report = example(name, framing={"attachment": attachment})
    (level,) = report.levels
    carriers = {one.id: (one.start_ft, one.end_ft) for one in (*level.beams, *level.ledgers)}
    for group in level.joists:
        axis = 0 if group.direction == "away_from_house" else 1
        for line in group.lines:
            at = line.x_ft if axis == 0 else line.y_ft
            assert at is not None
            for support in line.supports:
                low, high = sorted(end[axis] for end in carriers[support.member])
                assert low - 1e-3 <= at - HALF_JOIST_FT
                assert at + HALF_JOIST_FT <= high + 1e-3


def test_where_directions_meet_a_girder_stands_on_its_own_posts() -> None:
    report = example("wrap-of-two-walls")
    (level,) = report.levels
    (girder,) = [beam for beam in level.beams if ".girder-" in beam.id]
    assert {group.direction for group in level.joists} == {"away_from_house", "along_house"}
    assert len([post for post in report.posts if post.beam == girder.id]) == len(girder.supports_ft) >= 2
    assert any(
        support.member == girder.id
        for group in level.joists
        for line in group.lines
        for support in line.supports
    )


def test_posts_keep_off_every_wall_of_the_house() -> None:
    report = example("wrap-of-two-walls")
    for post in report.posts:
        beside_corner = post.x_ft >= 20 or post.y_ft >= 0
        away_x, away_y = (
            (post.x_ft - 20 if post.y_ft <= 0 else 99.0),
            (post.y_ft if post.x_ft <= 20 else 99.0),
        )
        assert beside_corner
        assert min(away_x, away_y) >= 1.5 - 1e-6


def test_levels_stand_on_their_own_posts_and_it_is_said() -> None:
    report = example("two-levels")
    by_level = {level.id: {beam.id for beam in level.beams} for level in report.levels}
    assert {footing.id.split(".")[0] for footing in report.footings} - {"deck"} == set(by_level)
    assert all(post.beam in by_level[post.level] for post in report.posts)
    assert "levels_stand_apart" in {one.code for one in report.cautions}
    for level in report.levels:
        carried = {
            support.member for group in level.joists for line in group.lines for support in line.supports
        }
        assert all(member.startswith(f"{level.id}.") for member in carried)


def test_a_beam_that_would_meet_rising_ground_is_no_frame() -> None:
    level = {"width_ft": 16, "projection_ft": 12, "surface_height_in": 30}
    flat = deck(levels=[level], house={"wall": "none"})
    rising = deck(levels=[level], house={"wall": "none"}, site={"grade_fall_y_in_per_ft": -2})
    assert flat.levels[0].beams
    assert rising.levels[0].beams == ()
    assert "no_frame_found" in codes(rising)


def test_every_post_on_a_hillside_has_its_own_height_and_its_footing_its_own_depth() -> None:
    report = example("hillside")
    own = [post for post in report.posts if post.level == "main" and post.beam.startswith("main.")]
    assert len({post.height_in for post in own}) == len(own) > 1
    footings = {footing.post: footing for footing in report.footings}
    for post in own:
        footing = footings[post.id]
        assert footing.exposed_in == pytest.approx(footing.top_height_in - footing.grade_height_in)
        assert footing.grade_height_in - footing.bottom_height_in >= 32  # alder-county's frost depth


def test_a_flight_over_147_or_151_inches_has_a_landing_with_posts_of_its_own() -> None:
    report = example("hillside")
    (stair,) = report.stairs
    assert stair.rise_in > 151
    assert len(stair.flights) == 2
    assert [post for post in report.posts if post.beam.startswith("deck.stair-1.")]


def test_piers_leave_ground_between_them() -> None:
    report = example("clipped-corner")
    for n, one in enumerate(report.footings):
        for other in report.footings[n + 1 :]:
            apart = 12 * ((one.x_ft - other.x_ft) ** 2 + (one.y_ft - other.y_ft) ** 2) ** 0.5
            assert apart >= (one.width_in + other.width_in) / 2 + 6

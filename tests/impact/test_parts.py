"""What differs between two members, field by field."""

from __future__ import annotations

from typing import Any

import msgspec
import pytest

from service.contract.report import DesignReport
from service.contract.report_frame import Beam, Footing, Joists, Post, Stair
from service.impact.members import members_of
from service.impact.parts import NOT_BUILT, differences
from tests.context import context, designed, spec_of

LARGE: dict[str, Any] = {
    "house": {"wall": "wood_band", "door_sill_height_in": 37.5},
    "levels": [{"width_ft": 16, "projection_ft": 12, "surface_height_in": 36}],
    "stairs": [{"level": "main", "edge": 2, "offset_ft": 6, "width_in": 48}],
}


@pytest.fixture(scope="module")
def report() -> DesignReport:
    return designed(spec_of(**LARGE), context("alder-county"))


@pytest.fixture(scope="module")
def members(report: DesignReport) -> dict[str, Any]:
    return dict(members_of(report))


def first(members: dict[str, Any], kind: type) -> Any:
    return next(one for one in members.values() if isinstance(one, kind))


def with_(one: Any, **changes: Any) -> list[tuple[str, str | None, str | None]]:
    return list(differences(one, msgspec.structs.replace(one, **changes)))


def test_every_part_with_an_id_is_a_member(report: DesignReport, members: dict[str, Any]) -> None:
    (level,) = report.levels
    wanted = [*level.joists, *level.ledgers, *level.rims, *level.beams, *level.blocking, *level.braces]
    wanted += [*level.guards, *(post for guard in level.guards for post in guard.posts)]
    wanted += [*report.posts, *report.footings, *report.stairs]
    wanted += [part for stair in report.stairs for part in (*stair.beams, *stair.braces, *stair.landings)]
    assert {one.id for one in wanted} <= set(members)
    assert "main" not in members
    assert len(members) > 20


def test_sizes_and_counts_are_told(members: dict[str, Any]) -> None:
    joists = first(members, Joists)
    assert with_(joists, size="2x12", spacing_in=12.0) == [
        ("size", joists.size, "2x12"),
        ("spacing_in", "16", "12"),
    ]
    assert with_(joists, count=99, lines=joists.lines[:3]) == [
        ("count", str(joists.count), "99"),
        ("lines.count", str(len(joists.lines)), "3"),
    ]


def test_of_parts_alike_the_first_that_differs_is_told(members: dict[str, Any]) -> None:
    joists = first(members, Joists)
    longer = [msgspec.structs.replace(one, length_in=150.5 + n) for n, one in enumerate(joists.lines)]
    first_in = f"{joists.lines[0].length_in:g}"
    assert with_(joists, lines=tuple(longer)) == [("lines.length_in", first_in, "150.5")]


def test_short_lists_are_written_out(members: dict[str, Any]) -> None:
    beam = msgspec.structs.replace(first(members, Beam), spans_in=(70.0, 71.25))
    assert with_(beam, spans_in=(50.0, 40.0, 51.25)) == [("spans_in", "70, 71.25", "50, 40, 51.25")]


def test_a_part_that_only_one_has_is_told_field_by_field(members: dict[str, Any]) -> None:
    footing = first(members, Footing)
    told = {field: (old, new) for field, old, new in with_(footing, concrete=None)}
    assert told["concrete.shape"] == (footing.concrete.shape, None)
    assert told["concrete.depth_below_grade_in"] == (f"{footing.concrete.depth_below_grade_in:.10g}", None)
    assert not any(field.startswith("pile") for field in told)


def test_a_post_base_that_comes_is_told(members: dict[str, Any]) -> None:
    post = msgspec.structs.replace(first(members, Post), base=None)
    assert with_(post, base="post_base.6x6") == [("base", None, "post_base.6x6")]


@pytest.mark.parametrize("field", sorted(NOT_BUILT - {"id", "because"}))
def test_loads_and_marks_are_no_change(members: dict[str, Any], field: str) -> None:
    having = [one for one in members.values() if field in one.__struct_fields__]
    assert having
    for one in having:
        other = "X" if field == "mark" else getattr(one, field) + 1
        assert with_(one, **{field: other}) == []


def test_members_inside_are_compared_by_their_own_ids(members: dict[str, Any]) -> None:
    stair = first(members, Stair)
    assert stair.landings
    assert with_(stair, landings=()) == []
    (flight,) = stair.flights
    lower = msgspec.structs.replace(flight, riser_in=6.5)
    assert with_(stair, flights=(lower,)) == [("flights.riser_in", f"{flight.riser_in:.10g}", "6.5")]


def test_every_field_of_a_member_but_loads_is_seen(members: dict[str, Any]) -> None:
    """Whatever a member is told to be, a change of it is told."""
    for one in members.values():
        for name in one.__struct_fields__:
            value = getattr(one, name)
            if name in NOT_BUILT or not isinstance(value, (str, int, float)):
                continue
            other = (
                f"{value}x" if isinstance(value, str) else not value if value in (True, False) else value + 1
            )
            assert [told[0] for told in with_(one, **{name: other})] == [name]

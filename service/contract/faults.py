"""Faults between fields of a deck spec that is well formed field by field."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterator, Sequence

from shapely import MultiPoint

from service.contract.faults_levels import level_faults
from service.contract.faults_outline import sound_outline
from service.contract.faults_places import place_faults
from service.contract.faults_walls import wall_faults
from service.contract.plan import SAME_FT
from service.contract.problem import Allowed, Fault, pointer
from service.contract.spec import DeckSpec, GradePointSpec
from service.contract.strict import DEFAULT_LIMITS, Limits, decode

FIRST_DAY = dt.date(2015, 1, 1)
LAST_DAY = dt.date(2099, 12, 31)


def deck_spec(body: bytes, limits: Limits = DEFAULT_LIMITS) -> DeckSpec:
    """Return the deck spec in a body, or raise Rejected with every fault of it.

    >>> body = b'{"jurisdiction": "alder-county", "levels": [{"width_ft": 16, "projection_ft": 12,'
    >>> deck_spec(body + b' "surface_height_in": 34}]}').levels[0].width_ft
    16.0
    """
    return decode(body, DeckSpec, limits, spec_faults)


def spec_faults(spec: DeckSpec) -> Iterator[Fault]:
    """Yield the faults between the fields of a spec.

    >>> from service.contract.spec import LevelSpec
    >>> spec = DeckSpec(levels=(LevelSpec(width_ft=16, projection_ft=12, surface_height_in=36),))
    >>> [fault.pointer for fault in spec_faults(spec)]
    ['/jurisdiction']
    """
    yield from _jurisdiction_faults(spec)
    yield from _date_faults(spec)
    yield from _grade_faults(spec)
    plans = tuple(sound_outline(level) for level in spec.levels)
    yield from level_faults(spec, plans)
    yield from wall_faults(spec, plans)
    yield from place_faults(spec, plans)
    yield from _ply_faults(spec)
    yield from _currency_faults(spec)


def _jurisdiction_faults(spec: DeckSpec) -> Iterator[Fault]:
    local = (spec.rulebook, spec.site.frost_depth_in, spec.site.ground_snow_load_psf)
    if spec.jurisdiction is None and None in local:
        detail = (
            "name a jurisdiction, or else give all of rulebook, site.frost_depth_in "
            "and site.ground_snow_load_psf"
        )
        yield Fault(pointer("jurisdiction"), "missing", detail)


def _date_faults(spec: DeckSpec) -> Iterator[Fault]:
    days = [("/as_of", spec.as_of), ("/schedule/start_date", spec.schedule.start_date)]
    closed = enumerate(spec.schedule.closed_days)
    for at, day in (*days, *((f"/schedule/closed_days/{number}", day) for number, day in closed)):
        if day is not None and not FIRST_DAY <= day <= LAST_DAY:
            allowed = Allowed(min=FIRST_DAY.isoformat(), max=LAST_DAY.isoformat())
            yield Fault(at, "date_out_of_range", f"{day} is not within {FIRST_DAY} to {LAST_DAY}", allowed)


def _grade_faults(spec: DeckSpec) -> Iterator[Fault]:
    site = spec.site
    if site.grade_points is not None and (site.grade_fall_x_in_per_ft or site.grade_fall_y_in_per_ft):
        detail = "give either grade_points or the grade falls"
        yield Fault(pointer("site", "grade_points"), "both_given", detail)
    yield from _ground_point_faults(site.grade_points or ())


def _ground_point_faults(points: Sequence[GradePointSpec]) -> Iterator[Fault]:
    for number, point in enumerate(points):
        if any(_differ(earlier, point) for earlier in points[:number]):
            detail = (
                "an earlier point gives this place another height; put the foot and the top of a wall apart"
            )
            yield Fault(pointer("site", "grade_points", number), "grade_points_differ", detail)
    area = MultiPoint([(point.x_ft, point.y_ft) for point in points]).convex_hull
    # a triangle of this area and length around is an eighth of an inch high
    if points and area.area <= SAME_FT * area.length / 4:
        detail = "the points lie in one line: no triangle, so no ground, can be laid between them"
        yield Fault(pointer("site", "grade_points"), "grade_points_in_line", detail)


def _differ(one: GradePointSpec, other: GradePointSpec) -> bool:
    apart_ft = math.dist((one.x_ft, one.y_ft), (other.x_ft, other.y_ft))
    return apart_ft <= SAME_FT and one.grade_in != other.grade_in


def _ply_faults(spec: DeckSpec) -> Iterator[Fault]:
    framing = spec.framing
    solid = framing.beam_size is not None and not framing.beam_size.startswith("2x")
    if solid and (framing.beam_plies or 1) > 1:
        detail = f"a {framing.beam_size} beam has one ply"
        yield Fault(pointer("framing", "beam_plies"), "out_of_range", detail, Allowed(min=1.0, max=1.0))


def _currency_faults(spec: DeckSpec) -> Iterator[Fault]:
    crew, ceiling = spec.crew, spec.framing.cost_ceiling
    if crew is not None and ceiling is not None and crew.currency != ceiling.currency:
        detail = f"one currency an answer: the crew is paid in {crew.currency}"
        allowed = Allowed(one_of=(crew.currency,))
        yield Fault(pointer("framing", "cost_ceiling", "currency"), "currency_mixed", detail, allowed)

"""From a spec to its levels as they are framed: outline, ground, stairs, space, and what the site means."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from shapely import LineString

from service.checks.judged import Judged, together
from service.checks.site import judge_site
from service.checks.zoning import judge_setbacks
from service.choice.level.case import Case
from service.choice.level.context import Context
from service.choice.level.guarded import guarded_level
from service.choice.level.space import Space, space_of
from service.choice.level.stair_frames import footings_alone
from service.choice.level.stair_sizes import USUAL_POST, stair_ask
from service.connections.door import check_door_step
from service.connections.guards import guard_wanted
from service.contract.plan import outline_in_frame
from service.contract.report_frame import Point
from service.contract.spec import DeckSpec, LevelSpec
from service.framing.boards import Boards
from service.framing.ground import grade_of
from service.framing.sides import Outline, Side, level_outline
from service.framing.stair_clashes import clashes
from service.framing.stair_place import places_of
from service.framing.stairs import StairResult, lay_out_stairs
from service.framing.walls import walls_of
from service.sizing.criteria import Criteria
from service.sizing.lumber import BY_DEPTH
from service.takeoff.items import lumber, treatment
from service.takeoff.ladders import Ladders
from service.takeoff.pricing import for_sale

APART_FT = 1.0
ALONG_FT = 1.5


def cases_of(spec: DeckSpec, context: Context, criteria: Criteria) -> tuple[Case, ...]:
    """Return one case a level, in the caller's order."""
    every = lay_out_stairs(spec.stairs, places_of(spec), criteria)
    stairs = {
        level.id: tuple(one for one, asked in zip(every, spec.stairs, strict=True) if asked.level == level.id)
        for level in spec.levels
    }
    site = _site(spec, context, criteria, every)
    outlines = [level_outline(spec, level) for level in spec.levels]
    cases = (
        _case(spec, level, context, criteria, stairs[level.id], site, outlines[: number + 1])
        for number, level in enumerate(spec.levels)
    )
    return tuple(replace(case, every_stair=every) for case in cases)


def _case(
    spec: DeckSpec,
    level: LevelSpec,
    context: Context,
    criteria: Criteria,
    stairs: tuple[StairResult, ...],
    site: Judged,
    outlines: Sequence[Outline],
) -> Case:
    ground = grade_of(spec.site)
    guarded = guard_wanted(guarded_level(spec, level, outlines[-1], ground), level.guard, criteria)
    ladders, space = Ladders(context.prices), space_of(spec, level, criteria, guarded)
    boards = _boards(ladders, space, criteria)
    by_itself = stair_ask(criteria, boards.longest_in, spec.framing.post_size or USUAL_POST)
    return Case(
        spec=spec,
        context=context,
        level=level,
        outline=outlines[-1],
        criteria=criteria,
        ground=ground,
        walls=walls_of(spec),
        space=space,
        boards=boards,
        guarded=guarded,
        stairs=stairs,
        site=site,
        beside_levels=_beside(outlines[-1], outlines[:-1]),
        alone={
            one.stair.id: count
            for one in stairs
            if one.stair is not None and (count := footings_alone(one, by_itself)) is not None
        },
    )


def _boards(ladders: Ladders, space: Space, criteria: Criteria) -> Boards:
    """The longest boards of each size."""

    def item_of(size: str, *, near: bool, hard_to_replace: bool) -> str:
        use = treatment(criteria.species, ground_contact=near, hard_to_replace=hard_to_replace)
        return lumber(size, criteria.species, criteria.grade, use)

    def joist_in(size: str) -> float:
        """What is treated for the ground stands in for what is not: where it is sold its boards are for both."""
        clear, ground = (item_of(size, near=near, hard_to_replace=False) for near in (False, True))
        return ladders.longest_in(ground if for_sale(ladders.prices, ground) else clear)

    def beam_in(size: str) -> float:
        uses = {item_of(size, near=near, hard_to_replace=True) for near in (False, True)}
        return min(map(ladders.longest_in, uses))

    return Boards(
        ladders.longest_in(item_of("2x10", near=False, hard_to_replace=False)),
        {size: joist_in(size) for size in space.joist_sizes},
        # ledgers may be deeper than the joists a spec leaves open
        {size: beam_in(size) for size in {*space.beam_sizes, *space.joist_sizes, *BY_DEPTH}},
    )


def _beside(outline: Outline, earlier: Sequence[Outline]) -> frozenset[int]:
    """The edges another level begins within a foot of."""
    return frozenset(
        side.edge.number
        for side in outline.sides
        for other in earlier
        if not side.on_house and _meets_along(side, other)
    )


def _meets_along(side: Side, other: Outline) -> bool:
    """Whether a level lies along a side: more than its corner touches it."""
    line = LineString((side.edge.start_ft, side.edge.end_ft))
    return bool(line.intersection(other.polygon.buffer(APART_FT, join_style="mitre")).length > ALONG_FT)


def _at_the_door(spec: DeckSpec) -> LevelSpec:
    """The highest level at the house wall itself, else the first."""
    found = [lv for lv in spec.levels if any(side.wall == "" for side in level_outline(spec, lv).house_sides)]
    return max(found, key=lambda level: level.surface_height_in, default=spec.levels[0])


def _site(spec: DeckSpec, context: Context, criteria: Criteria, stairs: tuple[StairResult, ...]) -> Judged:
    built = [one.stair for one in stairs if one.stair is not None]
    findings, reasons = check_door_step(spec.house, _at_the_door(spec).surface_height_in, context.rulebook)
    corners: list[Point] = [corner for level in spec.levels for corner in outline_in_frame(level)]
    return together(
        [
            judge_site(spec, criteria, context.in_force),
            Judged(findings, reasons),
            judge_setbacks(spec.site.property_lines, corners, built),
            Judged((), clashes(stairs, places_of(spec))),
        ]
    )

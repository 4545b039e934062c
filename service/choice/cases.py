"""From a spec to its levels as they are framed: outline, ground, stairs, space, and what the site means."""

from __future__ import annotations

from service.checks.judged import Judged, together
from service.checks.site import judge_site
from service.checks.zoning import judge_setbacks
from service.choice.case import Case
from service.choice.context import Context
from service.choice.space import space_of
from service.connections.door import check_door_step
from service.contract.plan import outline_in_frame
from service.contract.report_frame import Point
from service.contract.spec import DeckSpec, LevelSpec
from service.framing.ground import grade_of
from service.framing.sides import level_outline
from service.framing.stairs import StairPlace, StairResult, lay_out_stair
from service.sizing.criteria import Criteria
from service.sizing.stair_limits import figure
from service.takeoff.items import lumber, treatment
from service.takeoff.ladders import Ladders


def cases_of(spec: DeckSpec, context: Context, criteria: Criteria) -> tuple[Case, ...]:
    """Return one case a level, in the caller's order."""
    stairs = {level.id: _stairs(spec, level, criteria) for level in spec.levels}
    every = tuple(one for found in stairs.values() for one in found)
    site = _site(spec, context, criteria, every)
    return tuple(_case(spec, level, context, criteria, stairs[level.id], site) for level in spec.levels)


def _stairs(spec: DeckSpec, level: LevelSpec, criteria: Criteria) -> tuple[StairResult, ...]:
    place = StairPlace(
        outline_ft=outline_in_frame(level),
        surface_height_in=level.surface_height_in,
        grade=grade_of(spec.site),
        tread_material=level.decking.material,
    )
    return tuple(
        lay_out_stair(stair, number, place, criteria)
        for number, stair in enumerate(spec.stairs, start=1)
        if stair.level == level.id
    )


def _case(
    spec: DeckSpec,
    level: LevelSpec,
    context: Context,
    criteria: Criteria,
    stairs: tuple[StairResult, ...],
    site: Judged,
) -> Case:
    above = figure(context.rulebook, "guard_required_above").value
    guarded = level.guard.extent == "all_edges" or level.surface_height_in > above
    item = lumber("2x10", criteria.species, criteria.grade, treatment(criteria.species, ground_contact=False))
    return Case(
        spec=spec,
        context=context,
        level=level,
        outline=level_outline(spec, level),
        criteria=criteria,
        ground=grade_of(spec.site),
        space=space_of(spec, level, criteria, guarded),
        stock_in=Ladders(context.prices).longest_in(item),
        guarded=guarded,
        stairs=stairs,
        site=site,
    )


def _site(spec: DeckSpec, context: Context, criteria: Criteria, stairs: tuple[StairResult, ...]) -> Judged:
    built = [one.stair for one in stairs if one.stair is not None]
    findings, reasons = check_door_step(spec.house, spec.levels[0].surface_height_in, context.rulebook)
    corners: list[Point] = [corner for level in spec.levels for corner in outline_in_frame(level)]
    return together(
        [
            judge_site(spec, criteria, context.in_force),
            Judged(findings, reasons),
            judge_setbacks(spec.site.property_lines, corners, built),
        ]
    )

"""The whole flow: a spec and what it is designed against go in, a report comes out."""

from __future__ import annotations

import msgspec

from service.checks.cautions import ALWAYS, local_notes, unique
from service.checks.inputs import inputs_of
from service.checks.judged import Judged, reason, together
from service.checks.permits import permits_of
from service.checks.site import heavy_reasons, judge_site, loads_of
from service.checks.verdict import verdict
from service.checks.would_pass import or_limit
from service.checks.zoning import judge_setbacks
from service.choice.ask import Ask
from service.choice.context import Context
from service.choice.decide import Decision, decide
from service.choice.described import alternatives, attachment_of, no_attachment, over_ceiling
from service.choice.scope import outside_scope
from service.choice.space import space_of
from service.choice.worked import Case, Worked
from service.comparison.compare import nothing_to_compare
from service.connections.door import check_door_step
from service.contract.canonical import digest
from service.contract.report import (
    AmendmentRef,
    DesignReport,
    JurisdictionRef,
    Permits,
    PriceBookRef,
    RulebookRef,
)
from service.contract.report_frame import Clearance, Level
from service.contract.spec import DeckSpec, LevelSpec
from service.framing.ground import grade_of
from service.framing.heights import PIER_TOP_ABOVE_GRADE_IN
from service.framing.layout import WALL_GAP_IN
from service.framing.members import EdgeLoad
from service.framing.outline import Rectangle, corners, rectangle
from service.framing.stairs import StairPlace, StairResult, lay_out_stair
from service.rules.price_book import PriceBook
from service.rules.rulebook import Rulebook
from service.sizing.allowed import without_rule
from service.sizing.criteria import Criteria
from service.sizing.lumber import BY_DEPTH, depth_in
from service.sizing.resolve import criteria_of, resolve_spec
from service.sizing.stair_limits import figure
from service.takeoff.items import lumber, treatment
from service.takeoff.ladders import Ladders
from service.takeoff.order import nothing_to_order
from service.units.citation import Citation
from service.units.finding import numbered
from service.units.rounding import rounded


def design(spec: DeckSpec, context: Context) -> DesignReport:
    """Return the report for a spec, rounded once; the same spec and context give the same bytes."""
    book = f"{context.prices.id}@{context.prices.version}" if context.prices else None
    resolved = resolve_spec(spec, context.rulebook, context.jurisdiction, book, context.as_of)
    criteria = criteria_of(resolved, context.rulebook, context.guide, context.jurisdiction, context.timber)
    missing = outside_scope(resolved)
    rect = rectangle(resolved.levels[0])
    if missing or rect is None:
        return _finished(_without_frame(resolved, context, criteria, missing, code="outside_scope"))
    case = _case(resolved, context, criteria, rect)
    decision = decide(case)
    if decision.chosen is None:
        return _finished(_without_frame(resolved, context, criteria, (_no_room(case),), case))
    return _finished(_report(case, decision, decision.chosen))


def _finished(report: DesignReport) -> DesignReport:
    """Round every number but the caller's own: the resolved spec must give the same design again."""
    return msgspec.structs.replace(rounded(report), resolved_spec=report.resolved_spec)


def _stairs(spec: DeckSpec, rect: Rectangle, criteria: Criteria) -> tuple[StairResult, ...]:
    place = StairPlace(
        outline_ft=rect.corners_ft,
        surface_height_in=spec.levels[0].surface_height_in,
        grade=grade_of(spec.site),
        tread_material=spec.levels[0].decking.material,
    )
    return tuple(
        lay_out_stair(stair, number, place, criteria) for number, stair in enumerate(spec.stairs, start=1)
    )


def _stair_loads(stairs: tuple[StairResult, ...], rect: Rectangle) -> tuple[EdgeLoad, ...]:
    """The loads of stairs on the yard edge."""
    loads = [s.load for s in stairs if s.load is not None and s.load.edge == rect.yard_edge]
    ends = [sorted((12 * (x.start_ft[0] - rect.x_ft), 12 * (x.end_ft[0] - rect.x_ft))) for x in loads]
    return tuple(EdgeLoad(a, b, load.reaction_lb) for load, (a, b) in zip(loads, ends, strict=True))


def _case(spec: DeckSpec, context: Context, criteria: Criteria, rect: Rectangle) -> Case:
    level = spec.levels[0]
    stairs = _stairs(spec, rect, criteria)
    loads = _stair_loads(stairs, rect)
    edge_plf = max((12 * one.load_lb / (one.end_in - one.start_in) for one in loads), default=0.0)
    above = figure(context.rulebook, "guard_required_above").value
    guarded = level.guard.extent == "all_edges" or level.surface_height_in > above
    item = lumber("2x10", criteria.species, criteria.grade, treatment(criteria.species, ground_contact=False))
    ask = Ask(
        level=level.id,
        rectangle=rect,
        surface_in=level.surface_height_in,
        decking_in=level.decking.thickness_in,
        ground=grade_of(spec.site),
        criteria=criteria,
        space=space_of(spec, level, criteria, guarded),
        stock_in=Ladders(context.prices).longest_in(item),
        gap_in=0.0 if spec.house.wall == "none" else WALL_GAP_IN,
        stair_on_yard=edge_plf > 0,
        stair_span_ft=2 * edge_plf / criteria.design_psf,
        stair_loads=loads,
    )
    return Case(spec, context, level, ask, guarded, stairs, _site(spec, context, criteria, rect, stairs))


def _site(
    spec: DeckSpec,
    context: Context,
    criteria: Criteria,
    rect: Rectangle,
    stairs: tuple[StairResult, ...],
) -> Judged:
    built = [one.stair for one in stairs if one.stair is not None]
    findings, reasons = check_door_step(spec.house, spec.levels[0].surface_height_in, context.rulebook)
    return together(
        [
            judge_site(spec, criteria, context.in_force),
            Judged(findings, reasons),
            judge_setbacks(spec.site.property_lines, rect.corners_ft, built),
        ]
    )


def _missing_in(level: LevelSpec) -> float | None:
    """How much higher the surface has to be for the shallowest frame, beams flush, to clear the ground."""
    shallowest = level.surface_height_in - level.decking.thickness_in - depth_in(BY_DEPTH[0])
    short = PIER_TOP_ABOVE_GRADE_IN - shallowest
    return short if short > 0 else None


def _no_room(case: Case) -> str:
    missing = _missing_in(case.level)
    if missing is not None:
        return (
            f"The frame does not fit under the boards: {missing:g} in are missing even with 2x6s and flush beams. "
            "Raise the surface, or dig the ground away and drain it."
        )
    refusals = without_rule(case.ask.criteria)
    if refusals:
        return f"No rule sizes every member here: {'; '.join(refusals)}."
    return (
        f"No frame stands with the surface {case.ask.surface_in:g} in above the ground and the sizes asked for: "
        "joists, a beam and 3 in under it do not fit, or no size reaches. Raise the surface, or let sizes be chosen."
    )


def design_id(spec: DeckSpec, context: Context) -> str:
    """Return the id of a design: a digest of everything it depends on but the caller's reference.

    SHA-256 over the RFC 8785 form, first 32 hex digits.
    """
    plain = msgspec.to_builtins(msgspec.structs.replace(spec, reference=None))
    plain.pop("reference", None)
    content = {
        "engine_version": context.engine_version,
        "jurisdiction": context.jurisdiction.digest if context.jurisdiction else None,
        "rulebook": context.rulebook.digest,
        "price_book": context.prices.digest if context.prices else None,
        "resolved_spec": plain,
    }
    return digest(content)[:32]


def _permits(case: Case, chosen: Worked, attached: bool) -> Permits:
    method = chosen.method.method if chosen.method else None
    return permits_of(
        case.spec,
        case.context.jurisdiction,
        attached,
        method,
        sum(lv.area_sqft for lv in chosen.frame.levels),
    )


def _empty_levels(spec: DeckSpec) -> tuple[Level, ...]:
    return tuple(
        Level(
            id=level.id,
            area_sqft=_area_sqft(corners(level)),
            clearance=Clearance(
                surface_height_in=level.surface_height_in,
                joist_bottom_height_in=None,
                lowest_beam_bottom_height_in=None,
                lowest_beam_above_grade_in=None,
                missing_in=_missing_in(level),
            ),
        )
        for level in spec.levels
    )


def _area_sqft(points: tuple[tuple[float, float], ...]) -> float:
    around = zip(points, points[1:] + points[:1], strict=True)
    return abs(sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in around)) / 2


def _without_frame(
    spec: DeckSpec,
    context: Context,
    criteria: Criteria,
    why: tuple[str, ...],
    case: Case | None = None,
    code: str = "no_frame_found",
) -> DesignReport:
    """Return the report of a deck that no frame was found for: everything but members."""
    site = case.site if case else judge_site(spec, criteria, context.in_force)
    none = (reason(code, text) for text in why)
    judged = site + Judged(reasons=(*heavy_reasons(spec), *none))
    place, book, prices = context.jurisdiction, context.rulebook, context.prices
    return DesignReport(
        design_id=design_id(spec, context),
        reference=spec.reference,
        as_of=context.as_of.isoformat(),
        engine_version=context.engine_version,
        jurisdiction=JurisdictionRef(id=place.id, version=place.version, digest=place.digest)
        if place
        else None,
        amendments=_amendments(book),
        rulebook=RulebookRef(id=book.id, edition=book.edition, version=book.version, digest=book.digest),
        price_book=_price_book(prices) if prices else None,
        resolved_spec=spec,
        objective_used="cost" if prices else "no_prices",
        inputs=inputs_of(spec, book, place),
        verdict=verdict(judged, book.in_force_settings.calculated_engineer_ratio),
        attachment=no_attachment(why),
        loads=loads_of(criteria),
        levels=_empty_levels(spec),
        posts=(),
        footings=(),
        stairs=(),
        checks=tuple(numbered([or_limit(found) for found in judged.findings])),
        takeoff=nothing_to_order(),
        footing_comparison=nothing_to_compare(why),
        alternatives=(),
        preference_costs=(),
        permits=permits_of(spec, place, False, None, 0.0),
        cautions=unique((*ALWAYS, *local_notes(place), *judged.cautions)),
    )


def _amendments(book: Rulebook) -> tuple[AmendmentRef, ...]:
    return tuple(
        AmendmentRef(id=a.id, title=a.title, citation=Citation(document=a.document, section=a.section))
        for a in book.amendments
    )


def _price_book(prices: PriceBook) -> PriceBookRef:
    return PriceBookRef(id=prices.id, version=prices.version, digest=prices.digest, currency=prices.currency)


def _report(case: Case, decision: Decision, chosen: Worked) -> DesignReport:
    """Return the whole report: the one without a frame, with the frame put in."""
    frame = chosen.frame
    return msgspec.structs.replace(
        _without_frame(case.spec, case.context, case.ask.criteria, (), case),
        objective_used="no_prices" if case.context.prices is None else decision.objective,
        verdict=chosen.verdict,
        attachment=attachment_of(case, decision, chosen),
        levels=frame.levels,
        posts=frame.posts,
        footings=frame.footings,
        stairs=frame.stairs,
        checks=tuple(numbered([or_limit(found) for found in chosen.judged.findings])),
        takeoff=chosen.takeoff,
        footing_comparison=chosen.comparison.wire,
        alternatives=alternatives(decision, chosen),
        permits=_permits(case, chosen, chosen.layout.attached),
        cautions=unique(
            (
                *ALWAYS,
                *local_notes(case.context.jurisdiction),
                *chosen.judged.cautions,
                *over_ceiling(case, chosen),
            )
        ),
    )

"""The whole flow: a spec and what it is designed against go in, a report comes out."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import msgspec

from service.checks.cautions import ALWAYS, local_notes, unique
from service.checks.inputs import inputs_of
from service.checks.judged import Judged, reason
from service.checks.permits import permits_of
from service.checks.site import heavy_reasons, judge_site, loads_of
from service.checks.verdict import verdict
from service.checks.would_pass import or_limit
from service.choice.level.case import Case
from service.choice.level.cases import cases_of
from service.choice.level.context import Context
from service.choice.level.worked import Worked
from service.choice.search.decide import Decision, decide, unframed
from service.choice.wishes.beside import Answered, shown_of
from service.choice.wishes.described import attachment_of, no_attachment, over_ceiling
from service.choice.wishes.ground_options import ground_beside_house
from service.choice.wishes.materials import in_material, material_options
from service.choice.wishes.other_frames import alternatives, left_out
from service.choice.wishes.scope import outside_scope
from service.choice.wishes.searched import search_told
from service.choice.wishes.side_by_side import side_by_side
from service.choice.wishes.wishing import granted, preference_costs
from service.comparison.told import nothing_to_compare, told
from service.contract.canonical import digest
from service.contract.plan import area_sqft, outline_in_frame
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
from service.foundations.ground_told import ground_told
from service.framing.heights import PIER_TOP_ABOVE_GRADE_IN
from service.framing.sides import corners_in_frame, level_outline
from service.rules.choice import rulebook_in_force
from service.rules.price_book import PriceBook
from service.rules.rulebook import Rulebook
from service.sizing.allowed import without_rule
from service.sizing.criteria import Criteria
from service.sizing.lumber import BY_DEPTH, depth_in
from service.sizing.resolve import criteria_of, resolve_spec
from service.takeoff.order import nothing_to_order
from service.takeoff.order_words import order_cautions
from service.units.citation import Citation
from service.units.finding import numbered
from service.units.rounding import rounded


def design(spec: DeckSpec, context: Context, *, with_wishes: bool = False) -> DesignReport:
    """Return the report for a spec, rounded once; the same spec and context give the same bytes.

    ``with_wishes`` has other frames sought and wishes priced: both take longer than the design itself.
    """
    book = f"{context.prices.id}@{context.prices.version}" if context.prices else None
    with context.watch.stage("criteria"):
        resolved = resolve_spec(spec, context.rulebook, context.jurisdiction, book, context.as_of)
        criteria = criteria_of(
            resolved, context.rulebook, context.guide, context.jurisdiction, context.timber
        )
    missing = outside_scope(resolved, context.prices)
    if missing:
        return _finished(_without_frame(resolved, context, criteria, missing, code="outside_scope"))
    with context.watch.stage("search"):
        cases = cases_of(resolved, context, criteria)
        decisions = [decide(case) for case in cases]
    found = [one.chosen for one in decisions if one.chosen is not None]
    if len(found) < len(decisions):
        without = [case for case, one in zip(cases, decisions, strict=True) if one.chosen is None]
        why = tuple(_no_room(case) for case in without)
        code = "outside_scope" if all(_no_rows(case) for case in without) else "no_frame_found"
        return _finished(_without_frame(resolved, context, criteria, why, cases[0], code))
    with context.watch.stage("report"):
        settled, chosen = side_by_side(decisions)
        report = _report(cases[0], settled, chosen)
        found_in = in_material(report, cases[0], chosen)
    if isinstance(found_in, DesignReport):
        with context.watch.stage("beside"):
            return _finished(_beside(found_in, settled, chosen, with_wishes=with_wishes))
    why = tuple(one.text for one in found_in)
    return _finished(_without_frame(resolved, context, criteria, why, cases[0], "outside_scope"))


def _finished(report: DesignReport) -> DesignReport:
    """Round every number but the caller's own: the resolved spec must give the same design again."""
    return msgspec.structs.replace(rounded(report), resolved_spec=report.resolved_spec)


def _missing_in(level: LevelSpec) -> float | None:
    """How much higher the surface has to be for the shallowest frame, beams flush, to clear the ground."""
    shallowest = level.surface_height_in - level.decking.thickness_in - depth_in(BY_DEPTH[0])
    short = PIER_TOP_ABOVE_GRADE_IN - shallowest
    return short if short > 0 else None


def _no_room(case: Case) -> str:
    said = "" if len(case.spec.levels) == 1 else f"Level {case.level.id}: "
    return said + _why_no_room(case)


def _no_rows(case: Case) -> bool:
    """Whether it is the outline that no frame fits, not the height, the sizes or the rules."""
    return _missing_in(case.level) is None and not without_rule(case.criteria) and unframed(case)


def _why_no_room(case: Case) -> str:
    if _no_rows(case):
        return (
            "No beams can be laid under every edge of this outline: a part is too narrow or too sharp for beams and "
            "posts of its own. Draw it as simpler levels, or have an engineer frame it."
        )
    missing = _missing_in(case.level)
    if missing is not None:
        return (
            f"The frame does not fit under the boards: {missing:g} in are missing even with 2x6s and flush beams. "
            "Raise the surface, or dig the ground away and drain it."
        )
    refusals = without_rule(case.criteria)
    if refusals:
        return f"No rule sizes every member here: {'; '.join(refusals)}."
    return (
        f"No frame stands with the surface {case.level.surface_height_in:g} in up and the sizes asked for: "
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
    return digest({**content, **_assumed(context)})[:32]


def _assumed(context: Context) -> dict[str, Any]:
    """What a design takes to be in force otherwise than its versions say on its day: then it is another design.

    Days to come can change, and what a place would have by another edition is asked as if it were in force there.
    """
    place, out = context.jurisdiction, context.rulebook.out_of_force
    by_place = None if place is None else rulebook_in_force(place, context.as_of)
    assumed: dict[str, Any] = {"out_of_force": list(out)} if out else {}
    if context.in_force != by_place:
        assumed["in_force"] = context.in_force
    return assumed


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
            area_sqft=area_sqft(outline_in_frame(level)),
            clearance=Clearance(
                surface_height_in=level.surface_height_in,
                joist_bottom_height_in=None,
                lowest_beam_bottom_height_in=None,
                lowest_beam_above_grade_in=None,
                missing_in=_missing_in(level),
            ),
            outline_ft=corners_in_frame(level),
            house_lines_ft=level_outline(spec, level).house_lines_ft,
        )
        for level in spec.levels
    )


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
        ground=ground_told(spec, criteria, context.facts),
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
    # One that changes several columns is told once.
    told = {a.id: a for a in book.amendments}
    return tuple(
        AmendmentRef(id=a.id, title=a.title, citation=Citation(document=a.document, section=a.section))
        for a in told.values()
    )


def _price_book(prices: PriceBook) -> PriceBookRef:
    return PriceBookRef(id=prices.id, version=prices.version, digest=prices.digest, currency=prices.currency)


def _beside(
    report: DesignReport, decisions: Sequence[Decision], chosen: Worked, *, with_wishes: bool
) -> DesignReport:
    """Return the report with other frames, and with what wishes cost where they are asked for.

    Without, the other frames are those the decision came by: the nearest that stands, and the other way of support.
    """
    answered = Answered(tuple(decisions), chosen, shown_of(report))
    wishes = tuple(granted(answered)) if with_wishes else ()
    return msgspec.structs.replace(
        report,
        attachment=attachment_of(answered),
        search=search_told(answered),
        alternatives=alternatives(answered, wishes, sought=with_wishes),
        preference_costs=preference_costs(answered, wishes, report.material_options) if with_wishes else (),
        cautions=unique(
            (*report.cautions, *over_ceiling(answered.cases[0], report.takeoff), *left_out(answered))
        ),
    )


def _report(case: Case, decisions: Sequence[Decision], chosen: Worked) -> DesignReport:
    """Return the whole report: the one without a frame, with the frame put in."""
    frame = chosen.frame
    return msgspec.structs.replace(
        _without_frame(case.spec, case.context, case.criteria, (), case),
        objective_used="no_prices" if case.context.prices is None else decisions[0].objective,
        verdict=chosen.verdict,
        levels=frame.levels,
        posts=frame.posts,
        footings=frame.footings,
        ground=ground_told(case.spec, case.criteria, case.context.facts, frame.footings),
        stairs=frame.stairs,
        checks=tuple(numbered([or_limit(found) for found in chosen.judged.findings])),
        takeoff=chosen.takeoff,
        footing_comparison=msgspec.structs.replace(
            told(chosen.comparison, case.spec, case.context.prices, case.context.facts, chosen.verdict_apart),
            ground_beside_house=ground_beside_house(decisions, chosen),
        ),
        material_options=material_options(case, chosen),
        permits=_permits(case, chosen, chosen.attached),
        cautions=unique(
            (
                *ALWAYS,
                *local_notes(case.context.jurisdiction),
                *chosen.judged.cautions,
                *order_cautions(chosen.takeoff),
            )
        ),
    )

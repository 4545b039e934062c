"""The framing materials a builder is offered besides treated sawn lumber, and decks framed of them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal
from typing import get_args

import msgspec

from service.checks.cautions import unique
from service.checks.judged import caution
from service.checks.verdict import verdict
from service.checks.would_pass import or_limit
from service.choice.level.case import Case
from service.choice.level.heavy import without_refused
from service.choice.level.stair_frames import without_supports
from service.choice.level.worked import Worked, groundwork_of
from service.choice.wishes.material_frame import Replaced, judged_again, replaced, shown_frame
from service.choice.wishes.material_places import Place, Taken, places_of
from service.choice.wishes.material_words import cautions_of, fasteners_of
from service.contract.money import Money, money
from service.contract.price_sections import SectionMaterial
from service.contract.report import Caution, DesignReport
from service.contract.report_choice import MaterialMember, MaterialOption
from service.contract.report_comparison import CodedText, Status
from service.rules.price_book import PriceBook
from service.rules.sections import SupplierSection
from service.takeoff.order import take_off
from service.takeoff.order_words import order_cautions
from service.units.finding import numbered

MATERIALS: tuple[str, ...] = get_args(SectionMaterial)


def why_no_sections(prices: PriceBook | None, material: str) -> tuple[CodedText, ...]:
    """Return why no member can be of a material, by the price book alone; empty where it has sections of it.

    >>> why_no_sections(None, "light_gauge_steel")[0].code
    'no_price_book'
    """
    plain = material.replace("_", " ")
    if prices is None:
        text = f"Sections of {plain} come from a supplier's price book, and none is named."
        return (CodedText("no_price_book", text),)
    if not any(one.material == material for one in prices.sections):
        return (CodedText("no_sections", f"{prices.id}@{prices.version} has no sections of {plain}."),)
    return ()


def _sections(prices: PriceBook, material: str) -> list[SupplierSection]:
    return [one for one in prices.sections if one.material == material]


def material_options(case: Case, worked: Worked) -> tuple[MaterialOption, ...]:
    """Return, for each material, what the frame would be with a supplier's sections in it, or why there are none.

    Args:
        case: the deck, with its price book
        worked: its frame of sawn lumber
    """
    prices = case.context.prices
    # looked at once for all materials, and not at all where the price book has no section
    places = places_of(case, worked, prices) if prices is not None and prices.sections else ()
    return tuple(_option(case, worked, material, places) for material in MATERIALS)


def _option(case: Case, worked: Worked, material: str, places: Sequence[Place]) -> MaterialOption:
    prices, already = case.context.prices, case.spec.framing.material == material
    why = why_no_sections(prices, material)
    if prices is None or why:
        return _without(material, already, why)
    found = replaced(case, worked, places, _sections(prices, material), prices)
    if not found.taken:
        return _without(material, already, found.why)
    members = tuple(_member(one, found, prices) for one in found.taken)
    ratios = [one.span_ratio for one in members if one.span_ratio is not None]
    status = _status(case, worked, found, f"{prices.id}@{prices.version}")
    return MaterialOption(
        material=material,
        already=already,
        verdict=status,
        members=members,
        stays_sawn=found.stays,
        span_ratio=min(ratios, default=None),
        price_ratio=_price_ratio(found),
        cost_change=None if found.cost_change is None else money(prices.currency, found.cost_change),
        fasteners=fasteners_of(material),
        cautions=cautions_of(material),
        why_not=found.why,
    )


def _status(case: Case, worked: Worked, found: Replaced, book: str) -> Status:
    """An engineer's whatever the checks say, but where the rulebook names the supplier's tables."""
    settings = case.criteria.rulebook.in_force_settings
    if settings.names_sections_of(book):
        judged = judged_again(worked, found, case.criteria)
        return verdict(judged, settings.calculated_engineer_ratio).status
    return "not_permitted" if worked.verdict.status == "not_permitted" else "engineer_required"


def _without(material: str, already: bool, why: tuple[CodedText, ...]) -> MaterialOption:
    return MaterialOption(
        material=material, already=already, verdict=None, members=(), stays_sawn=(), span_ratio=None,
        price_ratio=None, cost_change=None, fasteners=(), cautions=(), why_not=why,
    )  # fmt: skip


def _member(one: Taken, found: Replaced, prices: PriceBook) -> MaterialMember:
    place, span_in = one.place, one.place.span(one.ply).value
    was = found.sawn_cost[place.member]
    return MaterialMember(
        member=place.member,
        sawn=place.sawn,
        section=one.ply.section.section,
        plies=one.ply.plies,
        item=one.ply.section.item,
        span_in=span_in,
        sawn_span_in=place.sawn_span_in,
        span_ratio=None if place.sawn_span_in is None else span_in / place.sawn_span_in,
        price_per_ft=_a_foot(one, one.cost, prices),
        sawn_price_per_ft=_a_foot(one, was, prices),
        price_ratio=None if not was else float(one.cost / was),
        governing=one.worst.check,
        ratio=one.worst.ratio or 0.0,
    )


def _a_foot(one: Taken, cost: Decimal | None, prices: PriceBook) -> Money | None:
    """What a foot of the member costs, all its plies."""
    lengths = sum(part.quantity * part.length_in for part in one.place.pieces)
    plies = one.place.plies if one.place.use == "beam" else 1
    feet = Decimal(str(lengths)) / (12 * plies)
    return None if cost is None or not feet else money(prices.currency, cost / feet)


def _price_ratio(found: Replaced) -> float | None:
    sawn = [found.sawn_cost[one.place.member] for one in found.taken]
    known = [cost for cost in sawn if cost is not None]
    if len(known) < len(sawn) or not sum(known):
        return None
    return float(sum(one.cost for one in found.taken) / sum(known))


def in_material(report: DesignReport, case: Case, worked: Worked) -> DesignReport | tuple[CodedText, ...]:
    """Return the report with members of the material the spec asks for, or why none of them can be of it.

    A report of sawn lumber stays as it is. Options, alternatives and footing methods of another material are those
    of the frame of sawn lumber, which a caution says.
    """
    material, prices = case.spec.framing.material, case.context.prices
    if material not in MATERIALS:
        return report
    why = why_no_sections(prices, material)
    if prices is None or why:
        return why
    found = replaced(case, worked, places_of(case, worked, prices), _sections(prices, material), prices)
    if not found.taken:
        return found.why
    judged = judged_again(worked, found, case.criteria)
    limit = case.criteria.rulebook.in_force_settings.calculated_engineer_ratio
    shown = shown_frame(worked.frame, found)
    order = take_off(
        found.laid, case.spec, case.criteria, prices, groundwork_of(worked.method), found.swapped
    )
    for work in worked.levels:
        order = without_supports(without_refused(order, work.heavy), work.stairs)
    # what is told of the sawn frame alone goes with it
    sawn = {*order_cautions(worked.takeoff), *worked.judged.cautions}
    answered = verdict(judged, limit)
    return msgspec.structs.replace(
        report,
        verdict=answered,
        material_options=tuple(
            msgspec.structs.replace(one, verdict=answered.status) if one.already else one
            for one in report.material_options
        ),
        levels=shown.levels,
        posts=shown.posts,
        checks=tuple(numbered([or_limit(finding) for finding in judged.findings])),
        takeoff=order,
        cautions=unique(
            (
                *(one for one in report.cautions if one not in sawn),
                *judged.cautions,
                *order_cautions(order),
                *_said(material, found),
            )
        ),
    )


def _said(material: str, found: Replaced) -> Iterator[Caution]:
    actions = {
        "supplier_values_govern": "Give the section table and these checks to the engineer who signs for the frame.",
        "unlike_metals": "Lay the tape the order has, and use fasteners of the sections' own zinc or stainless.",
        "steel_is_not_notched": "Have every hole and cut made as the maker's listing shows.",
        "section_stays_dry_ends": "Brush cut ends, and tape the tops of beams before joists go on.",
    }
    for one in cautions_of(material):
        yield caution(one.code, one.text, actions[one.code])
    if found.stays:
        names = ", ".join(found.stays)
        because = " ".join(one.text for one in found.why)
        yield caution("material_in_part", f"{names}: of treated sawn lumber. {because}", "Order both.")

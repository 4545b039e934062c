"""A frame of sawn lumber with sections of a supplier's in place of its joists and beams, member by member.

Where members stand, their spacing and their depths stay those of the sawn frame, and so do posts, ledger, rims,
blocking, guards and stairs: only what a section of the same depth carries is replaced, by calculation.
"""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import TypeVar

import msgspec

from service.checks.calculated import joist_findings
from service.checks.frame import judge_joists
from service.checks.judged import Judged, reason
from service.checks.verdict import slightly_over
from service.choice.level.case import Case
from service.choice.level.worked import Worked
from service.choice.wishes.material_places import Place, Taken, pieces_cost, take
from service.connections.posts import bearing_rule, seat_width_in
from service.contract.report import Caution, Reason
from service.contract.report_comparison import CodedText
from service.contract.report_frame import Beam, Joists, Level, Post
from service.framing.frame import Frame
from service.rules.price_book import PriceBook
from service.rules.sections import SupplierSection
from service.sizing.criteria import Criteria
from service.sizing.supplier_sections import Ply
from service.takeoff.connectors import connectors
from service.takeoff.items import inches, plies
from service.takeoff.nailing import connector_nails, nails
from service.takeoff.needs import Need
from service.takeoff.pricing import PACKED_UNITS, for_sale
from service.takeoff.substituting import bought_needs
from service.takeoff.swapped import NOTHING, Swapped, seat_of
from service.units.finding import Finding, at_least
from service.units.working import step

TABLE_CHECKS = frozenset({"joist_span", "joist_cantilever"})
BEAM_CHECKS = frozenset(
    {
        "beam_span", "beam_bending", "beam_shear", "beam_bearing_on_post", "beam_deflection",
        "beam_ply_fasteners", "beam_splice_over_post",
    }
)  # fmt: skip
BEAM_REASONS = frozenset({"size_or_spacing_off_tables", "grade_off_tables", "calculation_exceeds_table"})
UNPROVEN = "section_connection_unproven"
SAWN_CAUTIONS = frozenset({"table_row_suspect", "value_from_memory"})

Member = TypeVar("Member", Joists, Beam)


@dataclass(frozen=True)
class Replaced:
    """What takes the place of which member, and why others stay of sawn lumber.

    ``cost_change`` is what pieces and metal of the replaced members cost more than sawn ones, at list prices; null
    where something has no price.
    """

    taken: tuple[Taken, ...]
    stays: tuple[str, ...]
    why: tuple[CodedText, ...]
    sawn_cost: Mapping[str, Decimal | None]
    swapped: Swapped
    laid: Frame
    cost_change: Decimal | None


def replaced(
    case: Case,
    worked: Worked,
    places: Sequence[Place],
    sections: Sequence[SupplierSection],
    prices: PriceBook,
) -> Replaced:
    """Return which of the places in a frame of sawn lumber sections of one material take."""
    found = [(place, take(place, sections, prices, case.criteria)) for place in places]
    taken = tuple(one for _, one in found if isinstance(one, Taken))
    why = tuple(dict.fromkeys(text for _, one in found if not isinstance(one, Taken) for text in one))
    of_plies = {one.place.member: one.ply for one in taken}
    laid = _laid(worked.frame, of_plies)
    swapped = Swapped(of_plies, _under(laid, of_plies))
    sawn = {one.place.member: pieces_cost(prices, one.place.pieces) for one in taken}
    stays = tuple(place.member for place, one in found if not isinstance(one, Taken))
    change = _cost_change(case.criteria, (worked.frame, laid), swapped, taken, sawn, prices)
    return Replaced(taken, stays, why, sawn, swapped, laid, change)


def _laid(frame: Frame, members: Mapping[str, Ply]) -> Frame:
    """The frame with as many plies in its beams as sections take, whole; their names are still those of sawn lumber."""
    levels = tuple(
        msgspec.structs.replace(level, beams=tuple(_plied(beam, members) for beam in level.beams))
        for level in frame.levels
    )
    return replace(frame, levels=levels)


def _plied(beam: Beam, members: Mapping[str, Ply]) -> Beam:
    ply = members.get(beam.id)
    return beam if ply is None else msgspec.structs.replace(beam, plies=ply.plies, splices=())


def _under(frame: Frame, members: Mapping[str, Ply]) -> dict[str, Ply]:
    """Posts and footings that a beam of a section sits on."""
    under = {post.id: members[post.beam] for post in frame.posts if post.beam in members}
    for footing in frame.footings:
        beam = footing.id.replace(".footing-", ".beam-").rpartition("-")[0]
        ply = members.get(footing.serves) or members.get(beam)
        if footing.post is None and ply is not None:
            under[footing.id] = ply
    return under


def _cost_change(
    criteria: Criteria,
    frames: tuple[Frame, Frame],
    swapped: Swapped,
    taken: Iterable[Taken],
    before: Mapping[str, Decimal | None],
    prices: PriceBook,
) -> Decimal | None:
    touched = {*swapped.members, *swapped.under}
    old, new = (
        _metal_cost(frame, criteria, prices, with_, touched)
        for frame, with_ in zip(frames, (NOTHING, swapped), strict=True)
    )
    pieces = [(one.cost, before[one.place.member]) for one in taken]
    known = [cost - was for cost, was in pieces if was is not None]
    if old is None or new is None or len(known) < len(pieces):
        return None
    return new - old + sum(known, Decimal(0))


def _metal_cost(
    frame: Frame, criteria: Criteria, prices: PriceBook, swapped: Swapped, touched: Container[str]
) -> Decimal | None:
    """What connectors and nails of some members cost at list price, by the piece; None where one has no price."""
    coating = criteria.coating
    asked = _summed(swapped.metal(one for one in connectors(frame, coating) if one.member in touched))
    metal = list(bought_needs(asked, prices))
    nailed = (one for one in nails(frame, criteria) if one.member in touched)
    fixings = swapped.fixings((*connector_nails(metal, coating), *nailed), coating)
    total = Decimal(0)
    for need in _summed((*metal, *fixings, *swapped.more(frame, coating))):
        each = _each(need, prices)
        if each is None and need.quantity and not need.because:
            return None
        total += (each or Decimal(0)) * Decimal(str(need.quantity))
    return total


def _summed(needs: Iterable[Need]) -> list[Need]:
    """Needs of one item for one member as one."""
    found: dict[tuple[str, str, str], Need] = {}
    for need in needs:
        key = (need.item, need.member, need.because)
        before = found.get(key)
        found[key] = need if before is None else before._replace(quantity=before.quantity + need.quantity)
    return list(found.values())


def _each(need: Need, prices: PriceBook) -> Decimal | None:
    lines = for_sale(prices, need.item)
    if not lines:
        return None
    pack = lines[0].pack_quantity if lines[0].unit in PACKED_UNITS else None
    return lines[0].unit_price / (pack or 1)


def shown_frame(frame: Frame, found: Replaced) -> Frame:
    """Return the frame as it is answered: replaced members by the names of their sections, caps as wide as they are."""
    members, under = found.swapped.members, found.swapped.under
    return replace(
        found.laid,
        levels=tuple(_named(level, members) for level in found.laid.levels),
        posts=tuple(_capped(post, under.get(post.id)) for post in frame.posts),
    )


def _named(level: Level, members: Mapping[str, Ply]) -> Level:
    return msgspec.structs.replace(
        level,
        joists=tuple(_of_section(one, members.get(one.id)) for one in level.joists),
        beams=tuple(_of_section(one, members.get(one.id)) for one in level.beams),
    )


def _of_section(member: Member, ply: Ply | None) -> Member:
    if ply is None:
        return member
    one = ply.section
    return msgspec.structs.replace(
        member, size=one.section, species=one.material, grade=one.item.split(".")[2], plies=ply.plies
    )


def _capped(post: Post, ply: Ply | None) -> Post:
    if ply is None or post.cap is None:
        return post
    return msgspec.structs.replace(post, cap=seat_of(post.cap, inches(ply.width_in)))


def judged_again(worked: Worked, found: Replaced, criteria: Criteria) -> Judged:
    """Return what is judged of the frame with its sections: their checks in the place of the sawn members'."""
    taken = {one.place.member: one for one in found.taken}
    old = [
        part
        for work in worked.levels
        for members in work.built
        if members.joists.id in taken
        for part in (
            judge_joists(members, criteria),
            Judged(tuple(joist_findings(members, criteria, criteria.timber)) if criteria.timber else ()),
        )
    ]
    gone = [finding for part in old for finding in part.findings]
    unsaid = [reason for part in old for reason in part.reasons]
    beams = {name for name, one in taken.items() if one.place.use == "beam"}
    kept = tuple(
        one
        for one in worked.judged.findings
        if not (one.member in beams and one.check in BEAM_CHECKS)
        and not (one.member in taken and one.check in TABLE_CHECKS)
        and one not in gone
    )
    reasons = tuple(
        one
        for one in worked.judged.reasons
        if not (one.member in beams and one.code in BEAM_REASONS) and one not in unsaid
    )
    said = {caution for part in old for caution in part.cautions}
    new = tuple(finding for one in found.taken for finding in one.findings)
    seats = tuple(
        _seat(one, members.layout.post_size, criteria)
        for work in worked.levels
        for members in work.built
        for beam in members.beams
        if (one := taken.get(beam.id)) is not None
    )
    cautions = tuple(one for one in worked.judged.cautions if one not in said and not _of_sawn(one, beams))
    judged = Judged((*kept, *new, *seats), (*reasons, *_unproven(worked, found)), cautions)
    limit = criteria.rulebook.in_force_settings.calculated_engineer_ratio
    return judged + Judged((), (), slightly_over(judged, limit))


def _unproven(worked: Worked, found: Replaced) -> Iterator[Reason]:
    """What no section table settles, accepted or not: what joins such members, and remembered formulas."""
    beams = {beam.id: beam for level in worked.frame.levels for beam in level.beams}
    for one in found.taken:
        member, of = one.place.member, f"{one.place.member} of {one.ply.section.section}"
        if not one.ply.is_wood:
            yield reason(
                UNPROVEN, f"{of}: how steel meets wooden ledgers, rims and posts is designed.", member
            )
        flush = member in beams and beams[member].placement == "flush"
        if flush and one.ply.plies > 1:
            text = (
                f"{of}: joists hang on one face, and the maker's schedule says what holds its plies together."
            )
            yield reason(UNPROVEN, text, member)
    sections = {one.place.member for one in found.taken}
    for level in worked.frame.levels:
        for member in [one.id for one in level.joists if level.guards and one.id in sections]:
            yield reason(
                UNPROVEN, f"Guard posts on {member} are proven on blocked sawn joists alone.", member
            )
        for member in [one.id for one in level.beams if level.braces and one.id in sections]:
            yield reason(UNPROVEN, f"Braces to {member} are proven on sawn beams alone.", member)


def _of_sawn(one: Caution, beams: Iterable[str]) -> bool:
    """Whether a caution is of a table or a calculation that sections have put aside."""
    if one.code == "table_permits_calculation_does_not":
        return True  # told again, of what is left
    return one.code in SAWN_CAUTIONS and any(f" {beam} " in one.text for beam in beams)


def _seat(one: Taken, post_size: str, criteria: Criteria) -> Finding:
    """Every ply bears: the post is as wide as the beam of the section."""
    room, width = seat_width_in(post_size), one.ply.width_in
    steps = (
        step("beam_width", width, "in", f"{plies(one.ply.plies)} {one.ply.section.section}"),
        step("post_width", room, "in", f"dressed {post_size}"),
    )
    cited = bearing_rule(criteria.rulebook).citation
    return at_least(one.place.member, "beam_bearing_on_post", "rule", room, width, "in", cited, steps)

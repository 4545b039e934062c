"""The joists and beams of a frame that a supplier's sections may take the place of, and which section does."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

import msgspec

from service.checks.calculated import calculated_grade
from service.checks.sections import section_beam_findings, section_joist_findings
from service.choice.level.case import Case
from service.choice.level.worked import Worked
from service.connections.posts import seat_width_in
from service.contract.price_sections import SectionUse
from service.contract.report_comparison import CodedText
from service.contract.report_frame import Beam
from service.framing.edge_loads import taken
from service.framing.members import Members
from service.rules.price_book import PriceBook
from service.rules.sections import WOOD, SupplierSection
from service.sizing.calculated_joists import joist_span
from service.sizing.calculated_result import Allowable
from service.sizing.criteria import Criteria
from service.sizing.line_load_beam import line_load_beam_span
from service.sizing.lumber import depth_in, post_side_in
from service.sizing.supplier_sections import Ply, section_span
from service.takeoff.framing_parts import Site, framing_parts, site_of
from service.takeoff.ladders import Ladders, share_of_board
from service.takeoff.parts import Part, distance_in
from service.takeoff.pricing import for_sale
from service.takeoff.stand_ins import stand_in
from service.timber.refusal import NoRule
from service.units.finding import Finding

SAME_DEPTH_IN = 1 / 16
HANGER_BEARING_IN = 1.5
IN_GROUND = ("uc4a", "uc4b")
UNDER_HEAVY = "a heavy object stands on this level, and its load is in no check of a section."
STAIR_ON_TIPS = "a stair bears on the ends of these joists, and its load is in no check of a section."
# A653 coatings outdoors: G90 at least, G185 where salt is near (convention of this service).
OUTDOORS, NEAR_SALT = ("g90", "g140", "g185"), ("g185",)


@dataclass(frozen=True)
class Place:
    """A member of the frame: what it is of, its pieces, what a section in its place is judged by, and its spans."""

    member: str
    use: SectionUse
    size: str
    plies: int
    length_in: float
    pieces: tuple[Part, ...]
    near_soil: bool
    room_in: float
    judge: Callable[[Ply], tuple[Finding, ...]]
    span: Callable[[Ply], Allowable]
    sawn_span_in: float | None
    blocked: str = ""

    @property
    def sawn(self) -> str:
        """What it is of, in words."""
        return self.size if self.use == "joist" else f"{self.plies}-ply {self.size}"

    def pieces_of(self, ply: Ply) -> tuple[Part, ...]:
        """Return its pieces were it of a section: a beam's plies run whole."""
        if self.use == "joist":
            return tuple(piece._replace(item=ply.section.item) for piece in self.pieces)
        return (Part(ply.section.item, self.length_in, self.member, ply.plies),)


@dataclass(frozen=True)
class Taken:
    """A section in the place of a member, with its checks and what its pieces cost."""

    place: Place
    ply: Ply
    findings: tuple[Finding, ...]
    cost: Decimal

    @property
    def worst(self) -> Finding:
        """The check nearest its limit."""
        return max(self.findings, key=lambda one: one.ratio or 0.0)


def places_of(case: Case, worked: Worked, prices: PriceBook) -> tuple[Place, ...]:
    """Return the joists and beams of a deck; those of stairs and heavy objects are not among them."""
    site = site_of(worked.frame, case.spec, case.criteria, Ladders(prices).longest_in)
    pieces: dict[str, list[Part]] = {}
    for part in framing_parts(worked.frame, site):
        if isinstance(part, Part):
            pieces.setdefault(part.member, []).append(part)
    heavy = {one.level for one in case.spec.heavy_objects}
    return tuple(
        replace(place, blocked=UNDER_HEAVY) if work.level.id in heavy else place
        for work in worked.levels
        for members in work.built
        for place in _of_members(work.case, members, site, pieces)
    )


def _of_members(
    case: Case, members: Members, site: Site, pieces: Mapping[str, Sequence[Part]]
) -> Iterator[Place]:
    layout, criteria = members.layout, case.criteria
    stairs = list(taken(layout, case.loads))
    own = tuple(pieces.get(members.joists.id, ()))
    if own:
        on_tips = any(one.cantilever_in > 0 for one in stairs)
        yield replace(_joists(members, criteria, own), blocked=STAIR_ON_TIPS if on_tips else "")
    for row, beam in enumerate(members.beams):
        # as beams of sawn lumber are sized: what a stair puts on part of a beam counts along all of it
        stair_plf = max((one.load_plf for one in stairs if one.row == row), default=0.0)
        loaded = msgspec.structs.replace(beam, line_load_plf=beam.line_load_plf + stair_plf)
        yield _beam(loaded, layout.post_size, criteria, site, tuple(pieces.get(beam.id, ())))


def _joists(members: Members, criteria: Criteria, pieces: tuple[Part, ...]) -> Place:
    joists, strip_ft = members.joists, members.layout.spacing_in / 12
    dead, varying = criteria.dead_psf * strip_ft, criteria.variable_psf * strip_ft
    return Place(
        member=joists.id,
        use="joist",
        size=joists.size,
        plies=joists.plies,
        length_in=max(part.length_in for part in pieces),
        pieces=pieces,
        near_soil=any(part.item.endswith(IN_GROUND) for part in pieces),
        room_in=float("inf"),
        judge=lambda ply: tuple(section_joist_findings(members, ply, criteria)),
        span=lambda ply: section_span(ply, dead, varying, HANGER_BEARING_IN),
        sawn_span_in=_sawn_joist_span_in(members, criteria),
    )


def _load_kind(criteria: Criteria) -> str:
    return "snow" if criteria.snow_psf > criteria.live_psf else "live"


def _sawn_joist_span_in(members: Members, criteria: Criteria) -> float | None:
    if criteria.timber is None:
        return None
    layout = members.layout
    found = joist_span(
        criteria.timber, criteria.species, layout.joist_size, layout.spacing_in, criteria.variable_psf,
        _load_kind(criteria), criteria.dead_psf, calculated_grade(criteria, layout.joist_size), float("inf"),
    )  # fmt: skip
    return None if isinstance(found, NoRule) else found.value


def _beam(beam: Beam, post_size: str, criteria: Criteria, site: Site, pieces: tuple[Part, ...]) -> Place:
    share_ft = beam.line_load_plf / criteria.design_psf
    dead, varying = criteria.dead_psf * share_ft, criteria.variable_psf * share_ft
    bearing_in = post_side_in(post_size)
    return Place(
        member=beam.id,
        use="beam",
        size=beam.size,
        plies=beam.plies,
        length_in=distance_in(beam.start_ft, beam.end_ft),
        pieces=pieces,
        near_soil=site.near_soil(beam.bottom_height_in, ((beam.start_ft, beam.end_ft),)),
        room_in=seat_width_in(post_size),
        judge=lambda ply: tuple(section_beam_findings(beam, post_size, ply, criteria)),
        span=lambda ply: section_span(ply, dead, varying, bearing_in, continuous=len(beam.spans_in) > 1),
        sawn_span_in=_sawn_beam_span_in(beam, dead, varying, criteria),
    )


def _sawn_beam_span_in(beam: Beam, dead_plf: float, varying_plf: float, criteria: Criteria) -> float | None:
    if criteria.timber is None:
        return None
    grade = calculated_grade(criteria, beam.size)
    found = line_load_beam_span(
        criteria.timber, criteria.species, beam.size, beam.plies, dead_plf, varying_plf, _load_kind(criteria),
        grade,
    )  # fmt: skip
    return None if isinstance(found, NoRule) else found.value


def pieces_cost(prices: PriceBook, pieces: Iterable[Part]) -> Decimal | None:
    """Return what pieces cost at list price, each its share of the length that comes cheapest; None where one can't.

    What stands in for an item that is out of stock counts, as in the order.
    """
    total = Decimal(0)
    for piece in pieces:
        code = stand_in(prices, piece.item, piece.length_in)
        offers = ((line.length_ft, line.unit_price) for line in for_sale(prices, code))
        share = share_of_board(((ft, price) for ft, price in offers if ft), piece.length_in)
        if share is None:
            return None
        total += piece.quantity * share
    return total


def _indoors(section: SupplierSection, place: Place, criteria: Criteria) -> str | None:
    """Why a section may not stand there uncovered."""
    if section.service != "wet":
        return f"{section.section}: its values hold dry, a deck is wet."
    if section.material == WOOD:
        if section.protection == "none":
            return f"{section.section}: it is not treated."
        # as sawn beams are ordered: the whole deck stands on them, and none is changed easily
        if (place.near_soil or place.use == "beam") and section.protection not in IN_GROUND:
            near = "is within 6 in of the soil" if place.near_soil else "is hard to replace"
            return f"{section.section}: {place.member} {near}, and it is not treated for ground contact."
        return None
    zinc = NEAR_SALT if criteria.coating == "stainless_steel" else OUTDOORS
    if section.protection not in zinc:
        return f"{section.section}: zinc of {section.protection} where {' or '.join(zinc)} is asked for."
    return None


def take(
    place: Place, sections: Iterable[SupplierSection], prices: PriceBook, criteria: Criteria
) -> Taken | tuple[CodedText, ...]:
    """Return the cheapest section that carries what a member does, of its depth; or why there is none."""
    if place.blocked:
        return (CodedText("other_load_there", f"{place.member}: {place.blocked}"),)
    deep = depth_in(place.size)
    fit = [s for s in sections if s.used_as(place.use) and abs(s.depth_in - deep) <= SAME_DEPTH_IN]
    if not fit:
        text = f"No section for {place.use}s is {deep:g} in deep, as {place.member} of {place.sawn} is."
        return (CodedText("no_section_of_depth", text),)
    refused = {one.section: why for one in fit if (why := _indoors(one, place, criteria))}
    plies = [
        Ply(one, count)
        for one in fit
        if one.section not in refused
        for count in range(1, (one.most_plies if place.use == "beam" else 1) + 1)
        if count * one.width_in <= place.room_in
    ]
    offered = [
        (cost, ply) for ply in plies if (cost := pieces_cost(prices, place.pieces_of(ply))) is not None
    ]
    for cost, ply in sorted(offered, key=lambda one: (one[0], one[1].section.section, one[1].plies)):
        findings = place.judge(ply)
        if findings and all(one.passes for one in findings):
            return Taken(place, ply, findings, cost)
    return _why_none(place, refused, bool(plies), bool(offered))


def _why_none(
    place: Place, refused: Mapping[str, str], any_fit: bool, any_sold: bool
) -> tuple[CodedText, ...]:
    why = tuple(CodedText("section_not_outdoors", text) for text in refused.values())
    if any_fit and not any_sold:
        text = (
            f"No section can be had in a length of {place.length_in / 12:.3g} ft, as {place.member} needs it."
        )
        return (*why, CodedText("section_not_sold", text))
    if any_fit:
        text = f"No section of its depth carries what {place.member} of {place.sawn} does."
        return (*why, CodedText("no_section_carries", text))
    return why or (CodedText("no_section_carries", f"No section fits on the posts under {place.member}."),)

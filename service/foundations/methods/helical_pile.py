"""A helical pile: a steel shaft with helices, screwed in until depth and torque are both reached."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import partial

from service.contract.report import Caution, Reason
from service.contract.report_comparison import CodedText, Risk
from service.contract.report_frame import Footing, Pile
from service.foundations.backfill import ground_findings
from service.foundations.demand import Demand
from service.foundations.depth import downhill_step
from service.foundations.drawn import drawn
from service.foundations.facts import FoundationFacts, Layout
from service.foundations.ground_words import ground_reasons, risk
from service.foundations.heave import Held, grip_caution, grip_lb, hundreds
from service.foundations.method import PILE_POLICIES, CannotServe, Need, Sized
from service.foundations.pile_capacity import (
    Choice,
    required_torque_ft_lb,
    torque_factor_limit_per_ft,
)
from service.foundations.pile_ground import pile_ground_cautions, pile_ground_reasons
from service.foundations.pile_needs import pile_goods, pile_services
from service.foundations.site import Site
from service.sizing.criteria import Criteria
from service.units.citation import Citation
from service.units.finding import Finding, at_least, at_most
from service.units.working import step

# Policies whose approval is an engineer's, not the installer's.
ENGINEER_POLICIES = ("engineer_letter", "special_inspector")
DEFAULT_POLICY = "engineer_letter"


def strictest_policy(criteria: Criteria) -> str:
    """Return the strictest of a place's ways to approve piles; without a place, an engineer's letter.

    Source: policies of the jurisdiction; the default is a convention of this service.

    Args:
        criteria: the place.

    Returns:
        The policy's word; no unit.

    >>> strictest_policy(criteria)
    'torque_log'
    """
    if criteria.jurisdiction is None:
        return DEFAULT_POLICY
    return max(criteria.jurisdiction.pile_inspection, key=PILE_POLICIES.index)


@dataclass(frozen=True)
class HelicalPile:
    """Helical piles under the inspection ``policy`` of the place."""

    policy: str = DEFAULT_POLICY

    @property
    def name(self) -> str:
        """The word of the method on the wire."""
        return "helical_pile"

    def size(self, demand: Demand, site: Site) -> Sized | CannotServe:
        """Return the pile for one demand.

        Source: torque by Q = Kt T, helices by 9 c A with the clay's strength taken as half the presumptive
        bearing (from memory, an estimate to choose helices by: the torque on the day decides); top helix
        below frost and below the house's fill by five diameters (from memory). In other soil helices are chosen
        the same way, and only torque and shaft count as capacity.

        Args:
            demand: load and place.
            site: rules and ground, shafts, helices and figures.

        Returns:
            The smallest pile that carries the load; ``CannotServe`` where none offered does. A machine that
            cannot get in, and rock within the length, are in ``blocked``.
        """
        chosen = next((one for one in site.piles if one.chosen_by_lb >= demand.sizing_load_lb), None)
        if chosen is None:
            return _too_much(demand, site.piles)
        length_ft = _length_ft(demand, site.facts, chosen.layout, _top_helix_in(demand, site, chosen.layout))
        return _sized(self.policy, demand, site, chosen, length_ft)

    def needs(self, sized: Sequence[Sized], site: Site) -> tuple[Need, ...]:
        """Return piles, extensions, caps and services for all piles, and the inspector's fee where one comes.

        Source: lead and extension lengths are conventions of this service; where the torque comes late every pile
        takes one extension more (common practice).

        Args:
            sized: the piles.
            site: the fastener coating and the inspections of the place.
        """
        return (*pile_goods(sized, site), *pile_services(len(sized), self.policy, site))

    def cautions(self, sized: Sequence[Sized], site: Site) -> tuple[Caution, ...]:
        """Return what has to be known of every pile, and what frost may do to them."""
        shafts = {shaft.shaft: shaft.outside_in for shaft in site.facts.shafts}
        held = (_held(one, shafts[one.footing.pile.shaft], site) for one in sized if one.footing.pile)
        gripped = partial(_gripped, safety=site.value("pile_safety"))
        return (LISTING, REMEMBERED, *grip_caution(held, gripped, DEEP_HELIX))

    def risks(self, sized: Sequence[Sized], site: Site) -> tuple[Risk, ...]:  # noqa: ARG002 - a method is handed them
        """Return what can go wrong with piles in any ground; the rest is ``ground_risks_of``."""
        stopped = "a root or a boulder can stop a pile: it is moved or pre-drilled"
        found = [risk("buried_obstruction", "low", stopped)]
        if self.policy == "special_inspector":
            found.append(
                risk("inspection_delay", "moderate", "an inspector has to be there while piles go in")
            )
        return tuple(found)


def _too_much(demand: Demand, offered: Sequence[Choice]) -> CannotServe:
    """Why no pile offered carries the load."""
    torque_lb = max(choice.by_torque_lb for choice in offered)
    bearing_lb = max(choice.by_bearing_lb for choice in offered)
    if torque_lb < demand.sizing_load_lb:
        text = (
            f"{demand.sizing_load_lb:,.0f} lb is more than the {torque_lb:,.0f} lb the torque ratings allow"
        )
        return CannotServe("torque_above_rating", text)
    need = f"{demand.sizing_load_lb:,.0f} lb is needed"
    return CannotServe("bearing_too_low", f"the largest helices bear about {bearing_lb:,.0f} lb here, {need}")


def _held(one: Sized, shaft_in: float, site: Site) -> Held:
    """A pile in freezing soil: its helices are below it, and hold up as well as down."""
    force = grip_lb(math.pi * shaft_in, site.frost_in, site.value("frost_grip_steel"))
    below = next((f.capacity or 0.0 for f in one.findings if f.check == "pile_capacity"), 0.0)
    # The grip is what soil does at the worst, so what holds is taken without its safety factor too.
    ultimate = below * site.value("pile_safety")
    return Held(shaft_in, force, site.lasting_lb(one.footing.load_lb), 0.0, ultimate)


def _gripped(one: Held, safety: float) -> str:
    return (
        f"frozen soil can grip a {one.width_in:g} in steel shaft with some {hundreds(one.grip_lb)} lb; against it "
        f"stand 0.6 of the deck's dead load with {hundreds(one.dead_lb)} lb and the helices below frost with "
        f"some {hundreds(one.below_lb)} lb at the ultimate ({hundreds(one.below_lb / safety)} lb allowable, safety "
        f"{safety:g})"
    )


DEEP_HELIX = "keep every helix below frost, and drain the ground round the shaft"


def _top_helix_in(demand: Demand, site: Site, layout: Layout) -> float:
    """Least depth of the upper helix below the ground at the pile; its lower side counts."""
    widest_in = max(layout.helices)
    dug = site.dug
    # In the zone the fill may reach the whole depth of the dig, whatever the slope gives at this place.
    in_fill = dug is not None and site.beside(demand, widest_in).in_zone
    fill_in = dug.depth_in + demand.grade_height_in if dug and in_fill else 0.0
    embedment_in = site.value("pile_embedment") * widest_in + demand.downhill_in(widest_in)
    return max(site.depth(demand).bottom_in, site.frost_in, fill_in) + embedment_in


def _length_ft(demand: Demand, facts: FoundationFacts, layout: Layout, top_helix_in: float) -> float:
    """Length of shaft from the cap to the toe, up to the whole foot."""
    below = sum(layout.helices[:-1]) * facts.value("helix_spacing")
    whole_in = demand.top_above_grade_in + top_helix_in + below + facts.value("pile_toe")
    return float(math.ceil(whole_in / 12.0))


def _given_in(demand: Demand, facts: FoundationFacts, layout: Layout, length_ft: float) -> float:
    """How deep the upper helix of a pile this long ends up below the ground at it."""
    below = sum(layout.helices[:-1]) * facts.value("helix_spacing")
    return length_ft * 12.0 - demand.top_above_grade_in - below - facts.value("pile_toe")


def _sized(policy: str, demand: Demand, site: Site, chosen: Choice, length_ft: float) -> Sized:
    criteria, facts = site.criteria, site.facts
    # Up to the whole foot: the upper helix ends at this depth, deeper than the rules ask for.
    top_helix_in = _given_in(demand, facts, chosen.layout, length_ft)
    beside = site.beside(demand, max(chosen.layout.helices))
    torque = required_torque_ft_lb(demand.sizing_load_lb, site.value("pile_safety"), chosen.shaft.kt_per_ft)
    findings = (
        *_strength(demand, site, chosen, torque),
        *_depth(demand, site, top_helix_in, chosen),
        *_beside_house(demand, site, beside.edge_in, top_helix_in),
    )
    return Sized(
        demand=demand,
        footing=_footing(demand, site, chosen, torque, length_ft, beside.in_zone),
        findings=findings,
        engineer=(
            *_engineer(policy, demand, site, chosen),
            *pile_ground_reasons(demand, site, beside.edge_in),
            *ground_reasons(demand.footing_id, findings),
        ),
        blocked=tuple(_blocked(criteria, facts, length_ft)),
        cautions=pile_ground_cautions(demand, site, beside),
    )


def _beside_house(demand: Demand, site: Site, edge_in: float, top_helix_in: float) -> tuple[Finding, ...]:
    """A screwed pile opens no hole, so below the house's level it cannot undermine it."""
    dug = site.dug
    helix_height_in = demand.grade_height_in - top_helix_in
    found = ground_findings(demand.footing_id, dug, edge_in, helix_height_in, cover_in=0.0)
    if dug is None or -helix_height_in < dug.depth_in:
        return found
    return tuple(finding for finding in found if finding.check != "footing_house_load_line")


def _footing(
    demand: Demand, site: Site, chosen: Choice, torque_ft_lb: float, length_ft: float, in_zone: bool | None
) -> Footing:
    pile = Pile(
        shaft=chosen.shaft.shaft,
        helices=chosen.layout.helices,
        length_ft=length_ft,
        kt_per_ft=chosen.shaft.kt_per_ft,
        torque_ft_lb=torque_ft_lb,
    )
    stand_in = demand.top_above_grade_in
    return drawn("helical_pile", demand, site, (stand_in, length_ft * 12.0 - stand_in), in_zone, pile)


def _strength(demand: Demand, site: Site, chosen: Choice, torque_ft_lb: float) -> tuple[Finding, ...]:
    criteria, facts = site.criteria, site.facts
    member, shaft, load = demand.footing_id, chosen.shaft, demand.sizing_load_lb
    safety = facts.figures["pile_safety"]
    kt = step("Kt", shaft.kt_per_ft, "per_ft", f"{shaft.kt_source} ({shaft.kt_status})")
    c_psf = criteria.ground.soil_bearing_psf * facts.value("cohesion_of_bearing")
    in_clay = (
        step("c", c_psf, "psf", facts.figures["cohesion_of_bearing"].source),
        step("Q_bearing", chosen.by_bearing_lb, "lb", "9 c A over the helices, over the safety factor"),
    )
    capacity = (
        *(in_clay if chosen.in_clay else ()),
        step("Q_torque", chosen.by_torque_lb, "lb", "Kt times the torque rating, over the safety factor"),
        step("Q_shaft", shaft.allowable_lb, "lb", shaft.source),
        safety.step("FS"),
    )
    rating = Citation(document=shaft.source, section=shaft.shaft, status=shaft.status)
    torque = (step("P", load, "lb", "load on the pile"), safety.step("FS"), kt,
              step("T", torque_ft_lb, "ft_lb", "FS P / Kt"))  # fmt: skip
    return (
        at_most(member, "pile_capacity", "calculated", load, chosen.capacity_lb, "lb", safety.citation, capacity),
        at_most(
            member, "pile_torque", "calculated", torque_ft_lb, shaft.torque_rating_ft_lb, "ft_lb",
            rating, torque,
        ),
    )  # fmt: skip


def _depth(demand: Demand, site: Site, top_helix_in: float, chosen: Choice) -> tuple[Finding, ...]:
    depth = site.depth(demand)
    embedment = site.facts.figures["pile_embedment"]
    needed = _top_helix_in(demand, site, chosen.layout)
    down_in = demand.downhill_in(max(chosen.layout.helices))
    steps = (
        step("frost", site.frost_in, "in", "frost depth of the site"),
        step("D", max(chosen.layout.helices), "in", "largest helix"),
        embedment.step("n"),
        *downhill_step(down_in),
        step("d", needed, "in", "below frost and fill by n helix diameters"),
    )
    frost_in = depth.frost_in if depth.frost_in is not None else depth.cover_in
    member = demand.footing_id
    return (
        at_least(member, "pile_depth", "calculated", top_helix_in, needed, "in", embedment.citation, steps),
        at_least(
            member,
            "footing_below_frost",
            "rule",
            top_helix_in - down_in,
            frost_in,
            "in",
            depth.frost_citation,
        ),
    )


def _engineer(policy: str, demand: Demand, site: Site, chosen: Choice) -> tuple[Reason, ...]:
    found, facts = [], site.facts
    if policy in ENGINEER_POLICIES:
        text = f"piles are approved here by {policy.replace('_', ' ')}"
        law = site.criteria.law_of("pile_inspection")
        found.append(
            Reason(code="pile_policy_needs_engineer", text=text, member=demand.footing_id, citation=law)
        )
    # The equation was read, the assigned factor was not: if only the latter passes, memory decides.
    least_kt = min(chosen.shaft.kt_per_ft, torque_factor_limit_per_ft(chosen.shaft.outside_in))
    torque = required_torque_ft_lb(demand.sizing_load_lb, facts.value("pile_safety"), least_kt)
    if torque > chosen.shaft.torque_rating_ft_lb:
        text = "whether the torque rating suffices hangs on a torque factor that was remembered, not read"
        found.append(Reason(code="memory_value_decides", text=text, member=demand.footing_id))
    return tuple(found)


def _blocked(criteria: Criteria, facts: FoundationFacts, length_ft: float) -> Iterator[CodedText]:
    ground, rig_in = criteria.ground, facts.value("rig_width")
    access = ground.rig_access_width_in
    if access is not None and access < rig_in:
        yield CodedText("rig_too_wide", f"the way in is {access:g} in wide, the machine needs {rig_in:g} in")
    if ground.is_rock:
        yield CodedText("refusal_on_rock", "a pile cannot be screwed into rock")
    elif ground.rock_depth_in is not None and ground.rock_depth_in < length_ft * 12.0:
        text = f"rock at {ground.rock_depth_in:g} in stops a pile of {length_ft:g} ft"
        yield CodedText("refusal_on_rock", text)


LISTING = Caution(
    code="maker_listing_governs",
    text="torque factor and ratings of a pile are its maker's; those used here are invented",
    action="put in the listed values of the pile to be installed",
)
REMEMBERED = Caution(
    code="value_from_memory",
    text="helix bearing in clay (9 c A), depth below frost and torque factors of piles were remembered, not read",
    action="have the installer confirm capacity by torque at every pile, and the depth by the listing",
)

"""What every footing of concrete has in common: its checks, its cautions and how it stands in the report."""

from __future__ import annotations

import math
from collections.abc import Sequence

import msgspec

from service.contract.report import Caution, Reason
from service.foundations.backfill import ground_findings
from service.foundations.bars import bar_cautions, barred
from service.foundations.demand import Demand
from service.foundations.depth import depth_findings, heave_caution
from service.foundations.drawn import drawn
from service.foundations.facts import FoundationFacts
from service.foundations.ground_words import (
    deep_hole_reasons,
    ground_cautions,
    ground_reasons,
    rock_reasons,
    soil_reasons,
    water_reasons,
)
from service.foundations.method import CannotServe, Sized
from service.foundations.shape import Shape
from service.foundations.site import Site
from service.sizing.footings import FootingSize, whole_inches_up
from service.sizing.lumber import post_side_in
from service.units.citation import Citation
from service.units.finding import SLACK, Finding, at_least, at_most
from service.units.working import step


def least_shaft_in(post_size: str, facts: FoundationFacts) -> float:
    """Return the least pier that takes a post base with concrete outside it, in.

    Source: common practice, 3 in outside the post face each way; the base's listing governs.

    Args:
        post_size: nominal post size.
        facts: the edge distance.

    >>> least_shaft_in("6x6", facts)
    11.5
    """
    return post_side_in(post_size) + 2.0 * facts.value("anchor_edge")


def tube_in(least_in: float, facts: FoundationFacts) -> float | None:
    """Return the narrowest tube sold that is this wide, in; None where none is.

    Source: sizes tubes are sold in, common practice.

    Args:
        least_in: least diameter, in.
        facts: the tubes.

    >>> tube_in(11.5, facts), tube_in(50.0, facts)
    (12.0, None)
    """
    return next((tube.diameter_in for tube in facts.tubes if tube.diameter_in >= least_in), None)


def too_wide(needed_in: float, form: str, site: Site) -> CannotServe | None:
    """Return why a base cannot be made: it is wider than any made here; None where it can.

    Source: convention of this service, beyond 48 in a footing is designed.

    Args:
        needed_in: side or diameter, in.
        form: "square" or "round".
        site: the widest base.

    >>> too_wide(52.0, "square", Site(criteria, facts)).text
    'a 52 in square base is needed, 48 in is the widest made here'
    """
    largest_in = site.value("base_largest")
    if needed_in <= largest_in:
        return None
    text = f"a {needed_in:g} in {form} base is needed, {largest_in:g} in is the widest made here"
    return CannotServe("pier_too_wide_for_tube", text)


def poured(method: str, demand: Demand, site: Site, size: FootingSize, flat: Shape) -> Sized:
    """Return a footing of concrete with its checks.

    Source: size and thickness by ``service.sizing.footings``, depth by ``service.foundations.depth``, edge distance
    by common practice, ground by ``service.foundations.backfill``.

    Args:
        method: the method's word.
        demand: load, place and post.
        site: rules and ground.
        size: what the load asks for, in.
        flat: the concrete as it would be on level ground, in.

    >>> site = Site(criteria, facts)
    >>> asked = Demand("main.footing-1-1", "F1-1", None, "main.beam-1", 4, 10, 2000, 2000, "6x6", 0, True)
    >>> flat = Shape(32.0, 3.0, 12.0, 16.0, "square", 6.0)
    >>> made = poured("pad_and_pier", asked, site, site.footing_size(asked), flat)
    >>> round(made.footing.concrete.volume_cuft, 3), made.unsafe
    (2.787, ())
    """
    shape = barred(flat.lowered(demand.downhill_in(flat.bearing_in)), site.facts)
    beside = site.beside(demand, shape.bearing_in)
    heights_in = (shape.stand_in, shape.depth_in)
    footing = drawn(method, demand, site, heights_in, beside.in_zone, shape.on_the_wire())
    depth = site.depth(demand)
    findings = (
        *_size_findings(demand, site, size, shape),
        *depth_findings(demand.footing_id, depth, shape.depth_in, shape.downhill_in),
        *_anchor_findings(demand, site.facts, shape),
        *ground_findings(demand.footing_id, site.dug, beside.edge_in, footing.bottom_height_in),
    )
    return Sized(
        demand=demand,
        footing=footing,
        findings=findings,
        engineer=_engineer(demand.footing_id, site, size, shape, findings, beside.edge_in),
        cautions=(
            *_size_cautions(size, shape),
            *bar_cautions(shape, site.facts),
            *heave_caution(depth, site.criteria),
            *ground_cautions(site.criteria, beside, shape.depth_in),
        ),
    )


def _engineer(
    member: str, site: Site, size: FootingSize, shape: Shape, findings: Sequence[Finding], edge_in: float
) -> tuple[Reason, ...]:
    """What of the size, the soil and the place asks for an engineer; of the soil each thing once."""
    soil = soil_reasons(member, site.criteria)
    known = {one.text for one in soil}
    said = (c for c in size.engineer if c.text not in known)
    return (
        *(Reason(code=c.code, text=c.text, member=member) for c in said),
        *soil,
        *ground_reasons(member, findings),
        *water_reasons(member, site.criteria, shape.depth_in),
        *rock_reasons(member, site.criteria, shape.depth_in),
        *deep_hole_reasons(member, site.dug, edge_in, shape.depth_in),
    )


def _size_findings(demand: Demand, site: Site, size: FootingSize, shape: Shape) -> tuple[Finding, ...]:
    member = demand.footing_id
    needed, form = (size.square_in, "square") if shape.square else (size.round_in, "round")
    cited, steps = (
        (size.square_citation, size.square_steps) if shape.square else (size.size_citation, size.steps)
    )
    wide = at_least(member, "footing_size", size.basis, shape.bearing_in, needed, "in", cited, steps)
    if not wide.passes:
        wide = msgspec.structs.replace(wide, would_pass=f"{needed:g} in {form}")
    thick = _thickness(demand, site, size, shape)
    return (wide, thick) if size.basis == "calculated" else (wide, thick, _bearing(demand, site, size, shape))


def _thickness(demand: Demand, site: Site, size: FootingSize, shape: Shape) -> Finding:
    """A plain base is as thick as the table says, and no thinner than it stands out past what stands on it."""
    out_in = projection_in(shape, demand.post_size)
    needed, cited, steps = size.thickness_in, size.thickness_citation, size.thickness_steps
    if out_in > needed + SLACK:
        needed, cited = out_in, Citation(site.criteria.rulebook.document, section="R403.1.1")
    if shape.base_in:
        steps = (*steps, step("p", out_in, "in", "how far the base stands out past what stands on it"))
    return at_least(
        demand.footing_id, "footing_thickness", size.basis, shape.foot_in, needed, "in", cited, steps
    )


def projection_in(shape: Shape, post_size: str) -> float:
    """Return how far a base stands out past the shaft or the post on it, in; 0 for a shaft alone.

    Source: IRC R403.1.1: the projection of a plain footing is no more than its thickness.

    Args:
        shape: the concrete, in.
        post_size: nominal size of the post where no shaft stands on the base.

    >>> projection_in(Shape(32.0, 3.0, 12.0, 24.0), "6x6"), projection_in(Shape(32.0, -20.0, None, 24.0), "6x6")
    (6.0, 9.25)
    """
    if shape.base_in is None:
        return 0.0
    return (shape.base_in - (shape.shaft_in or post_side_in(post_size))) / 2.0


def _bearing(demand: Demand, site: Site, size: FootingSize, shape: Shape) -> Finding:
    """The same footing by bearing alone, beside the table."""
    capacity = size.net_bearing_psf * shape.bearing_sqft
    form = f"{'square' if shape.square else 'circle'} of the bearing width"
    steps = (
        step("q", size.net_bearing_psf, "psf", "soil bearing by the own-weight rule in force"),
        step("A", shape.bearing_sqft, "sqft", form),
        step("R", capacity, "lb", "q A"),
    )
    return at_most(
        demand.footing_id, "footing_size", "calculated", demand.sizing_load_lb, capacity, "lb",
        site.own_weight_citation, steps,
    )  # fmt: skip


def _anchor_findings(demand: Demand, facts: FoundationFacts, shape: Shape) -> tuple[Finding, ...]:
    if shape.shaft_in is None:
        return ()
    edge = facts.figures["anchor_edge"]
    needed = least_shaft_in(demand.post_size, facts)
    steps = (step("post", post_side_in(demand.post_size), "in", "dressed post"), edge.step("edge"))
    found = at_least(
        demand.footing_id, "footing_anchor_edge", "rule", shape.shaft_in, needed, "in", edge.citation, steps
    )
    return (found if found.passes else msgspec.structs.replace(found, would_pass=f"{needed:g} in round"),)


def _size_cautions(size: FootingSize, shape: Shape) -> tuple[Caution, ...]:
    found = [
        Caution(code=said.code, text=said.text, action="have the building department confirm the size")
        for said in size.cautions
    ]
    weighed = size.with_weight_in
    if weighed is not None and shape.square:
        weighed = whole_inches_up(weighed * math.sqrt(math.pi) / 2.0)
    if weighed is not None and weighed > shape.bearing_in:
        form = "square" if shape.square else "round"
        what = (
            "the whole pier" if shape.shaft_in else "the pad and as much concrete as there is ground over it"
        )
        text = (
            f"the table leaves out the footing's own weight: with {what} weighed {weighed:g} in {form} "
            f"would be needed where {shape.bearing_in:g} in is drawn"
        )
        action = "ask whether the department counts the pier's weight; the wider pier costs little"
        found.append(Caution(code="table_permits_calculation_does_not", text=text, action=action))
    return tuple(found)

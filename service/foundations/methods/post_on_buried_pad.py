"""A treated post that runs down to a round pad at the bottom of its hole."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from msgspec.structs import replace as changed

from service.contract.report import Caution, Reason
from service.contract.report_comparison import CodedText, Risk
from service.foundations.demand import Demand
from service.foundations.facts import LEAST_PROJECTION_IN
from service.foundations.hardware import AUGER, MIXER, hole_inspection
from service.foundations.heave import Held, grip_caution, grip_lb, hundreds
from service.foundations.holes import hole_risks
from service.foundations.method import CannotServe, Need, Sized
from service.foundations.poured import poured, too_wide
from service.foundations.shape import Shape
from service.foundations.site import Site
from service.sizing.footings import FootingSize, whole_inches_up
from service.sizing.limit import Limit
from service.sizing.lumber import NATURALLY_DURABLE, post_side_in
from service.sizing.posts import post_height_limit
from service.units.finding import Finding, at_most
from service.units.working import step

DECAYS = Caution(
    code="post_can_decay",
    text=(
        "a post in the ground is the part that decays, and it can't be changed without digging; some places refuse it"
    ),
    action="ask the department first; order posts treated to UC4B (AWPA U1), treat every cut end, drain the hole",
)


@dataclass(frozen=True)
class PostOnBuriedPad:
    """Posts that stand on pads below the ground."""

    @property
    def name(self) -> str:
        """The word of the method on the wire."""
        return "post_on_buried_pad"

    def size(self, demand: Demand, site: Site) -> Sized | CannotServe:
        """Return the pad for one demand, and how tall its post becomes.

        Source: diameter and thickness by ``service.sizing.footings``, the pad no thinner than it stands out past the
        post (IRC R403.1.1); 12 in of the post in the ground hold its foot (R507.4.1); the post's height is read
        again in the edition's table, from the beam down to the pad.

        Args:
            demand: load, place and post.
            site: rules, loads and ground.

        Returns:
            The pad with its checks; ``CannotServe`` where no post stands there, where its species is not treated for
            the ground, where the soil gives nothing or no pad is wide enough.
        """
        refused = _refused(demand, site)
        if refused:
            return refused
        size = site.footing_size(demand)
        if isinstance(size, CodedText):
            return CannotServe(size.code, size.text)
        least = post_side_in(demand.post_size) + 2.0 * LEAST_PROJECTION_IN
        wide = max(size.round_in, whole_inches_up(least))
        refused = too_wide(wide, "round", site)
        if refused:
            return refused
        pad = poured(self.name, demand, site, size, _shape(size, demand, site, wide))
        return _with_post(pad, site)

    def needs(self, sized: Sequence[Sized], site: Site) -> tuple[Need, ...]:
        """Return rentals and the inspector; the posts are in the frame's own order, the concrete goes by volume.

        Source: convention of this service; the auger and the mixer are usual (common practice).

        Args:
            sized: the pads.
            site: the inspections of the place.
        """
        return (AUGER, MIXER, *hole_inspection(site)) if sized else ()

    def risks(self, sized: Sequence[Sized], site: Site) -> tuple[Risk, ...]:  # noqa: ARG002 - a method is handed them
        """Return what can go wrong with open holes."""
        return hole_risks()

    def cautions(self, sized: Sequence[Sized], site: Site) -> tuple[Caution, ...]:
        """Return what the ground does to a post in it."""
        held = (_held(one, site) for one in sized)
        return (
            DECAYS,
            *grip_caution(held, _gripped, "wrap the post in a smooth sleeve, drain the ground round it"),
        )


def _refused(demand: Demand, site: Site) -> CannotServe | None:
    if demand.post is None:
        text = f"the beam lies {demand.top_above_grade_in:.3g} in above the ground: there is no post to set on a pad"
        return CannotServe("no_post_here", text)
    species = site.criteria.species
    if species in NATURALLY_DURABLE:
        text = f"posts of {species.replace('_', ' ')} are not treated to UC4B, which the ground asks for (AWPA U1)"
        return CannotServe("species_not_below_grade", text)
    return None


def _shape(size: FootingSize, demand: Demand, site: Site, wide_in: float) -> Shape:
    out_in = (wide_in - post_side_in(demand.post_size)) / 2.0
    thickness = max(size.thickness_in, whole_inches_up(out_in))
    depth_in = max(site.depth(demand).bottom_in, thickness + site.value("post_embedment"))
    return Shape(depth_in, thickness - depth_in, None, wide_in, "round", thickness)


def _with_post(pad: Sized, site: Site) -> Sized:
    """The pad with the check of the post that stands on it; off the table an engineer has to see it."""
    demand, criteria = pad.demand, site.criteria
    in_ground_in = pad.footing.grade_height_in - pad.footing.top_height_in
    height_in = demand.post_height_in + demand.top_above_grade_in + in_ground_in
    area_sqft = demand.sizing_load_lb / criteria.design_psf
    limit = post_height_limit(criteria, demand.post_size, demand.beam_plies, area_sqft)
    tallest_in = criteria.rulebook.in_force_settings.post_table_max_height_in
    if not limit.covered or height_in > tallest_in:
        text = (
            f"a post of {height_in:.4g} in from beam to pad, for {area_sqft:.3g} sq ft, is off the post table"
        )
        reason = Reason(code="post_above_table", text=text, member=demand.footing_id, citation=limit.citation)
        return replace(pad, engineer=(*pad.engineer, reason))
    return replace(pad, findings=(*pad.findings, _post_finding(demand, limit, height_in, in_ground_in)))


def _post_finding(demand: Demand, limit: Limit, height_in: float, in_ground_in: float) -> Finding:
    steps = (
        step(
            "h", demand.post_height_in + demand.top_above_grade_in, "in", "bottom of the beam over the ground"
        ),
        step("g", in_ground_in, "in", "top of the pad below the ground"),
        *limit.working,
    )
    found = at_most(
        demand.footing_id, "post_height", "table", height_in, limit.value_in, "in", limit.citation, steps
    )
    if found.passes or limit.value_in is None:
        return found
    return changed(found, would_pass=f"a post of {limit.value_in:g} in, or a larger one")


def _held(one: Sized, site: Site) -> Held:
    """A post only stands on its pad: of the footing nothing but the deck holds it down."""
    side_in = post_side_in(one.demand.post_size)
    in_ground_in = one.footing.grade_height_in - one.footing.top_height_in
    force = grip_lb(4.0 * side_in, min(site.frost_in, in_ground_in), site.value("frost_grip"))
    return Held(side_in, force, site.lasting_lb(one.footing.load_lb))


def _gripped(one: Held) -> str:
    return (
        f"frozen soil can grip a {one.width_in:g} in post with some {hundreds(one.grip_lb)} lb; against it stand "
        f"0.6 of the deck's dead load with {hundreds(one.dead_lb)} lb, and not the pad, which the post is not fixed to"
    )

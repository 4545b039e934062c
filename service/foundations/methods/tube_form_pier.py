"""A concrete pier poured in a tube form: straight, or on a round base where the tube would be too wide."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

import msgspec

from service.contract.ids import item
from service.contract.report import Caution, Reason
from service.contract.report_comparison import CodedText, Risk
from service.contract.report_frame import Concrete, Footing
from service.foundations.backfill import BesideHouse, beside_house, excavation, ground_findings
from service.foundations.demand import Demand, tributary_sqft
from service.foundations.depth import Depth, depth_findings, heave_caution, required_depth
from service.foundations.facts import FoundationFacts
from service.foundations.ground_words import (
    ground_cautions,
    ground_reasons,
    ground_risks,
    risk,
    water_reasons,
)
from service.foundations.method import CannotServe, Need, Sized
from service.foundations.volumes import cylinder_cuft
from service.sizing.criteria import Criteria
from service.sizing.footings import FootingSize, footing_size, whole_inches_up
from service.sizing.lumber import post_side_in
from service.units.finding import Finding, at_least, at_most
from service.units.working import step

COHESIONLESS = ("sand", "sandy_gravel")


@dataclass(frozen=True)
class Shape:
    """A pier: shaft, and a base under it where ``base_in`` is set. All in inches.

    ``depth_in`` is below the ground at its middle, which at its lower side lies lower by ``downhill_in``.
    """

    shaft_in: float
    base_in: float | None
    base_thickness_in: float
    depth_in: float
    stand_in: float
    downhill_in: float = 0.0

    @property
    def bearing_in(self) -> float:
        """Diameter that stands on the soil."""
        return self.base_in or self.shaft_in

    @property
    def length_in(self) -> float:
        """Length of all the concrete."""
        return self.depth_in + self.stand_in

    @property
    def shaft_length_in(self) -> float:
        """Length of the shaft above its base."""
        return self.length_in - (self.base_thickness_in if self.base_in else 0.0)

    @property
    def volume_cuft(self) -> float:
        """Concrete in the pier."""
        shaft = cylinder_cuft(self.shaft_in, self.shaft_length_in)
        return shaft + (cylinder_cuft(self.base_in, self.base_thickness_in) if self.base_in else 0.0)


@dataclass(frozen=True)
class TubeFormPier:
    """Tube-form piers. ``pinned_in`` is a diameter the caller asked for."""

    pinned_in: float | None = None

    @property
    def name(self) -> str:
        """The word of the method on the wire."""
        return "tube_form_pier"

    @property
    def passes_through_fill(self) -> bool:
        """A pier stands on the ground at its bottom, filled or not."""
        return False

    def size(self, demand: Demand, criteria: Criteria, facts: FoundationFacts) -> Sized | CannotServe:
        """Return the pier for one demand.

        Source: diameter and thickness by ``service.sizing.footings``, depth by ``service.foundations.depth``;
        tube sizes, top height and edge distance are common practice.

        Args:
            demand: load, place and post.
            criteria: rules, loads and ground.
            facts: tube sizes and figures.

        Returns:
            The pier with its checks; ``CannotServe`` where the soil gives nothing or no base is wide enough.
            A pinned diameter is always worked out and its failing checks say what would pass.
        """
        depth = required_depth(demand, criteria)
        stand_in = demand.top_above_grade_in
        deepest_in = depth.bottom_in + demand.downhill_in(facts.value("base_largest"))
        size = footing_size(criteria, demand.sizing_load_lb, deepest_in + stand_in)
        if isinstance(size, CodedText):
            return CannotServe(size.code, size.text)
        shape = self._shape(size, demand, facts, depth.bottom_in, stand_in)
        if shape is None:
            largest = facts.value("base_largest")
            text = f"a {size.round_in:g} in base is needed, {largest:g} in is the widest made here"
            return CannotServe("pier_too_wide_for_tube", text)
        down_in = demand.downhill_in(shape.bearing_in)
        shape = replace(shape, depth_in=shape.depth_in + down_in, downhill_in=down_in)
        return _sized(demand, criteria, facts, size, shape, depth)

    def _shape(
        self, size: FootingSize, demand: Demand, facts: FoundationFacts, depth_in: float, stand_in: float
    ) -> Shape | None:
        thickness = size.thickness_in
        # A pin is a wish for a straight pier of that width; a base under it would hide that it is too narrow.
        if self.pinned_in is not None:
            return Shape(self.pinned_in, None, thickness, depth_in, stand_in)
        least = least_shaft_in(demand.post_size, facts)
        straight = _tube_in(max(size.round_in, least), facts)
        if straight is not None and straight <= facts.value("tube_largest_shaft"):
            return Shape(straight, None, thickness, depth_in, stand_in)
        shaft = _tube_in(least, facts)
        if shaft is None or size.round_in > facts.value("base_largest"):
            return None
        # A plain base may stick out past its shaft no further than it is thick (R403.1.1).
        spread = whole_inches_up((size.round_in - shaft) / 2.0)
        deep = max(depth_in, max(thickness, spread))
        return Shape(shaft, size.round_in, max(thickness, spread), deep, stand_in)

    def needs(self, sized: Sequence[Sized], criteria: Criteria) -> tuple[Need, ...]:
        """Return tubes, anchors, post bases and rentals for all piers; the concrete is counted by volume.

        Source: convention of this service; the auger and the mixer are usual (common practice).

        Args:
            sized: the piers.
            criteria: the fastener coating of the place.
        """
        auger = Need("rental.auger.day", 1.0, "day", False, during="dig")
        mixer = Need("rental.mixer.day", 1.0, "day", False, during="pour", only_with="bagged")
        return (*_tubes(sized), *_hardware(sized, criteria.coating), auger, mixer)

    def risks(self, sized: Sequence[Sized], criteria: Criteria, facts: FoundationFacts) -> tuple[Risk, ...]:
        """Return what can go wrong with poured piers on this ground.

        Source: rules of this service on the site values; texts are common practice.

        Args:
            sized: the piers.
            criteria: the ground.
            facts: thresholds.
        """
        deepest = max(one.footing.concrete.depth_below_grade_in for one in sized if one.footing.concrete)
        found = [*ground_risks(sized), *_hole_risks(criteria, deepest)]
        found.append(risk("inspection_delay", "low", "the open holes wait for an inspector before the pour"))
        if criteria.ground.frost_depth_in >= facts.value("cold_frost_depth"):
            found.append(
                risk("cold_weather", "moderate", "a winter pour has to be kept from freezing for days")
            )
        return tuple(found)


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


def _tube_in(least_in: float, facts: FoundationFacts) -> float | None:
    return next((tube.diameter_in for tube in facts.tubes if tube.diameter_in >= least_in), None)


def _sized(
    demand: Demand, criteria: Criteria, facts: FoundationFacts, size: FootingSize, shape: Shape, depth: Depth
) -> Sized:
    beside = beside_house(
        criteria, facts, demand.from_wall_ft, shape.bearing_in / 2.0, demand.grade_height_in
    )
    footing = _footing(demand, criteria, shape, beside)
    findings = (
        *_size_findings(demand, criteria, size, shape),
        *depth_findings(demand.footing_id, depth, shape.depth_in, shape.downhill_in),
        _anchor_finding(demand, facts, shape),
        *ground_findings(
            demand.footing_id, excavation(criteria, facts), beside.edge_in, footing.bottom_height_in
        ),
    )
    said = tuple(Reason(code=c.code, text=c.text, member=demand.footing_id) for c in size.engineer)
    return Sized(
        demand=demand,
        footing=footing,
        findings=findings,
        engineer=(
            *said,
            *ground_reasons(demand.footing_id, findings),
            *water_reasons(demand.footing_id, criteria, shape.depth_in),
        ),
        cautions=(
            *_size_cautions(size, shape, facts),
            *heave_caution(depth, criteria),
            *_grip_caution(criteria, facts, shape),
            *ground_cautions(criteria, beside, shape.depth_in),
        ),
    )


def _footing(demand: Demand, criteria: Criteria, shape: Shape, beside: BesideHouse) -> Footing:
    grade = demand.grade_height_in
    return Footing(
        id=demand.footing_id,
        mark=demand.mark,
        post=demand.post,
        serves=demand.serves,
        method="tube_form_pier",
        x_ft=demand.x_ft,
        y_ft=demand.y_ft,
        load_lb=demand.load_lb,
        tributary_sqft=tributary_sqft(demand.load_lb, criteria.design_psf),
        grade_height_in=grade,
        top_height_in=grade + shape.stand_in,
        bottom_height_in=grade - shape.depth_in,
        exposed_in=shape.stand_in,
        in_backfill_zone=beside.in_zone,
        concrete=Concrete(
            shape="round",
            shaft_diameter_in=shape.shaft_in,
            base_shape="round" if shape.base_in else None,
            base_size_in=shape.base_in,
            thickness_in=shape.base_thickness_in if shape.base_in else None,
            depth_below_grade_in=shape.depth_in,
            volume_cuft=shape.volume_cuft,
        ),
        pile=None,
    )


def _size_findings(
    demand: Demand, criteria: Criteria, size: FootingSize, shape: Shape
) -> tuple[Finding, ...]:
    member = demand.footing_id
    wide = at_least(
        member,
        "footing_size",
        size.basis,
        shape.bearing_in,
        size.round_in,
        "in",
        size.size_citation,
        size.steps,
    )
    if not wide.passes:
        wide = msgspec.structs.replace(wide, would_pass=f"{size.round_in:g} in round")
    thick = shape.base_thickness_in if shape.base_in else shape.length_in
    deep = at_least(
        member, "footing_thickness", size.basis, thick, size.thickness_in, "in",
        size.thickness_citation, size.thickness_steps,
    )  # fmt: skip
    return (
        (wide, deep) if size.basis == "calculated" else (wide, deep, _bearing(demand, criteria, size, shape))
    )


def _bearing(demand: Demand, criteria: Criteria, size: FootingSize, shape: Shape) -> Finding:
    """The same footing by bearing alone, beside the table."""
    area = math.pi * shape.bearing_in**2 / 4.0 / 144.0
    capacity = size.net_bearing_psf * area
    steps = (
        step("q", size.net_bearing_psf, "psf", "soil bearing by the own-weight rule in force"),
        step("A", area, "sqft", "circle of the bearing diameter"),
        step("R", capacity, "lb", "q A"),
    )
    cite = criteria.rulebook.setting("own_weight_rule").citation
    return at_most(
        demand.footing_id, "footing_size", "calculated", demand.sizing_load_lb, capacity, "lb", cite, steps
    )


def _anchor_finding(demand: Demand, facts: FoundationFacts, shape: Shape) -> Finding:
    edge = facts.figures["anchor_edge"]
    needed = least_shaft_in(demand.post_size, facts)
    steps = (step("post", post_side_in(demand.post_size), "in", "dressed post"), edge.step("edge"))
    found = at_least(
        demand.footing_id, "footing_anchor_edge", "rule", shape.shaft_in, needed, "in", edge.citation, steps
    )
    return found if found.passes else msgspec.structs.replace(found, would_pass=f"{needed:g} in round")


def _size_cautions(size: FootingSize, shape: Shape, facts: FoundationFacts) -> tuple[Caution, ...]:
    found = [
        Caution(code=said.code, text=said.text, action="have the building department confirm the size")
        for said in size.cautions
    ]
    ratio = facts.value("pedestal_height_ratio")
    if shape.base_in and shape.shaft_length_in > ratio * shape.shaft_in:
        text = f"a plain pier over {ratio:g} times as tall as wide needs reinforcement (ACI 318, from memory)"
        found.append(Caution(code="value_from_memory", text=text, action="put bars in, or use a wider shaft"))
    weighed = size.with_weight_in
    if weighed is not None and weighed > shape.bearing_in:
        text = (
            f"the table leaves out the footing's own weight: with the whole pier weighed {weighed:g} in round "
            f"would be needed where {shape.bearing_in:g} in is drawn"
        )
        found.append(
            Caution(
                code="table_permits_calculation_does_not",
                text=text,
                action="ask whether the department counts the pier's weight; the wider pier costs little",
            )
        )
    return tuple(found)


def _grip_caution(criteria: Criteria, facts: FoundationFacts, shape: Shape) -> tuple[Caution, ...]:
    # No code asks for a check of heave, so the force is told and not judged.
    frost_in = min(criteria.ground.frost_depth_in, shape.depth_in)
    if frost_in <= 0:
        return ()
    force = facts.value("frost_grip") * math.pi * shape.shaft_in * frost_in / 144.0
    text = f"frozen soil can grip a rough {shape.shaft_in:g} in pier with some {round(force, -2):,.0f} lb"
    action = "pour in a smooth tube for the whole frost depth, and drain the ground round it"
    return (Caution(code="frost_heave_grip", text=text, action=action),)


def _tubes(sized: Sequence[Sized]) -> tuple[Need, ...]:
    lengths: dict[tuple[float, float], int] = {}
    for one in sized:
        concrete = one.footing.concrete
        if concrete is None or concrete.shaft_diameter_in is None:
            continue
        whole = one.footing.top_height_in - one.footing.bottom_height_in
        key = (concrete.shaft_diameter_in, whole - (concrete.thickness_in or 0.0))
        lengths[key] = lengths.get(key, 0) + 1
    return tuple(
        Need(item("form", f"{diameter:g}in", "tube"), count * length / 12.0, "lineal_ft", True,
             cut_length_ft=length / 12.0)
        for (diameter, length), count in sorted(lengths.items())
    )  # fmt: skip


def _hardware(sized: Sequence[Sized], coating: str) -> tuple[Need, ...]:
    """An anchor a pier, and a base for its post or a saddle for its beam."""
    anchors = Need(item("anchor", "1-2in", "10in", coating), float(len(sized)), "each", True)
    seats = Counter(
        item("post_base" if one.demand.post else "saddle", one.demand.seat_word, coating) for one in sized
    )
    return (anchors, *(Need(code, float(count), "each", True) for code, count in sorted(seats.items())))


def _hole_risks(criteria: Criteria, deepest_in: float) -> list[Risk]:
    ground = criteria.ground
    found = []
    if ground.water_table_depth_in is not None and ground.water_table_depth_in < deepest_in:
        found.append(risk("hole_floods", "high", "ground water stands above the bottom of the holes"))
    if ground.soil_class in COHESIONLESS:
        found.append(risk("hole_caves", "moderate", "sand and gravel run into an open hole"))
    if ground.rock_depth_in is not None and ground.rock_depth_in < deepest_in:
        found.append(risk("buried_obstruction", "high", "rock lies above the footing bottoms"))
    return found

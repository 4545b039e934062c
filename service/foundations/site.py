"""Ground, rules and figures of one place, worked out once for all footings of a deck."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import cached_property

from service.contract.report_comparison import CodedText
from service.foundations.backfill import BesideHouse, Excavation, beside_hole, excavation
from service.foundations.demand import Demand
from service.foundations.depth import Depth, required_depth
from service.foundations.facts import FoundationFacts
from service.foundations.pile_capacity import Choice, choices
from service.rules.lookups import Reading
from service.sizing.criteria import Criteria
from service.sizing.footings import FootingSize, footing_size
from service.units.citation import Citation

DEAD_SHARE = 0.6  # ASCE 7, combinations for allowable stress, from memory


@dataclass(frozen=True)
class DeckFacts:
    """What a method may have to know of the whole deck.

    ``surface_over_grade_in`` is how far its surface lies over the lowest ground within 36 in of its open edges.
    """

    area_sqft: float
    surface_over_grade_in: float


@dataclass(frozen=True)
class Site:
    """One place. What it is asked for a second time it has kept: the answers hang on nothing else."""

    criteria: Criteria
    facts: FoundationFacts
    _depths: dict[bool, Depth] = field(default_factory=dict, init=False, repr=False, compare=False)
    _sizes: dict[tuple[float, float], FootingSize | CodedText] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )
    _limits: dict[str, Reading] = field(default_factory=dict, init=False, repr=False, compare=False)

    @property
    def frost_in(self) -> float:
        """Depth of frost, in."""
        return self.criteria.ground.frost_depth_in

    @cached_property
    def dug(self) -> Excavation | None:
        """The hole the house was built in, null where it is not known."""
        return excavation(self.criteria, self.facts)

    @cached_property
    def own_weight_citation(self) -> Citation:
        """The rule by which a footing's own weight is counted."""
        return self.criteria.rulebook.setting("own_weight_rule").citation

    @cached_property
    def piles(self) -> tuple[Choice, ...]:
        """Every pile offered, the lightest first, with what it carries in this ground."""
        ground = self.criteria.ground
        return tuple(choices(ground.soil_bearing_psf, self.facts, not ground.is_cohesionless))

    def value(self, key: str) -> float:
        """Return a figure of the methods by its key."""
        return self.facts.value(key)

    def limit(self, key: str) -> Reading:
        """Return a single figure of the rulebook by its key."""
        if key not in self._limits:
            self._limits[key] = self.criteria.rulebook.limit(key)
        return self._limits[key]

    def depth(self, demand: Demand) -> Depth:
        """Return how deep a footing must go where the deck hangs on the house, or stands free."""
        attached, asked_in = demand.attached, demand.least_bottom_depth_in
        if attached not in self._depths:
            self._depths[attached] = required_depth(attached, self.criteria)
        found = self._depths[attached]
        return replace(found, asked_in=asked_in) if asked_in else found

    def footing_size(self, demand: Demand) -> FootingSize | CodedText:
        """Return the footing for a demand; its concrete is weighed from the bottom up to the top of a pier."""
        down_in = demand.downhill_in(self.value("base_largest"))
        length_in = self.depth(demand).bottom_in + down_in + demand.top_above_grade_in
        key = (demand.sizing_load_lb, length_in)
        if key not in self._sizes:
            self._sizes[key] = footing_size(self.criteria, *key)
        return self._sizes[key]

    def beside(self, demand: Demand, width_in: float) -> BesideHouse:
        """Return how a footing of this width stands to the house."""
        at = (demand.from_wall_ft, width_in / 2.0, demand.grade_height_in)
        return beside_hole(self.dug, self.criteria.ground, self.value("near_house"), *at)

    def lasting_lb(self, load_lb: float) -> float:
        """Return what of a footing's load may be counted on to hold it down: 0.6 of the dead load, lb."""
        return max(0.0, DEAD_SHARE * load_lb * self.criteria.dead_psf / self.criteria.design_psf)

    def inspects(self, what: str) -> bool:
        """Return whether the place sends an inspector for this; no place, nobody known."""
        place = self.criteria.jurisdiction
        return place is not None and what in place.inspections

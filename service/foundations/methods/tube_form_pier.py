"""A concrete pier poured in a tube form: straight, or on a round base where the tube would be too wide."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from service.contract.report import Caution
from service.contract.report_comparison import CodedText, Risk
from service.foundations.bars import bar_needs
from service.foundations.demand import Demand
from service.foundations.hardware import AUGER, MIXER, hole_inspection, seats, tubes
from service.foundations.heave import poured_grip
from service.foundations.holes import hole_risks
from service.foundations.method import CannotServe, Need, Sized
from service.foundations.poured import least_shaft_in, poured, too_wide, tube_in
from service.foundations.shape import Shape
from service.foundations.site import Site
from service.sizing.footings import FootingSize, whole_inches_up


@dataclass(frozen=True)
class TubeFormPier:
    """Tube-form piers. ``pinned_in`` is a diameter the caller asked for."""

    pinned_in: float | None = None

    @property
    def name(self) -> str:
        """The word of the method on the wire."""
        return "tube_form_pier"

    def size(self, demand: Demand, site: Site) -> Sized | CannotServe:
        """Return the pier for one demand.

        Source: diameter and thickness by ``service.sizing.footings``, depth by ``service.foundations.depth``;
        tube sizes, top height and edge distance are common practice.

        Args:
            demand: load, place and post.
            site: rules, loads and ground, tube sizes and figures.

        Returns:
            The pier with its checks; ``CannotServe`` where the soil gives nothing or no base is wide enough.
            A pinned diameter is always worked out and its failing checks say what would pass.
        """
        size = site.footing_size(demand)
        if isinstance(size, CodedText):
            return CannotServe(size.code, size.text)
        shape = self._shape(size, demand, site)
        return shape if isinstance(shape, CannotServe) else poured(self.name, demand, site, size, shape)

    def _shape(self, size: FootingSize, demand: Demand, site: Site) -> Shape | CannotServe:
        depth_in, stand_in = site.depth(demand).bottom_in, demand.top_above_grade_in
        # A pin is a wish for a straight pier of that width; a base under it would hide that it is too narrow.
        if self.pinned_in is not None:
            return Shape(depth_in, stand_in, self.pinned_in)
        least = least_shaft_in(demand.post_size, site.facts)
        straight = tube_in(max(size.round_in, least), site.facts)
        if straight is not None and straight <= site.value("tube_largest_shaft"):
            return Shape(depth_in, stand_in, straight)
        shaft = tube_in(least, site.facts)
        refused = too_wide(size.round_in, "round", site)
        if refused or shaft is None:
            return refused or CannotServe("pier_too_wide_for_tube", f"no tube is {least:g} in wide")
        # A plain base may stick out past its shaft no further than it is thick (R403.1.1).
        thickness = max(size.thickness_in, whole_inches_up((size.round_in - shaft) / 2.0))
        return Shape(max(depth_in, thickness), stand_in, shaft, size.round_in, "round", thickness)

    def needs(self, sized: Sequence[Sized], site: Site) -> tuple[Need, ...]:
        """Return tubes, bars, anchors, post bases, rentals and the inspector; the concrete is counted by volume.

        Source: convention of this service; the auger and the mixer are usual (common practice).

        Args:
            sized: the piers.
            site: the fastener coating and the inspections of the place.
        """
        goods = (*tubes(sized), *bar_needs(sized), *seats(sized, site.criteria.coating))
        return (*goods, AUGER, MIXER, *hole_inspection(site))

    def risks(self, sized: Sequence[Sized], site: Site) -> tuple[Risk, ...]:  # noqa: ARG002 - a method is handed them
        """Return what can go wrong with poured piers on this ground."""
        return hole_risks()

    def cautions(self, sized: Sequence[Sized], site: Site) -> tuple[Caution, ...]:
        """Return what frost may do to them."""
        return poured_grip(sized, site)

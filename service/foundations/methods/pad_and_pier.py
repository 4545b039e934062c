"""A square pad poured in the dug hole, and on it a pier in a tube as narrow as the post allows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from service.contract.report import Caution
from service.contract.report_comparison import CodedText, Risk
from service.foundations.bars import bar_needs
from service.foundations.demand import Demand
from service.foundations.facts import LEAST_PROJECTION_IN
from service.foundations.hardware import MIXER, hole_inspection, seats, tubes
from service.foundations.heave import poured_grip
from service.foundations.holes import hole_risks
from service.foundations.method import CannotServe, Need, Sized
from service.foundations.poured import least_shaft_in, poured, too_wide, tube_in
from service.foundations.shape import Shape
from service.foundations.site import Site
from service.sizing.footings import FootingSize, whole_inches_up


@dataclass(frozen=True)
class PadAndPier:
    """Pads with piers. ``pinned_in`` is a diameter of the pier the caller asked for."""

    pinned_in: float | None = None

    @property
    def name(self) -> str:
        """The word of the method on the wire."""
        return "pad_and_pier"

    def size(self, demand: Demand, site: Site) -> Sized | CannotServe:
        """Return pad and pier for one demand.

        Source: side and thickness by ``service.sizing.footings``; the pad stands out past the pier at least 2 in and
        no further than it is thick, IRC R403.1.1; bars in a slender pier by ACI 318 from memory.

        Args:
            demand: load, place and post.
            site: rules, loads and ground, tube sizes and figures.

        Returns:
            The footing with its checks; ``CannotServe`` where the soil gives nothing or no pad is wide enough.
        """
        size = site.footing_size(demand)
        if isinstance(size, CodedText):
            return CannotServe(size.code, size.text)
        least = least_shaft_in(demand.post_size, site.facts)
        shaft = self.pinned_in or tube_in(least, site.facts)
        if shaft is None:
            return CannotServe("pier_too_wide_for_tube", f"no tube is {least:g} in wide")
        side = max(size.square_in, shaft + 2.0 * LEAST_PROJECTION_IN)
        refused = too_wide(side, "square", site)
        return refused or poured(self.name, demand, site, size, _shape(size, demand, site, shaft, side))

    def needs(self, sized: Sequence[Sized], site: Site) -> tuple[Need, ...]:
        """Return tubes, bars, anchors, post bases, the mixer and the inspector; the concrete is counted by volume.

        Source: convention of this service; square holes are dug with a shovel (common practice), so no auger.

        Args:
            sized: the footings.
            site: the fastener coating and the inspections of the place.
        """
        goods = (*tubes(sized), *bar_needs(sized), *seats(sized, site.criteria.coating))
        return (*goods, MIXER, *hole_inspection(site))

    def risks(self, sized: Sequence[Sized], site: Site) -> tuple[Risk, ...]:  # noqa: ARG002 - a method is handed them
        """Return what can go wrong with open holes."""
        return hole_risks()

    def cautions(self, sized: Sequence[Sized], site: Site) -> tuple[Caution, ...]:
        """Return what frost may do to them."""
        return poured_grip(sized, site)


def _shape(size: FootingSize, demand: Demand, site: Site, shaft: float, side: float) -> Shape:
    thickness = max(size.thickness_in, whole_inches_up((side - shaft) / 2.0))
    depth_in = max(site.depth(demand).bottom_in, thickness)
    return Shape(depth_in, demand.top_above_grade_in, shaft, side, "square", thickness)

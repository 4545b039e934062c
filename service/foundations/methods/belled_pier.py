"""A pier that widens into a bell at its foot, tube and bell form poured in one lift."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from service.contract.ids import item
from service.contract.report import Caution
from service.contract.report_comparison import CodedText, Risk
from service.foundations.bars import bar_needs
from service.foundations.demand import Demand
from service.foundations.facts import BellForm
from service.foundations.hardware import AUGER, MIXER, hole_inspection, seats, tubes
from service.foundations.heave import poured_grip
from service.foundations.holes import hole_risks
from service.foundations.method import CannotServe, Need, Sized
from service.foundations.poured import least_shaft_in, poured, tube_in
from service.foundations.shape import Shape
from service.foundations.site import Site
from service.foundations.volumes import bell_height_in

LISTING = Caution(
    code="maker_listing_governs",
    text="the bell forms used here are invented by their sizes; what a form carries is its maker's to say",
    action="put in the form to be used, and fill it in one pour so that no joint opens between bell and shaft",
)


@dataclass(frozen=True)
class BelledPier:
    """Belled piers. ``pinned_in`` is a diameter of the shaft the caller asked for."""

    pinned_in: float | None = None

    @property
    def name(self) -> str:
        """The word of the method on the wire."""
        return "belled_pier"

    def size(self, demand: Demand, site: Site) -> Sized | CannotServe:
        """Return the pier for one demand.

        Source: bearing on the bell by ``service.sizing.footings``; the form is the smallest of the table that is wide
        enough and takes the tube. A side of 60 deg is thicker everywhere than it stands out (IRC R403.1.1).

        Args:
            demand: load, place and post.
            site: rules, loads and ground, forms and figures.

        Returns:
            The pier with its checks; ``CannotServe`` where the soil gives nothing or no form is wide enough.
        """
        size = site.footing_size(demand)
        if isinstance(size, CodedText):
            return CannotServe(size.code, size.text)
        least = least_shaft_in(demand.post_size, site.facts)
        shaft = self.pinned_in or tube_in(least, site.facts) or least
        form = next((one for one in site.facts.bell_forms if _serves(one, shaft, size.round_in)), None)
        if form is None:
            return CannotServe("pier_too_wide_for_tube", _too_wide(size.round_in, shaft, site))
        return poured(self.name, demand, site, size, _shape(form, shaft, demand, site))

    def needs(self, sized: Sequence[Sized], site: Site) -> tuple[Need, ...]:
        """Return bell forms, tubes, bars, anchors, post bases, rentals and the inspector.

        Source: convention of this service; the auger and the mixer are usual (common practice).

        Args:
            sized: the piers.
            site: the fastener coating and the inspections of the place.
        """
        goods = (
            *tubes(sized),
            *_forms(sized),
            *bar_needs(sized),
            *seats(sized, site.criteria.coating),
        )
        return (*goods, AUGER, MIXER, *hole_inspection(site))

    def risks(self, sized: Sequence[Sized], site: Site) -> tuple[Risk, ...]:  # noqa: ARG002 - a method is handed them
        """Return what can go wrong with open holes."""
        return hole_risks()

    def cautions(self, sized: Sequence[Sized], site: Site) -> tuple[Caution, ...]:
        """Return what frost may do to them, and whose word counts on the forms."""
        return (*poured_grip(sized, site), LISTING)


def _serves(form: BellForm, shaft_in: float, needed_in: float) -> bool:
    return form.base_in >= needed_in and shaft_in in form.tubes


def _too_wide(needed_in: float, shaft_in: float, site: Site) -> str:
    fitting = [form.base_in for form in site.facts.bell_forms if shaft_in in form.tubes]
    if not fitting:
        return f"no bell form takes a {shaft_in:g} in tube"
    return f"a {needed_in:g} in bell is needed, {max(fitting):g} in is the widest form for a {shaft_in:g} in tube"


def _shape(form: BellForm, shaft_in: float, demand: Demand, site: Site) -> Shape:
    cone_in = bell_height_in(shaft_in, form.base_in, form.side_deg)
    depth_in = max(site.depth(demand).bottom_in, form.rim_in + cone_in)
    return Shape(depth_in, demand.top_above_grade_in, shaft_in, form.base_in, "round", form.rim_in, cone_in)


def _forms(sized: Sequence[Sized]) -> Iterator[Need]:
    bases = Counter(one.footing.width_in for one in sized)
    for base_in, count in sorted(bases.items()):
        yield Need(item("form", f"{base_in:g}in", "bell"), float(count), "piece", True)

"""What the ground can do to a footing method: rules on the site's numbers, alike for every method of a kind.

Thresholds are conventions of this service: they say how bad a thing would be, and decide no verdict.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from service.contract.report_comparison import Risk
from service.foundations.ground_words import DEEP_HOLE_IN, risk, rock_above_in
from service.foundations.method import Sized
from service.foundations.site import Site
from service.sizing.criteria import Ground
from service.units.finding import SLACK

DEEP_WATER_IN = 12.0
DRAIN_IN = 12.0  # a footing drain lies within this of the house footing's bottom
TIGHT_GATE_IN = 12.0
FAR_SHORT_OF_FROST_IN = 12.0
SLOPES_IN_PER_FT = (1.0, 2.0, 4.0)
Severity = Literal["low", "moderate", "high"]
SEVERITIES: tuple[Severity, ...] = ("low", "moderate", "high")


@dataclass(frozen=True)
class Footings:
    """The footings of one method on their ground; depths are below the ground at each, in."""

    sized: Sequence[Sized]
    site: Site

    @property
    def ground(self) -> Ground:
        """The ground of the site."""
        return self.site.criteria.ground

    @property
    def piles(self) -> bool:
        """Whether they are screwed in and open no hole."""
        return any(one.footing.pile is not None for one in self.sized)

    @property
    def holes(self) -> bool:
        """Whether something is poured in holes; what comes ready made is set on the ground."""
        return any(
            one.footing.concrete is not None and one.footing.concrete.volume_cuft > 0 for one in self.sized
        )

    @property
    def deepest_in(self) -> float:
        """The deepest bottom, in."""
        return max(one.footing.grade_height_in - one.footing.bottom_height_in for one in self.sized)

    @property
    def fall_in_per_ft(self) -> float:
        """The steepest ground at any of them."""
        return max(one.demand.fall_in_per_ft for one in self.sized)

    def failing(self, check: str) -> int:
        """How many fail a check; the cover check has the same name as that of fill, and always passes."""
        return sum(any(f.check == check and not f.passes for f in one.findings) for one in self.sized)


def ground_risks_of(sized: Sequence[Sized], site: Site) -> tuple[Risk, ...]:
    """Return what the ground can do to one method's footings, each risk once, with its numbers.

    Source: rules of this service on the site's values; texts and actions are common practice.

    Args:
        sized: the footings; lengths in in, as named.
        site: the ground, the machine's width and margins, in.

    >>> ground_risks_of((), Site(criteria, facts))
    ()
    """
    if not sized:
        return ()
    on = Footings(sized, site)
    holes = (_water(on), _caving(on), _rock(on)) if on.holes else ()
    of_kind = (_machine(on), _toes(on)) if on.piles else (*holes, _frost(on))
    found = (_utilities(on), _fill(on), _drain(on), _load_line(on), *of_kind, _swelling(on), _slope(on))
    return tuple(one for risks in found for one in risks)


def grave_in_holes(sized: Sequence[Sized], site: Site) -> tuple[Risk, ...]:
    """Return the gravest that can happen to holes: water, caving or rock that may stop them from being made.

    Source: the rules above; which of them is grave is a convention of this service.

    Args:
        sized: the footings, those that are alike once is enough; lengths in in, as named.
        site: the ground, depths in in.

    >>> grave_in_holes((), Site(criteria, facts))
    ()
    """
    on = Footings(sized, site)
    if not on.holes:
        return ()
    found = (one for risks in (_water(on), _caving(on), _rock(on)) for one in risks)
    return tuple(one for one in found if one.severity == "high")


def _utilities(on: Footings) -> Iterator[Risk]:
    yield risk("utilities", "low", f"lines may be buried at the {len(on.sized)} places the ground is opened")


def _fill(on: Footings) -> Iterator[Risk]:
    inside = sum(one.footing.in_backfill_zone is True for one in on.sized)
    standing = on.failing("footing_in_undisturbed_ground")
    hole = on.site.dug
    of_all = f"of {len(on.sized)} footings"
    if hole is not None and standing:
        reach_ft = hole.width_in(min(on.deepest_in, on.ground.frost_depth_in)) / 12.0
        text = (
            f"{standing} {of_all} would stand on backfill or too near under it, which reaches {reach_ft:.3g} ft from "
            "the house there"
        )
        yield risk("backfill_zone", "high", text)
    elif inside:
        yield risk("backfill_zone", "low", f"{inside} {of_all} go through backfill")
    elif any(one.footing.in_backfill_zone is None for one in on.sized):
        yield risk(
            "backfill_zone", "moderate", "how far the house's backfill reaches is not known", _unknown(on)
        )


def _unknown(on: Footings) -> str:
    """What to do where nobody knows how deep the house was dug: piles cannot be told to use piles."""
    if on.piles:
        return (
            "screw each pile on until the torque holds in original ground, below the house footing near the wall, and "
            "have extensions at hand"
        )
    what = "dig until original ground shows" if on.holes else "look for original ground under each block"
    return f"give house.foundation_depth_in; {what}, or use piles"


def _drain(on: Footings) -> Iterator[Risk]:
    """A footing drain runs beside the house footing, if there is one (common practice, no source)."""
    if not on.ground.house_present or not (on.piles or on.holes):
        return
    room_in = on.site.dug.floor_edge_in if on.site.dug else on.site.value("working_room")
    near = [one for one in on.sized if _edge_in(one) < room_in - SLACK]
    if not near:
        return
    house_in = on.ground.foundation_depth_in
    reaches = house_in is None or any(-one.footing.bottom_height_in > house_in - DRAIN_IN for one in near)
    text = f"{len(near)} of {len(on.sized)} go down within {room_in:g} in of the wall, where a footing drain may run"
    yield risk("footing_drain", "moderate" if reaches else "low", text)


def _edge_in(one: Sized) -> float:
    return one.demand.from_wall_ft * 12.0 - one.footing.width_in / 2.0


def _load_line(on: Footings) -> Iterator[Risk]:
    within = on.failing("footing_house_load_line")
    if within:
        text = f"{within} of {len(on.sized)} footings lie within the load line of the house footing"
        yield risk("house_load_line", "high", text)


def _water(on: Footings) -> Iterator[Risk]:
    water = on.ground.water_table_depth_in
    if water is None or water > on.deepest_in + DEEP_WATER_IN:
        return
    over = on.deepest_in - water
    if over <= 0:
        text = (
            f"ground water at {water:g} in lies {-over:.3g} in under the deepest hole and may rise after rain"
        )
        yield risk("hole_floods", "low", text)
        return
    text = f"ground water at {water:g} in stands {over:.3g} in over the bottom of a hole {on.deepest_in:.3g} in deep"
    yield risk("hole_floods", "high" if over > DEEP_WATER_IN else "moderate", text)


def _caving(on: Footings) -> Iterator[Risk]:
    loose = on.ground.is_cohesionless
    filled = any(one.footing.in_backfill_zone is True for one in on.sized)
    if loose or filled:
        what = f"{on.ground.soil_class.replace('_', ' ')} runs" if loose else "backfill breaks"
        text = f"{what} into a hole {on.deepest_in:.3g} in deep"
        yield risk("hole_caves", "high" if on.deepest_in > DEEP_HOLE_IN else "moderate", text)


def _rock(on: Footings) -> Iterator[Risk]:
    rock = rock_above_in(on.site.criteria, on.deepest_in)
    if rock is None:
        return
    text = (
        f"rock at {rock:g} in stops a hole of {on.deepest_in:.3g} in: it is drilled, or the footing keyed or pinned to "
        "the rock by an engineer; neither is in the cost"
    )
    yield risk("buried_obstruction", "high", text)


def _frost(on: Footings) -> Iterator[Risk]:
    short = on.ground.frost_depth_in - min(
        one.footing.grade_height_in - one.footing.bottom_height_in for one in on.sized
    )
    if short > SLACK:
        text = f"footings end {short:.3g} in above the frost depth of {on.ground.frost_depth_in:g} in and may heave"
        yield risk("frost_not_reached", "high" if short > FAR_SHORT_OF_FROST_IN else "moderate", text)


def _machine(on: Footings) -> Iterator[Risk]:
    access, needed = on.ground.rig_access_width_in, on.site.value("rig_width")
    if access is None:
        text = f"whether a machine {needed:g} in wide can get to the back yard is not known"
        yield risk("rig_too_wide", "low", text)
    elif access < needed:
        text = f"the way in is {access:g} in wide, the machine needs {needed:g} in"
        yield risk("rig_too_wide", "high", text)
    elif access < needed + TIGHT_GATE_IN:
        text = f"the way in is {access:g} in wide, {access - needed:.3g} in more than the machine needs"
        yield risk("rig_too_wide", "moderate", text)


def _toes(on: Footings) -> Iterator[Risk]:
    rock, margin = on.ground.rock_depth_in, on.site.value("obstruction_margin")
    if rock is None:
        yield risk("refusal_on_rock", "low", "how deep the rock lies is not known")
    elif rock < on.deepest_in + margin:
        text = f"rock at {rock:g} in, the longest pile goes to {on.deepest_in:.4g} in"
        yield risk("refusal_on_rock", "high", text)


def _swelling(on: Footings) -> Iterator[Risk]:
    swells = on.ground.expansive_soil
    if swells:
        text = "the soil swells and shrinks with water and lifts what stands in it: every footing is an engineer's"
        yield risk("expansive_soil", "high", text)
    elif swells is None and on.ground.soil_class == "clay":
        yield risk("expansive_soil", "low", "whether this clay swells is not known")


def _slope(on: Footings) -> Iterator[Risk]:
    fall = on.fall_in_per_ft
    over = sum(fall > limit for limit in SLOPES_IN_PER_FT)
    if over:
        what = "the machine stands askew and has to be levelled" if on.piles else (
            "holes are deeper on their upper side, and tubes and forms have to be cut and held to it"
        )  # fmt: skip
        yield risk("sloping_ground", SEVERITIES[over - 1], f"the ground falls {fall:.3g} in per ft: {what}")

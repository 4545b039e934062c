"""Lateral ties between an attached deck and the house floor."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from service.contract.report import Caution
from service.contract.report_frame import LateralDevice, Point
from service.rules.lookups import Reading
from service.sizing.criteria import Criteria
from service.sizing.lumber import PLY_IN
from service.units.finding import Finding, at_least, at_most

Way = Literal["two", "four"]
CHECK = "lateral_devices"
NO_LINES_END_IN = 12.0


@dataclass(frozen=True)
class LateralAsk:
    """What lateral ties are placed on.

    ``joists_at_in`` are the joist lines along the ledger from its start, in; empty: not known yet. ``width_ft`` is
    that of the deck along the wall, where it is longer than the ledger.
    """

    member: str
    start_ft: Point
    end_ft: Point
    projection_ft: float
    floor_joist_direction: str
    joists_at_in: tuple[float, ...] = ()
    way: Way = "two"
    width_ft: float = 0.0


@dataclass(frozen=True)
class LateralTies:
    """Lateral devices with their checks and what to watch."""

    devices: tuple[LateralDevice, ...]
    findings: tuple[Finding, ...]
    cautions: tuple[Caution, ...]


def length_in(start_ft: Point, end_ft: Point) -> float:
    """Return the length between two points of the deck frame, in.

    Source: geometry.

    >>> length_in((0, 0), (16, 0))
    192.0
    """
    dx, dy = end_ft[0] - start_ft[0], end_ft[1] - start_ft[1]
    return float((dx * dx + dy * dy) ** 0.5 * 12)


def point_along(start_ft: Point, end_ft: Point, at_in: float) -> Point:
    """Return the point ``at_in`` from the start, ft in the deck frame.

    Source: geometry.

    >>> point_along((0, 0), (16, 0), 24)
    (2.0, 0.0)
    """
    share = at_in / length_in(start_ft, end_ft)
    dx, dy = end_ft[0] - start_ft[0], end_ft[1] - start_ft[1]
    return start_ft[0] + share * dx, start_ft[1] + share * dy


def end_place_in(run_in: float, joists_at_in: Sequence[float], most_in: float) -> float:
    """Return where the first of two devices goes: on the last joist line near the start, in from it.

    Source: IRC R507.9.2 (2015: R507.2.4), within 24 in of each end of the deck.

    Args:
        run_in: length of the ledger, in.
        joists_at_in: joist lines along it, in from its start.
        most_in: greatest distance from the end, in.

    >>> end_place_in(192, (0.75, 16, 32), 24)
    16
    >>> end_place_in(192, (), 24)
    12.0
    """
    # The device stands at the joist's face, so its centre line keeps half a ply clear of the limit.
    near = min(most_in - PLY_IN / 2, run_in / 2 - PLY_IN)
    lines = [at for at in joists_at_in if at <= near]
    return max(lines) if lines else min(NO_LINES_END_IN, run_in / 4)


def two_places_in(run_in: float, joists_at_in: Sequence[float], most_in: float) -> tuple[float, ...]:
    """Return where two devices go, one near each end, in from the ledger's start.

    Source: IRC R507.9.2 (2015: R507.2.4).

    >>> two_places_in(192, (0.75, 16, 32, 160, 176, 191.25), 24)
    (16, 176)
    """
    mirrored = [run_in - at for at in joists_at_in]
    return (
        end_place_in(run_in, joists_at_in, most_in),
        run_in - end_place_in(run_in, mirrored, most_in),
    )


def four_places_in(run_in: float, joists_at_in: Sequence[float], count: int) -> tuple[float, ...]:
    """Return where ``count`` lighter devices go: spread evenly, each on the nearest joist line not yet used, in.

    Source: IRC R507.9.2, second way; the even spread is from memory.

    >>> four_places_in(192, (), 4)
    (24.0, 72.0, 120.0, 168.0)
    """
    even = [run_in * (2 * n + 1) / (2 * count) for n in range(count)]
    free = list(joists_at_in)
    if len(free) < count:
        return tuple(even)
    places = []
    for target in even:
        nearest = min(free, key=lambda at: (abs(at - target), at))
        free.remove(nearest)
        places.append(nearest)
    return tuple(sorted(places))


def _limit(criteria: Criteria, way: Way, what: str) -> Reading:
    return criteria.rulebook.limit(f"lateral_{way}_devices_{what}")


def lateral_ties(criteria: Criteria, ask: LateralAsk) -> LateralTies:
    """Return the lateral devices of one ledger.

    Source: IRC R507.9.2 (2015: R507.2.4), one permitted way of meeting the lateral load rule: two of 1500 lb or
    four of 750 lb.

    Args:
        criteria: rules.
        ask: the ledger line in ft, the joist lines on it in in, the way wished.

    Returns:
        Devices in ft and lb, checks, cautions.
    """
    count, capacity = _limit(criteria, ask.way, "count"), _limit(criteria, ask.way, "capacity")
    run_in = length_in(ask.start_ft, ask.end_ft)
    end = criteria.rulebook.limit("lateral_two_devices_end_distance")
    if ask.way == "two":
        places = two_places_in(run_in, ask.joists_at_in, end.value or 0.0)
    else:
        places = four_places_in(run_in, ask.joists_at_in, int(count.value or 0))
    capacity_lb = capacity.value or 0.0
    devices = tuple(LateralDevice(*point_along(ask.start_ft, ask.end_ft, at), capacity_lb) for at in places)
    findings = _findings(ask, devices, places, run_in, (count, capacity, end))
    return LateralTies(devices, findings, _cautions(criteria, ask, run_in))


def _findings(
    ask: LateralAsk,
    devices: tuple[LateralDevice, ...],
    places: tuple[float, ...],
    run_in: float,
    limits: tuple[Reading, Reading, Reading],
) -> tuple[Finding, ...]:
    count, capacity, end = limits
    least_lb = min(one.capacity_lb for one in devices)
    found = [
        at_least(ask.member, CHECK, "rule", len(_apart(places)), count.value or 0.0, "each", count.citation),
        at_least(ask.member, CHECK, "rule", least_lb, capacity.value or 0.0, "lb", capacity.citation),
    ]
    if ask.way == "two":
        farthest = max(places[0], run_in - places[-1])
        found.append(at_most(ask.member, CHECK, "rule", farthest, end.value, "in", end.citation))
    return tuple(found)


def _apart(places: tuple[float, ...]) -> list[float]:
    """The places that are really different: two devices on one joist are one."""
    return [places[0], *(b for a, b in pairwise(places) if b - a > PLY_IN)]


NOTES = {
    "along_wall": Caution(
        code="maker_listing_governs",
        text="Floor joists run along the wall: blocking from the band into the floor carries each lateral tie",
        action="Open the ceiling or floor inside and block between floor joists as the tie's listing asks",
    ),
    "unknown": Caution(
        code="maker_listing_governs",
        text="It is not known how the floor joists inside run; a lateral tie ends on one, or on blocking",
        action="Find out which way the floor joists run, and whether there is access to them from below",
    ),
    "toward_deck": Caution(
        code="maker_listing_governs",
        text="Each lateral tie ends on a floor joist inside the house",
        action="Make sure there is access to the floor joists behind the ledger",
    ),
}  # fmt: skip


def _cautions(criteria: Criteria, ask: LateralAsk, run_in: float) -> tuple[Caution, ...]:
    notes = [NOTES[ask.floor_joist_direction]] if ask.way == "two" else []
    width_ft = max(ask.width_ft, run_in / 12)
    if ask.projection_ft > width_ft:
        notes.append(deeper_than_wide(criteria, ask.projection_ft, width_ft))
    return tuple(notes)


def deeper_than_wide(criteria: Criteria, projection_ft: float, width_ft: float) -> Caution:
    """Return the caution on an attached deck that reaches out farther than it is wide, both in ft.

    Source: DCA 6 scope, deck proportion.
    """
    source = criteria.guide.limit("guide_deck_proportion").citation
    return Caution(
        code="deeper_than_wide",
        text=f"The deck is {projection_ft:g} ft deep and {width_ft:g} ft wide: {source.document} does not cover"
        " an attached deck that is deeper than it is wide",
        action="Ask the building department what it wants for sideways load; braces or wider spread ties help",
    )

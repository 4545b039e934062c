"""What a stair puts on what carries it: its header, lines held up under it, and its foot."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from service.framing.stair_climb import Climb
from service.framing.stair_flights import BuiltFlight
from service.framing.stair_place import StairLine
from service.framing.statics import post_reactions_lb
from service.sizing.criteria import Criteria
from service.sizing.stair_limits import figure
from service.sizing.stairs import seat_in, underside_in
from service.units.working import Step, step

CLEAR_OF_EDGE_IN = 0.5  # convention of this service: what a stair that stands by itself keeps off the rim

LineKind = Literal["header", "mid_support", "landing_near", "landing_far"]


@dataclass(frozen=True)
class BearingLine:
    """A line across a stair that has to be held up by a beam of its own, square to the way out.

    The beam lies on the far side of ``out_in`` where ``side`` is 1, on the near side where it is -1, over it where
    it is 0. ``top_in`` is the height above the datum of what it holds there: the stringers' lower edge, which goes
    down by ``fall`` an inch on the way out, or the walking surface of the landing of that number (from 0, top down).
    ``load_lb`` is that of stringers cut over it, ``whole_lb`` that of stringers in one piece: a beam has to hold both.
    """

    stair: str
    kind: LineKind
    out_in: float
    side: int
    top_in: float
    load_lb: float
    whole_lb: float
    fall: float = 0.0
    landing: int | None = None

    @property
    def sizing_lb(self) -> float:
        """The load its beam, posts and footings are sized for."""
        return max(self.load_lb, self.whole_lb)

    def top_over_in(self, beam_width_in: float) -> float:
        """Return the lowest height of what lies on a beam of this width: that over its far face."""
        return self.top_in - self.fall * beam_width_in * (self.side + 1) / 2

    def centre_in(self, beam_width_in: float) -> float:
        """Return how far from the edge the centre of a beam of this width lies."""
        return self.out_in + self.side * beam_width_in / 2


@dataclass(frozen=True)
class Platform:
    """The frame of a landing between flights, from and to inches out: it reaches back under the flight above."""

    start_in: float
    end_in: float
    surface_in: float

    @property
    def depth_in(self) -> float:
        """How deep the frame is."""
        return self.end_in - self.start_in


@dataclass(frozen=True)
class StairLoads:
    """Everything a stair bears on, with what it puts there, lb."""

    header_lb: float
    lines: tuple[BearingLine, ...]
    platforms: tuple[Platform, ...]
    foot_lb: float
    working: tuple[Step, ...]

    @property
    def total_lb(self) -> float:
        """The whole load."""
        return self.header_lb + sum(line.load_lb for line in self.lines) + self.foot_lb


def stair_psf(criteria: Criteria) -> tuple[float, tuple[Step, ...]]:
    """Return the load of a stair: the greatest of stair live, the deck's live and snow, plus dead, psf."""
    live = figure(criteria.rulebook, "stair_live_load")
    psf = max(live.value, criteria.variable_psf) + criteria.dead_psf
    return psf, (*live.steps, step("w", psf, "psf", "greatest of stair live, deck live and snow, plus dead"))


def stair_loads(
    member: str, line: StairLine, climb: Climb, built: Sequence[BuiltFlight], surface_in: float, criteria: Criteria
) -> StairLoads:  # fmt: skip
    """Return the loads of a stair whose flights are built: by half bays of each flight and half landings.

    Source of the shares: statics of stringers that end on each of their supports.
    """
    psf, steps = stair_psf(criteria)
    per_in = psf * line.width_ft / 12
    platforms = tuple(_platforms(climb, built, surface_in))
    lines = tuple(_lines(member, climb, built, platforms, surface_in, per_in))
    half_in = _bay_in(built[0]) / 2
    working = (
        *steps,
        step("a", half_in / 12, "ft", "half the horizontal run of the top bay"),
        step("b", line.width_ft, "ft", "stair width"),
        step("R", half_in * per_in, "lb", "w a b"),
    )
    return StairLoads(half_in * per_in, lines, platforms, _bay_in(built[-1]) / 2 * per_in, working)


def _bay_in(flight: BuiltFlight) -> float:
    return flight.flight.run_in / flight.bays


def _platforms(climb: Climb, built: Sequence[BuiltFlight], surface_in: float) -> Iterator[Platform]:
    done = 0
    for start, one in zip(climb.flight_starts_in()[:-1], built[:-1], strict=True):
        flight = one.flight
        done += flight.risers
        face = start + flight.run_in
        back = seat_in(climb.riser_in, climb.tread_in, flight.drop_in, flight.run_in)
        yield Platform(face - back, face + climb.landing_depth_in, surface_in - done * climb.riser_in)


def _lines(
    member: str, climb: Climb, built: Sequence[BuiltFlight], platforms: Sequence[Platform], surface_in: float,
    per_in: float,
) -> Iterator[BearingLine]:  # fmt: skip
    for number, one in enumerate(built):
        yield from _mid_supports(member, climb, one, number, surface_in, per_in)
        if number < len(platforms):
            here, half = platforms[number], platforms[number].depth_in / 2
            above = (_bay_in(one) / 2 + half) * per_in
            below = (half + _bay_in(built[number + 1]) / 2) * per_in
            top = here.surface_in
            yield BearingLine(member, "landing_near", here.start_in, 1, top, above, above, landing=number)
            yield BearingLine(member, "landing_far", here.end_in, -1, top, below, below, landing=number)


def _mid_supports(
    member: str, climb: Climb, one: BuiltFlight, number: int, surface_in: float, per_in: float
) -> Iterator[BearingLine]:
    start, bay = climb.flight_starts_in()[number], _bay_in(one)
    top = surface_in - sum(climb.flights[:number]) * climb.riser_in
    whole = post_reactions_lb((bay,) * one.bays, 0.0, 0.0, per_in * 12) if one.bays > 1 else ()
    for i in range(1, one.bays):
        top_in = top - _underside_in(climb, one, bay * i)
        loads = bay * per_in, whole[i]
        yield BearingLine(member, "mid_support", start + bay * i, 0, top_in, *loads, _fall(climb))


def _underside_in(climb: Climb, one: BuiltFlight, out_in: float) -> float:
    return underside_in(climb.riser_in, climb.tread_in, one.thickness_in, out_in)


def _fall(climb: Climb) -> float:
    return climb.riser_in / climb.tread_in


def header_line(
    member: str, climb: Climb, top: BuiltFlight, surface_in: float, load_lb: float
) -> BearingLine:
    """Return the line under the upper end of a stair that stands on a beam of its own, clear of the edge."""
    top_in = surface_in - _underside_in(climb, top, CLEAR_OF_EDGE_IN)
    return BearingLine(member, "header", CLEAR_OF_EDGE_IN, 1, top_in, load_lb, load_lb, _fall(climb))

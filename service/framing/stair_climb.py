"""How a stair climbs: risers, flights and where its treads lie, on whatever ground it comes down to."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

MOST_RISERS = 160
SAME = 1e-9


@dataclass(frozen=True)
class Climb:
    """Risers shared over flights from the top down, all alike; ``run_in`` includes the landings."""

    rise_in: float
    riser_in: float
    tread_in: float
    landing_depth_in: float
    flights: tuple[int, ...]

    @property
    def risers(self) -> int:
        """All risers."""
        return sum(self.flights)

    @property
    def run_in(self) -> float:
        """Deck edge to the face of the lowest riser, in."""
        return run_in(self.risers, len(self.flights), self.tread_in, self.landing_depth_in)

    def flight_starts_in(self) -> tuple[float, ...]:
        """Return how far from the deck's edge each flight begins, in."""
        starts, at = [], 0.0
        for risers in self.flights:
            starts.append(at)
            at += (risers - 1) * self.tread_in + self.landing_depth_in
        return tuple(starts)

    def surfaces(self) -> tuple[tuple[float, float, float], ...]:
        """Return every tread and landing as (from, to, below the deck), in, from the top down."""
        found, done = [], 0
        for start, risers in zip(self.flight_starts_in(), self.flights, strict=True):
            for i in range(1, risers):
                at = start + (i - 1) * self.tread_in
                found.append((at, at + self.tread_in, (done + i) * self.riser_in))
            done += risers
            end = start + (risers - 1) * self.tread_in
            if done < self.risers:
                found.append((end, end + self.landing_depth_in, done * self.riser_in))
        return tuple(found)


def run_in(risers: int, flights: int, tread_in: float, landing_depth_in: float) -> float:
    """Return the horizontal run: one tread fewer than risers in each flight, and the landings between.

    >>> run_in(5, 1, 10.5, 36), run_in(20, 2, 10.5, 36)
    (42.0, 225.0)
    """
    return (risers - flights) * tread_in + (flights - 1) * landing_depth_in


def shared(risers: int, flights: int) -> tuple[int, ...]:
    """Return risers split over flights as evenly as they go, the longer flights on top.

    >>> shared(21, 2), shared(5, 1)
    ((11, 10), (5,))
    """
    each, more = divmod(risers, flights)
    return tuple(each + (1 if i < more else 0) for i in range(flights))


def find_climb(
    drop_at: Callable[[float], float],
    tread_in: float,
    max_riser_in: float,
    max_flight_in: float,
    landing_depth_in: float,
) -> Climb | None:
    """Return the climb with the fewest risers, then the fewest flights.

    ``drop_at`` gives the height of the surface over the ground so many inches out from the edge: where the
    foot lies decides the rise, so each count of risers is tried at its own foot. None where the ground never
    falls away from the deck, or always faster than a stair can follow.

    >>> find_climb(lambda out: 36.0, 10.5, 7.75, 151, 36).flights
    (5,)
    """
    for risers in range(1, MOST_RISERS + 1):
        for flights in range(1, min(risers, 8) + 1):
            rise = drop_at(run_in(risers, flights, tread_in, landing_depth_in))
            riser = rise / risers
            longest = math.ceil(risers / flights) * riser
            if rise > 0 and riser <= max_riser_in + SAME and longest <= max_flight_in + SAME:
                return Climb(rise, riser, tread_in, landing_depth_in, shared(risers, flights))
    return None

"""The answer of a stair layout."""

from __future__ import annotations

import msgspec

from service.contract.report import Caution, RulebookRef, Verdict
from service.contract.report_frame import Flight
from service.units.finding import Finding


class Notches(msgspec.Struct, frozen=True, kw_only=True):
    """Where the lowest and the uppermost notch of a stringer are cut."""

    first_notch_in: float
    top_notch_below_surface_in: float


class Nosing(msgspec.Struct, frozen=True, kw_only=True):
    """The nosing of a tread."""

    required: bool
    projection_min_in: float
    projection_max_in: float


class LandingNeed(msgspec.Struct, frozen=True, kw_only=True):
    """A landing of a stair: the least size, how many risers are above it, its height over the lowest."""

    risers_above: int
    height_in: float
    depth_min_in: float
    width_min_in: float


class HandrailNeed(msgspec.Struct, frozen=True, kw_only=True):
    """Whether a handrail is needed, at what height."""

    required: bool
    height_min_in: float
    height_max_in: float


class GuardNeed(msgspec.Struct, frozen=True, kw_only=True):
    """Whether the deck at this height and the stair's open sides need guards over level ground, and how high.

    ``surface_height_in`` is no height of the deck: it is the least height of a guard along its edge, above the
    surface; ``stair_height_in`` is the least height of one beside the stair, above the line of the nosings.
    """

    surface_required: bool
    surface_height_in: float
    stair_required: bool
    stair_height_in: float


class RiserPair(msgspec.Struct, frozen=True, kw_only=True):
    """The two risers of a stair that differ most, numbered from 1 at the bottom."""

    first: int
    second: int
    first_in: float
    second_in: float
    difference_in: float
    allowed_in: float
    passes: bool


class StairLayout(msgspec.Struct, frozen=True, kw_only=True):
    """A stair worked out from its rise, or a built one judged by its risers.

    ``risers_in`` run from the bottom up. Of a built stair only risers are known: what follows from treads is
    null or empty.
    """

    rulebook: RulebookRef
    verdict: Verdict
    total_rise_in: float
    risers: int
    risers_in: tuple[float, ...]
    treads: int
    tread_in: float | None
    run_in: float | None
    flights: tuple[Flight, ...]
    landings: tuple[LandingNeed, ...]
    notches: Notches | None
    nosing: Nosing | None
    handrail: HandrailNeed
    guard: GuardNeed
    worst_pair: RiserPair | None
    checks: tuple[Finding, ...]
    cautions: tuple[Caution, ...]

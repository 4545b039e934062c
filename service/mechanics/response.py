"""Shear, moment and deflection along a beam, with their extremes and where they are."""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from itertools import pairwise

import msgspec

from service.mechanics.beam import NEAR_FT, Beam, Load, Point, Uniform
from service.mechanics.three_moment import reactions_lb, support_moments_lb_ft

CUBIC_INCHES_PER_CUBIC_FOOT = 1728.0
HALVINGS = 48


class Peak(msgspec.Struct, frozen=True):
    """An extreme value and where along the beam it is, ft. The value's unit is named by its field.

    Source: statics.

    >>> Peak(100.0, 5.0).at_ft
    5.0
    """

    value: float
    at_ft: float


class Stretch(msgspec.Struct, frozen=True):
    """A stretch without a jump: state at its start, and the uniform load on it, plf.

    Source: statics. ``bent_lb_ft3`` is stiffness times deflection and ``turned_lb_ft2`` stiffness times
    slope, both downward positive.

    >>> Stretch(0.0, 4.0, 10.0, 20.0, 0.0, 0.0, 0.0).moment_lb_ft(2.0)
    20.0
    """

    start_ft: float
    end_ft: float
    load_plf: float
    shear_start_lb: float
    moment_start_lb_ft: float
    turned_lb_ft2: float
    bent_lb_ft3: float

    def shear_lb(self, x_ft: float) -> float:
        """Return the shear ``x_ft`` into the stretch, lb."""
        return self.shear_start_lb - self.load_plf * x_ft

    def moment_lb_ft(self, x_ft: float) -> float:
        """Return the moment ``x_ft`` into the stretch, lb-ft, sagging positive."""
        return self.moment_start_lb_ft + x_ft * (self.shear_start_lb - self.load_plf * x_ft / 2)

    def turned(self, x_ft: float) -> float:
        """Return stiffness times slope ``x_ft`` into the stretch, lb-ft2."""
        curve = self.shear_start_lb / 2 - self.load_plf * x_ft / 6
        return self.turned_lb_ft2 - x_ft * (self.moment_start_lb_ft + x_ft * curve)

    def bent(self, x_ft: float) -> float:
        """Return stiffness times deflection ``x_ft`` into the stretch, lb-ft3."""
        curve = self.shear_start_lb / 6 - self.load_plf * x_ft / 24
        return self.bent_lb_ft3 + x_ft * (
            self.turned_lb_ft2 - x_ft * (self.moment_start_lb_ft / 2 + x_ft * curve)
        )

    def straight_points_ft(self) -> list[float]:
        """Return where inside the stretch the moment is zero, ft from its start, in order."""
        a, b, c = self.load_plf / 2, -self.shear_start_lb, -self.moment_start_lb_ft
        under = b * b - 4 * a * c
        if under < 0:
            return []
        # This form does not lose digits when the load is slight beside the shear.
        q = -(b + math.copysign(math.sqrt(under), b)) / 2
        roots = {top / bottom for top, bottom in ((q, a), (c, q)) if bottom}
        return sorted(root for root in roots if 0 < root < self.end_ft - self.start_ft)

    def level_points_ft(self) -> list[float]:
        """Return where inside the stretch the slope is zero, ft from its start."""
        edges = (0.0, *self.straight_points_ft(), self.end_ft - self.start_ft)
        return [self._level_between(a, b) for a, b in pairwise(edges) if self.turned(a) * self.turned(b) < 0]

    def _level_between(self, low_ft: float, high_ft: float) -> float:
        """Halve the interval: between two points of zero moment the slope only rises or only falls."""
        falling = self.turned(low_ft) > 0
        for _ in range(HALVINGS):
            middle = (low_ft + high_ft) / 2
            if (self.turned(middle) > 0) == falling:
                low_ft = middle
            else:
                high_ft = middle
        return (low_ft + high_ft) / 2


class Response(msgspec.Struct, frozen=True):
    """A loaded beam solved: reactions, moments over supports, and the stretches between jumps.

    Source: three-moment equation and statics. ``stiffness_lb_in2`` is E I.

    >>> from service.mechanics.beam import Beam, Uniform
    >>> solved = analyse(Beam(10.0, (0.0, 10.0)), [Uniform(0.0, 10.0, 80.0)], 1.6e8)
    >>> solved.max_moment_lb_ft
    Peak(value=1000.0, at_ft=5.0)
    >>> round(solved.bay_deflections_in[0].value, 4)
    0.1125
    """

    beam: Beam
    stiffness_lb_in2: float
    reactions_lb: tuple[float, ...]
    support_moments_lb_ft: tuple[float, ...]
    stretches: tuple[Stretch, ...]

    def _stretch_at(self, x_ft: float) -> tuple[Stretch, float]:
        starts = [stretch.start_ft for stretch in self.stretches]
        stretch = self.stretches[max(0, bisect_right(starts, x_ft) - 1)]
        return stretch, x_ft - stretch.start_ft

    def shear_lb(self, x_ft: float) -> float:
        """Return the shear just right of a position, lb."""
        stretch, inside = self._stretch_at(x_ft)
        return stretch.shear_lb(inside)

    def shear_before_lb(self, x_ft: float) -> float:
        """Return the shear just left of a position, lb."""
        starts = [stretch.start_ft for stretch in self.stretches]
        stretch = self.stretches[max(0, bisect_left(starts, x_ft - NEAR_FT) - 1)]
        return stretch.shear_lb(x_ft - stretch.start_ft)

    def moment_lb_ft(self, x_ft: float) -> float:
        """Return the moment at a position, lb-ft, sagging positive."""
        stretch, inside = self._stretch_at(x_ft)
        return stretch.moment_lb_ft(inside)

    def deflection_in(self, x_ft: float) -> float:
        """Return the deflection at a position, in, downward positive."""
        stretch, inside = self._stretch_at(x_ft)
        return stretch.bent(inside) * CUBIC_INCHES_PER_CUBIC_FOOT / self.stiffness_lb_in2

    def _moments(self) -> Iterator[Peak]:
        for stretch in self.stretches:
            length = stretch.end_ft - stretch.start_ft
            inside = [0.0, length]
            if stretch.load_plf:
                inside.append(min(max(stretch.shear_start_lb / stretch.load_plf, 0.0), length))
            yield from (Peak(stretch.moment_lb_ft(x), stretch.start_ft + x) for x in inside)

    @property
    def max_moment_lb_ft(self) -> Peak:
        """The largest sagging moment, lb-ft; zero when nothing sags."""
        return max(self._moments(), key=lambda peak: peak.value)

    @property
    def min_moment_lb_ft(self) -> Peak:
        """The largest hogging moment, lb-ft, negative; zero when nothing hogs."""
        return min(self._moments(), key=lambda peak: peak.value)

    @property
    def max_shear_lb(self) -> Peak:
        """The largest shear either way, lb."""
        ends = (
            Peak(abs(stretch.shear_lb(x)), stretch.start_ft + x)
            for stretch in self.stretches
            for x in (0.0, stretch.end_ft - stretch.start_ft)
        )
        return max(ends, key=lambda peak: peak.value)

    def _bay_peak(self, start_ft: float, end_ft: float) -> Peak:
        scale = CUBIC_INCHES_PER_CUBIC_FOOT / self.stiffness_lb_in2
        peaks = [
            Peak(stretch.bent(x) * scale, stretch.start_ft + x)
            for stretch in self.stretches
            if start_ft - NEAR_FT <= stretch.start_ft < end_ft - NEAR_FT
            for x in (0.0, *stretch.level_points_ft(), stretch.end_ft - stretch.start_ft)
        ]
        return max(peaks, key=lambda peak: abs(peak.value))

    @property
    def bay_deflections_in(self) -> tuple[Peak, ...]:
        """The largest deflection of each bay (overhangs too), in, downward positive."""
        return tuple(self._bay_peak(a, b) for a, b in self.beam.bays_ft)


def _breaks(beam: Beam, loads: Sequence[Load]) -> list[float]:
    marks = {0.0, beam.length_ft, *beam.supports_ft}
    for load in loads:
        marks.update((load.at_ft,) if isinstance(load, Point) else (load.start_ft, load.end_ft))
    inside = sorted(min(max(mark, 0.0), beam.length_ft) for mark in marks)
    kept = inside[:1]
    kept.extend(b for a, b in pairwise(inside) if b - a > NEAR_FT)
    return kept


def _jump_lb(x_ft: float, beam: Beam, loads: Sequence[Load], reactions: Sequence[float]) -> float:
    up = sum(r for r, at in zip(reactions, beam.supports_ft, strict=True) if abs(at - x_ft) <= NEAR_FT)
    down = sum(p.load_lb for p in loads if isinstance(p, Point) and abs(p.at_ft - x_ft) <= NEAR_FT)
    return up - down


def _uniform_at(middle_ft: float, loads: Sequence[Load]) -> float:
    return sum(u.load_plf for u in loads if isinstance(u, Uniform) and u.start_ft < middle_ft < u.end_ft)


def _stretches(beam: Beam, loads: Sequence[Load], reactions: Sequence[float]) -> list[Stretch]:
    # Slope and deflection start at zero here; `_seated` puts the curve on its supports afterwards.
    shear = moment = turned = bent = 0.0
    result = []
    for start, end in pairwise(_breaks(beam, loads)):
        shear += _jump_lb(start, beam, loads, reactions)
        stretch = Stretch(start, end, _uniform_at((start + end) / 2, loads), shear, moment, turned, bent)
        length = end - start
        shear, moment = stretch.shear_lb(length), stretch.moment_lb_ft(length)
        turned, bent = stretch.turned(length), stretch.bent(length)
        result.append(stretch)
    return result


def _seated(stretches: Sequence[Stretch], beam: Beam) -> list[Stretch]:
    """Shift and tilt the curve so that it passes through the first two supports."""
    # With this stiffness an inch of deflection is one unit of the curve.
    free = Response(beam, CUBIC_INCHES_PER_CUBIC_FOOT, (), (), tuple(stretches))
    first, second = beam.supports_ft[:2]
    low, high = free.deflection_in(first), free.deflection_in(second)
    tilt = (high - low) / (second - first)
    return [
        msgspec.structs.replace(
            s,
            turned_lb_ft2=s.turned_lb_ft2 - tilt,
            bent_lb_ft3=s.bent_lb_ft3 - low - tilt * (s.start_ft - first),
        )
        for s in stretches
    ]


def check_on_beam(load: Load, beam: Beam) -> None:
    """Refuse a load that lies off a beam, positions in ft.

    Source: convention of this service.

    Args:
        load: the load, plf or lb.
        beam: the beam, ft.

    Raises:
        ValueError: the load lies off the beam.

    >>> check_on_beam(Point(13.0, 1.0), Beam(12.0, (0.0, 10.0)))
    Traceback (most recent call last):
    ValueError: a load from 13.0 to 13.0 ft is not on a beam of 12.0 ft
    """
    ends = (load.at_ft, load.at_ft) if isinstance(load, Point) else (load.start_ft, load.end_ft)
    if not -NEAR_FT <= ends[0] <= ends[1] <= beam.length_ft + NEAR_FT:
        raise ValueError(f"a load from {ends[0]} to {ends[1]} ft is not on a beam of {beam.length_ft} ft")


def analyse(beam: Beam, loads: Sequence[Load], stiffness_lb_in2: float) -> Response:
    """Return the reactions, moments, shears and deflections of a beam under uniform and point loads.

    Source: three-moment equation for the moments over the supports, statics and double integration between.

    Args:
        beam: the beam, ft.
        loads: uniform (whole or partial) and point loads, plf and lb, positions in ft, downward positive.
        stiffness_lb_in2: E I of the section, lb-in2, the same along the beam.

    Returns:
        The solved beam: reactions in lb, moments in lb-ft, deflections in in.

    Raises:
        ValueError: a load lies off the beam, or the stiffness is not positive.

    Limits of validity: small deflections, bending only, supports that can pull as well as push.

    >>> from service.mechanics.beam import Beam, Point
    >>> analyse(Beam(12.0, (0.0, 10.0)), [Point(12.0, 220.0)], 1e8).reactions_lb
    (-44.0, 264.0)
    """
    if not (stiffness_lb_in2 > 0 and math.isfinite(stiffness_lb_in2)):
        raise ValueError("the stiffness must be above zero")
    for load in loads:
        check_on_beam(load, beam)
    moments = support_moments_lb_ft(beam, loads)
    reactions = reactions_lb(beam, loads, moments)
    seated = _seated(_stretches(beam, loads, reactions), beam)
    return Response(beam, stiffness_lb_in2, reactions, moments, tuple(seated))

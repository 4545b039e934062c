"""One beam under many load cases at once: three-moment equation and statics as in `response`, NumPy arrays."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from itertools import pairwise, product

import msgspec
import numpy as np

from service.mechanics.batch import Array
from service.mechanics.beam import NEAR_FT, Beam, Load, Point
from service.mechanics.patterns import governing_patterns
from service.mechanics.response import CUBIC_INCHES_PER_CUBIC_FOOT, Peak, check_on_beam

NEWTON_STEPS = 8  # to the last digit: tests/properties/test_beam_cases.py
NOTHING = 1e-100


class Cases(msgspec.Struct, frozen=True, eq=False):
    """A beam solved for n load cases, on s stretches without a jump.

    Source: three-moment equation and statics, as `service.mechanics.response.Response`. ``reactions_lb`` is
    (n, supports); the state at the start of each stretch and the load on it, plf, are (n, s). ``turned_lb_ft2`` is
    stiffness times slope, ``bent_lb_ft3`` stiffness times deflection, downward positive.

    >>> solved = solve_cases(Beam(10.0, (0.0, 10.0)), [], 80.0)
    >>> solved.worst_moment_lb_ft
    Peak(value=1000.0, at_ft=5.0)
    >>> [round(sinks.value, 4) for sinks, lifts in solved.bay_deflections_in(1.6e8)]
    [0.1125]
    """

    beam: Beam
    reactions_lb: Array
    starts_ft: Array
    lengths_ft: Array
    loads_plf: Array
    shears_lb: Array
    moments_lb_ft: Array
    turned_lb_ft2: Array
    bent_lb_ft3: Array

    @property
    def worst_moment_lb_ft(self) -> Peak:
        """The largest moment of any case either way, lb-ft, without its sign, and where."""
        # Where the shear is zero, or at an end of a stretch.
        level = _within(self.shears_lb / _not_zero(self.loads_plf), 0.0, self.lengths_ft)
        inside = np.empty((*level.shape, 3))
        inside[..., 0], inside[..., 1], inside[..., 2] = 0.0, level, self.lengths_ft
        return _greatest(np.abs(self._moment(inside)), inside + self.starts_ft[:, None])

    @property
    def worst_reaction_lb(self) -> Peak:
        """The largest reaction of any case, lb, and at which support."""
        return _greatest(self.reactions_lb, np.array(self.beam.supports_ft))

    def worst_shear_lb(self, right_of_ft: Sequence[float], left_of_ft: Sequence[float]) -> Peak:
        """Return the largest shear either way, lb, just right of some positions and just left of others, ft."""
        at = np.array([*right_of_ft, *left_of_ft])
        right = np.searchsorted(self.starts_ft, np.array(right_of_ft), "right") - 1
        left = np.searchsorted(self.starts_ft, np.array(left_of_ft) - NEAR_FT, "left") - 1
        stretch = np.maximum(np.concatenate([right, left]), 0)
        shears = self.shears_lb[:, stretch] - self.loads_plf[:, stretch] * (at - self.starts_ft[stretch])
        return _greatest(np.abs(shears), at)

    def bay_deflections_in(self, stiffness_lb_in2: float) -> tuple[tuple[Peak, Peak], ...]:
        """Return how far each bay sinks at most and how far it lifts, in, downward positive, over all cases.

        ``stiffness_lb_in2`` is E I.
        """
        inside = self._level_points()
        bent = self._bent(inside) * (CUBIC_INCHES_PER_CUBIC_FOOT / stiffness_lb_in2)
        at = inside + self.starts_ft[:, None]
        found = []
        for start, end in self.beam.bays_ft:
            low, high = np.searchsorted(self.starts_ft, (start - NEAR_FT, end - NEAR_FT))
            part, where = bent[:, low:high], at[:, low:high]
            lifts = _greatest(-part, where)
            found.append((_greatest(part, where), Peak(-lifts.value, lifts.at_ft)))
        return tuple(found)

    def of(self, rows: slice) -> Cases:
        """Return some of the cases."""
        return self._with([one[rows] for one in self._by_case])

    def and_always(self, other: Cases) -> Cases:
        """Return every case with the one of ``other`` added: a beam answers to loads together as to each alone."""
        return self._with([one + more for one, more in zip(self._by_case, other._by_case, strict=True)])

    @property
    def _by_case(self) -> tuple[Array, ...]:
        states = self.shears_lb, self.moments_lb_ft, self.turned_lb_ft2, self.bent_lb_ft3
        return self.reactions_lb, self.loads_plf, *states

    def _with(self, by_case: Sequence[Array]) -> Cases:
        reactions, loads, *states = by_case
        return Cases(self.beam, reactions, self.starts_ft, self.lengths_ft, loads, *states)

    def _moment(self, x_ft: Array) -> Array:
        shear, load = self.shears_lb[..., None], self.loads_plf[..., None]
        return self.moments_lb_ft[..., None] + x_ft * (shear - load * x_ft / 2)

    def _turned(self, x_ft: Array) -> Array:
        moment, shear = self.moments_lb_ft[..., None], self.shears_lb[..., None]
        curve = shear / 2 - self.loads_plf[..., None] * x_ft / 6
        return self.turned_lb_ft2[..., None] - x_ft * (moment + x_ft * curve)

    def _bent(self, x_ft: Array) -> Array:
        curve = self.shears_lb[..., None] / 6 - self.loads_plf[..., None] * x_ft / 24
        moment, turned = self.moments_lb_ft[..., None], self.turned_lb_ft2[..., None]
        return self.bent_lb_ft3[..., None] + x_ft * (turned - x_ft * (moment / 2 + x_ft * curve))

    def _level_points(self) -> Array:
        """Where in each stretch the slope is zero, and its ends, ft from its start: (n, s, 8).

        Between points of zero moment the slope only rises or only falls: where it changes sign there, Newton's steps
        from its steepest point close in from one side. Places without a zero are any place in the stretch.
        """
        edges = self._straight_points()
        low, high = edges[..., :-1], edges[..., 1:]
        level = (self.shears_lb / _not_zero(self.loads_plf))[..., None]
        x, steepest = low, np.abs(self._moment(low))
        for other in (high, _within(level, low, high)):
            steep = np.abs(self._moment(other))
            x = np.where(steep > steepest, other, x)
            steepest = np.maximum(steep, steepest)
        for _ in range(NEWTON_STEPS):
            x = _within(x + self._turned(x) / _not_zero(self._moment(x)), low, high)
        return np.concatenate([edges, x], axis=-1)

    def _straight_points(self) -> Array:
        """Where in each stretch the moment is zero, between its ends, ft from its start: (n, s, 4), rising."""
        a, b, c = self.loads_plf / 2, -self.shears_lb, -self.moments_lb_ft
        # This form does not lose digits when the load is slight beside the shear; without a root, an end.
        q = -(b + np.copysign(np.sqrt(np.maximum(b * b - 4 * a * c, 0.0)), b)) / 2
        first, second = (
            _within(top / _not_zero(bottom), 0.0, self.lengths_ft) for top, bottom in ((q, a), (c, q))
        )
        found = np.empty((*a.shape, 4))
        found[..., 0], found[..., 3] = 0.0, self.lengths_ft
        found[..., 1], found[..., 2] = np.minimum(first, second), np.maximum(first, second)
        return found


def _within(values: Array, low: Array | float, high: Array) -> Array:
    return np.minimum(np.maximum(values, low), high)


def _not_zero(values: Array) -> Array:
    """Values to divide by: a quotient by nothing is not asked for, and must not warn."""
    return np.where(np.abs(values) < NOTHING, 1.0, values)


def _greatest(values: Array, at_ft: Array) -> Peak:
    """The greatest value, and where it is: places are given for every value, or once for every case."""
    place = int(values.argmax())
    return Peak(float(values.flat[place]), float(at_ft.flat[place % at_ft.size]))


@lru_cache(maxsize=64)
def _patterns(bays: int) -> Array:
    return np.array(governing_patterns(bays), dtype=float)


def _marks(beam: Beam, loads: Sequence[Load]) -> Array:
    """Where anything begins, ends or stands, ft, in order."""
    marks = [0.0, beam.length_ft, *beam.supports_ft]
    for load in loads:
        marks += (load.at_ft,) if isinstance(load, Point) else (load.start_ft, load.end_ft)
    inside = sorted(min(max(mark, 0.0), beam.length_ft) for mark in set(marks))
    return np.array([b for a, b in pairwise([-1.0, *inside]) if b - a > NEAR_FT])


def _middles(marks: Array) -> Array:
    return np.asarray((marks[:-1] + marks[1:]) / 2)


def _added(loads: Sequence[Load], marks: Array) -> tuple[Array, Array]:
    """What loads come to: plf on each stretch, lb at each mark."""
    middles = _middles(marks)
    plf, lb = np.zeros(len(middles)), np.zeros(len(marks))
    for load in loads:
        if isinstance(load, Point):
            lb[np.abs(marks - load.at_ft).argmin()] += load.load_lb
        else:
            plf += np.where((middles > load.start_ft) & (middles < load.end_ft), load.load_plf, 0.0)
    return plf, lb


def solve_cases(
    beam: Beam, always: Sequence[Load], varying_plf: float, varying_points: Sequence[Point] = ()
) -> Cases:
    """Return a beam solved with a varying load bay by bay, and with each varying point load alone.

    Source: three-moment equation and statics. The cases are those of `service.mechanics.patterns.pattern_responses`,
    in its order.

    Args:
        beam: the beam, ft.
        always: the loads that are there in every case, plf and lb, positions in ft.
        varying_plf: the uniform load that stands on a bay or not, plf.
        varying_points: point loads, each acting alone, lb, positions in ft.

    Returns:
        Every case solved: reactions in lb, moments in lb-ft, stiffness times deflection.

    Raises:
        ValueError: a load lies off the beam.

    Limits of validity: as `service.mechanics.response.analyse`.

    >>> solve_cases(Beam(20.0, (0.0, 10.0, 20.0)), [], 8.0).reactions_lb[0].round(6)
    array([ 30., 100.,  30.])
    """
    return solve_with_and_without(beam, always, varying_plf, varying_points)[0]


def solve_with_and_without(
    beam: Beam,
    always: Sequence[Load],
    varying_plf: float,
    varying_points: Sequence[Point] = (),
    varying_loads: Sequence[Load] = (),
) -> tuple[Cases, Cases]:
    """Return a beam solved with the loads that are always there, and under the varying loads alone.

    Source: as `solve_cases`, whose arguments (ft, plf, lb), errors and limits these are. Each of ``varying_loads``
    (plf over a part, or lb, positions in ft) stands or does not beside every pattern of the uniform load.

    >>> both = solve_with_and_without(Beam(10.0, (0.0, 10.0)), [Point(5.0, 100.0)], 80.0)
    >>> [one.reactions_lb[0].tolist() for one in both]
    [[450.0, 450.0], [400.0, 400.0]]
    """
    for load in (*always, *varying_points, *varying_loads):
        check_on_beam(load, beam)
    marks = _marks(beam, (*always, *varying_points, *varying_loads))
    loads, points = _varying(beam, marks, varying_plf, varying_points, varying_loads)
    plf, lb = _added(always, marks)
    every = _solved(beam, marks, np.concatenate([loads, [plf]]), np.concatenate([points, [lb]]))
    alone = every.of(slice(len(loads)))
    return alone.and_always(every.of(slice(len(loads), None))), alone


def _varying(
    beam: Beam,
    marks: Array,
    varying_plf: float,
    varying_points: Sequence[Point],
    varying_loads: Sequence[Load],
) -> tuple[Array, Array]:
    """Of each case of the varying loads: plf on each stretch, lb at each mark."""
    bay = np.searchsorted([end for _, end in beam.bays_ft], _middles(marks))
    bays = _patterns(len(beam.bays_ft))[:, bay] * varying_plf
    extra = [_added(loads, marks) for loads in _some_of(varying_loads)]
    loads = np.concatenate([*(bays + plf for plf, _ in extra), np.zeros((len(varying_points), len(bay)))])
    points = np.concatenate(
        [*(np.tile(lb, (len(bays), 1)) for _, lb in extra), np.zeros((len(varying_points), len(marks)))]
    )
    for row, point in enumerate(varying_points, len(bays) * len(extra)):
        points[row] = _added((point,), marks)[1]
    return loads, points


def _some_of(loads: Sequence[Load]) -> list[tuple[Load, ...]]:
    """Every choice of some of the loads, none of them first."""
    chosen = product((False, True), repeat=len(loads))
    return [tuple(load for load, on in zip(loads, each, strict=True) if on) for each in chosen]


def _solved(beam: Beam, marks: Array, loads: Array, points: Array) -> Cases:
    starts, lengths = marks[:-1], _steps(marks)
    at = np.array(beam.supports_ft)
    stands = (np.abs(marks - at[:, None]) <= NEAR_FT).astype(float)
    reactions = _reactions(at, marks, loads, points)
    shears = np.cumsum(reactions @ stands - points, axis=1)[:, :-1] - _before(loads * lengths)
    moments = _before(lengths * (shears - loads * lengths / 2))
    turned = -_before(lengths * (moments + lengths * (shears / 2 - loads * lengths / 6)))
    curve = moments / 2 + lengths * (shears / 6 - loads * lengths / 24)
    bent = _before(lengths * (turned - lengths * curve))
    free = Cases(beam, reactions, starts, lengths, loads, shears, moments, turned, bent)
    return _seated(free, at)


def _steps(values: Array) -> Array:
    return np.asarray(values[..., 1:] - values[..., :-1])


def _before(steps: Array) -> Array:
    """The sum of all steps before each."""
    sums = np.zeros_like(steps)
    np.cumsum(steps[:, :-1], axis=1, out=sums[:, 1:])
    return sums


def _shares(x_ft: Array, at: Array) -> Array:
    """What each support takes of a pound at each place, were every span a simple one: (supports, places)."""
    ramps = np.zeros((len(at) + 1, len(x_ft)))
    ramps[0] = 1.0
    ramps[1:-1] = np.minimum(np.maximum((x_ft - at[:-1, None]) / _steps(at)[:, None], 0.0), 1.0)
    return ramps[:-1] - ramps[1:]


def _reactions(at: Array, marks: Array, loads: Array, points: Array) -> Array:
    """The reactions of simple spans, and what the moments over the supports shift between them."""
    middles, totals = _middles(marks), loads * _steps(marks)
    ends = [
        side
        * (totals @ np.maximum(side * (at0 - middles), 0.0) + points @ np.maximum(side * (at0 - marks), 0.0))
        for side, at0 in ((1.0, at[0]), (-1.0, at[-1]))
    ]
    moments = np.zeros((len(loads), len(at)))
    moments[:, 0], moments[:, -1] = -ends[0], ends[1]
    if len(at) > 2:
        moments[:, 1:-1] = _inner_moments(at, marks, loads, points, moments)
    simple = totals @ _shares(middles, at).T + points @ _shares(marks, at).T
    tilts = (moments[:, 1:] - moments[:, :-1]) / _steps(at)
    simple[:, :-1] += tilts
    simple[:, 1:] -= tilts
    return np.asarray(simple)


def _inner_moments(at: Array, marks: Array, loads: Array, points: Array, ends: Array) -> Array:
    """Moments over the inner supports by the three-moment equation: M1 L1 + 2 M2 (L1 + L2) + M3 L2 = -(load terms)."""
    spans = _steps(at)
    length = spans[:, None]
    x = _within(marks - at[:-1, None], 0.0, length)
    from_left, from_right = (
        loads @ np.abs(_steps(_area(y, length))).T + points @ (y * (length**2 - y**2) / length).T
        for y in (x, length - x)
    )
    right = -(from_left[:, :-1] + from_right[:, 1:])
    right[:, 0] -= ends[:, 0] * spans[0]
    right[:, -1] -= ends[:, -1] * spans[-1]
    matrix = np.diag(2 * (spans[:-1] + spans[1:])) + np.diag(spans[1:-1], 1) + np.diag(spans[1:-1], -1)
    return np.asarray(np.linalg.solve(matrix, right.T).T)


def _area(x_ft: Array, span_ft: Array) -> Array:
    """6 A x / L of a load of 1 plf from a span's end to ``x_ft``."""
    return np.asarray(x_ft**2 * (span_ft**2 / 2 - x_ft**2 / 4) / span_ft)


def _seated(free: Cases, at: Array) -> Cases:
    """Shift and tilt each curve so that it passes through the first two supports."""
    stretch = np.searchsorted(free.starts_ft, at[:2] + NEAR_FT, "right") - 1
    bent = free._bent(at[:2] - free.starts_ft[:, None])[:, stretch, (0, 1)]
    tilt = (bent[:, 1:] - bent[:, :1]) / (at[1] - at[0])
    return msgspec.structs.replace(
        free,
        turned_lb_ft2=free.turned_lb_ft2 - tilt,
        bent_lb_ft3=free.bent_lb_ft3 - bent[:, :1] - tilt * (free.starts_ft - at[0]),
    )

"""Loads worked out again from the answer's own geometry: floor to joists, joists to beams, beams to footings.

Every joist line carries the floor half way to its neighbours; joists, but where they lap, and beams are taken as
whole over their supports. Nothing of the service's statics is used.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache
from itertools import pairwise

import numpy as np
from properties.referee_answer import Answer
from properties.referee_plan import (
    Piece,
    Strip,
    along_house,
    by_direction,
    crossings,
    edges_across,
    floor_of,
    held,
    pieces_of,
    segment,
    strips,
)
from shapely import Point as Place
from shapely.geometry.base import BaseGeometry

from service.contract.report_frame import Beam, Joists, Level
from service.contract.spec import LevelSpec

# A footing may be given this much less than the drawn frame brings it, whether joists load the beam at their centre
# lines or spread over their bays. Given more, it is safe; that nothing is lost the areas tell.
SHARE = 0.05
LEAST_LB = (
    80.0  # in sharp corners blocking may share its floor otherwise; the least pier carries over 1,000 lb
)
EDGE_REACH_IN = 10.0
Wrong = Iterator[str]
Patch = tuple[float, float, float]  # from, to (in along the member), lb


@dataclass
class Carrying:
    """What lies on each member so far: patches along joist lines and beams, lb on ledgers.

    ``joists`` has the loads of ``beams`` at the joists' centre lines instead.
    """

    lines: dict[int, list[Patch]]
    beams: dict[str, list[Patch]]
    joists: dict[str, list[Patch]]
    ledgers: dict[str, float]


def footings_carry_what_stands_on_them(answer: Answer) -> Wrong:
    """No footing is given less, and no ledger another area, than the drawn frame brings it."""
    for level, asked in answer.pairs:
        if level.joists and _whole(answer, level):
            carrying = _carried_down(answer, level, asked)
            yield from _wrong_footings(answer, level, carrying)
            yield from _wrong_ledgers(answer, level, carrying)


def _whole(answer: Answer, level: Level) -> bool:
    """Other rules speak about supports that are missing."""
    lines = [line for group in level.joists for line in group.lines]
    return all(
        len(line.supports) >= 2 and all(answer.carried(level, s.member) for s in line.supports)
        for line in lines
    ) and all(len(beam.supports_ft) >= 2 for beam in level.beams)


def _wrong_footings(answer: Answer, level: Level, carrying: Carrying) -> Wrong:
    for beam in level.beams:
        places = tuple(12 * at for at in beam.supports_ft)
        length = segment(beam.start_ft, beam.end_ft).length
        spread = reactions(places, length, _tidy(carrying.beams[beam.id]))
        at_joists = reactions(places, length, _tidy(carrying.joists[beam.id]))
        for at_in, *either in zip(places, spread, at_joists, strict=True):
            load = min(either)
            point = segment(beam.start_ft, beam.end_ft).interpolate(at_in)
            given = [
                f.load_lb
                for f in answer.footings_of(level)
                if math.dist((12 * f.x_ft, 12 * f.y_ft), (point.x, point.y)) < 1.0
            ]
            if given and load - sum(given) > SHARE * abs(load) + LEAST_LB:
                yield f"{beam.id} brings {load:.0f} lb to its support at {at_in / 12:g} ft, the footing has {given}"


def _wrong_ledgers(answer: Answer, level: Level, carrying: Carrying) -> Wrong:
    psf = answer.criteria.design_psf
    for ledger in level.ledgers:
        load, given = carrying.ledgers[ledger.id], ledger.tributary_sqft * psf
        if given > 0 and abs(load - given) > SHARE * load + LEAST_LB:
            yield f"{ledger.id} takes {load / psf:.2f} sq ft of floor, it says {ledger.tributary_sqft:.2f}"


def _carried_down(answer: Answer, level: Level, asked: LevelSpec) -> Carrying:
    carrying = Carrying(defaultdict(list), defaultdict(list), defaultdict(list), defaultdict(float))
    half = {id(piece.line): share for piece, share in _floor_loads(answer, level, asked, carrying)}
    for group in _from_the_top(level):
        for piece in pieces_of(group):
            _pass_on(answer, level, group, piece, half.get(id(piece.line), (0.0, 0.0)), carrying)
    return carrying


def _from_the_top(level: Level) -> list[Joists]:
    """Groups that hang on joists before those that carry them."""
    waiting, done = list(level.joists), list[Joists]()
    while waiting:
        named = {s.member for g in waiting for line in g.lines for s in line.supports}
        free = [g for g in waiting if g.id not in named] or waiting
        done += free
        waiting = [g for g in waiting if g not in free]
    return done


def _floor_loads(
    answer: Answer, level: Level, asked: LevelSpec, carrying: Carrying
) -> Iterator[tuple[Piece, tuple[float, float]]]:
    """Put the floor on the lines; yield how far the floor of each reaches to its left and right, on the mean."""
    psi = answer.criteria.design_psf / 144
    left_over = floor_of(answer.spec, asked).polygon
    ways = by_direction(level)
    for turned, pieces in ways.items():
        area = left_over
        if turned is not list(ways)[-1]:
            area = held(left_over, pieces, turned).buffer(4.0).intersection(left_over)
            left_over = left_over.difference(area)
        wide: dict[int, list[tuple[float, float, float]]] = defaultdict(list)
        for strip in strips(area, [_reaching(piece, area, turned) for piece in pieces], turned):
            for piece, low, high in _shares(strip, pieces):
                rise, start = strip.high - strip.low, strip.low - _begin(piece)
                carrying.lines[id(piece.line)].append((start, start + rise, psi * (high - low) * rise))
                wide[id(piece.line)].append((piece.across - low, high - piece.across, rise))
        for piece in pieces:
            yield piece, _mean(wide[id(piece.line)])


def _begin(piece: Piece) -> float:
    """Where the line itself begins, in; supports are given from there."""
    line = piece.line
    return 12 * ((line.x_start_ft if line.y_start_ft is None else line.y_start_ft) or 0.0)


def _reaching(piece: Piece, area: BaseGeometry, turned: bool) -> Piece:
    """The line drawn on to the sides of the floor where it ends just short of them: rims carry nothing off."""
    sideways = [((ay, ax), (by, bx)) for (ax, ay), (bx, by) in edges_across(area, turned)]
    ends = crossings(sideways, piece.across)
    low = max((end for end in ends if end <= piece.low + 1.0), default=piece.low)
    high = min((end for end in ends if end >= piece.high - 1.0), default=piece.high)
    low = low if piece.low - low <= EDGE_REACH_IN else piece.low
    high = high if high - piece.high <= EDGE_REACH_IN else piece.high
    return replace(piece, low=min(low, piece.low), high=max(high, piece.high))


def _shares(strip: Strip, pieces: Sequence[Piece]) -> Iterator[tuple[Piece, float, float]]:
    """Who carries a stretch of floor, and from where to where across at its middle."""
    left, right = sum(strip.left) / 2, sum(strip.right) / 2
    inside = list(strip.inside)
    if not inside:
        middle = Place((left + right) / 2, (strip.low + strip.high) / 2)
        nearest = min(pieces, key=lambda p: segment((p.across, p.low), (p.across, p.high)).distance(middle))
        yield nearest, left, right
        return
    middles = [(a.across + b.across) / 2 for a, b in pairwise(inside)]
    cuts = [left, *(min(max(left, at), right) for at in middles), right]
    for piece, low, high in zip(inside, cuts, cuts[1:], strict=False):
        if high > low:
            yield piece, low, high


def _mean(found: Sequence[tuple[float, float, float]]) -> tuple[float, float]:
    total = sum(rise for *_, rise in found) or 1.0
    return (sum(a * r for a, _, r in found) / total, sum(b * r for _, b, r in found) / total)


def _pass_on(
    answer: Answer,
    level: Level,
    group: Joists,
    piece: Piece,
    half: tuple[float, float],
    carrying: Carrying,
) -> None:
    """Bring a line's load to its supports: a lap breaks it."""
    turned = along_house(group)
    places = tuple(s.at_in for s in piece.line.supports)
    laps = [lap.at_in for lap in piece.line.laps if any(abs(lap.at_in - at) < 0.1 for at in places[1:-1])]
    loads = broken_reactions(places, _tidy(carrying.lines[id(piece.line)]), laps)
    for support, load in zip(piece.line.supports, loads, strict=True):
        member = answer.carried(level, support.member)
        place = Place(piece.point(piece.low + support.at_in, turned))
        if member is None or member.kind == "ledger":
            carrying.ledgers[support.member] += load
        elif member.kind == "beam":
            beam = next(b for b in level.beams if b.id == support.member)
            carrying.beams[beam.id].append(_patch(beam, place, half, load, turned))
            at = segment(beam.start_ft, beam.end_ft).project(place)
            carrying.joists[beam.id].append((at, at, load))
        else:
            _hang(level, support.member, place, load, carrying)


def _patch(beam: Beam, place: Place, half: tuple[float, float], load: float, turned: bool) -> Patch:
    """A joist's load as wide on the beam as the floor it brings."""
    line = segment(beam.start_ft, beam.end_ft)
    (ax, ay), (bx, by) = line.coords[0][:2], line.coords[-1][:2]
    across = ((by - ay) if turned else (bx - ax)) / line.length
    before, after = half if across > 0 else half[::-1]
    at, stretch = line.project(place), 1 / max(abs(across), 0.2)
    low, high = max(0.0, at - before * stretch), min(line.length, at + after * stretch)
    return (low, high, load) if high - low > 0.01 else (at, at, load)


def _hang(level: Level, member: str, place: Place, load: float, carrying: Carrying) -> None:
    """Joists hung on a doubled joist: on the nearest line of its group."""
    group = next(g for g in level.joists if g.id == member)
    turned = along_house(group)
    pieces = pieces_of(group)
    nearest = min(
        pieces,
        key=lambda p: segment(
            tuple(v / 12 for v in p.point(p.low, turned)),  # type: ignore[arg-type]
            tuple(v / 12 for v in p.point(p.high, turned)),  # type: ignore[arg-type]
        ).distance(place),
    )
    at = (place.x if turned else place.y) - nearest.low
    carrying.lines[id(nearest.line)].append((at, at, load))


def _tidy(patches: Sequence[Patch]) -> tuple[Patch, ...]:
    """Places to a tenth of an inch: nodes closer than that would spoil the stiffness."""
    return tuple((round(a, 1), round(b, 1), round(load, 4)) for a, b, load in patches)


def broken_reactions(places: Sequence[float], patches: Sequence[Patch], laps: Sequence[float]) -> list[float]:
    """Return the reactions of a member broken over some of its supports, lb."""
    cuts = [-math.inf, *sorted(laps), math.inf]
    totals = [0.0] * len(places)
    for low, high in pairwise(cuts):
        own = [n for n, at in enumerate(places) if low - 0.01 <= at <= high + 0.01]
        on_it = [cut for patch in patches if (cut := _within(patch, low, high)) is not None]
        found = reactions(tuple(places[n] for n in own), 0.0, tuple(on_it))
        for n, load in zip(own, found, strict=True):
            totals[n] += load
    return totals


def _within(patch: Patch, low: float, high: float) -> Patch | None:
    start, end, load = patch
    if start == end:
        return patch if low <= start < high else None
    begin, finish = max(start, low), min(end, high)
    return (begin, finish, load * (finish - begin) / (end - start)) if finish > begin else None


@cache
def reactions(places: tuple[float, ...], length: float, patches: tuple[Patch, ...]) -> tuple[float, ...]:
    """Return the reactions of a straight beam whole over its supports, by bending stiffness, lb.

    >>> [round(r) for r in reactions((0.0, 120.0, 240.0), 240.0, ((0.0, 240.0, 1600.0),))]
    [300, 1000, 300]
    """
    patches = _tidy(patches)
    nodes = sorted({round(at, 1) for at in (*places, 0.0, length, *(x for p in patches for x in p[:2]))})
    number = {at: n for n, at in enumerate(nodes)}
    stiff, load = _stiffness(nodes), np.zeros(2 * len(nodes))
    for start, end, weight in patches:
        if start == end:
            load[2 * number[start]] -= weight
            continue
        for n in range(number[start], number[end]):
            span = nodes[n + 1] - nodes[n]
            part = weight * span / (end - start)
            load[2 * n : 2 * n + 4] -= np.array((part / 2, part * span / 12, part / 2, -part * span / 12))
    fixed = [2 * number[round(at, 1)] for at in places]
    free = [n for n in range(2 * len(nodes)) if n not in fixed]
    bent = np.zeros(2 * len(nodes))
    bent[free] = np.linalg.solve(stiff[np.ix_(free, free)], load[free])
    pushed = stiff @ bent - load
    found = tuple(float(pushed[n]) for n in fixed)
    if not math.isclose(sum(found), sum(weight for *_, weight in patches), rel_tol=1e-6, abs_tol=0.01):
        raise ArithmeticError(f"reactions {found} do not balance {patches}")
    return found


def _stiffness(nodes: Sequence[float]) -> np.ndarray:
    whole = np.zeros((2 * len(nodes), 2 * len(nodes)))
    for n, (a, b) in enumerate(pairwise(nodes)):
        s = b - a
        part = np.array(
            [[12, 6 * s, -12, 6 * s], [6 * s, 4 * s * s, -6 * s, 2 * s * s], [-12, -6 * s, 12, -6 * s],
             [6 * s, 2 * s * s, -6 * s, 4 * s * s]]
        ) / s**3  # fmt: skip
        whole[2 * n : 2 * n + 4, 2 * n : 2 * n + 4] += part
    return whole

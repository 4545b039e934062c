"""Loads from boards to footings by statics: what is loaded and what carries it always balance."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import pairwise

from service.framing.beam_row import BeamRow
from service.framing.joist_lines import JOIST_IN
from service.framing.layout import Layout
from service.framing.region import SQUARE
from service.framing.tributary import Placed, on_rests, rest_areas, strips
from service.mechanics.beam import Beam, Load, Point, Uniform, clipped
from service.mechanics.quick import continuous_reactions
from service.mechanics.three_moment import reactions_lb, support_moments_lb_ft

STEP_IN = 12.0


@dataclass(frozen=True)
class Share:
    """What 1 psf puts on a row or a ledger between two places along it, in: ``width_ft`` is its mean, ft."""

    from_in: float
    to_in: float
    width_ft: float

    @property
    def area_sqft(self) -> float:
        """The floor it stands for."""
        return (self.to_in - self.from_in) / 12 * self.width_ft


def _steps(layout: Layout, section: int) -> Iterator[tuple[float, float]]:
    """The stretches of a section over which loads are taken at their mean: whole where all joists are alike."""
    cuts, part = layout.arrangement.cuts(section), layout.region.sections[section]
    for a, b in pairwise(cuts):
        count = 1 if part.square else max(1, round((b - a) / STEP_IN))
        yield from ((a + (b - a) * i / count, a + (b - a) * (i + 1) / count) for i in range(count))


def _on_rests(layout: Layout, section: int, u_in: float) -> list[tuple[int | None, bool, float]]:
    """What 1 psf puts on each rest of the joists at a place, ft: its row, or which end's ledger it is."""
    line = layout.arrangement.line_at(section, u_in)
    if not line.stands:
        # Blocking in a sharp corner: half of it to each of what the joists beside it end on.
        half = layout.region.sections[section].length_in(u_in) / 24
        return [(_end_row(layout, section, high), not high, half) for high in (False, True)]
    found = zip(line.rests, line.reactions_plf(1.0), strict=True)
    return [(rest.row, rest.low, one) for rest, one in found]


def _end_row(layout: Layout, section: int, high: bool) -> int | None:
    """The row joists of a section end on, or null where that is a ledger."""
    rows = (
        n for n, row in enumerate(layout.rows) if section in row.sections and (row.high if high else row.low)
    )
    return next(rows, None)


@dataclass(frozen=True)
class Shares:
    """The floor carried by every row, and by every ledger: the region's bound it hangs on, by number."""

    rows: tuple[tuple[Share, ...], ...]
    ledgers: dict[int, float]

    def area_sqft(self) -> float:
        """All of the floor."""
        return sum(share.area_sqft for row in self.rows for share in row) + sum(self.ledgers.values())


def shares(layout: Layout) -> Shares:
    """Return the floor that every row and ledger of a layout carries.

    Across the joists loads vary in straight lines, so that their mean over a stretch is exact.
    """
    rows: list[list[Share]] = [[] for _ in layout.rows]
    ledgers: dict[int, float] = {}
    for section, part in enumerate(layout.region.sections):
        for a, b in _steps(layout, section):
            middle = (a + b) / 2
            for row, low, width_ft in _on_rests(layout, section, middle):
                if row is None:
                    place = (part.low if low else part.high).place
                    ledgers[place] = ledgers.get(place, 0.0) + width_ft * (b - a) / 12
                else:
                    rows[row].append(_along(layout.rows[row], a, b, width_ft))
    return Shares(tuple(tuple(_joined(row)) for row in rows), ledgers)


def carried(layout: Layout, joists: Sequence[Placed]) -> Shares:
    """Return the floor every row and ledger carries, joist by joist: what the members are worked out with."""
    rows: list[list[Share]] = [[] for _ in layout.rows]
    ledgers: dict[int, float] = {}
    # Most joists of a floor lie alike and carry alike: statics is done once for them.
    areas = cache(rest_areas)
    for one, floor in zip(joists, strips(layout.region, joists), strict=True):
        if not floor:
            continue
        part = layout.region.sections[one.section]
        for found in on_rests(one, floor, areas):
            rest = one.line.rests[found.rest]
            row = rest.row
            if row is None:
                place = (part.low if rest.low else part.high).place
                ledgers[place] = ledgers.get(place, 0.0) + found.area_sqft
            else:
                left, right = found.left_in, found.right_in
                if abs(layout.rows[row].slope) > SQUARE:  # askew it stands where the joist does
                    left, right = one.u_in - JOIST_IN / 2, one.u_in + JOIST_IN / 2
                width_ft = 12 * found.area_sqft / (right - left)
                rows[row].append(_along(layout.rows[row], left, right, width_ft))
    return Shares(tuple(tuple(_joined(row)) for row in rows), ledgers)


def _along(row: BeamRow, a_in: float, b_in: float, width_ft: float) -> Share:
    """A share laid along its row; what lies past the row's end stands on the end."""
    start, end = row.along(a_in), row.along(b_in)
    if end - start < 0.01:
        start, end = (start, start + 0.01) if start < row.length_in / 2 else (end - 0.01, end)
    return Share(start, end, width_ft * (b_in - a_in) / (end - start))


def _joined(found: Iterable[Share]) -> Iterator[Share]:
    held: Share | None = None
    for share in sorted(found, key=lambda one: one.from_in):
        alike = held and abs(held.width_ft - share.width_ft) < 1e-9 and abs(held.to_in - share.from_in) < 1e-6
        if held and alike:
            held = Share(held.from_in, share.to_in, held.width_ft)
            continue
        if held:
            yield held
        held = share
    if held:
        yield held


def line_load_plf(row: BeamRow, found: Sequence[Share], load_psf: float) -> float:
    """Return the load along a row, plf: the mean over the span, with its overhang, that carries most for its length."""
    last = len(row.posts_in) - 2
    ends = [
        (0.0 if i == 0 else a, row.length_in if i == last else b)
        for i, (a, b) in enumerate(pairwise(row.posts_in))
    ]
    return max((load_psf * _mean_ft(found, a, b) for a, b in ends), default=0.0)


def _mean_ft(found: Sequence[Share], a_in: float, b_in: float) -> float:
    inside = (max(0.0, min(s.to_in, b_in) - max(s.from_in, a_in)) * s.width_ft for s in found)
    return sum(inside) / (b_in - a_in)


def _loads(found: Sequence[Share], load_psf: float) -> list[Load]:
    return [Uniform(s.from_in / 12, s.to_in / 12, load_psf * s.width_ft) for s in found]


def _even_plf(row: BeamRow, found: Sequence[Share], load_psf: float) -> float | None:
    """The one load all along a row, if there is one."""
    if len(found) == 1 and found[0].from_in < 1e-6 and found[0].to_in > row.length_in - 1e-6:
        return load_psf * found[0].width_ft
    return None


def whole_reactions_lb(row: BeamRow, loads: Sequence[Load]) -> tuple[float, ...]:
    """Return what loads on a row whole over its posts put on them, lb."""
    beam = Beam(row.length_in / 12, tuple(x / 12 for x in row.posts_in))
    return reactions_lb(beam, loads, support_moments_lb_ft(beam, loads))


def row_reactions_lb(
    row: BeamRow, found: Sequence[Share], load_psf: float
) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Return what a row puts on its posts, lb: whole over them, and broken over every post between the ends."""
    even = _even_plf(row, found, load_psf)
    if even is not None:
        before, after = row.overhangs_in
        return (
            post_reactions_lb(row.spans_in, before, after, even),
            broken_reactions_lb(row.spans_in, before, after, even),
        )
    loads = _loads(found, load_psf)
    return whole_reactions_lb(row, loads), _broken(row, loads)


def _broken(row: BeamRow, loads: Sequence[Load]) -> tuple[float, ...]:
    totals, ats = [0.0] * len(row.posts_in), [x / 12 for x in row.posts_in]
    last = len(ats) - 2
    for i, (near, far) in enumerate(pairwise(ats)):
        a, b = (0.0 if i == 0 else near), (row.length_in / 12 if i == last else far)
        inside = [part for load in loads if (part := clipped(load, a, b)) is not None]
        piece = Beam(b - a, (near - a, far - a))
        moved = [_moved(load, a) for load in inside]
        one, two = reactions_lb(piece, moved, support_moments_lb_ft(piece, moved))
        totals[i] += one
        totals[i + 1] += two
    return tuple(totals)


def _moved(load: Load, by_ft: float) -> Load:
    if isinstance(load, Point):
        return Point(load.at_ft - by_ft, load.load_lb)
    return Uniform(load.start_ft - by_ft, load.end_ft - by_ft, load.load_plf)


def post_reactions_lb(
    spans_in: Sequence[float], overhang_start_in: float, overhang_end_in: float, load_plf: float
) -> tuple[float, ...]:
    """Return the reactions of a beam that is whole over its posts, lb.

    >>> [round(r) for r in post_reactions_lb((84, 84), 12, 12, 400)]
    [1493, 3414, 1493]
    """
    feet = [span / 12 for span in spans_in]
    return continuous_reactions(feet, overhang_start_in / 12, overhang_end_in / 12, load_plf)


def broken_reactions_lb(
    spans_in: Sequence[float], overhang_start_in: float, overhang_end_in: float, load_plf: float
) -> tuple[float, ...]:
    """Return the reactions of a beam broken over every interior post, lb.

    >>> [round(r) for r in broken_reactions_lb((84, 84), 12, 12, 400)]
    [1829, 2743, 1829]
    """
    totals = [0.0] * (len(spans_in) + 1)
    last = len(spans_in) - 1
    for i, span in enumerate(spans_in):
        before = overhang_start_in / 12 if i == 0 else 0.0
        after = overhang_end_in / 12 if i == last else 0.0
        near, far = continuous_reactions([span / 12], before, after, load_plf)
        totals[i] += near
        totals[i + 1] += far
    return tuple(totals)

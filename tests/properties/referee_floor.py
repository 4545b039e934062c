"""The floor as a whole: no bay too wide, every side followed by a member, areas that add up, ledgers on walls."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise, takewhile

from properties.referee_answer import Answer
from properties.referee_plan import (
    JOIST_IN,
    RIM_IN,
    WALL_GAP_IN,
    Floor,
    Piece,
    Side,
    along_house,
    beam_width_in,
    by_direction,
    floor_of,
    held,
    inches,
    open_sides,
    pieces_of,
    segment,
)
from shapely import LineString, Polygon, unary_union
from shapely import Point as Place
from shapely.geometry.base import BaseGeometry

from service.contract.plan import Point
from service.contract.report_frame import Level

# Floor left over narrower than this is none: slanted ends are cut within it, and an end joist kept clear of a wall goes
# on in its line past the wall.
THICK_IN = 1.1
BLOCK_SQIN = 36.0  # in a sharp corner a solid block, 6 in by 6 in, stands for joists
ALONG_IN = 6.0  # a side may be bare this far, at a corner: a flush beam and the gap at a wall
AREA_SHARE = 0.001
SAME_CUT_DEG = 0.5
Wrong = Iterator[str]
BEARS_BY_TABLE = ("wood_band", "engineered_rim")


def no_bay_is_too_wide(answer: Answer) -> Wrong:
    """Every place of the floor lies between joists, or a joist and a side, no further apart than the spacing."""
    for level, asked in answer.pairs:
        if not level.joists:
            continue
        floor = floor_of(answer.spec, asked)
        inner = floor.polygon.buffer(-RIM_IN, join_style="mitre", mitre_limit=10)
        inner = inner.difference(open_sides(floor, level).buffer(RIM_IN + WALL_GAP_IN + 0.05))
        covered = unary_union(
            [
                held(inner, (*pieces, *_beside(level, turned)), turned)
                for turned, pieces in by_direction(level).items()
            ]
            + _bodies(level)
        )
        left = inner.difference(covered).buffer(-THICK_IN / 2)
        for part in getattr(left, "geoms", [left]):
            if not part.is_empty:
                x, y = part.representative_point().coords[0]
                size = part.buffer(THICK_IN / 2).area
                if size < BLOCK_SQIN:
                    continue
                yield (
                    f"{level.id}: {size:.1f} sq in of floor near ({x / 12:.3f}, {y / 12:.3f}) ft lies in no bay of "
                    "the spacing"
                )


def _beside(level: Level, turned: bool) -> Iterator[Piece]:
    """Rims and flush beams within the floor that run as the joists do: boards lie on them as on a joist."""
    inner = [rim for rim in level.rims if rim.edge is None]
    flush = [beam for beam in level.beams if beam.placement == "flush"]
    group = next(group for group in level.joists if along_house(group) == turned)
    for one in (*inner, *flush):
        (ax, ay), (bx, by) = inches(one.start_ft), inches(one.end_ft)
        if turned:
            ax, ay, bx, by = ay, ax, by, bx
        if abs(ax - bx) < 0.1:
            low, high = sorted((ay, by))
            yield Piece(one.id, ax, low, high, group.spacing_in, group.lines[0])


def _bodies(level: Level) -> list[BaseGeometry]:
    """Members among the joists, as broad as they are."""
    flush = [
        segment(b.start_ft, b.end_ft).buffer(beam_width_in(b.size, b.plies) / 2 + 0.05)
        for b in level.beams
        if b.placement == "flush"
    ]
    rims = [
        segment(r.start_ft, r.end_ft).buffer(RIM_IN / 2 + 0.05 + (WALL_GAP_IN if r.edge is None else 0.0))
        for r in level.rims
    ]
    return [*flush, *rims]


def joists_keep_apart(answer: Answer) -> Wrong:
    """No two joists stand in one place, and no floor lies on joists of both directions."""
    for level, asked in answer.pairs:
        ways = by_direction(level)
        for pieces in ways.values():
            row = sorted(pieces, key=lambda p: p.across)
            for one, other in ((a, b) for n, a in enumerate(row) for b in _touching(row, n)):
                if min(one.high, other.high) - max(one.low, other.low) > JOIST_IN:
                    yield f"lines of {one.group} and {other.group} both stand at {one.across / 12:.3f} ft"
        floor = floor_of(answer.spec, asked).polygon
        areas = [held(floor, pieces, turned) for turned, pieces in ways.items()]
        if len(areas) == 2:
            shared = areas[0].intersection(areas[1]).buffer(-8.0)
            if not shared.is_empty:
                x, y = shared.representative_point().coords[0]
                yield f"{level.id}: joists both ways lie under ({x / 12:.2f}, {y / 12:.2f}) ft"


def regions_are_the_floor(answer: Answer) -> Wrong:
    """The floor each group says it carries holds its lines, and together they are the floor, once."""
    for level, asked in answer.pairs:
        floor = floor_of(answer.spec, asked).polygon
        given = [(g, Polygon([inches(p) for p in g.region_ft])) for g in level.joists if g.region_ft]
        for group, region in given:
            turned, around = along_house(group), region.buffer(RIM_IN)
            outside = [p for p in pieces_of(group) if not around.covers(_drawn(p, turned))]
            if outside:
                yield f"{group.id} has a line at {outside[0].across / 12:.3f} ft outside its region"
        total, apart = sum(region.area for _, region in given), unary_union([region for _, region in given])
        if given and max(abs(total - floor.area), apart.symmetric_difference(floor).area) > 1e-3 * floor.area:
            yield f"{level.id}: regions of {total / 144:.3f} sq ft are not its floor of {floor.area / 144:.3f}"


def _drawn(piece: Piece, turned: bool) -> LineString:
    return LineString((piece.point(piece.low, turned), piece.point(piece.high, turned)))


def _touching(row: Sequence[Piece], n: int) -> Iterator[Piece]:
    yield from takewhile(lambda other: other.across - row[n].across < JOIST_IN - 0.1, row[n + 1 :])


def every_side_is_followed(answer: Answer) -> Wrong:
    """A rim, ledger, flush beam or end joist runs along the whole of every side."""
    for level, asked in answer.pairs:
        if not level.joists:
            continue
        floor = floor_of(answer.spec, asked)
        walls = open_sides(floor, level)
        for side in floor.sides:
            for start, end in _bare(side, level, walls):
                yield (
                    f"{level.id}: side {side.number} is bare from {start / 12:.3f} to {end / 12:.3f} ft of "
                    f"{side.line.length / 12:.3f} ft"
                )


def _bare(side: Side, level: Level, walls: BaseGeometry) -> Iterator[tuple[float, float]]:
    middle = Place(side.line.interpolate(0.5, normalized=True))
    gap = WALL_GAP_IN if side.wall is not None and walls.distance(middle) < 0.5 else 0.0
    covers = sorted(
        stretch
        for start, end, most in _followers(level)
        if (stretch := _along(side, start, end, most + gap + 0.05)) is not None
    )
    reached = 0.0
    for start, end in [*covers, (side.line.length, side.line.length)]:
        if start - reached > ALONG_IN:
            yield reached, start
        reached = max(reached, end)


def _followers(level: Level) -> Iterator[tuple[Point, Point, float]]:
    """Members that can follow a side, inches, with how far from it their centre line may be."""
    for rim in level.rims:
        yield inches(rim.start_ft), inches(rim.end_ft), RIM_IN / 2
    for ledger in level.ledgers:
        yield inches(ledger.start_ft), inches(ledger.end_ft), RIM_IN
    for beam in level.beams:
        if beam.placement == "flush":
            yield inches(beam.start_ft), inches(beam.end_ft), beam_width_in(beam.size, beam.plies) / 2
    for group in level.joists:
        turned, most = along_house(group), JOIST_IN * group.plies - JOIST_IN / 2
        for piece in pieces_of(group):
            yield piece.point(piece.low, turned), piece.point(piece.high, turned), most


def _along(side: Side, start: Point, end: Point, most: float) -> tuple[float, float] | None:
    """The stretch of a side that a line follows, at most ``most`` inches from it, on either hand."""
    (ax, ay), length = side.start, side.line.length
    ux, uy = (side.end[0] - ax) / length, (side.end[1] - ay) / length
    ends = [((x - ax) * ux + (y - ay) * uy, (x - ax) * uy - (y - ay) * ux) for x, y in (start, end)]
    (s0, off0), (s1, off1) = ends
    low, high = 0.0, 1.0
    for bound in (most, -most):
        inside0, inside1 = (
            (off0 - bound) * (1 if bound > 0 else -1),
            (off1 - bound) * (1 if bound > 0 else -1),
        )
        if inside0 > 0 and inside1 > 0:
            return None
        if (inside0 > 0) != (inside1 > 0):
            at = inside0 / (inside0 - inside1)
            low, high = (max(low, at), high) if inside0 > 0 else (low, min(high, at))
    places = sorted((s0 + low * (s1 - s0), s0 + high * (s1 - s0)))
    begin, finish = max(0.0, places[0]), min(length, places[1])
    return (begin, finish) if low < high and begin < finish else None


def areas_add_up(answer: Answer) -> Wrong:
    """Loads on footings over the design load, and what goes to ledgers, are the area of the floor."""
    for level, asked in answer.pairs:
        area = floor_of(answer.spec, asked).polygon.area / 144
        if abs(level.area_sqft - area) > 1e-3 + area * 1e-5:
            yield f"{level.id} gives {level.area_sqft:g} sq ft of floor, its outline has {area:.4f}"
        told = all(ledger.tributary_sqft > 0 for ledger in level.ledgers)
        if not level.joists or not told:
            continue
        on_footings = sum(f.load_lb for f in answer.footings_of(level)) / answer.criteria.design_psf
        on_ledgers = sum(ledger.tributary_sqft for ledger in level.ledgers)
        if abs(on_footings + on_ledgers - area) > AREA_SHARE * area:
            yield (
                f"{level.id}: footings carry {on_footings:.3f} and ledgers {on_ledgers:.3f} sq ft of {area:.3f}"
            )
        for footing in answer.footings_of(level):
            if abs(footing.tributary_sqft * answer.criteria.design_psf - footing.load_lb) > 0.1:
                yield f"{footing.id} carries {footing.load_lb:g} lb, its {footing.tributary_sqft:g} sq ft do not"


def ledgers_tell_their_area(answer: Answer) -> Wrong:
    """A ledger that joists hang on says how much floor it carries."""
    for level in answer.levels:
        for ledger in level.ledgers:
            if ledger.tributary_sqft <= 0:
                yield f"{ledger.id} says it carries {ledger.tributary_sqft:g} sq ft"


def ledgers_hang_on_walls(answer: Answer) -> Wrong:
    """A ledger lies on a side at a wall, on that side's part, and by table only on a wood band."""
    for level, asked in answer.pairs:
        floor = floor_of(answer.spec, asked)
        for ledger in level.ledgers:
            line = segment(ledger.start_ft, ledger.end_ft)
            under = [s for s in floor.sides if s.wall is not None and _covers(s, line)]
            if not floor.walls.buffer(0.1).covers(line):
                yield f"{ledger.id} does not lie on a wall of the house"
            elif ledger.edge not in {side.number for side in under}:
                yield f"{ledger.id} says edge {ledger.edge}, it lies on {[side.number for side in under]}"
            walls = {side.wall for side in under}
            if answer.status == "prescriptive" and not walls <= set(BEARS_BY_TABLE):
                yield f"{ledger.id} hangs on {sorted(map(str, walls))}, and the verdict is prescriptive"
        yield from _doubled(level)


def _covers(side: Side, line: BaseGeometry) -> bool:
    return bool(side.line.buffer(0.1).intersection(line).length > 1.0)


def _doubled(level: Level) -> Wrong:
    lines = [(one.id, segment(one.start_ft, one.end_ft).buffer(0.1)) for one in level.ledgers]
    for (one, here), (other, there) in ((a, b) for n, a in enumerate(lines) for b in lines[n + 1 :]):
        if here.intersection(there).area > 1.0:
            yield f"{one} and {other} hang on the same stretch"


def rims_are_as_long_as_drawn(answer: Answer) -> Wrong:
    """A rim lies on the floor and is as long as it is drawn, but for what its end cuts add."""
    for level, asked in answer.pairs:
        around = floor_of(answer.spec, asked).polygon.buffer(0.1)
        for rim in level.rims:
            line = segment(rim.start_ft, rim.end_ft)
            longer = sum(math.tan(math.radians(abs(cut))) for cut in (rim.start_cut_deg, rim.end_cut_deg))
            if abs(line.length - rim.length_in) > 1.0 + RIM_IN * longer or rim.length_in < 0:
                yield f"{rim.id} is {rim.length_in:g} in long, drawn {line.length:.2f} in"
            if not around.covers(line):
                yield f"{rim.id} leaves the floor"


def rims_meet_at_corners(answer: Answer) -> Wrong:
    """At a corner a rim is square, mitred at half the turn, or cut flush with the side that goes on there."""
    for level, asked in answer.pairs:
        corners = list(_turns(floor_of(answer.spec, asked)))
        for rim in level.rims:
            for end, cut in ((rim.start_ft, rim.start_cut_deg), (rim.end_ft, rim.end_cut_deg)):
                apart, turn = min((math.dist(inches(end), corner), turn) for corner, turn in corners)
                fitting = (0.0, turn / 2, abs(90 - turn))
                if apart < ALONG_IN and min(abs(abs(cut) - fit) for fit in fitting) > SAME_CUT_DEG:
                    yield f"{rim.id} is cut {cut:g} degrees off square at a corner that turns {turn:.1f}"


def _turns(floor: Floor) -> Iterator[tuple[Point, float]]:
    """Every corner with how far the sides turn there, degrees either way."""
    for before, after in pairwise([floor.sides[-1], *floor.sides]):
        ways = [math.atan2(s.end[1] - s.start[1], s.end[0] - s.start[0]) for s in (before, after)]
        turn = abs(math.degrees(ways[1] - ways[0])) % 360
        yield after.start, min(turn, 360 - turn)


def ground_is_under_the_frame(answer: Answer) -> Wrong:
    """Where the ground reaches the joists the deck is not prescriptive, and where it reaches a beam a check fails."""
    for level, asked in answer.pairs:
        if not level.joists:
            continue
        floor = floor_of(answer.spec, asked)
        bottom = level.clearance.joist_bottom_height_in
        highest = max(answer.ground_in(x / 12, y / 12) for x, y in _places(floor))
        if bottom is not None and highest >= bottom and answer.status == "prescriptive":
            yield f"{level.id}: the ground rises to {highest:.2f} in, the joists end at {bottom:g} in"


def _places(floor: Floor) -> Iterator[Point]:
    for a, b in pairwise([*floor.polygon.exterior.coords]):
        yield from ((a[0] + k / 8 * (b[0] - a[0]), a[1] + k / 8 * (b[1] - a[1])) for k in range(9))

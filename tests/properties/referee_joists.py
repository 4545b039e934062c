"""Every joist line: where it lies, what carries it, how far it spans and reaches, and whether the rules allow it."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

from properties.referee_answer import Answer, carries
from properties.referee_plan import (
    JOIST_IN,
    RIM_IN,
    ROUNDING_IN,
    WALL_GAP_IN,
    Floor,
    Piece,
    Side,
    along_house,
    beam_width_in,
    floor_of,
    open_sides,
    pieces_of,
    segment,
    slant,
)
from shapely import LineString
from shapely import Point as Place

from service.contract.report_frame import Beam, Joists, Level
from service.sizing.allowed import allowed_cantilever, allowed_joist_span

UNDER_IN = 1.6  # a support's line passes this near the place where it is said to carry
WIDEST_EDGE_BEAM_IN = 5.3
SAME_CUT_DEG = 0.3
CORNER_IN = 12.0
Wrong = Iterator[str]


def lines_are_lines(answer: Answer) -> Wrong:
    """Every line is given as its direction asks, runs forward, lies on the floor and is as long as it is drawn."""
    for floor, level, group in _groups(answer):
        pieces, turned = pieces_of(group), along_house(group)
        if not len(pieces) == len(group.lines) == group.count:
            yield f"{group.id} counts {group.count}, has {len(group.lines)} lines, {len(pieces)} of them whole"
        around = floor.polygon.buffer(0.1)
        for piece in pieces:
            drawn = piece.high - piece.low
            cuts = (piece.line.start_cut_deg, piece.line.end_cut_deg)
            longest = drawn + sum(JOIST_IN / 2 * math.tan(math.radians(abs(cut))) for cut in cuts)
            if drawn <= 0:
                yield f"{_name(piece)} runs backwards"
            elif abs(piece.line.length_in - longest) > ROUNDING_IN:
                yield f"{_name(piece)} is {piece.line.length_in:g} in long, drawn {longest:.2f} in"
            elif not around.covers(_line(piece, turned)):
                yield f"{_name(piece)} of level {level.id} leaves the floor"


def every_line_is_carried_twice(answer: Answer) -> Wrong:
    """At least two supports that exist, lie under the line in the order given, and the spans between them."""
    for _, level, group in _groups(answer):
        carrier = any(carries(other, group.id) for other in level.joists)
        for piece in pieces_of(group):
            line = piece.line
            places = [support.at_in for support in line.supports]
            if len({support.member for support in line.supports}) < 2:
                yield f"{_name(piece)} has fewer than two supports"
            elif any(b - a < ROUNDING_IN for a, b in pairwise(places)):
                yield f"the supports of {_name(piece)} are not in order"
            else:
                yield from _wrong_spans(piece, places)
                yield from _wrong_laps(piece)
            for support in line.supports:
                yield from _not_under(answer, level, group, piece, support.member, support.at_in)
                if carrier and support.member in {ledger.id for ledger in level.ledgers}:
                    yield f"{group.id} carries joists and hangs on {support.member}"


def _wrong_spans(piece: Piece, places: list[float]) -> Wrong:
    drawn = [b - a for a, b in pairwise(places)]
    given = piece.line.spans_in
    if len(given) != len(drawn) or any(abs(a - b) > ROUNDING_IN for a, b in zip(given, drawn, strict=False)):
        yield f"{_name(piece)} gives spans {list(given)}, its supports are {[round(d, 3) for d in drawn]} apart"


def _wrong_laps(piece: Piece) -> Wrong:
    inner = {s.member: s.at_in for s in piece.line.supports[1:-1]}
    for lap in piece.line.laps:
        if abs(inner.get(lap.member, math.inf) - lap.at_in) > ROUNDING_IN:
            yield f"{_name(piece)} laps at {lap.member}, which is not a support between its ends"


def _not_under(answer: Answer, level: Level, group: Joists, piece: Piece, member: str, at_in: float) -> Wrong:
    turned, along = along_house(group), piece.low + at_in
    place = Place(piece.point(along, turned))
    carried = answer.carried(level, member)
    if carried is None:
        yield f"{_name(piece)} is carried by {member}, which is not there"
        return
    reach = carried.width_in / 2 if carried.beside else 0.0
    if not -reach - ROUNDING_IN <= at_in <= piece.high - piece.low + reach + ROUNDING_IN:
        yield f"{_name(piece)} does not reach its support {member}"
    if min(line.distance(place) for line in carried.lines) > UNDER_IN:
        yield f"{member} does not lie under {_name(piece)} at {at_in:g} in"
    if carried.kind == "ledger" and min(at_in, piece.high - piece.low - at_in) > 0.1 + carried.slack_in:
        yield f"{_name(piece)} hangs on {member} away from its end"
    if carried.kind == "joists" and carried.plies < 2:
        yield f"{_name(piece)} hangs on {member}, a single joist"


def beams_passed_are_supports(answer: Answer) -> Wrong:
    """A beam that a line passes over carries it; no line runs through a flush beam."""
    for _, level, group in _groups(answer):
        turned = along_house(group)
        for piece in pieces_of(group):
            named = {support.member for support in piece.line.supports}
            drawn = _line(piece, turned)
            for beam in level.beams:
                if beam.id not in named and _passes(drawn, beam):
                    yield f"{_name(piece)} passes over {beam.id} and does not name it"


def _passes(drawn: LineString, beam: Beam) -> bool:
    under = segment(beam.start_ft, beam.end_ft)
    middle = LineString((under.interpolate(JOIST_IN), under.interpolate(under.length - JOIST_IN)))
    met = drawn.intersection(middle)
    if met.geom_type != "Point":
        return False
    ends = min(met.distance(Place(end)) for end in drawn.coords)
    return bool(ends > beam_width_in(beam.size, beam.plies) / 2 + 0.5)


def ends_are_cut_to_their_side(answer: Answer) -> Wrong:
    """Square or at a slant, as the side runs there: positive where the joist is longer on its right."""
    for floor, _, group in _groups(answer):
        turned = along_house(group)
        for piece in pieces_of(group):
            for end, given, way in (
                (piece.low, piece.line.start_cut_deg, -1.0),
                (piece.high, piece.line.end_cut_deg, 1.0),
            ):
                wanted = _cut_at(floor, piece, end, way, turned)
                if wanted is not None and abs(given - wanted) > SAME_CUT_DEG:
                    yield f"{_name(piece)} is cut {given:g} degrees off square, its side wants {wanted:.1f}"


def _cut_at(floor: Floor, piece: Piece, end: float, way: float, turned: bool) -> float | None:
    """The cut at one end, where one side alone is near it (a corner may be cut either way)."""
    reach = WIDEST_EDGE_BEAM_IN + WALL_GAP_IN
    found = []
    for side in floor.sides:
        at, tan = _crossing(side, piece.across, turned), slant(side, turned)
        beyond = math.inf if at is None else (at - end) * way
        if -0.5 <= beyond <= reach * math.hypot(1, min(tan, 10.0)):
            found.append(side)
    if len(found) != 1 or min(floor_corner_distances(floor, piece, end, turned)) < CORNER_IN:
        return None
    (side,) = found
    (ax, ay), (bx, by) = (p[::-1] if turned else p for p in (side.start, side.end))
    return math.degrees(math.atan((by - ay) / (bx - ax))) * way * (-1.0 if turned else 1.0)


def floor_corner_distances(floor: Floor, piece: Piece, end: float, turned: bool) -> list[float]:
    """Return how far the end of a line is from every corner, in."""
    place = piece.point(end, turned)
    return [math.dist(place, side.start) for side in floor.sides]


def cantilevers_are_as_drawn(answer: Answer) -> Wrong:
    """Beam centre to the rim's outer face, none where the joist ends over the beam or hangs."""
    for floor, level, group in _groups(answer):
        for piece in pieces_of(group):
            if piece.line.supports:
                yield from _end(answer, floor, level, group, piece, first=True)
                yield from _end(answer, floor, level, group, piece, first=False)


def _end(answer: Answer, floor: Floor, level: Level, group: Joists, piece: Piece, *, first: bool) -> Wrong:
    support = piece.line.supports[0 if first else -1]
    given = piece.line.cantilever_house_in if first else piece.line.cantilever_yard_in
    carried = answer.carried(level, support.member)
    name = f"{_name(piece)}, {'house' if first else 'yard'} end,"
    if carried is None:
        return
    if carried.kind == "ledger":
        if given != 0:
            yield f"{name} hangs on a ledger and cantilevers {given:g} in"
        return
    turned = along_house(group)
    end = piece.low if first else piece.high
    centre = piece.low + support.at_in
    face, tan, corner = _outer_face(floor, level, piece, end, turned, first=first)
    past = abs((end if face is None else face) - centre)
    half = carried.along_in(turned) / 2
    loose = JOIST_IN / 2 * min(tan, 10.0) + 0.05 + (WALL_GAP_IN if corner else 0.0)
    if given == 0:
        if past - half > RIM_IN * math.hypot(1, tan) + loose:
            yield f"{name} reaches {past:.2f} in past {support.member} and is called no cantilever"
    elif abs(given - past) > loose + (RIM_IN if face is None else 0.0):
        yield f"{name} cantilevers {given:g} in, drawn {past:.2f} in"


def _outer_face(
    floor: Floor, level: Level, piece: Piece, end: float, turned: bool, *, first: bool
) -> tuple[float | None, float, bool]:
    """Where the deck ends beyond a joist end, how slanted there, and whether at a corner of two such sides.

    The place is null where the floor goes on.
    """
    met = [(at, side) for side in floor.sides if (at := _crossing(side, piece.across, turned)) is not None]
    ahead = [(end - at if first else at - end, at, side.number) for at, side in met]
    found = min((one for one in ahead if one[0] >= -0.5), default=None)
    if found is None:
        return None, 0.0, False
    beyond, at, number = found
    place = Place(piece.point(at, turned))
    slants = [
        s for side in floor.sides if side.line.distance(place) < 1.0 and (s := slant(side, turned)) < 10
    ]
    tan = max(slants, default=slant(floor.sides[number], turned))
    gap = WALL_GAP_IN if open_sides(floor, level).distance(place) < 0.5 else 0.0
    if beyond > (WIDEST_EDGE_BEAM_IN + gap) * math.hypot(1, tan) + JOIST_IN * min(tan, 10.0):
        return None, 0.0, False
    inward = gap * math.hypot(1, tan)
    return at + (inward if first else -inward), tan, len(slants) > 1


def _crossing(side: Side, across: float, turned: bool) -> float | None:
    (ax, ay), (bx, by) = side.start, side.end
    if turned:
        ax, ay, bx, by = ay, ax, by, bx
    if (ax > across) == (bx > across):
        return None
    return ay + (across - ax) * (by - ay) / (bx - ax)


def joists_keep_to_the_edition(answer: Answer) -> Wrong:
    """What is over the edition's limits is told by a failing check; what is off its tables is not prescriptive."""
    for _, _, group in _groups(answer):
        for line in dict.fromkeys((p.line.spans_in, *_overhangs(p)) for p in pieces_of(group)):
            yield from _over(answer, group, *line)


def _overhangs(piece: Piece) -> tuple[float, float]:
    return (piece.line.cantilever_house_in, piece.line.cantilever_yard_in)


def _over(answer: Answer, group: Joists, spans: tuple[float, ...], house: float, yard: float) -> Wrong:
    if not spans:
        return
    whole = allowed_joist_span(answer.criteria, group.size, group.spacing_in, max(house, yard))
    for span in sorted(set(spans)):
        yield from answer.over(group.id, "joist_span", span, whole.for_demand(span))
    for reach, back in ((house, spans[0]), (yard, spans[-1])):
        if reach > 0:
            allowed = allowed_cantilever(answer.criteria, group.size, group.spacing_in, back)
            yield from answer.over(group.id, "joist_cantilever", reach, allowed)


def _groups(answer: Answer) -> Iterator[tuple[Floor, Level, Joists]]:
    for level, asked in answer.pairs:
        floor = floor_of(answer.spec, asked)
        for group in level.joists:
            yield floor, level, group


def _line(piece: Piece, turned: bool) -> LineString:
    return LineString((piece.point(piece.low, turned), piece.point(piece.high, turned)))


def _name(piece: Piece) -> str:
    return f"the line of {piece.group} at {piece.across / 12:.3f} ft"

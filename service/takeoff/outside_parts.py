"""The parts one touches: guards with rails and balusters, stairs with stringers, treads and handrails."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from itertools import pairwise

from service.contract.ids import item, part
from service.contract.report_frame import Flight, Guard, Landing, Level, Stair
from service.contract.spec import DeckSpec, LevelSpec, StairSpec
from service.framing.frame import Frame
from service.framing.line import RIM_IN
from service.sizing.criteria import Criteria
from service.sizing.lumber import depth_in
from service.sizing.stairs import underside_in
from service.takeoff.items import decking, lumber, lumber_item, post, treatment
from service.takeoff.needs import Need
from service.takeoff.parts import Part, distance_in

GUARD_POST_SIZE, GUARD_POST_SIDE_IN = "4x4", 3.5  # common practice
RAIL_SIZE, RAILS_A_BAY = "2x4", 2  # common practice
RAIL_PIECE_IN = 96.0  # common practice: rails are joined over posts, 8 ft apart at most
BALUSTER, BALUSTER_SIDE_IN = item("guard", "2x2", "baluster", "wood"), 1.5
HANDRAIL = item("guard", "2x2", "handrail", "wood")
BOTTOM_GAP_IN = 2.0  # common practice
GUARD_SPHERE_IN = 4.0  # IRC R312.1.3
STAIR_GUARD_SPHERE_IN = 4.375  # IRC R312.1.3, exception for stairs
STAIR_POST_FIXING_IN = 12.0  # convention of this service: what of a stair guard post is on the stringer
OPEN_RISERS_TO_IN = 30.0  # IRC R311.7.5.1: above this an open riser may not pass a 4 in sphere
STRINGER_SIZE, RISER_BOARD_SIZE = "2x12", "1x8"
BOARD_GAP_IN = 0.125  # common practice
SCREWS_A_STRINGER = 2  # a board of a tread or riser on each stringer, common practice
SCREWS_A_RAIL_PART = 4  # two an end, common practice


def outside_parts(frame: Frame, spec: DeckSpec, criteria: Criteria) -> Iterator[Part]:
    """Yield the parts of guards and stairs."""
    levels = {level.id: level for level in spec.levels}
    for level in frame.levels:
        for guard in level.guards:
            yield from _guard_parts(guard, level, levels[level.id], criteria)
    for stair in frame.stairs:
        yield from _stair_parts(stair, stair_wish(stair, spec), levels, criteria)


def stair_wish(stair: Stair, spec: DeckSpec) -> StairSpec:
    """Return the request a stair answers: its id carries its number in the caller's order."""
    return spec.stairs[int(stair.id.rpartition("-")[2]) - 1]


def _guard_post(criteria: Criteria) -> str:
    use = treatment(criteria.species, ground_contact=False)
    return post(GUARD_POST_SIZE, criteria.species, criteria.grade, use)


def _rail(criteria: Criteria) -> str:
    return lumber_item(RAIL_SIZE, criteria.species, criteria.grade)


def balusters(clear_in: float, sphere_in: float) -> int:
    """Return how many balusters keep every opening of a bay under a sphere.

    >>> balusters(68.5, 4.0), balusters(3.0, 4.0)
    (12, 0)
    """
    if clear_in < sphere_in:
        return 0
    return math.floor((clear_in - sphere_in) / (BALUSTER_SIDE_IN + sphere_in)) + 1


def _guard_parts(guard: Guard, level: Level, wish: LevelSpec, criteria: Criteria) -> Iterator[Part]:
    joist_in = max((depth_in(group.size) for group in level.joists), default=0.0)
    for one in guard.posts:
        below = wish.decking.thickness_in + joist_in if one.mount == "side" else 0.0
        yield Part(_guard_post(criteria), guard.height_in + below, one.id)
    yield from _rail_and_baluster_parts(guard, _rail(criteria))


def _rail_and_baluster_parts(guard: Guard, rail: str) -> Iterator[Part]:
    places = sorted(distance_in(guard.start_ft, (one.x_ft, one.y_ft)) for one in guard.posts)
    for start, end in pairwise(places):
        clear = end - start - GUARD_POST_SIDE_IN
        if clear > 0:
            yield Part(rail, clear, guard.id, RAILS_A_BAY)
            yield from _balusters(clear, GUARD_SPHERE_IN, guard.height_in, guard.id)


def _balusters(clear_in: float, sphere_in: float, height_in: float, member: str) -> Iterator[Part]:
    count = balusters(clear_in, sphere_in)
    if count:
        yield Part(BALUSTER, height_in - BOTTOM_GAP_IN, member, count)


def _stair_parts(
    stair: Stair, wish: StairSpec, levels: Mapping[str, LevelSpec], criteria: Criteria
) -> Iterator[Part]:
    first = 1
    for place, flight in enumerate(stair.flights):
        on_ground = place == len(stair.flights) - 1 and wish.down_to not in levels
        use = treatment(criteria.species, ground_contact=on_ground)
        code = lumber(STRINGER_SIZE, criteria.species, criteria.grade, use)
        for number in range(first, first + flight.stringers):
            yield Part(code, flight.stringer_length_in, part(stair.id, "stringer", number))
        first += flight.stringers
        yield from _tread_parts(stair, flight, wish, levels[stair.level])
        yield from _riser_parts(stair, flight, criteria)
        yield from _rail_parts(stair, flight, criteria)
    yield from _leg_parts(stair, wish, criteria)
    for landing in stair.landings:
        yield from _landing_parts(stair, landing, levels[stair.level], criteria)


def _leg_parts(stair: Stair, wish: StairSpec, criteria: Criteria) -> Iterator[Part]:
    """The legs at the back of a box step, from the ground to the stringers' lower edge."""
    flight = stair.flights[0]
    below = underside_in(flight.riser_in, flight.tread_in, wish.tread_thickness_in, 0.0)
    if stair.head == "box" and below < stair.rise_in:
        use = treatment(criteria.species, ground_contact=True)
        code = lumber(STRINGER_SIZE, criteria.species, criteria.grade, use)
        yield Part(code, stair.rise_in - below, stair.id, flight.stringers)


def _landing_boards(landing: Landing, board_in: float) -> int:
    """The boards across a framed landing, over all of its joists."""
    depth = landing.joists[0].lines[0].length_in + 2 * RIM_IN
    return math.ceil((depth - BOARD_GAP_IN) / (board_in + BOARD_GAP_IN))


def _landing_parts(stair: Stair, landing: Landing, level: LevelSpec, criteria: Criteria) -> Iterator[Part]:
    if landing.joists:
        board = level.decking
        code = decking(board.thickness_in, board.board_width_in, board.material)
        yield Part(code, landing.width_in, landing.id, _landing_boards(landing, board.board_width_in))
    guard = landing.guard
    if guard is not None:
        below = level.decking.thickness_in + depth_in(landing.joists[0].size if landing.joists else "2x8")
        yield Part(_guard_post(criteria), guard.height_in + below, landing.id, 2 * guard.sides)
        clear = landing.depth_in - 2 * GUARD_POST_SIDE_IN
        yield Part(_rail(criteria), clear, landing.id, RAILS_A_BAY * guard.sides)
        for _ in range(guard.sides):
            yield from _balusters(clear, GUARD_SPHERE_IN, guard.height_in, landing.id)
    if stair.handrail and stair.handrail.required and landing.joists:
        yield _in_lengths(HANDRAIL, landing.depth_in, landing.id, stair.handrail.sides)


def boards_a_tread(tread_in: float, board_width_in: float) -> int:
    """Return how many boards side by side make a tread.

    >>> boards_a_tread(10.5, 5.5), boards_a_tread(11.25, 5.5)
    (2, 2)
    """
    return math.ceil((tread_in - BOARD_GAP_IN) / (board_width_in + BOARD_GAP_IN))


def _tread_parts(stair: Stair, flight: Flight, wish: StairSpec, level: LevelSpec) -> Iterator[Part]:
    boards = boards_a_tread(flight.tread_in, level.decking.board_width_in)
    code = decking(wish.tread_thickness_in, level.decking.board_width_in, level.decking.material)
    if flight.treads:
        yield Part(code, stair.width_in, stair.id, boards * flight.treads)


def _riser_parts(stair: Stair, flight: Flight, criteria: Criteria) -> Iterator[Part]:
    if stair.rise_in > OPEN_RISERS_TO_IN:
        code = lumber_item(RISER_BOARD_SIZE, criteria.species, criteria.grade)
        yield Part(code, stair.width_in, stair.id, flight.risers)


def _in_lengths(code: str, length_in: float, member: str, count: int) -> Part:
    """A rail in equal lengths that come out of an 8 ft piece: joined over posts."""
    lengths = math.ceil(length_in / RAIL_PIECE_IN)
    return Part(code, length_in / lengths, member, count * lengths)


def _rail_parts(stair: Stair, flight: Flight, criteria: Criteria) -> Iterator[Part]:
    slope = math.hypot(flight.run_in, flight.riser_in * flight.risers)
    if stair.handrail and stair.handrail.required:
        yield _in_lengths(HANDRAIL, slope, stair.id, stair.handrail.sides)
    guard = stair.guard
    if guard and guard.required and guard.sides:
        yield Part(_guard_post(criteria), guard.height_in + STAIR_POST_FIXING_IN, stair.id, 2 * guard.sides)
        yield _in_lengths(_rail(criteria), slope, stair.id, RAILS_A_BAY * guard.sides)
        for _ in range(guard.sides):
            yield from _balusters(flight.run_in, STAIR_GUARD_SPHERE_IN, guard.height_in, stair.id)


def _landing_screws(stair: Stair, board_in: float, code: str) -> Iterator[Need]:
    for landing in stair.landings:
        for joists in landing.joists:
            boards = _landing_boards(landing, board_in)
            yield Need(code, SCREWS_A_STRINGER * joists.count * boards, landing.id)


def tread_and_rail_screws(frame: Frame, spec: DeckSpec, coating: str) -> Iterator[Need]:
    """Yield the screws of treads, risers, rails and balusters."""
    code = item("decking_screw", "no_8", "2-1-2in", coating)
    levels = {level.id: level for level in spec.levels}
    for stair in frame.stairs:
        width = levels[stair.level].decking.board_width_in
        for flight in stair.flights:
            boards = flight.treads * boards_a_tread(flight.tread_in, width)
            closed = flight.risers if stair.rise_in > OPEN_RISERS_TO_IN else 0
            yield Need(code, SCREWS_A_STRINGER * flight.stringers * (boards + closed), stair.id)
        yield from _landing_screws(stair, width, code)
    for level in frame.levels:
        for guard in level.guards:
            parts = list(_rail_and_baluster_parts(guard, ""))
            yield Need(code, SCREWS_A_RAIL_PART * sum(part.quantity for part in parts), guard.id)

"""The parts of stairs: stringers, treads, risers, legs, cleats, boards of landings; and what fixes them."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from service.contract.ids import item, part
from service.contract.report_frame import Flight, Landing, Stair
from service.contract.spec import DeckSpec, LevelSpec, StairSpec
from service.framing.frame import Frame
from service.framing.line import RIM_IN
from service.sizing.criteria import Criteria
from service.sizing.stairs import underside_in
from service.takeoff.items import decking, lumber, lumber_item, treatment
from service.takeoff.needs import Need
from service.takeoff.parts import BOARD_GAP_IN, Part

OPEN_RISERS_TO_IN = 30.0  # IRC R311.7.5.1: above this an open riser may not pass a 4 in sphere
STRINGER_SIZE, RISER_BOARD_SIZE, CLEAT_SIZE = "2x12", "1x8", "2x4"
LEAST_LEG_IN = 1.5  # less is shimmed (convention of this service)
SCREWS_A_STRINGER = 2  # a board of a tread or riser on each stringer, common practice
CLEAT_ANCHOR_EVERY_IN = 48.0  # at least two, common practice; IRC R311.5.1 asks that a stair is held
CLEAT_NAILS = 3  # 10d, cleat to each stringer, common practice
CLEAT_SCREWS = 2  # a stringer, where the foot stands on boards, common practice


def stair_parts(frame: Frame, spec: DeckSpec, criteria: Criteria) -> Iterator[Part]:
    """Yield the parts of every stair but its rails."""
    levels = {level.id: level for level in spec.levels}
    for stair in frame.stairs:
        yield from _stair_parts(stair, stair_wish(stair, spec), levels, criteria)


def stair_wish(stair: Stair, spec: DeckSpec) -> StairSpec:
    """Return the request a stair answers: its id carries its number in the caller's order."""
    return spec.stairs[int(stair.id.rpartition("-")[2]) - 1]


def _on_ground(wish: StairSpec, levels: Mapping[str, LevelSpec]) -> bool:
    return wish.down_to not in levels


def _stair_parts(
    stair: Stair, wish: StairSpec, levels: Mapping[str, LevelSpec], criteria: Criteria
) -> Iterator[Part]:
    first, grounded = 1, _on_ground(wish, levels)
    for place, flight in enumerate(stair.flights):
        low = grounded and place == len(stair.flights) - 1
        code = _lumber(STRINGER_SIZE, criteria, low=low)
        for number in range(first, first + flight.stringers):
            yield Part(code, flight.stringer_length_in, part(stair.id, "stringer", number))
        first += flight.stringers
        cleats = 1 if flight.stringers else 0
        yield Part(_lumber(CLEAT_SIZE, criteria, low=low), stair.width_in, stair.id, cleats)
        yield from _tread_parts(stair, flight, wish, levels[stair.level])
        yield from _riser_parts(stair, flight, criteria)
    yield from _leg_parts(stair, wish, criteria, low=grounded)
    for landing in stair.landings:
        yield from _landing_parts(landing, levels[stair.level])


def _lumber(size: str, criteria: Criteria, *, low: bool) -> str:
    return lumber(size, criteria.species, criteria.grade, treatment(criteria.species, ground_contact=low))


def _leg_parts(stair: Stair, wish: StairSpec, criteria: Criteria, *, low: bool) -> Iterator[Part]:
    """The legs at the back of a box step, from what it stands on to the stringers' lower edge."""
    flight = stair.flights[0]
    below = underside_in(flight.riser_in, flight.tread_in, wish.tread_thickness_in, 0.0)
    if stair.head == "box" and stair.rise_in - below >= LEAST_LEG_IN:
        code = _lumber(STRINGER_SIZE, criteria, low=low)
        yield Part(code, stair.rise_in - below, stair.id, flight.stringers)


def _landing_boards(landing: Landing, board_in: float) -> int:
    """The boards across a framed landing, over all of its joists."""
    depth = landing.joists[0].lines[0].length_in + 2 * RIM_IN
    return math.ceil((depth - BOARD_GAP_IN) / (board_in + BOARD_GAP_IN))


def _landing_parts(landing: Landing, level: LevelSpec) -> Iterator[Part]:
    if landing.joists:
        board = level.decking
        code = decking(board.thickness_in, board.board_width_in, board.material)
        yield Part(code, landing.width_in, landing.id, _landing_boards(landing, board.board_width_in))


def boards_a_tread(tread_in: float, board_width_in: float) -> int:
    """Return how many boards side by side make a tread.

    >>> boards_a_tread(10.5, 5.5), boards_a_tread(11.25, 5.5)
    (2, 2)
    """
    return math.ceil((tread_in - BOARD_GAP_IN) / (board_width_in + BOARD_GAP_IN))


def _tread_parts(stair: Stair, flight: Flight, wish: StairSpec, level: LevelSpec) -> Iterator[Part]:
    boards = boards_a_tread(flight.tread_in, level.decking.board_width_in)
    code = decking(wish.tread_thickness_in, level.decking.board_width_in, level.decking.material)
    yield Part(code, stair.width_in, stair.id, boards * flight.treads)


def _riser_parts(stair: Stair, flight: Flight, criteria: Criteria) -> Iterator[Part]:
    if stair.rise_in > OPEN_RISERS_TO_IN:
        code = lumber_item(RISER_BOARD_SIZE, criteria.species, criteria.grade)
        yield Part(code, stair.width_in, stair.id, flight.risers)


def tread_brackets(flight: Flight) -> int:
    """Return the brackets treads sit on between solid stringers: two a tread in each bay; a cut one needs none.

    >>> flight = Flight(risers=8, riser_in=7.5, treads=7, tread_in=10.5, run_in=73.5, stringers=4,
    ...     stringer_kind="solid", stringer_spacing_in=15.5, stringer_length_in=103.2, drop_in=1.0, throat_in=None)
    >>> tread_brackets(flight)
    42
    """
    return 2 * flight.treads * (flight.stringers - 1) if flight.stringer_kind == "solid" else 0


def stair_fixings(frame: Frame, spec: DeckSpec, coating: str) -> Iterator[Need]:
    """Yield tread brackets, and what holds the foot of each flight."""
    levels = {level.id: level for level in spec.levels}
    for stair in frame.stairs:
        brackets = sum(tread_brackets(flight) for flight in stair.flights)
        yield Need(item("stringer_connector", "tread_bracket", coating), brackets, stair.id)
        grounded = _on_ground(stair_wish(stair, spec), levels)
        for place, flight in enumerate(stair.flights):
            low = grounded and place == len(stair.flights) - 1
            if flight.stringers:
                yield from _foot(stair, flight.stringers, coating, low=low)


def _foot(stair: Stair, stringers: int, coating: str, *, low: bool) -> Iterator[Need]:
    """What holds a cleat between stringers, on concrete or on boards."""
    yield Need(item("nail", "10d", coating), CLEAT_NAILS * stringers, stair.id)
    if low:
        anchors = max(2, math.ceil(stair.width_in / CLEAT_ANCHOR_EVERY_IN) + 1)
        yield Need(item("anchor", "1-2in", "5in", coating), anchors, stair.id)
    else:
        yield Need(item("structural_screw", "1-4in", "4in", coating), CLEAT_SCREWS * stringers, stair.id)


def stair_screws(frame: Frame, spec: DeckSpec, coating: str) -> Iterator[Need]:
    """Yield the screws of treads, risers and boards of landings."""
    code = item("decking_screw", "no_8", "2-1-2in", coating)
    levels = {level.id: level for level in spec.levels}
    for stair in frame.stairs:
        width = levels[stair.level].decking.board_width_in
        for flight in stair.flights:
            boards = flight.treads * boards_a_tread(flight.tread_in, width)
            closed = flight.risers if stair.rise_in > OPEN_RISERS_TO_IN else 0
            yield Need(code, SCREWS_A_STRINGER * flight.stringers * (boards + closed), stair.id)
        for landing in stair.landings:
            for joists in landing.joists:
                boards = _landing_boards(landing, width)
                yield Need(code, SCREWS_A_STRINGER * joists.count * boards, landing.id)

"""Joist hangers: one where a joist end hangs on a ledger or a flush beam, by the room and the angle there."""

from __future__ import annotations

import math
from collections.abc import Iterator

from service.connections.hangers import hanger_item
from service.contract.ids import item
from service.contract.report_frame import Joists, Level
from service.sizing.lumber import width_in
from service.takeoff.lines import Segment, along, ends_ft, place_ft
from service.takeoff.needs import Need
from service.takeoff.parts import distance_in

FLANGE_IN = 1.5  # room a flange takes beside the joist, common practice
SQUARE_WITHIN_DEG = 1.0  # convention of this service: a usual hanger is closed over this much
MOST_SKEW_DEG = 45.0  # from memory: hangers are not made for more
STEEPER = "no hanger is made for a joist that runs this far off square; an engineer designs the connection"


def holders(level: Level) -> dict[str, Segment]:
    """Return what joists of a level hang on, by id, with where it lies in plan: ledgers and flush beams."""
    found = {ledger.id: (ledger.start_ft, ledger.end_ft) for ledger in level.ledgers}
    flush = {b.id: (b.start_ft, b.end_ft) for b in level.beams if b.placement == "flush"}
    return found | flush


def hangers(joists: Joists, level: Level, coating: str) -> Iterator[Need]:
    """Yield the hanger of every joist end on a ledger or a flush beam.

    At the end of what it hangs on a joist has no room for a flange beside it: its flanges are concealed. A joist
    that runs off square hangs in a skewed one.
    """
    held = holders(level)
    for line in joists.lines:
        run = ends_ft(line)
        for support in line.supports:
            if support.member in held:
                holder = held[support.member]
                room = _room_in(holder, run, support.at_in)
                concealed = room < joists.plies * width_in(joists.size) / 2 + FLANGE_IN
                yield _hanger(joists, skew_deg(holder, run), coating, concealed)


def _hanger(joists: Joists, skew: float, coating: str, concealed: bool) -> Need:
    if abs(skew) > MOST_SKEW_DEG + SQUARE_WITHIN_DEG:
        code = item("joist_hanger", joists.size, f"{joists.plies}ply", coating, "skewed")
        return Need(code, 1, joists.id, because=STEEPER)
    skew = 0.0 if abs(skew) < SQUARE_WITHIN_DEG else skew
    return Need(hanger_item(joists.size, joists.plies, coating, concealed, skew), 1, joists.id)


def _room_in(holder: Segment, run: Segment, at_in: float) -> float:
    """How far the end of what a joist hangs on is from the joist's centre line, along it."""
    (x, y), (dx, dy) = place_ft(run, at_in), along(holder)
    on = 12 * ((x - holder[0][0]) * dx + (y - holder[0][1]) * dy)
    return min(on, distance_in(*holder) - on)


def skew_deg(holder: Segment, run: Segment) -> float:
    """Return how far off square a joist runs away from what it hangs on, degrees.

    Positive to the right of who faces what it hangs on from the joist's side; whichever end hangs, it is the same.

    >>> wall = ((0.0, 0.0), (16.0, 0.0))
    >>> round(skew_deg(wall, ((4.0, 0.0), (4.0, 9.0)))), round(skew_deg(wall, ((0.0, 0.0), (9.0, 9.0))))
    (0, -45)
    """
    (hx, hy), (dx, dy) = along(holder), along(run)
    side = 1.0 if hx * dy - hy * dx > 0 else -1.0
    return math.degrees(math.asin(max(-1.0, min(1.0, -side * (hx * dx + hy * dy)))))

"""How many nails each connection takes."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import cache, partial

from service.connections.plies import ply_schedule
from service.contract.ids import item
from service.contract.report_frame import Beam, Blocking, Joists, Level
from service.framing.blocking import BACKING, BORDER_EVERY_IN
from service.framing.frame import Frame
from service.sizing.criteria import Criteria
from service.takeoff.needs import Need
from service.takeoff.parts import INCHES_PER_FT, distance_in
from service.takeoff.stair_levels import framed_levels
from service.takeoff.substitutes import coating_of
from service.timber.refusal import NoRule

RIM_NAILS = 3  # 10d, rim to each joist: IRC R507.6.2 (R507.5.1 in 2015)
TOE_NAILS = 3  # 8d common, joist to multi-ply beam: IRC Table R602.3(1)
PLY_NAIL_ROWS, PLY_NAIL_SPACING_IN = 2, 16.0  # 10d, plies of a beam: IRC R507.5 (R507.6 in 2015)
BLOCK_NAILS = 6  # 10d, three an end, common practice
BACKING_NAILS = 2  # 10d into each block under it, common practice
LAP_NAILS = 3  # 10d through a lap, common practice
# Common practice; the listing of the connector that is bought says how many it takes. Tread brackets, guard post
# connectors and lateral devices come with their own.
CONNECTOR_NAILS = {"joist_hanger": 12, "post_base": 12, "post_cap": 12, "saddle": 8}
# Into one ply from the side a 3 in nail would come out of the other: 1-1/2 in long (common practice).
SHORT_NAILS = {"uplift_tie": 8, "framing_angle": 8, "stringer_connector.sloped": 12}
END_IN = 0.5


def nails(frame: Frame, criteria: Criteria) -> Iterator[Need]:
    """Yield the framing nails of a frame; those of metal connectors come with ``connector_nails``."""
    long, short = item("nail", "10d", criteria.coating), item("nail", "8d", criteria.coating)
    for level in framed_levels(frame):
        beams = {beam.id: beam for beam in level.beams}
        for joists in level.joists:
            yield Need(long, RIM_NAILS * rim_ends(joists, level), joists.id)
            yield Need(short, TOE_NAILS * seats(joists, beams, "dropped", least_plies=2), joists.id)
            laps = sum(len(line.laps) for line in joists.lines)
            yield Need(long, LAP_NAILS * laps + _joist_ply_nails(joists), joists.id)
        for beam in level.beams:
            length = distance_in(beam.start_ft, beam.end_ft)
            yield Need(long, ply_nails(length, beam.plies, *_schedule(beam, criteria)), beam.id)
        for blocking in level.blocking:
            yield Need(long, _block_nails(blocking) * blocking.count, blocking.id)


def connector_nails(connectors: list[Need], coating: str) -> Iterator[Need]:
    """Yield the nails of metal connectors, of each connector's own metal: unlike ones eat each other."""
    of_each = cache(partial(_nails_of, coating))
    for need in connectors:
        for nail, each in of_each(need.item):
            yield Need(nail, each * need.quantity, need.member)


def _nails_of(coating: str, connector: str) -> tuple[tuple[str, int], ...]:
    """The nails of a kind of connector, and how many of each."""
    metal = coating_of(connector) or coating
    return tuple(
        (
            item("nail", size, metal),
            sum(count for kind, count in counts.items() if connector.startswith(f"{kind}.")),
        )
        for size, counts in (("10d", CONNECTOR_NAILS), ("10d_1-1-2in", SHORT_NAILS))
    )


def _schedule(beam: Beam, criteria: Criteria) -> tuple[int, float]:
    """Rows and spacing of ply nails: the code's own, or closer where joists hang on one face."""
    found = ply_schedule(beam, criteria) if beam.placement == "flush" and beam.plies > 1 else None
    if found is None or isinstance(found, NoRule):
        return PLY_NAIL_ROWS, PLY_NAIL_SPACING_IN
    return found.rows, found.spacing_in


def ply_nails(
    length_in: float, plies: int, rows: int = PLY_NAIL_ROWS, spacing_in: float = PLY_NAIL_SPACING_IN
) -> int:
    """Return the nails that join the plies of a beam: two rows at 16 in for each joint, unless told otherwise.

    >>> ply_nails(192, 2), ply_nails(192, 3), ply_nails(192, 1)
    (26, 52, 0)
    """
    in_a_row = math.ceil(length_in / spacing_in) + 1
    return (plies - 1) * rows * in_a_row


def _block_nails(blocking: Blocking) -> int:
    """Three an end; what is laid flat on blocks is nailed to each of them."""
    if blocking.because != BACKING:
        return BLOCK_NAILS
    return BACKING_NAILS * math.ceil(blocking.length_in / BORDER_EVERY_IN)


def _joist_ply_nails(joists: Joists) -> int:
    return sum(ply_nails(line.length_in, joists.plies) for line in joists.lines)


def seats(joists: Joists, beams: dict[str, Beam], placement: str, least_plies: int = 1) -> int:
    """Return how many joist ends or runs bear on beams of a placement; a lap puts two there."""
    on = [b.id for b in beams.values() if b.placement == placement and b.plies >= least_plies]
    bearing = [
        member
        for line in joists.lines
        for member in (*(support.member for support in line.supports), *(lap.member for lap in line.laps))
    ]
    return joists.plies * sum(member in on for member in bearing)


def rim_ends(joists: Joists, level: Level) -> int:
    """Return how many joist ends are nailed to a rim: those that hang on neither a ledger nor a flush beam."""
    if not level.rims:
        return 0
    hung = {ledger.id for ledger in level.ledgers} | {b.id for b in level.beams if b.placement == "flush"}
    ends = 0
    for line in joists.lines:
        at_ends = [s for s in line.supports if s.member in hung and not _inside(s.at_in, line.length_in)]
        ends += 2 - len(at_ends)
    return ends * joists.plies


def _inside(at_in: float, length_in: float) -> bool:
    return END_IN * INCHES_PER_FT < at_in < length_in - END_IN * INCHES_PER_FT

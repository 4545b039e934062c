"""Single parts before they are grouped, and where a run longer than any board is divided."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from itertools import pairwise
from typing import NamedTuple

from service.contract.report_frame import Level, Point
from service.contract.report_order import EndCut, Piece
from service.takeoff.items import ORDER
from service.units.rounding import cut_length

Longest = Callable[[str], float]
SQUARE_ENDS = (
    EndCut(end="start", kind="square", angle_deg=0.0),
    EndCut(end="end", kind="square", angle_deg=0.0),
)
INCHES_PER_FT = 12.0


class Part(NamedTuple):
    """``quantity`` like parts of one item for one member, each ``length_in`` long."""

    item: str
    length_in: float
    member: str
    quantity: int = 1


def grouped(parts: Iterable[Part]) -> tuple[Piece, ...]:
    """Return the parts grouped by item and cut length, longest first, each group naming its members.

    >>> found = grouped([Part("lumber.2x8.a.b.uc3b", 141.01, "m.joists-1"),
    ...                  Part("lumber.2x8.a.b.uc3b", 141, "m.rim-1")])
    >>> [(p.id, p.length_in, p.quantity, p.members) for p in found]
    [('piece-1', 141.0, 2, ('m.joists-1', 'm.rim-1'))]
    """
    groups: dict[tuple[str, float], list[Part]] = {}
    for part in parts:
        groups.setdefault((part.item, cut_length(part.length_in)), []).append(part)
    ordered = sorted(groups, key=lambda key: (item_order(key[0]), -key[1]))
    return tuple(_piece(number, key, groups[key]) for number, key in enumerate(ordered, start=1))


def item_order(code: str) -> tuple[int, str]:
    """Return the place of an item in an order: by kind, then by code."""
    return ORDER[code.partition(".")[0]], code


def _piece(number: int, key: tuple[str, float], parts: Sequence[Part]) -> Piece:
    return Piece(
        id=f"piece-{number}",
        item=key[0],
        length_in=key[1],
        quantity=sum(part.quantity for part in parts),
        end_cuts=SQUARE_ENDS,
        members=tuple(dict.fromkeys(part.member for part in parts)),
    )


def distance_in(start_ft: Point, end_ft: Point) -> float:
    """Return the distance between two points of the deck frame, in.

    >>> distance_in((0.0, 0.0), (3.0, 4.0))
    60.0
    """
    return INCHES_PER_FT * math.dist(start_ft, end_ft)


def crossings_in(level: Level, start_ft: Point, end_ft: Point) -> tuple[float, ...]:
    """Return where the joist lines of a level cross a run square to them, in from its start."""
    along_x = abs(end_ft[0] - start_ft[0]) >= abs(end_ft[1] - start_ft[1])
    axis = 0 if along_x else 1
    sign = -1 if end_ft[axis] < start_ft[axis] else 1
    lines = (line for group in level.joists for line in group.lines)
    places = [line.x_ft if along_x else line.y_ft for line in lines]
    found = (INCHES_PER_FT * sign * (place - start_ft[axis]) for place in places if place is not None)
    return tuple(sorted(set(found)))


def divided(length_in: float, longest_in: float, breaks_in: Sequence[float]) -> tuple[float, ...]:
    """Return the lengths a run is divided into: as few as stock allows, near equal, joints at ``breaks_in``.

    A run no joint makes short enough is returned whole; the order then names it as longer than any stock.

    >>> divided(288, 240, [0.75, 96, 112, 128, 144, 160, 287.25]), divided(288, 240, [])
    ((144.0, 144.0), (288,))
    """
    if length_in <= longest_in or not longest_in:
        return (length_in,)
    fewest = math.ceil(length_in / longest_in)
    for count in range(fewest, len(breaks_in) + 2):
        lengths = _near_equal(length_in, count, breaks_in)
        if min(lengths) > 0 and max(lengths) <= longest_in:
            return lengths
    return (length_in,)


def _near_equal(length_in: float, count: int, breaks_in: Sequence[float]) -> tuple[float, ...]:
    targets = [length_in * place / count for place in range(1, count)]
    ends = [0.0, *(_nearest(breaks_in, target) for target in targets), length_in]
    return tuple(float(b - a) for a, b in pairwise(ends))


def _nearest(places_in: Sequence[float], target_in: float) -> float:
    return min(places_in, key=lambda at: abs(at - target_in))


def in_equal_parts(length_in: float, longest_in: float) -> tuple[float, ...]:
    """Return the lengths of a run divided into as few equal parts as stock allows.

    >>> in_equal_parts(288, 240), in_equal_parts(192, 240)
    ((144.0, 144.0), (192.0,))
    """
    count = max(1, math.ceil(length_in / longest_in)) if longest_in else 1
    return (length_in / count,) * count

"""Single parts before they are grouped, and where a run longer than any board is divided."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import combinations, pairwise
from typing import NamedTuple

from service.contract.report_frame import Point
from service.contract.report_order import EndCut, Piece
from service.takeoff.items import ORDER
from service.units.rounding import cut_angle, cut_length

Longest = Callable[[str], float]
Cuts = tuple[float, float]
INCHES_PER_FT = 12.0
SQUARE: Cuts = (0.0, 0.0)
BOARD_GAP_IN = 0.125  # common practice
# Sawn lumber has no face that must show: it may be turned over, as a board with a grain side may not.
TURNED_OVER = ("lumber", "post", "laminated_veneer_lumber")
LIES_FLAT = ("decking", "stair_tread")
# A shorter length of a rim or a deck board lies on too few joists (convention of this service).
SHORTEST_IN = 48.0
MOST_LENGTHS = 3


class Part(NamedTuple):
    """``quantity`` like parts of one item for one member, each ``length_in`` long to its longer points.

    ``cuts_deg`` are the angles of its start and its end off square, signed as ``EndCut`` says; ``across`` says that
    they are cut across its wide face, as those of braces and sloping rails are. ``instead_of`` is the item it was to
    be of, where that cannot be had.
    """

    item: str
    length_in: float
    member: str
    quantity: int = 1
    cuts_deg: Cuts = SQUARE
    across: bool = False
    instead_of: str = ""


class Like(NamedTuple):
    """What makes parts one piece of the order."""

    item: str
    length_in: float
    cuts_deg: Cuts
    across: bool


def grouped(parts: Iterable[Part]) -> tuple[Piece, ...]:
    """Return the parts grouped by item, cut length and end cuts, longest first, each naming its members.

    >>> found = grouped([Part("lumber.2x8.a.b.uc3b", 141.01, "m.joists-1"),
    ...                  Part("lumber.2x8.a.b.uc3b", 141, "m.rim-1")])
    >>> [(p.id, p.length_in, p.quantity, p.members) for p in found]
    [('piece-1', 141.0, 2, ('m.joists-1', 'm.rim-1'))]
    """
    groups: dict[Like, list[Part]] = {}
    for part in parts:
        if part.quantity:
            groups.setdefault(_like(part), []).append(part)
    ordered = sorted(
        groups, key=lambda like: (item_order(like.item), -like.length_in, like.cuts_deg, like.across)
    )
    return tuple(_piece(number, like, groups[like]) for number, like in enumerate(ordered, start=1))


def _like(part: Part) -> Like:
    start, end = part.cuts_deg
    cuts = alike(part.item, (cut_angle(start), cut_angle(end)))
    flat = part.item.partition(".")[0] in LIES_FLAT
    return Like(part.item, cut_length(part.length_in), cuts, any(cuts) and (part.across or flat))


def alike(code: str, cuts_deg: Cuts) -> Cuts:
    """Return the one way the end cuts of a piece are written, however it lies in the frame.

    Any piece may be turned end for end. Lumber may be turned over too, so that its mirror image is the same
    piece: which edge is the crown is seen only on the board. A deck board shows its face and is not turned over.

    >>> alike("lumber.2x8.a.b.uc3b", (0.0, -45.0)), alike("decking.5-4x6.wood", (0.0, 45.0))
    ((45.0, 0.0), (0.0, 45.0))
    """
    start, end = cuts_deg
    ways = [(start, end), (0.0 - end, 0.0 - start)]
    if code.partition(".")[0] in TURNED_OVER:
        ways += [(end, start), (0.0 - start, 0.0 - end)]
    return max(ways)


def item_order(code: str) -> tuple[int, str]:
    """Return the place of an item in an order: by kind, then by code."""
    return ORDER[code.partition(".")[0]], code


def _piece(number: int, like: Like, parts: Sequence[Part]) -> Piece:
    start, end = like.cuts_deg
    return Piece(
        id=f"piece-{number}",
        item=like.item,
        length_in=like.length_in,
        quantity=sum(part.quantity for part in parts),
        end_cuts=(_end_cut("start", start, like.across), _end_cut("end", end, like.across)),
        members=tuple(dict.fromkeys(part.member for part in parts)),
    )


def _end_cut(end: str, angle_deg: float, across: bool) -> EndCut:
    angled = "miter" if across else "bevel"
    return EndCut(end=end, kind=angled if angle_deg else "square", angle_deg=angle_deg)


def run_parts(
    code: str, lengths_in: Sequence[float], member: str, quantity: int = 1, cuts_deg: Cuts = SQUARE
) -> Iterator[Part]:
    """Yield the parts of a run: its first has the cut of the start, its last that of the end, joints are square.

    >>> [part.cuts_deg for part in run_parts("lumber.2x8.a.b.c", (96.0, 96.0), "m.rim-1", cuts_deg=(45.0, 22.5))]
    [(45.0, 0.0), (0.0, 22.5)]
    """
    last = len(lengths_in) - 1
    for place, length in enumerate(lengths_in):
        cuts = (cuts_deg[0] if place == 0 else 0.0, cuts_deg[1] if place == last else 0.0)
        yield Part(code, length, member, quantity, cuts)


def distance_in(start_ft: Point, end_ft: Point) -> float:
    """Return the distance between two points of the deck frame, in.

    >>> distance_in((0.0, 0.0), (3.0, 4.0))
    60.0
    """
    return INCHES_PER_FT * math.dist(start_ft, end_ft)


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


def divisions(
    length_in: float, longest_in: float, breaks_in: Sequence[float], usual_in: Sequence[float]
) -> Iterator[tuple[float, ...]]:
    """Yield the other ways to divide a run into as many lengths as the usual way has, with joints at ``breaks_in``.

    Of a run of more than ``MOST_LENGTHS`` none is given. No length is shorter than ``SHORTEST_IN`` or the usual
    shortest.

    >>> list(divisions(288, 240, [40, 96, 112, 144, 192], (144, 144)))
    [(96.0, 192.0), (112.0, 176.0), (192.0, 96.0)]
    """
    if not 1 < len(usual_in) <= MOST_LENGTHS:
        return
    shortest = min(SHORTEST_IN, *usual_in)
    for joints in combinations(breaks_in, len(usual_in) - 1):
        lengths = tuple(float(b - a) for a, b in pairwise((0.0, *joints, length_in)))
        if shortest <= min(lengths) and max(lengths) <= longest_in and lengths != tuple(usual_in):
            yield lengths


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

"""Deck boards: rows across the joists, joints on joists, borders, fascia and the screws that hold them."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from service.contract.ids import item
from service.contract.report_frame import Level, Point
from service.contract.spec import DeckSpec, LevelSpec
from service.framing.frame import Frame
from service.takeoff.items import decking
from service.takeoff.ladders import Ladders
from service.takeoff.needs import Need
from service.takeoff.outside_parts import BOARD_GAP_IN
from service.takeoff.parts import INCHES_PER_FT, Part, distance_in, divided, in_equal_parts
from service.takeoff.pricing import for_sale
from service.takeoff.rows import Corner, Row, Turn, rows

SCREWS_A_SUPPORT = 2  # IRC R507.7 (R507.4 in 2015): two No. 8 screws at each joist
BORDER_SCREW_SPACING_IN = 16.0  # common practice
WALL_LINE_FT = 1e-6
THICK_BOARD_IN = 1.25
FASCIA_SIZE = "1x12"


@dataclass(frozen=True)
class Surface:
    """The boards of one level: its outline and free edges in the deck frame, its joists and its board."""

    level: Level
    wish: LevelSpec
    outline_ft: tuple[Point, ...]
    free_edges_ft: tuple[tuple[Point, Point], ...]

    @property
    def pitch_in(self) -> float:
        """A board and the gap beside it, in."""
        return self.wish.decking.board_width_in + BOARD_GAP_IN

    @property
    def border_in(self) -> float:
        """The width the border boards take from each free edge, in."""
        return self.wish.decking.border_boards * self.pitch_in

    @property
    def joists_along_house(self) -> bool:
        """Whether the joists run along the house."""
        return any(group.direction == "along_house" for group in self.level.joists)

    @property
    def member(self) -> str:
        """The member the boards lie on."""
        return self.level.joists[0].id


def surfaces(frame: Frame, spec: DeckSpec) -> list[Surface]:
    """Return the board surface of every level that has joists."""
    wishes = {wish.id: wish for wish in spec.levels}
    return [_surface(level, wishes[level.id]) for level in frame.levels if level.joists]


def _surface(level: Level, wish: LevelSpec) -> Surface:
    width, depth = wish.width_ft or 0.0, wish.projection_ft or 0.0
    own = wish.outline_ft or ((0.0, 0.0), (width, 0.0), (width, depth), (0.0, depth))
    outline = tuple((x + wish.origin_ft[0], y + wish.origin_ft[1]) for x, y in own)
    edges = tuple(zip(outline, outline[1:] + outline[:1], strict=True))
    free = tuple(edge for number, edge in enumerate(edges) if not _on_house(wish, number, edge))
    return Surface(level, wish, outline, free)


def _on_house(wish: LevelSpec, number: int, edge: tuple[Point, Point]) -> bool:
    if wish.house_edges is not None:
        return number in wish.house_edges
    return all(abs(y) < WALL_LINE_FT for _, y in edge)


def decking_parts(surface: Surface, ladders: Ladders) -> Iterator[Part]:
    """Yield the boards of a level: rows with staggered joints on joists, then borders, then fascia."""
    board = surface.wish.decking
    code = decking(board.thickness_in, board.board_width_in, board.material)
    longest = ladders.longest_in(code)
    turn, joists, field = field_rows(surface)
    for number, row in enumerate(field):
        breaks = turn.crossings_in(joists, row)
        for length in staggered(row.length_in, longest, breaks, odd=bool(number % 2)):
            yield Part(code, length, surface.member)
    for start, end in surface.free_edges_ft:
        for length in in_equal_parts(distance_in(start, end), longest):
            if board.border_boards:
                yield Part(code, length, surface.member, board.border_boards)
    yield from _fascia_parts(surface, ladders)


def staggered(
    length_in: float, longest_in: float, breaks_in: Sequence[float], *, odd: bool
) -> tuple[float, ...]:
    """Return the boards of a row; every other row has its joints on other joists than its neighbours.

    >>> breaks = [96.0, 112.0, 144.0, 160.0]
    >>> staggered(288, 240, breaks, odd=False), staggered(288, 240, breaks, odd=True)
    ((144.0, 144.0), (160.0, 128.0))
    """
    even = divided(length_in, longest_in, breaks_in)
    if not odd or len(even) == 1:
        return even
    joints = {round(sum(even[:n]), 6) for n in range(1, len(even))}
    others = [at for at in breaks_in if round(at, 6) not in joints]
    moved = divided(length_in, longest_in, others)
    return moved if len(moved) > 1 else even


def field_rows(surface: Surface) -> tuple[Turn, list[float], list[Row]]:
    """Return the rows inside the borders, with the turn of the boards and where the joists are."""
    turn = Turn(surface.wish.decking.angle_deg)
    outline = [turn.boards(_joist_frame(surface, point)) for point in surface.outline_ft]
    found = rows(outline, surface.pitch_in)
    edge = surface.border_in
    inside = [row._replace(start_in=row.start_in + edge, end_in=row.end_in - edge) for row in found]
    taken = surface.wish.decking.border_boards
    kept = inside[: len(inside) - taken] if taken else inside
    return turn, _joist_places_in(surface), [row for row in kept if row.length_in > 0]


def _joist_frame(surface: Surface, point: Point) -> Corner:
    x, y = point[0] * INCHES_PER_FT, point[1] * INCHES_PER_FT
    return (y, x) if surface.joists_along_house else (x, y)


def _joist_places_in(surface: Surface) -> list[float]:
    lines = [line for group in surface.level.joists for line in group.lines]
    places = [line.y_ft if surface.joists_along_house else line.x_ft for line in lines]
    return sorted({INCHES_PER_FT * place for place in places if place is not None})


def _fascia_parts(surface: Surface, ladders: Ladders) -> Iterator[Part]:
    """Fascia is ordered only where the price book sells it in the decking's material."""
    code = item("fascia", FASCIA_SIZE, surface.wish.decking.material)
    if for_sale(ladders.prices, code):
        for start, end in surface.free_edges_ft:
            for length in in_equal_parts(distance_in(start, end), ladders.longest_in(code)):
                yield Part(code, length, surface.member)


def screws(surface: Surface, ladders: Ladders, coating: str) -> Need:
    """Return the screws of a level's boards: two a support, two more at a joint, borders at 16 in."""
    board = surface.wish.decking
    longest = ladders.longest_in(decking(board.thickness_in, board.board_width_in, board.material))
    turn, joists, field = field_rows(surface)
    supports = 0
    for number, row in enumerate(field):
        breaks = turn.crossings_in(joists, row)
        supports += len(breaks) + len(staggered(row.length_in, longest, breaks, odd=bool(number % 2))) - 1
    for start, end in surface.free_edges_ft:
        places = math.ceil(distance_in(start, end) / BORDER_SCREW_SPACING_IN) + 1
        supports += places * board.border_boards
    length = "2-1-2in" if board.thickness_in <= THICK_BOARD_IN else "3in"
    code = item("decking_screw", "no_8", length, coating)
    return Need(code, SCREWS_A_SUPPORT * supports, surface.member)

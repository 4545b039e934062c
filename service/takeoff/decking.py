"""Deck boards: rows with joints on joists, borders, fascia and the screws that hold them."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from itertools import accumulate

from service.contract.ids import item
from service.sizing.lumber import width_in
from service.takeoff.free_edges import FreeEdge
from service.takeoff.items import decking
from service.takeoff.joints import Offer, offered
from service.takeoff.ladders import Ladders
from service.takeoff.lines import crossed_in, ends_ft
from service.takeoff.needs import Need
from service.takeoff.parts import Part, divided, divisions, in_equal_parts, run_parts
from service.takeoff.pricing import for_sale
from service.takeoff.rows import Row, ends_without_joist
from service.takeoff.surfaces import FASCIA_SIZE, Surface

SCREWS_A_SUPPORT = 2  # IRC R507.7 (R507.4 in 2015): two No. 8 screws at each joist
BORDER_SCREW_SPACING_IN = 16.0  # common practice
AT_END_IN = 3.0  # a joist this near the end of a board holds that end (convention of this service)
THICK_BOARD_IN = 1.25
FEWEST_ALIKE = 4  # fewer like rows are divided the usual way: too little to save
Boards = tuple[float, ...]
Pair = tuple[Boards, Boards]


def board_code(surface: Surface) -> str:
    """Return the item of a level's deck boards."""
    board = surface.wish.decking
    return decking(board.thickness_in, board.board_width_in, board.material)


def decking_parts(surface: Surface, ladders: Ladders) -> Iterator[Part | Offer]:
    """Yield the boards of a level: rows with staggered joints on joists, then borders, then fascia."""
    code = board_code(surface)
    longest = ladders.longest_in(code)
    for field in surface.fields:
        for rows in _alike(field.rows):
            ways = (_row_parts(code, rows, field.member, pair) for pair in divisions_of_rows(rows, longest))
            yield from offered(ways)
    for run in (*surface.borders, *surface.between):
        yield from _whole_run(code, run, longest, surface)
    yield from _fascia_parts(surface, ladders)


def _whole_run(code: str, run: Row, longest_in: float, surface: Surface) -> Iterator[Part]:
    lengths = in_equal_parts(run.length_in, longest_in)
    return run_parts(code, lengths, surface.member, cuts_deg=run.cuts_deg)


def _alike(rows: Iterable[Row]) -> Iterable[list[Row]]:
    """The rows of one length over the same joists."""
    found: dict[tuple[float, tuple[float, ...]], list[Row]] = {}
    for row in rows:
        found.setdefault((row.length_in, row.crossings_in), []).append(row)
    return found.values()


def _row_parts(code: str, rows: Iterable[Row], member: str, pair: Pair) -> tuple[Part, ...]:
    """The boards of rows alike but for the cuts at their ends, those of one number as one part."""
    counts = Counter((row.number % 2, row.cuts_deg) for row in rows)
    return tuple(
        part
        for (odd, cuts), count in counts.items()
        for part in run_parts(code, pair[odd], member, count, cuts)
    )


def divisions_of_rows(rows: Sequence[Row], longest_in: float) -> Iterator[Pair]:
    """Yield how the even and the odd ones of like rows may be divided, no joint beside another: the usual way first."""
    length, breaks = rows[0].length_in, rows[0].crossings_in
    even, odd = (staggered(length, longest_in, breaks, odd=one) for one in (False, True))
    yield even, odd
    if len(rows) < FEWEST_ALIKE or not _apart(even, odd):
        return
    evens = (even, *divisions(length, longest_in, breaks, even))
    odds = (odd, *divisions(length, longest_in, breaks, odd))
    yield from ((a, b) for a in evens for b in odds if _apart(a, b) and (a, b) != (even, odd))


def _apart(even: Boards, odd: Boards) -> bool:
    return _joints(even).isdisjoint(_joints(odd))


def _joints(lengths_in: Boards) -> set[float]:
    return {round(at, 6) for at in accumulate(lengths_in[:-1])}


def boards_of(row: Row, longest_in: float) -> tuple[float, ...]:
    """Return the lengths of the boards of one run of a row, in."""
    return staggered(row.length_in, longest_in, row.crossings_in, odd=bool(row.number % 2))


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
    joints = _joints(even)
    others = [at for at in breaks_in if round(at, 6) not in joints]
    moved = divided(length_in, longest_in, others)
    return moved if len(moved) > 1 else even


def _fascia_code(surface: Surface) -> str:
    return item("fascia", FASCIA_SIZE, surface.wish.decking.material)


def _fascia_runs(surface: Surface, ladders: Ladders) -> tuple[tuple[FreeEdge, Row], ...]:
    """Fascia is ordered only where the price book sells it in the decking's material."""
    return surface.outside if for_sale(ladders.prices, _fascia_code(surface)) else ()


def _fascia_parts(surface: Surface, ladders: Ladders) -> Iterator[Part | Offer]:
    code = _fascia_code(surface)
    for edge, run in _fascia_runs(surface, ladders):
        yield from _fascia_run(code, edge, run, surface, ladders)


def _fascia_run(
    code: str, edge: FreeEdge, run: Row, surface: Surface, ladders: Ladders
) -> Iterator[Part | Offer]:
    """Fascia is butted on the ends of joists; along an end joist, which backs it all the way, anywhere."""
    longest = ladders.longest_in(code)
    before = max(0.0, width_in(FASCIA_SIZE) * edge.start_slope)
    segment = edge.start_ft, edge.end_ft
    lines = (line for group in surface.level.joists for line in group.lines)
    met = {round(before + at, 6) for line in lines for at in crossed_in(segment, ends_ft(line))}
    usual = divided(run.length_in, longest, sorted(met))
    if max(usual) > longest:
        usual = in_equal_parts(run.length_in, longest)
        boards = (12 * offer.length_ft for offer in ladders.of(code).stock)
        met = {at for board in boards for at in (board, run.length_in - board) if 0 < at < run.length_in}
    ways = (usual, *divisions(run.length_in, longest, sorted(met), usual))
    yield from offered(tuple(run_parts(code, way, surface.member, cuts_deg=run.cuts_deg)) for way in ways)


def screws(surface: Surface, ladders: Ladders, coating: str) -> Need:
    """Return the screws of a level's boards: two a support, two more at a joint, borders and fascia at 16 in.

    A board's end with no joist under it lies on the rim or on blocking, and is held there.
    """
    longest = ladders.longest_in(board_code(surface))
    supports = sum(_supports(row, longest) for field in surface.fields for row in field.rows)
    fascia = (run for _, run in _fascia_runs(surface, ladders))
    for run in (*surface.borders, *surface.between, *fascia):
        supports += math.ceil(run.length_in / BORDER_SCREW_SPACING_IN) + 1
    thick = surface.wish.decking.thickness_in > THICK_BOARD_IN
    code = item("decking_screw", "no_8", "3in" if thick else "2-1-2in", coating)
    return Need(code, SCREWS_A_SUPPORT * supports, surface.member)


def _supports(row: Row, longest_in: float) -> int:
    joints = len(boards_of(row, longest_in)) - 1
    return len(row.crossings_in) + ends_without_joist(row, AT_END_IN) + joints

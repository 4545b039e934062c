"""Where a ledger lands on the house wall, and the heights of its two fastener rows."""

from __future__ import annotations

import math
from dataclasses import dataclass

import msgspec

from service.connections.wall import WallBehind
from service.rules.lookups import Reading, exact
from service.rules.rulebook import Rulebook
from service.sizing.lumber import depth_in
from service.units.finding import SLACK, Finding, at_least, at_most
from service.units.working import Step, step

LAYOUT_FRACTION_IN = 8  # rows are marked from the ledger's top edge to 1/8 in
TABLE = "ledger_placement"


@dataclass(frozen=True)
class Band:
    """Heights of the house's band above the grade datum, in, and of the sill plate's bottom under it."""

    top_in: float
    bottom_in: float
    plate_bottom_in: float


@dataclass(frozen=True)
class Board:
    """A ledger by its nominal size and the heights of its edges above the grade datum, in."""

    size: str
    top_in: float
    bottom_in: float


@dataclass(frozen=True)
class RowLimits:
    """Edge distances and row spacing of one edition for one ledger size.

    ``lower_row_to_ledger_top`` is remembered, not read: it never turns a verdict for the better.
    """

    ledger_top: Reading
    ledger_bottom: Reading
    band_top: Reading
    band_bottom: Reading
    rows_apart_least: Reading
    rows_apart_most: Reading
    lower_row_to_ledger_top: Reading


@dataclass(frozen=True)
class Room:
    """The heights between which the rows may lie, in above the grade datum.

    ``lower_at_most_in`` comes from the remembered distance alone and is null where none is known.
    """

    lower_at_least_in: float
    upper_at_most_in: float
    lower_at_most_in: float | None


@dataclass(frozen=True)
class Landing:
    """Where a ledger lands.

    ``kind`` is the wall word on the band, ``above_band``, ``straddles``, ``sill_plate``, the foundation wall
    word, or null where a height is ``missing``. ``decided_by_memory`` says that only the remembered distance
    stands in the way.
    """

    kind: str | None
    rows_in: tuple[float, float] | None = None
    decided_by_memory: bool = False
    missing: tuple[str, ...] = ()
    findings: tuple[Finding, ...] = ()
    remembered: Reading | None = None


def band_of(wall: WallBehind) -> Band | None:
    """Return where the band of a wall lies, or null where the sill or the band was not measured.

    Source: geometry of a platform floor: band top = door sill - floor build-up, band bottom = band top - band
    depth, then the sill plate. Heights in inches above the grade datum.

    Args:
        wall: the house wall, lengths in in.

    >>> band_of(WallBehind("wood_band", door_sill_height_in=37.5, floor_build_up_in=1.5, rim_depth_in=11.25))
    Band(top_in=36.0, bottom_in=24.75, plate_bottom_in=23.25)
    """
    if wall.door_sill_height_in is None or wall.rim_depth_in is None:
        return None
    top = wall.door_sill_height_in - wall.floor_build_up_in
    bottom = top - wall.rim_depth_in
    return Band(top, bottom, bottom - wall.sill_plate_in)


def ledger_board(size: str, surface_height_in: float, decking_thickness_in: float) -> Board:
    """Return the edges of a ledger under a deck surface.

    Source: geometry, ledger top = surface - decking thickness.

    Args:
        size: nominal ledger size.
        surface_height_in: top of the boards above the grade datum, in.
        decking_thickness_in: actual thickness of the boards, in.

    >>> ledger_board("2x10", 36, 1)
    Board(size='2x10', top_in=35, bottom_in=25.75)
    """
    top = surface_height_in - decking_thickness_in
    return Board(size, top, top - depth_in(size))


def row_limits(rulebook: Rulebook, size: str) -> RowLimits:
    """Read the row limits of an edition for a ledger size, in.

    Source: IRC Table R507.9.1.3(2) (2015: R507.2.1); the distance from lower row to ledger top is from memory
    of Figure R507.9.1.3(1).

    Args:
        rulebook: the edition.
        size: nominal ledger size.
    """

    def read(member: str, dimension: str, column: str) -> Reading:
        return exact(rulebook.tables[TABLE], {"member": member, "dimension": dimension}, column)

    return RowLimits(
        ledger_top=read("ledger", "top edge distance", "min_in"),
        ledger_bottom=read("ledger", "bottom edge distance", "min_in"),
        band_top=read("band joist", "top edge distance", "min_in"),
        band_bottom=read("band joist", "bottom edge distance", "min_in"),
        rows_apart_least=read("ledger", "row spacing", "min_in"),
        rows_apart_most=read("ledger", "row spacing", "max_in"),
        lower_row_to_ledger_top=read(f"ledger {size}", "bottom fastener row to top edge of ledger", "min_in"),
    )


def _figure(reading: Reading) -> float:
    """Return the figure of a row every rulebook has; a table without it is no rulebook of ours."""
    if reading.value is None:
        raise ValueError(reading.why)
    return reading.value


def row_room(board: Board, band: Band, limits: RowLimits) -> Room:
    """Return between which heights the two rows may lie, in above the grade datum.

    Source: IRC Table R507.9.1.3(2), edge distances of ledger and band.
    """
    remembered = limits.lower_row_to_ledger_top.value
    return Room(
        max(board.bottom_in + _figure(limits.ledger_bottom), band.bottom_in + _figure(limits.band_bottom)),
        min(board.top_in - _figure(limits.ledger_top), band.top_in - _figure(limits.band_top)),
        None if remembered is None else board.top_in - remembered,
    )


def fits(room: Room, apart_least_in: float, *, with_memory: bool) -> bool:
    """Return whether two rows have room, ``apart_least_in`` or more from each other (in).

    Source: IRC Table R507.9.1.3(2), row spacing.

    Args:
        room: heights the rows may lie between, in.
        apart_least_in: least distance between the rows, in.
        with_memory: also respect the remembered distance from lower row to ledger top.

    >>> fits(Room(26.75, 33.0, 28.5), 1.625, with_memory=True)
    True
    >>> fits(Room(26.75, 33.0, 26.5), 1.625, with_memory=True)
    False
    """
    if room.upper_at_most_in - room.lower_at_least_in < apart_least_in - SLACK:
        return False
    cap = room.lower_at_most_in
    return not with_memory or cap is None or room.lower_at_least_in <= cap + SLACK


def on_layout_marks(room: Room, ledger_top_in: float) -> Room:
    """Return the room shrunk to marks of 1/8 in from the ledger's top edge, in.

    Source: convention of this service (what a tape shows).

    >>> on_layout_marks(Room(26.8, 33.0, 28.5), 35.0)
    Room(lower_at_least_in=26.875, upper_at_most_in=33.0, lower_at_most_in=28.5)
    """
    lower = math.floor((ledger_top_in - room.lower_at_least_in) * LAYOUT_FRACTION_IN + SLACK)
    upper = math.ceil((ledger_top_in - room.upper_at_most_in) * LAYOUT_FRACTION_IN - SLACK)
    return Room(
        ledger_top_in - lower / LAYOUT_FRACTION_IN,
        ledger_top_in - upper / LAYOUT_FRACTION_IN,
        room.lower_at_most_in,
    )


def place_rows(room: Room, apart_most_in: float) -> tuple[float, float]:
    """Return lower and upper row: as far apart as permitted, then in the middle of their room, in.

    Source: limits of IRC Table R507.9.1.3(2); widest spacing then centred is a convention of this service.

    Args:
        room: heights the rows may lie between, in; two rows must fit.
        apart_most_in: greatest distance between the rows, in.

    >>> place_rows(Room(26.75, 33.0, 28.5), 5.0)
    (27.375, 32.375)
    >>> place_rows(Room(26.75, 30.0, None), 5.0)
    (26.75, 30.0)
    """
    apart = min(apart_most_in, room.upper_at_most_in - room.lower_at_least_in)
    highest = room.upper_at_most_in - apart
    if room.lower_at_most_in is not None and room.lower_at_most_in >= room.lower_at_least_in:
        highest = min(highest, room.lower_at_most_in)
    play = max(0.0, highest - room.lower_at_least_in) / 2
    marked = math.floor(play * LAYOUT_FRACTION_IN + SLACK) / LAYOUT_FRACTION_IN
    lower = room.lower_at_least_in + marked
    return lower, lower + apart


def missed_kind(board: Board, band: Band, wall: WallBehind, limits: RowLimits) -> str:
    """Return what a ledger lands on when its rows do not fit the band.

    Source: geometry; words of ``ledger_lands_on``. Heights in inches above the grade datum.
    """
    lowest_pair = board.bottom_in + _figure(limits.ledger_bottom) + _figure(limits.rows_apart_least)
    if lowest_pair > band.top_in - _figure(limits.band_top):
        return "above_band"
    if board.top_in <= band.plate_bottom_in + SLACK:
        return wall.foundation_wall
    return "sill_plate" if board.top_in <= band.bottom_in + SLACK else "straddles"


def land(wall: WallBehind, board: Board, rulebook: Rulebook, member: str) -> Landing:
    """Return where a ledger lands on a wall with a band, with its rows where it lands there.

    Source: IRC Table R507.9.1.3(2) and Figure R507.9.1.3(1); no fastener goes into the sill plate.

    Args:
        wall: the house wall behind, lengths in in.
        board: the ledger, heights in in above the grade datum.
        rulebook: the edition whose distances hold.
        member: id of the ledger, for the findings.

    Returns:
        The landing; row heights in in above the grade datum, lower first.
    """
    band = band_of(wall)
    if band is None:
        heights = {"door_sill_height_in": wall.door_sill_height_in, "rim_depth_in": wall.rim_depth_in}
        return Landing(None, missing=tuple(name for name, value in heights.items() if value is None))
    limits = row_limits(rulebook, board.size)
    room = row_room(board, band, limits)
    if not fits(room, _figure(limits.rows_apart_least), with_memory=False):
        return _missed(wall, board, band, limits, room, member)
    return _landed(wall, board, band, limits, room, member)


def _missed(
    wall: WallBehind, board: Board, band: Band, limits: RowLimits, room: Room, member: str
) -> Landing:
    kind = missed_kind(board, band, wall, limits)
    on_foundation = kind == wall.foundation_wall
    finding = _room_finding(board, band, limits, room, member)
    if not on_foundation:
        finding = msgspec.structs.replace(finding, would_pass=_move(room, limits, kind))
    return Landing(kind, findings=() if on_foundation else (finding,))


def _move(room: Room, limits: RowLimits, kind: str) -> str:
    short = room.lower_at_least_in + _figure(limits.rows_apart_least) - room.upper_at_most_in
    return f"a ledger {short:g} in {'lower' if kind == 'above_band' else 'higher'}"


def _landed(
    wall: WallBehind, board: Board, band: Band, limits: RowLimits, room: Room, member: str
) -> Landing:
    least, most = _figure(limits.rows_apart_least), _figure(limits.rows_apart_most)
    by_memory = not fits(room, least, with_memory=True)
    rows = place_rows(on_layout_marks(room, board.top_in), most)
    findings = (
        _room_finding(board, band, limits, room, member),
        *_edge_findings(board, band, limits, rows, member),
        *_memory_finding(board, limits, rows, member, by_memory),
    )
    return Landing(
        kind=wall.wall,
        rows_in=rows,
        decided_by_memory=by_memory,
        findings=findings,
        remembered=limits.lower_row_to_ledger_top if by_memory else None,
    )


def _room_finding(board: Board, band: Band, limits: RowLimits, room: Room, member: str) -> Finding:
    available = room.upper_at_most_in - room.lower_at_least_in
    least = limits.rows_apart_least
    return at_least(
        member, "ledger_in_band", "rule", available, _figure(least), "in", least.citation,
        _room_steps(board, band, room),
    )  # fmt: skip


def _room_steps(board: Board, band: Band, room: Room) -> tuple[Step, ...]:
    return (
        step("ledger_top", board.top_in, "in", "surface - decking"),
        step("ledger_bottom", board.bottom_in, "in", "ledger top - dressed depth"),
        step("band_top", band.top_in, "in", "door sill - floor build-up"),
        step("band_bottom", band.bottom_in, "in", "band top - band depth"),
        step("lower_row_at_least", room.lower_at_least_in, "in", "edge distances at the bottom"),
        step("upper_row_at_most", room.upper_at_most_in, "in", "edge distances at the top"),
    )


def _edge_findings(
    board: Board, band: Band, limits: RowLimits, rows: tuple[float, float], member: str
) -> tuple[Finding, ...]:
    lower, upper = rows

    def keeps(check: str, provided: float, limit: Reading) -> Finding:
        return at_least(member, check, "table", provided, _figure(limit), "in", limit.citation, limit.steps)

    most = limits.rows_apart_most
    return (
        keeps("ledger_in_band", lower - band.bottom_in, limits.band_bottom),
        keeps("ledger_in_band", band.top_in - upper, limits.band_top),
        keeps("ledger_fastener_rows", lower - board.bottom_in, limits.ledger_bottom),
        keeps("ledger_fastener_rows", board.top_in - upper, limits.ledger_top),
        keeps("ledger_fastener_rows", upper - lower, limits.rows_apart_least),
        at_most(
            member, "ledger_fastener_rows", "table", upper - lower, _figure(most), "in", most.citation,
            most.steps,
        ),
    )  # fmt: skip


def _memory_finding(
    board: Board, limits: RowLimits, rows: tuple[float, float], member: str, by_memory: bool
) -> tuple[Finding, ...]:
    limit = limits.lower_row_to_ledger_top
    # Where it fails the answer is an engineer's, not a failed check: nobody read the figure this time.
    if by_memory or limit.value is None:
        return ()
    provided = board.top_in - rows[0]
    return (
        at_least(
            member, "ledger_fastener_rows", "table", provided, limit.value, "in", limit.citation, limit.steps
        ),
    )

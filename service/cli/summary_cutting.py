"""The cutting plan as a crew reads it at the saw: item by item, board by board."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import groupby

from service.contract.report_order import Cut, CuttingLine, Piece, Takeoff
from service.units.text import inches


def cutting_plan(takeoff: Takeoff) -> Iterator[tuple[str, list[str]]]:
    """Yield each item with its boards: how many of which length, their cuts in order, and what is left of each."""
    pieces = {piece.id: piece for piece in takeoff.pieces}
    for item, boards in groupby(takeoff.cutting_plan, key=lambda board: board.item):
        yield item, [_board(board, pieces) for board in boards]


def _board(board: CuttingLine, pieces: Mapping[str, Piece]) -> str:
    runs = ((cut, len(list(same))) for cut, same in groupby(board.cuts))
    cuts = " + ".join(_cuts(cut, count, pieces[cut.piece]) for cut, count in runs)
    many = "1 board" if board.count == 1 else f"{board.count} boards"
    return f"{board.length_ft:g} ft, {many}: {cuts} in{_left(board)}"


def _cuts(cut: Cut, count: int, piece: Piece) -> str:
    times = "" if count == 1 else f"{count} x "
    angles = [end.angle_deg for end in piece.end_cuts]
    angled = f" (ends at {angles[0]:g} and {angles[1]:g} degrees)" if any(angles) else ""
    return f"{times}{inches(cut.length_in)}{angled}"


def _left(board: CuttingLine) -> str:
    if not board.offcut_in:
        return ""
    kept = (
        ", keep it"
        if board.usable_offcut and board.count == 1
        else ", keep them"
        if board.usable_offcut
        else ""
    )
    each = " of each" if board.count > 1 else ""
    return f"; {inches(board.offcut_in)} in{each} left{kept}"

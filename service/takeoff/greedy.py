"""Quick cutting plans: passes that never look back. They open column generation, and end its rounding."""

from __future__ import annotations

from bisect import bisect_left, insort
from collections.abc import Iterator

from service.takeoff.job import Job, Packing


def openings(job: Job) -> Iterator[Packing]:
    """Yield a plan for each length that boards are opened at, pieces put where they leave least."""
    for length in job.lengths:
        yield [job.board(cuts) for cuts in _best_fit(job, length)]


def _best_fit(job: Job, opener: int) -> list[list[int]]:
    """Each piece, longest first, goes where it leaves least; a new one is ``opener`` long if that will do."""
    boards: list[list[int]] = []
    room: list[tuple[int, int]] = []  # what is left of each board, rising, and which one it is
    for piece in job.pieces:
        at = bisect_left(room, (piece + job.kerf, 0))
        if at < len(room):
            left, place = room.pop(at)
            boards[place].append(piece)
            insort(room, (left - piece - job.kerf, place))
        else:
            opened = opener if opener >= piece else job.cheapest(piece)
            insort(room, (opened - piece, len(boards)))
            boards.append([piece])
    return boards

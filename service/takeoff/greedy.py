"""Quick cutting plans: passes that never look back. They open column generation, and end its rounding."""

from __future__ import annotations

from collections.abc import Iterator

from service.takeoff.job import Job, Packing


def openings(job: Job) -> Iterator[Packing]:
    """Yield a plan for each length that boards are opened at, pieces put where they leave least."""
    for length in job.lengths:
        yield [job.board(cuts) for cuts in _best_fit(job, length)]


def _best_fit(job: Job, opener: int) -> list[list[int]]:
    """Each piece, longest first, goes where it leaves least; a new one is ``opener`` long if that will do."""
    boards: list[list[int]] = []
    left: list[int] = []
    for piece in job.pieces:
        room = [(left[i], i) for i in range(len(boards)) if left[i] >= piece + job.kerf]
        if room:
            rest, place = min(room)
            boards[place].append(piece)
            left[place] = rest - piece - job.kerf
        else:
            boards.append([piece])
            left.append((opener if opener >= piece else job.cheapest(piece)) - piece)
    return boards

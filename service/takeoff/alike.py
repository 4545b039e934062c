"""Boards for pieces that are all alike: exactly the cheapest, by how many come out of each stock length."""

from __future__ import annotations

from service.takeoff.job import Board, Job, Packing


def exact(job: Job) -> Packing:
    """Return the cheapest boards for pieces of one length; of equal cost the fewest.

    >>> exact(Job(((1536, 90000), (3072, 150000)), ((1504, 5),), kerf=2))
    ((1536, (1504,)), (3072, (1504, 1504)), (3072, (1504, 1504)))
    """
    ((piece, wanted),) = job.counts
    holds = {length: (length + job.kerf) // (piece + job.kerf) for length in job.lengths}
    offers = [(length, count) for length, count in holds.items() if count]
    least = [(0, 0, 0)]  # price and boards for so many pieces, and the length of the last board
    for number in range(1, wanted + 1):
        least.append(min(_with(job, least[max(0, number - count)], length) for length, count in offers))
    packing: list[Board] = []
    while wanted:
        length = least[wanted][2]
        cut = min(wanted, holds[length])
        packing.append(job.board([piece] * cut))
        wanted -= cut
    return tuple(packing)


def _with(job: Job, before: tuple[int, int, int], length: int) -> tuple[int, int, int]:
    return before[0] + job.prices[length], before[1] + 1, length

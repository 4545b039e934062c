"""Cutting plans of the 20 groups with proven optima: ours, first-fit decreasing and the optimum, one core.

`PYTHONPATH=.:tests python tests/bench/cutting_groups_timed.py [rounds]`, on a quiet machine.
"""

from __future__ import annotations

import statistics
import sys
import time
from decimal import Decimal

from cutting_groups import GROUPS, demands_of, optimum_of, saw_of, stock_of

from service.takeoff.cutting import plan
from service.takeoff.plans import cheapest


def first_fit_decreasing(group):
    """The usual way by hand: boards of the best price a foot, the longest piece into the first board it fits."""
    kerf, price = group["kerf"], {one["length"]: one["price"] for one in group["stocks"]}
    usual = min(price, key=lambda length: (price[length] / length, length))
    boards: list[list[int]] = []
    pieces = sorted((one["length"] for one in group["demand"] for _ in range(one["qty"])), reverse=True)
    for piece in pieces:
        opened = usual if usual >= piece else min(length for length in price if length >= piece)
        room = next((b for b in boards if b[0] - b[1] >= piece + kerf), None)
        if room is None:
            boards.append([opened, piece])
        else:
            room[1] += piece + kerf
    return Decimal(sum(price[opened] for opened, _ in boards)) / 100


def ours(group):
    """Our plan of a group, made anew."""
    cheapest.cache_clear()
    return plan(demands_of(group), stock_of(group), saw_of(group))


def timed_ms(work, group, rounds):
    """The median time of a piece of work, ms."""
    times = []
    for _ in range(rounds):
        start = time.process_time()
        work(group)
        times.append(1000 * (time.process_time() - start))
    return statistics.median(times)


def percent(cost, optimum):
    """How far a cost is over the optimum."""
    return 100 * float(cost / optimum - 1)


def main(rounds: int = 15) -> None:
    """Print a row a group, then medians and means."""
    write = sys.stdout.write
    write("group  optimum     ours  over %  bound below %     ms     FFD  over %     ms\n")
    rows = []
    for group in GROUPS:
        found, simple, optimum = ours(group), first_fit_decreasing(group), optimum_of(group)
        row = (
            percent(found.cost, optimum), percent(optimum, found.bound), timed_ms(ours, group, rounds),
            percent(simple, optimum), timed_ms(first_fit_decreasing, group, rounds),
        )  # fmt: skip
        rows.append((*row, found.cost, simple, optimum))
        write(
            f"{group['id']:6}{optimum:8.2f} {found.cost:8.2f} {row[0]:7.3f} {row[1]:14.3f} {row[2]:6.2f}"
            f"{simple:8.2f} {row[3]:7.3f} {row[4]:6.2f}\n"
        )
    over, below, ms, ffd_over, ffd_ms, cost, ffd_cost, optimum = zip(*rows, strict=True)
    write(
        f"median time: ours {statistics.median(ms):.2f} ms, first-fit decreasing {statistics.median(ffd_ms):.2f} ms\n"
    )
    write(
        f"mean over the optimum: ours {statistics.fmean(over):.3f} %, FFD {statistics.fmean(ffd_over):.3f} %\n"
    )
    write(f"most over the optimum: ours {max(over):.3f} %, FFD {max(ffd_over):.3f} %\n")
    write(
        f"by money: ours {percent(sum(cost), sum(optimum)):.3f} %, FFD {percent(sum(ffd_cost), sum(optimum)):.3f} %; "
        f"bound below the optimum, mean {statistics.fmean(below):.3f} %\n"
    )


if __name__ == "__main__":
    main(*map(int, sys.argv[1:2]))

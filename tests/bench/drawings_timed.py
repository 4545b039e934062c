"""How long each sheet takes beyond its design: of the largest deck taken, against a 16 by 12 in the same run.

`PYTHONPATH=.:tests:tests/bench python tests/bench/drawings_timed.py [rounds]`. Times are medians in ms of this
process's own CPU, so that what else runs on the machine counts little. The aim is 150 ms a sheet of the largest deck.
"""

from __future__ import annotations

import statistics
import sys
import time
from itertools import product
from typing import get_args

from context import context, designed, spec_of
from permit_packages_timed import LARGEST, SMALL

from service.contract.choices import Paper, Sheet
from service.contract.report import DesignReport
from service.drawings.sheets import sheet_svg

SHEETS = [name for name in get_args(Sheet) if name != "all"]


def main(rounds: int = 5) -> None:
    """Print of every sheet and paper the times of both decks, how they compare, and how much SVG the larger one is."""
    where = context("alder-county")
    small, largest = (designed(spec_of(**given), where) for given in (SMALL, LARGEST))
    for sheet, paper in product(SHEETS, get_args(Paper)):
        base, more = (_median_ms(report, sheet, paper, rounds) for report in (small, largest))
        size = len(sheet_svg(largest, sheet, paper)) / 1000
        text = f"{sheet:15} {paper:8} 16x12 {base:6.1f} ms  largest {more:6.1f} ms  x {more / base:5.1f}"
        sys.stdout.write(f"{text}  {size:4.0f} kB\n")


def _median_ms(report: DesignReport, sheet: str, paper: str, rounds: int) -> float:
    taken = []
    for _ in range(rounds):
        start = time.process_time()
        sheet_svg(report, sheet, paper)
        taken.append(1000 * (time.process_time() - start))
    return statistics.median(taken)


if __name__ == "__main__":
    main(*map(int, sys.argv[1:2]))

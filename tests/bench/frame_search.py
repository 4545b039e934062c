"""CPU of the frame search, for a small, a middling and a large deck, hung on the house and standing free.

`PYTHONPATH=.:tests python tests/bench/frame_search.py [rounds]`, on a quiet machine, one core. Every round begins anew
from the case: nothing is kept between rounds but what the rulebook and the price book hold of themselves. Shown are
medians in ms of CPU: the field (every frame of the space in columns), and the first frame out of it with the proof that
none is better; then how much longer one frame takes to be judged to the last check.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable, Iterator
from typing import TypeVar

from bench.design_by_stage import DECKS_FT, spec_of

from service.app import bundled_snapshot, make_desk
from service.choice.level.case import Case
from service.choice.level.cases import cases_of
from service.choice.search.best_first import Candidate, Order
from service.choice.search.decide import kinds, search_of
from service.choice.search.found import work
from service.choice.search.plans import Attachment, plans
from service.sizing.resolve import criteria_of, resolve_spec
from service.web.resolve import context_of, read_spec

Result = TypeVar("Result")


def case_of(width_ft: float, projection_ft: float) -> Case:
    """The level of a deck, as its frames are searched."""
    desk = make_desk(bundled_snapshot())
    spec = read_spec(spec_of(width_ft, projection_ft), desk)
    where = context_of(spec, desk)
    book = f"{where.prices.id}@{where.prices.version}" if where.prices else None
    asked = resolve_spec(spec, where.rulebook, where.jurisdiction, book, where.as_of)
    criteria = criteria_of(asked, where.rulebook, where.guide, where.jurisdiction, where.timber)
    return cases_of(asked, where, criteria)[0]


def timed(run: Callable[[], Result]) -> tuple[float, Result]:
    """What a call takes, ms of CPU, and what it gives."""
    begun = time.process_time_ns()
    found = run()
    return (time.process_time_ns() - begun) / 1e6, found


def rounds_of(
    case: Case, kind: Attachment, rounds: int
) -> Iterator[tuple[float, float, float, int, int, int]]:
    """Field, first frame and judging, ms; frames tried, standing, and sets of footings worked out."""
    region = next(iter(plans(case, kind))).regions[0]
    for _ in range(rounds):
        search = search_of(case, region)
        field_ms, _ = timed(lambda search=search: search.field(0))  # type: ignore[misc]
        first_ms, found = timed(lambda search=search: next(search.best_first(Order("cost"))))  # type: ignore[misc]
        yield (
            field_ms,
            first_ms,
            _judged_ms(case, found),
            search.tried,
            search.standing,
            search.desk.footings.worked_out,
        )


def _judged_ms(case: Case, found: Candidate) -> float:
    return timed(lambda: work(case, (found,)))[0]


def main(rounds: int = 9) -> None:
    """Print the table."""
    print("deck   support       frames  standing  sets   field   first  search  one judged  ratio")
    for width_ft, projection_ft in DECKS_FT:
        case = case_of(width_ft, projection_ft)
        for kind in kinds(case):
            taken = list(rounds_of(case, kind, rounds + 1))[1:]
            field_ms, first_ms, judged_ms = (statistics.median(one[n] for one in taken) for n in range(3))
            tried, standing, sets = taken[0][3:]
            whole = field_ms + first_ms
            print(f"{width_ft}x{projection_ft:<3} {kind:<13} {tried:>6} {standing:>9} {sets:>5} {field_ms:>7.1f} "
                  f"{first_ms:>7.1f} {whole:>7.1f} {judged_ms:>11.1f} {whole / judged_ms:>6.1f}")  # fmt: skip


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))

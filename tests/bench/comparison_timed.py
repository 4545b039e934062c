"""CPU of the footing comparison in a design, without and with its probabilities, for the six example decks.

`PYTHONPATH=.:tests python tests/bench/comparison_timed.py [rounds]`, on a quiet machine, one core.

Every call a design makes is recorded with its arguments and made again on its own: the median of many is shown. A
deck is compared once for each frame that is worked out, and told once. "once" is one comparison and the telling of
it, which the aims of 1 ms without and 2 ms with probabilities are for; "all" is what a whole design spends on it.
"""

from __future__ import annotations

import importlib
import json
import os
import statistics
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import Any

from context import AS_OF

from service.app import bundled_snapshot, make_desk
from service.pipeline import design
from service.web.resolve import context_of, read_spec

EXAMPLES = Path(__file__).parents[2] / "openapi" / "examples"
Call = Callable[[], object]
HEAD = (
    "deck",
    "methods",
    "footings",
    "calls",
    "compare",
    "told",
    "chances",
    "once",
    "with",
    "all",
    "design",
    "share",
)


@contextmanager
def recorded(module: str, name: str, calls: list[Call]) -> Iterator[None]:
    """Record every call of a function through one module, as something to call again; nothing where it is not used."""
    place = importlib.import_module(module)
    real = getattr(place, name, None)
    if real is None:
        yield
        return

    def keep(*args: Any, **named: Any) -> Any:
        calls.append(lambda: real(*args, **named))
        return real(*args, **named)

    setattr(place, name, keep)
    try:
        yield
    finally:
        setattr(place, name, real)


def cpu_ms(call: Call, rounds: int) -> float:
    """Return the median CPU of a call, ms."""
    taken = []
    for _ in range(rounds):
        start = time.process_time_ns()
        call()
        taken.append((time.process_time_ns() - start) / 1e6)
    return statistics.median(taken)


def row(file: Path, rounds: int) -> tuple[str, ...]:
    """Return the figures of one deck: times in ms, the share of the whole design in percent."""
    desk = make_desk(bundled_snapshot())
    spec = read_spec(file.read_bytes(), desk)
    where = context_of(spec, desk)
    compares, tellings, chances = list[Call](), list[Call](), list[Call]()
    with ExitStack() as stack:
        for module, name, calls in (
            ("service.choice.level.worked", "compare", compares),
            ("service.pipeline", "told", tellings),
            ("service.comparison.told", "chances", chances),
        ):
            stack.enter_context(recorded(module, name, calls))
        report = design(spec, where)
    each = [cpu_ms(call, rounds) for call in compares]
    likely = sum(cpu_ms(call, rounds) for call in chances)
    told = sum(cpu_ms(call, rounds) for call in tellings) - likely
    whole = cpu_ms(lambda: design(spec, where), max(5, rounds // 20))
    once = statistics.median(each) + told
    spent = sum(each) + told + likely
    figures = (statistics.median(each), told, likely, once, once + likely, spent, whole)
    return (
        file.stem.removeprefix("footings-"),
        str(len(report.footing_comparison.methods)),
        str(len(report.footings)),
        str(len(each)),
        *(f"{value:.2f}" for value in figures),
        f"{100 * spent / whole:.0f} %",
    )


def main(rounds: int = 200) -> None:
    """Print a table of all decks, times in ms of CPU."""
    if hasattr(os, "sched_setaffinity"):
        os.sched_setaffinity(0, {min(os.sched_getaffinity(0))})
    files = sorted(EXAMPLES.glob("footings-*.json"))
    assert all(json.loads(file.read_text("utf-8"))["as_of"] == str(AS_OF) for file in files)
    rows = [HEAD, *(row(file, rounds) for file in files)]
    wide = [max(len(one[n]) for one in rows) for n in range(len(HEAD))]
    for one in rows:
        cells = (
            text.ljust(w) if n == 0 else text.rjust(w)
            for n, (text, w) in enumerate(zip(one, wide, strict=True))
        )
        sys.stdout.write("  ".join(cells) + "\n")


if __name__ == "__main__":
    main(*map(int, sys.argv[1:2]))

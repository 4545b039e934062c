"""CPU of every stage of a whole design, for a small, a middling and a large deck.

`PYTHONPATH=.:tests python tests/bench/design_by_stage.py [rounds]`, on a quiet machine, one core.

The functions a stage is made of are timed wherever the service uses them, each without what is timed inside it, so
that the stages of a design add up to the whole of it: the median of many designs is shown, in ms of CPU, and the
share of the whole beside it. Timing itself costs under 1 %. "frames" counts the frames worked out on the way.
"""

from __future__ import annotations

import importlib
import json
import os
import statistics
import sys
import time
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

import msgspec

from service.app import bundled_snapshot, make_desk
from service.choice.level.context import Context
from service.contract.spec import DeckSpec
from service.pipeline import design
from service.web.resolve import context_of, read_spec

DECKS_FT = ((16, 12), (24, 16), (40, 20))
FUNCTIONS = {
    "resolve, cases": (
        "sizing.resolve.resolve_spec",
        "sizing.resolve.criteria_of",
        "choice.level.cases.cases_of",
    ),
    "search": ("choice.search.decide.decide",),
    "members, checks": ("choice.level.level_work.work_level", "choice.level.worked.work_deck"),
    "comparison": ("comparison.compare.compare", "comparison.compare.worked_out"),
    "order": ("takeoff.order.take_off", "takeoff.order.ply_joints"),
    "cutting": ("takeoff.boards.boards_for", "takeoff.joints.settled", "takeoff.cutting.plan"),
    "telling": ("comparison.told.told", "choice.wishes.ground_options.ground_beside_house"),
    "alternatives": ("choice.wishes.other_frames.alternatives",),
    "preferences": ("choice.wishes.wishing.preference_costs",),
    "probability": ("comparison.chances.chances",),
    "rounding": ("units.rounding.rounded",),
    "encoding": (),
    "the rest": (),
}
WITHOUT = ("cutting", "probability")


class Stages:
    """The CPU of each stage of one design, ns: what runs inside another stage is not counted twice."""

    def __init__(self) -> None:
        self.taken: Counter[str] = Counter()
        self.calls: Counter[str] = Counter()
        self._running = list[str]()
        self._since = 0

    def switch(self, stage: str | None) -> None:
        """Give what has run since the last switch to its stage; go into a stage, or back out of one."""
        now = time.process_time_ns()
        if self._running:
            self.taken[self._running[-1]] += now - self._since
        if stage is None:
            self._running.pop()
        else:
            self._running.append(stage)
        self._since = now

    def of(self, stage: str, name: str, real: Callable[..., Any]) -> Callable[..., Any]:
        """Return a function timed as part of a stage."""

        def timed(*args: Any, **named: Any) -> Any:
            if self._running[-1] == stage:
                return real(*args, **named)
            self.calls[name] += 1
            self.switch(stage)
            try:
                return real(*args, **named)
            finally:
                self.switch(None)

        return timed


@contextmanager
def timed(stages: Stages) -> Iterator[None]:
    """Time the functions of every stage in whatever module uses them."""
    kept = []
    for stage, names in FUNCTIONS.items():
        for path in names:
            module, _, name = f"service.{path}".rpartition(".")
            real = getattr(importlib.import_module(module), name)
            for place in [one for key, one in sys.modules.items() if key.startswith("service")]:
                if getattr(place, name, None) is real:
                    kept.append((place, name, real))
                    setattr(place, name, stages.of(stage, name, real))
    try:
        yield
    finally:
        for place, name, real in kept:
            setattr(place, name, real)


def spec_of(width_ft: float, projection_ft: float) -> bytes:
    """A deck on a wood band, composite boards, its price book pinned."""
    house = {
        "wall": "wood_band",
        "door_sill_height_in": 37.5,
        "floor_build_up_in": 1.5,
        "rim_depth_in": 11.25,
    }
    level = {
        "width_ft": width_ft,
        "projection_ft": projection_ft,
        "surface_height_in": 36,
        "decking": {"material": "composite"},
    }
    given = {
        "jurisdiction": "alder-county",
        "as_of": "2026-11-28",
        "price_book": "brindlemoor-yard@4",
        "house": house,
        "levels": [level],
    }
    return json.dumps(given).encode()


def one_design(spec: DeckSpec, where: Context) -> Stages:
    """Return what one design took, from the spec to the bytes of its report."""
    stages = Stages()
    with timed(stages):
        stages.switch("the rest")
        report = design(spec, where, with_wishes=True)
        stages.switch("encoding")
        msgspec.json.encode(report)
        stages.switch(None)
        stages.switch(None)
    return stages


def medians(width_ft: float, projection_ft: float, rounds: int) -> dict[str, float]:
    """Return the median of each stage, ms, of all together, and the count of frames worked out."""
    desk = make_desk(bundled_snapshot())
    spec = read_spec(spec_of(width_ft, projection_ft), desk)
    where = context_of(spec, desk)
    one_design(spec, where)
    runs = [one_design(spec, where) for _ in range(rounds)]
    found = {stage: statistics.median(run.taken[stage] / 1e6 for run in runs) for stage in FUNCTIONS}
    found["whole"] = statistics.median(sum(run.taken.values()) / 1e6 for run in runs)
    found["without"] = found["whole"] - sum(found[stage] for stage in WITHOUT)
    found["frames"] = statistics.median(run.calls["work_deck"] for run in runs)
    found["one frame"] = found["members, checks"] / found["frames"]
    return found


def main(rounds: int = 30) -> None:
    """Print a row a stage: ms and share of the whole for each deck."""
    if hasattr(os, "sched_setaffinity"):
        os.sched_setaffinity(0, {min(os.sched_getaffinity(0))})
    each = [medians(*deck, rounds) for deck in DECKS_FT]
    names = [f"{wide}x{deep} ft" for wide, deep in DECKS_FT]
    lines = [f"{'CPU, ms':<32}" + "".join(f"{name:>18}" for name in names)]
    for stage in (*FUNCTIONS, "whole"):
        cells = (f"{one[stage]:9.2f} {100 * one[stage] / one['whole']:6.1f} %" for one in each)
        lines.append(f"{stage:<32}" + "".join(f"{cell:>18}" for cell in cells))
    lines.append(
        f"{'without cutting, probability':<32}" + "".join(f"{one['without']:>16.2f}  " for one in each)
    )
    lines.append(
        f"{'members, checks of one frame':<32}" + "".join(f"{one['one frame']:>16.2f}  " for one in each)
    )
    lines.append(f"{'frames worked out':<32}" + "".join(f"{one['frames']:>16.0f}  " for one in each))
    sys.stdout.write("\n".join(lines) + "\n")


if __name__ == "__main__":
    main(*map(int, sys.argv[1:2]))

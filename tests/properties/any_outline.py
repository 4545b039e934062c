"""Random outlines framed and judged: the one place that says how a frame is asked for, and how many.

From the top of the project, `PYTHONPATH=.:tests python -m properties.any_outline 2000` frames that many outlines
and prints how they came out by kind, what the referee says, and the time taken; a second number is the first seed.
"""

from __future__ import annotations

import sys
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import cache
from time import perf_counter
from traceback import extract_tb

from context import context, designed
from properties.outlines import NAMES, Case, outline_case
from properties.quick_frame import quick
from properties.referee import wrong
from properties.referee_answer import Answer, answer_of

from service.contract.report import DesignReport

OUTLINES = 800  # framed and judged, where `FRAME` is quick
WHOLE = 32  # designed from end to end: two of each kind
# A quicker way from a case to what the referee reads (see `answer_from`); null: the whole pipeline, for WHOLE of them.
FRAME: Callable[[Case], Answer] | None = quick
# Rules that the service cannot keep yet.
NOT_YET: frozenset[str] = frozenset()
# The least share of each kind that must get a frame: without it, refusing everything would be sound.
FRAMED_AT_LEAST: dict[str, float] = {
    **dict.fromkeys(NAMES, 0.8),
    "bay_in_house": 0.7,
    "octagon_part": 0.7,
    "slanted": 0.6,
    "turned": 0.5,
    "star": 0.1,
}


@dataclass(frozen=True)
class Judged:
    """How one outline came out."""

    case: Case
    framed: bool
    status: str | None
    reasons: tuple[str, ...]
    wrong: tuple[str, ...]
    frame_s: float
    referee_s: float


@cache
def report_of(seed: int) -> DesignReport:
    """The whole report of a seed's deck."""
    case = outline_case(seed)
    return designed(case.spec, context(None, f"irc-{case.edition}"))


def whole(case: Case) -> Answer:
    """What the referee reads of a deck designed from end to end."""
    return answer_of(report_of(case.seed), context(None, f"irc-{case.edition}"))


def framed(case: Case) -> Answer:
    """What the referee reads of a deck, by the quickest way there is."""
    return (FRAME or whole)(case)


@cache
def judged(seed: int, through: Callable[[Case], Answer] = framed) -> Judged:
    """Frame the deck of a seed and judge it."""
    case = outline_case(seed)
    start = perf_counter()
    try:
        answer = through(case)
    except Exception as error:
        frames = extract_tb(error.__traceback__)
        where = f"{frames[-1].filename.rsplit('/', 1)[-1]}:{frames[-1].lineno}"
        return Judged(
            case, False, "raised", (), (f"raised: {error!r} at {where}",), perf_counter() - start, 0.0
        )
    middle = perf_counter()
    said = tuple(wrong(answer, without=NOT_YET))
    end = perf_counter()
    return Judged(case, answer.framed, answer.status, answer.reasons, said, middle - start, end - middle)


def seeds() -> range:
    """The seeds every run frames and judges."""
    return range(OUTLINES if FRAME else WHOLE)


def shares(found: Iterable[Judged]) -> dict[str, float]:
    """Return the share of each kind that got a frame."""
    of_kind: dict[str, list[bool]] = defaultdict(list)
    for one in found:
        of_kind[one.case.kind].append(one.framed)
    return {kind: sum(known) / len(known) for kind, known in of_kind.items()}


def _figures(found: list[Judged]) -> Iterable[str]:
    for kind in NAMES:
        own = [one for one in found if one.case.kind == kind]
        statuses = Counter(one.status if one.framed else f"no frame, {one.status}" for one in own)
        times = sorted(one.frame_s for one in own)
        if own:
            told = ", ".join(f"{count} {status}" for status, count in statuses.most_common())
            unsound = sum(bool(one.wrong) for one in own)
            middle, longest = times[len(times) // 2], times[-1]
            yield f"{kind:16} {len(own):5}: {told}; {unsound} unsound; {middle:.3f} s, longest {longest:.3f} s"
    reasons = Counter(reason for one in found for reason in set(one.reasons))
    yield f"reasons: {dict(reasons.most_common())}"
    rules = Counter(rule for one in found for rule in {said.split(":")[0] for said in one.wrong})
    yield f"broken rules: {dict(rules.most_common())}"
    yield f"referee: {sum(one.referee_s for one in found) / len(found):.4f} s each"


def main(count: int, first: int = 0, kinds: str = "") -> None:
    """Frame, judge and print; ``kinds`` is a list of kinds with commas, all where it is empty."""
    wanted = set(kinds.split(",")) if kinds else set(NAMES)
    run = [seed for seed in range(first, first + count) if NAMES[seed % len(NAMES)] in wanted]
    found = []
    for one in map(judged, run):
        found.append(one)
        for said in one.wrong:
            sys.stdout.write(f"{one.case} irc-{one.case.edition}: {said}\n")
    sys.stdout.write("\n".join(_figures(found)) + "\n")


if __name__ == "__main__":
    main(*(int(word) for word in sys.argv[1:3]), *sys.argv[3:4])

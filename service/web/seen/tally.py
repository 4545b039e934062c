"""What the lines of a task of an NDJSON call came to: counted where they are worked, told by the server."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from typing import Any

import msgspec

from service.contract.stream import StreamProblem


class Tally(msgspec.Struct, kw_only=True):
    """Counts of lines, and how long stages took.

    Attributes:
        results: result lines
        problems: problem lines by code
        verdicts: designs among the results, by verdict
        stages: seconds of each stage, by its name
    """

    results: int = 0
    problems: dict[str, int] = {}
    verdicts: dict[str, int] = {}
    stages: dict[str, list[float]] = {}

    def stage(self, name: str, began: float, ended: float) -> None:
        """Take down a stage."""
        self.stages.setdefault(name, []).append(ended - began)

    def count(self, answers: Iterable[msgspec.Struct]) -> None:
        """Take down answer lines."""
        for one in answers:
            if isinstance(one, StreamProblem):
                _add(self.problems, one.problem.code)
            else:
                self.results += 1
                _add(self.verdicts, _verdict(one))

    def add(self, other: Tally) -> None:
        """Take in the counts of another; its stages are told one by one and not kept.

        >>> whole = Tally(results=1, problems={"invalid_spec": 1})
        >>> whole.add(Tally(results=2, problems={"invalid_spec": 3, "not_json": 1}))
        >>> whole.results, whole.problems
        (3, {'invalid_spec': 4, 'not_json': 1})
        """
        self.results += other.results
        self.problems = dict(Counter(self.problems) + Counter(other.problems))
        self.verdicts = dict(Counter(self.verdicts) + Counter(other.verdicts))


def joined(tallies: Iterable[Tally]) -> Tally:
    """Return tallies together, with all their stages."""
    whole = Tally()
    for one in tallies:
        whole.add(one)
        for name, seconds in one.stages.items():
            whole.stages.setdefault(name, []).extend(seconds)
    return whole


def _add(counts: dict[str, int], name: str | None) -> None:
    if name is not None:
        counts[name] = counts.get(name, 0) + 1


def _verdict(answer: Any) -> str | None:
    """The verdict of the design in a result line, None where it holds none."""
    for name in ("summary", "design"):
        part = getattr(answer, name, None)
        if part is not None:
            return str(part.verdict.status)
    design = getattr(getattr(answer, "repricing", None), "design", None)
    return None if design is None else str(design.verdict.status)

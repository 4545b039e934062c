"""One footing method worked out, and the whole comparison."""

from __future__ import annotations

from dataclasses import dataclass

from service.comparison.cost import Cost
from service.comparison.schedule import Timetable
from service.contract.report import Caution, FootingComparison, MethodComparison, Reason, Status
from service.foundations.method import Sized

STATUS_RANK: dict[Status, int] = {"prescriptive": 0, "engineer_required": 1, "not_permitted": 2}
USUAL_METHOD = "tube_form_pier"


@dataclass(frozen=True)
class MethodResult:
    """A method with its footings, checks, verdict, cost and schedule.

    ``sized`` is empty where no footing could be worked out. ``stands_on_fill`` says that a footing would
    bear on ground that was dug up.
    """

    method: str
    compared: MethodComparison
    sized: tuple[Sized, ...]
    status: Status
    reasons: tuple[Reason, ...]
    cautions: tuple[Caution, ...]
    stands_on_fill: bool
    cost: Cost | None
    table: Timetable | None

    @property
    def feasible(self) -> bool:
        """Whether every post can be served this way here."""
        return self.compared.feasible

    @property
    def verdict_key(self) -> tuple[bool, int, bool]:
        """Better first: feasible, better verdict, off the fill."""
        return (not self.feasible, STATUS_RANK[self.status], self.stands_on_fill)

    @property
    def likely_days(self) -> float:
        """Likely days to framing; a method without a schedule comes last."""
        return self.table.elapsed_days[1] if self.table else float("inf")


@dataclass(frozen=True)
class Comparison:
    """The wire form, and behind it every method that was worked out, best first."""

    wire: FootingComparison
    results: tuple[MethodResult, ...]

    def result(self, method: str) -> MethodResult | None:
        """Return one method's result."""
        return next((one for one in self.results if one.method == method), None)

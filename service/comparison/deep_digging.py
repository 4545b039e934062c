"""What holes deeper than usual take: hours of digging in proportion to their depth, valued like the crew's others."""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import Decimal

from service.comparison.cost import CrewTime
from service.comparison.result import MethodResult
from service.foundations.facts import FoundationFacts
from service.units.finding import SLACK

DIG = "dig"
NOTHING = Decimal(0)


@dataclass(frozen=True)
class Digging:
    """Likely hours and working days of digging that a schedule made for usual holes leaves out, and their cost."""

    hours: float = 0.0
    days: float = 0.0
    cost: Decimal = NOTHING

    def first_framing_day(self, result: MethodResult) -> float | None:
        """Return the likely day framing can start with these days added; None where no durations are known."""
        if result.table is None:
            return None
        return float(math.floor(result.table.elapsed_days[1] + self.days + SLACK) + 1)


def deep_digging(method: str, usual_holes: float, crew: CrewTime, facts: FoundationFacts) -> Digging:
    """Return the digging of as many usual holes more, by a method's own likely hours for one.

    ``usual_holes`` is how many usual holes the depth past the usual one comes to: a hole three times as deep is two
    more. A convention of this service, and a low one: past the reach of an auger a hole goes slower.
    """
    each = sum(row.hours_likely for row in facts.tasks if row.method == method and row.task == DIG)
    hours = each * usual_holes
    days = hours / crew.size / facts.value("working_day")
    cost = _times(crew.hourly, hours) if crew.pays_hours else NOTHING
    cost += _times(crew.day_value, days) if crew.includes_wages else NOTHING
    return Digging(hours, days, cost)


def _times(amount: Decimal | None, quantity: float) -> Decimal:
    return (amount or NOTHING) * Decimal(str(round(quantity, 6)))

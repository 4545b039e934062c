"""Methods with made-up goods, to ask the chances about: prices are invented."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from service.comparison.cost import Cost, CrewTime
from service.comparison.result import MethodResult, Supplied
from service.comparison.schedule import timetable
from service.contract.report_comparison import CodedText, Risk
from service.foundations.facts import FoundationFacts
from service.foundations.method import FootingMethod, Sized
from tests.comparison.named import NO_SITE, named

Amounts = tuple[float, float, float]
NOTHING = (Decimal(0),) * 3
# low, likely and high for one footing, and what is paid once
GOODS: dict[str, tuple[Amounts, float]] = {
    "tube_form_pier": ((80, 90, 120), 60),
    "pad_and_pier": ((85, 100, 140), 40),
    "belled_pier": ((95, 110, 150), 60),
    "post_on_buried_pad": ((50, 60, 90), 20),
    "helical_pile": ((280, 320, 420), 150),
    "pier_block_on_grade": ((15, 18, 22), 0),
}


@dataclass(frozen=True)
class Made:
    """What a method comes to, given instead of worked out; nothing else is known of it."""

    way: Supplied

    def ways(self, method: FootingMethod, sized: Sequence[Sized]) -> tuple[Supplied, ...]:
        """The one way given."""
        return (self.way,)

    def usual_days(self, method: FootingMethod, sized: Sequence[Sized]) -> float | None:
        """None are known."""
        return None

    def order_risks(self, way: Supplied) -> tuple[Risk, ...]:
        """None."""
        return ()


def crew(size: int = 3, day: str | None = "450", wages_in_days: bool = True, hourly: str = "48") -> CrewTime:
    """A crew as a spec would give it."""
    return CrewTime(size, Decimal(hourly), Decimal(day) if day is not None else None, wages_in_days)


def result(
    method: str,
    count: int,
    team: CrewTime,
    facts: FoundationFacts,
    words: tuple[str, ...] = ("bagged", "torque_log"),
    goods: Amounts | None = None,
    priced: bool = True,
    feasible: bool = True,
    dig_share: float = 1.0,
) -> MethodResult:
    """A method for a number of footings, its ``goods`` for the whole job."""
    table = timetable(method, words, count, team.size, facts, dig_share)
    each, once = GOODS[method]
    three = goods or tuple(one * count + once for one in each)
    cost = Cost(
        currency="USD",
        goods=(Decimal(str(three[0])), Decimal(str(three[1])), Decimal(str(three[2]))),
        wages=NOTHING,
        days=NOTHING,
        hourly=team.hourly if team.pays_hours and team.hourly is not None else Decimal(0),
        day_value=team.day_value or Decimal(0),
        includes_wages=team.includes_wages,
        fixed=Decimal(str(once)),
        each=Decimal(str(each[1])),
        count=count,
    )
    return MethodResult(
        method=method,
        maker=named(method),
        site=NO_SITE,
        kinds=(),
        alike=(),
        demands=(),
        why_not=() if feasible else (CodedText("not_allowed_here", "not here"),),
        status="prescriptive",
        refusals=(),
        stands_on_fill=False,
        pricing=Made(Supplied("", (), table, cost if priced else None)),
    )


def results(
    methods: tuple[str, ...],
    count: int,
    team: CrewTime,
    facts: FoundationFacts,
    words: tuple[str, ...] = ("bagged", "torque_log"),
    dig_share: float = 1.0,
) -> tuple[MethodResult, ...]:
    """Several methods for the same footings."""
    return tuple(result(method, count, team, facts, words, dig_share=dig_share) for method in methods)

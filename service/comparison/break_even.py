"""Where the ranking of two methods turns over: the value of a crew-day, and the number of footings."""

from __future__ import annotations

from decimal import Decimal

from service.comparison.result import MethodResult
from service.contract.money import money
from service.contract.report_comparison import BreakEven
from service.units.working import Step, step


def break_even(
    quick: MethodResult, slow: MethodResult, day_value: Decimal | None, includes_wages: bool
) -> BreakEven | None:
    """Return where the quicker method starts to win, or None where a cost or a schedule is missing.

    Extra direct cost X over days saved DD is the crew-day value at which both cost the same; with the
    caller's value V, N* = (V DD - extra fixed cost) / extra cost of one footing.
    """
    if quick.cost is None or slow.cost is None or quick.table is None or slow.table is None:
        return None
    days = [
        (r.table.elapsed_days if includes_wages else r.table.idle_days)[1] for r in (quick, slow) if r.table
    ]
    saved = days[1] - days[0]
    extra = quick.cost.direct - slow.cost.direct
    # A quicker method that is also cheaper never loses: there is no value at which the ranking turns.
    turns = extra > 0 and saved > 0
    even_value = extra / Decimal(str(saved)) if turns else None
    count = _count(quick, slow, day_value, saved)
    currency = quick.cost.currency
    return BreakEven(
        methods=(quick.method, slow.method),
        crew_day_value=money(currency, even_value) if even_value is not None else None,
        footing_count=count,
        working=_working(quick, slow, extra, saved, even_value, day_value, count),
    )


def _count(quick: MethodResult, slow: MethodResult, day_value: Decimal | None, saved: float) -> float | None:
    if quick.cost is None or slow.cost is None or day_value is None:
        return None
    each = quick.cost.direct_each - slow.cost.direct_each
    room = day_value * Decimal(str(saved)) - (quick.cost.fixed - slow.cost.fixed)
    return float(room / each) if each > 0 and room > 0 else None


def _working(
    quick: MethodResult,
    slow: MethodResult,
    extra: Decimal,
    saved: float,
    even_value: Decimal | None,
    day_value: Decimal | None,
    count: float | None,
) -> tuple[Step, ...]:
    if quick.cost is None or slow.cost is None:
        return ()
    unit = quick.cost.currency
    steps = [
        step("N", quick.cost.count, "each", "footings of this deck"),
        step("M_1", float(quick.cost.fixed), unit, f"{quick.method}: paid once, whatever the number"),
        step("M_2", float(slow.cost.fixed), unit, f"{slow.method}: paid once, whatever the number"),
        step("c_1", float(quick.cost.direct_each), unit, f"{quick.method}: each footing"),
        step("c_2", float(slow.cost.direct_each), unit, f"{slow.method}: each footing"),
        step("X", float(extra), unit, "(M_1 - M_2) + N (c_1 - c_2), the extra direct cost"),
        step("DD", saved, "days", "likely days saved to the start of framing"),
    ]
    if even_value is not None:
        steps.append(
            step("V_even", float(even_value), unit, "X / DD, a crew-day worth more than this pays for it")
        )
    if day_value is not None:
        steps.append(step("V", float(day_value), unit, "crew-day value given"))
    if count is not None:
        steps.append(
            step("N_even", count, "each", "(V DD - (M_1 - M_2)) / (c_1 - c_2), fewer footings than this")
        )
    return tuple(steps)

"""The page of other frames: what each gains and gives up, and what every wish costs."""

from __future__ import annotations

from rich.console import Console

from service.cli.printing import NOTHING, Column, amount, item, table, title, words
from service.contract.money import Money
from service.contract.report import DesignReport
from service.contract.report_choice import Alternative, PreferenceCost
from service.units.text import sentence

_COLUMNS: tuple[Column, ...] = (
    ("wish", "left"), ("cost", "right"), ("footings", "right"), ("days", "right"), ("deflects in", "right"),
    ("room in", "right"), ("verdict", "left"),
)  # fmt: skip

HOW_COUNTED = (
    "Money at list prices by the piece, of other wood by both orders; deflection under live load or snow between "
    "supports, without cantilevered ends and heavy objects."
)


def print_choice(report: DesignReport, console: Console) -> None:
    """Print the frames that were not taken, and what each wish changes; nothing of what there is none of."""
    if report.alternatives:
        title(console, "Other frames")
        for other in report.alternatives:
            first, *more = _alternative(other)
            item(console, f"- {first}")
            for line in more:
                item(console, line, indent=4)
    if report.preference_costs:
        title(console, "What wishes cost")
        told = [one for one in report.preference_costs if one.verdict is not None]
        table(console, _COLUMNS, (_wish(one) for one in told))
        item(console, f"- {HOW_COUNTED}")
        for one in report.preference_costs:
            if one.verdict is None:
                item(console, f"- {one.text}")


def _alternative(one: Alternative) -> list[str]:
    """A frame in a few lines: what it is, what is better, what is worse."""
    lines = [sentence(one.because), one.summary] if one.because else [one.summary]
    lines += [f"Gains: {', '.join(one.gains)}"] if one.gains else []
    lines += [f"Gives up: {', '.join(one.gives_up)}"] if one.gives_up else []
    return lines


def _wish(one: PreferenceCost) -> tuple[str, ...]:
    name = one.text.partition(":")[0]
    if one.already:
        return f"{name} (as it is)", *[NOTHING] * 5, words(one.verdict or "")
    return (
        name,
        _more_money(one.cost),
        _more(one.footing_count, "+d"),
        _more(one.days, "+.3g"),
        _more(one.deflection_in, "+.2f"),
        _more(one.head_room_in, "+.4g"),
        words(one.verdict or ""),
    )


def _more_money(change: Money | None) -> str:
    """A difference in money with its sign, in whole units.

    >>> _more_money(Money("USD", "312.40")), _more_money(Money("USD", "-12.50")), _more_money(None)
    ('+312', '-13', '-')
    """
    told = amount(change)
    return f"+{told}" if change is not None and not told.startswith(("-", "0")) else told


def _more(change: float | None, form: str) -> str:
    """A difference with its sign; a plain 0 where there is none.

    >>> _more(-2, "+d"), _more(0.0, "+.2f"), _more(None, "+d")
    ('-2', '0', '-')
    """
    if change is None:
        return NOTHING
    return format(change, form) if change else "0"

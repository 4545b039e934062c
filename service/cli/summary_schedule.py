"""The days of the method recommended, task by task."""

from __future__ import annotations

from rich.console import Console

from service.cli.printing import NOTHING, Column, days, item, table, title, words
from service.contract.report_comparison import FootingComparison, MethodComparison, Schedule, Task

TASKS: tuple[Column, ...] = (
    ("task", "left"), ("days low / likely / high", "right"), ("starts", "right"), ("ends", "right"),
    ("from", "left"), ("to", "left"), ("float", "right"), ("crew", "left"),
)  # fmt: skip


def print_dates(comparison: FootingComparison, console: Console) -> None:
    """Print when framing can start and when the footings carry everything, without the tasks."""
    shown = _shown(comparison)
    if shown is not None and shown.schedule is not None:
        title(console, f"Dates with {words(shown.method)}, in working days from layout")
        for line in _lines(shown.schedule):
            item(console, line)


def print_schedule(comparison: FootingComparison, console: Console) -> None:
    """Print the schedule of the method recommended, or of the first that can be used where none is."""
    shown = _shown(comparison)
    if shown is None or shown.schedule is None:
        return
    title(console, f"Schedule with {words(shown.method)}, in working days from layout")
    table(console, TASKS, (_task(task) for task in shown.schedule.tasks))
    for line in _lines(shown.schedule):
        item(console, line)


def _shown(comparison: FootingComparison) -> MethodComparison | None:
    usable = [method for method in comparison.methods if method.feasible and method.schedule]
    return next((m for m in usable if m.method == comparison.recommended), next(iter(usable), None))


def _task(task: Task) -> tuple[str, ...]:
    return (
        words(task.task),
        " / ".join(days(one) for one in (task.days_low, task.days_likely, task.days_high)),
        days(task.starts_day),
        days(task.ends_day),
        task.start_date or NOTHING,
        task.end_date or NOTHING,
        days(task.float_days),
        "yes" if task.crew_present else "no",
    )


def _lines(schedule: Schedule) -> list[str]:
    first, dates = schedule.first_framing_working_day, schedule.first_framing_dates
    found = [f"Framing starts on working day {first.low:g} / {first.likely:g} / {first.high:g}."]
    if dates is not None:
        found.append(
            f"That is {' / '.join(one or NOTHING for one in (dates.low, dates.likely, dates.high))}."
        )
    full = schedule.full_load_working_day
    if full is not None:
        when = f", {schedule.full_load_date}" if schedule.full_load_date else ""
        # Piles carry all of it before there is anything to carry.
        waits = ": till then no stacks, no tub" if full.likely > first.likely else ""
        found.append(f"Full load from day {days(full.likely)}{when}{waits}.")
    if schedule.idle_days is not None:
        found.append(f"Of these the crew waits {days(schedule.idle_days.likely)} days.")
    if schedule.cold_weather:
        found.append("The days hold what a pour that may freeze asks for.")
    return found

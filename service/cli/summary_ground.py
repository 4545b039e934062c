"""The ground beside the house as a builder reads it: what was dug up, which footings stand in it, what can be done."""

from __future__ import annotations

from collections.abc import Iterator

from rich.console import Console

from service.cli.printing import NOTHING, Column, amount, days, item, table, title, words
from service.contract.money import Money
from service.contract.report_comparison import BesideHouseFooting, GroundBesideHouse, GroundOption
from service.units.text import feet_inches, sentence

FOOTINGS: tuple[Column, ...] = (
    ("member", "left"), ("from house", "right"), ("bottom", "right"), ("dug up to", "right"), ("stands", "left"),
    ("original ground at", "right"), ("clear of load line at", "right"),
)  # fmt: skip
OPTIONS: tuple[Column, ...] = (
    ("what to do", "left"), ("verdict", "left"), ("footings", "right"), ("whole deck", "right"),
    ("difference", "right"),
    ("days", "right"),
)  # fmt: skip


def print_ground(ground: GroundBesideHouse | None, console: Console) -> None:
    """Print the hole a house was built in, the footings over it and the options; nothing where none is near."""
    if ground is None:
        return
    deep, room = feet_inches(ground.foundation_depth_in), feet_inches(ground.working_room_in)
    title(console, "Ground beside the house")
    item(console, f"The house stands {deep} deep; its hole was dug with {words(ground.excavation_slope)} sides and "
                  f"{room} of room to work in.")  # fmt: skip
    for one in ground.zone:
        item(
            console,
            f"- {feet_inches(one.depth_in)} down it was dug up to {one.width_ft:.1f} ft from the wall.",
        )
    table(console, FOOTINGS, (_footing(one) for one in ground.footings))
    table(console, OPTIONS, _options(ground.options))
    if any(option.cost for option in ground.options):
        item(console, "Costs are of the whole deck, the difference is to the deck as it is answered here.")
    for option in ground.options:
        item(console, f"- {words(option.option)}: {sentence(option.because)}")


def _footing(one: BesideHouseFooting) -> tuple[str, ...]:
    return (
        one.footing,
        f"{one.distance_ft:.1f} ft",
        feet_inches(one.bottom_depth_in),
        f"{one.zone_width_ft:.1f} ft",
        "in fill" if one.in_fill else "in original ground",
        feet_inches(one.original_ground_depth_in),
        feet_inches(one.load_line_depth_in),
    )


def _more(difference: Money | None) -> str:
    """A difference with its sign.

    >>> _more(Money("USD", "410.00")), _more(Money("USD", "-3.00")), _more(None)
    ('+410', '-3', '-')
    """
    shown = amount(difference)
    return shown if difference is None or shown[0] in "-0" else f"+{shown}"


def _options(options: tuple[GroundOption, ...]) -> Iterator[tuple[str, ...]]:
    for one in options:
        yield (
            words(one.option),
            words(one.verdict or ("possible" if one.possible else "not possible")),
            NOTHING if one.footings is None else str(one.footings),
            amount(one.cost),
            _more(one.cost_difference),
            days(one.days),
        )

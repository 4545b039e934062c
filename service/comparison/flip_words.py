"""The turns of the recommendation as the report carries them, each with its sentence."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from service.comparison.by_count import COUNTS, Column, cheapest_at
from service.comparison.flips import Input, Turn
from service.comparison.method_words import plain
from service.contract.report_comparison import Flip

MOST_FLIPS = 8
UNIT_OF_PIECES = "each"
FACTOR_OF_REACH = 2.0  # convention of this service


def told_flips(turns: Sequence[Turn], best: str, columns: Sequence[Column], count: int) -> tuple[Flip, ...]:
    """Return the nearest turns with the number of footings among them, at most eight."""
    every = [*turns, *_count_turns(best, columns, count)]
    nearest = sorted(every, key=lambda turn: turn.change)[:MOST_FLIPS]
    return tuple(_flip(turn, best) for turn in nearest)


def within_reach(flip: Flip) -> bool:
    """Return whether an input could be so otherwise: a price more than twice or less than half of what it is is not."""
    return flip.input != "unit_price" or 1 / FACTOR_OF_REACH <= flip.at / flip.now <= FACTOR_OF_REACH


def _count_turns(best: str, columns: Sequence[Column], count: int) -> Iterator[Turn]:
    """The nearest number of footings below and above at which another of these methods costs least."""
    if count not in COUNTS or not columns:
        return
    given = Input("footing_count", UNIT_OF_PIECES, float(count), COUNTS[0], COUNTS[-1])
    own = COUNTS.index(count)
    for places in (range(own - 1, -1, -1), range(own + 1, len(COUNTS))):
        winners = ((place, cheapest_at(columns, place).method) for place in places)
        found = next(((place, method) for place, method in winners if method != best), None)
        if found:
            yield Turn(given, float(COUNTS[found[0]]), found[1])


def _flip(turn: Turn, best: str) -> Flip:
    given = turn.input
    percent = (turn.at - given.now) / given.now * 100 if given.now else None
    return Flip(
        input=given.word,
        pointer=given.pointer,
        item=given.item,
        unit=given.unit,
        now=given.now,
        at=turn.at,
        change_percent=percent,
        to_method=turn.to_method,
        text=f"{_condition(turn)}, {plain(turn.to_method)} would cost less than {plain(best)}.",
    )


def _condition(turn: Turn) -> str:
    given, more = turn.input, turn.at > turn.input.now
    beyond = "more than" if more else "less than"
    if given.word == "footing_count":
        return f"With {turn.at:g} footings like these instead of {given.now:g}"
    if given.unit == "days":
        what = "the inspector took" if given.word == "inspection_wait" else "the concrete cured for"
        return f"If {what} {beyond} {turn.at:.1f} working days instead of {given.now:g}"
    if given.item is not None:
        return f"If {given.item} cost {beyond} {_money(turn.at)} {given.unit} instead of {_money(given.now)}"
    what = "an hour of one person cost" if given.word == "hourly_rate" else "a crew-day were worth"
    return f"If {what} {beyond} {_money(turn.at)} {given.unit} instead of {_money(given.now)}"


def _money(amount: float) -> str:
    return f"{amount:,.2f}" if amount >= 1 else f"{amount:.4f}"

"""The frames of several ways of support in one order; a way is searched only once a frame of it may be next."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from service.choice.search.best_first import FIRST, SECOND, Candidate, Key, Mask, Order
from service.choice.search.field import Field, Floats

Tried = tuple[Candidate, ...]
Place = list[tuple[Key, tuple[object, ...]]]


class Stream(Protocol):
    """The frames of one way, the best first."""

    @property
    def frames(self) -> Iterator[Tried]:
        """Its frames."""
        ...

    def may_precede(self, key: Key) -> bool:
        """Return whether a frame of it may come before a key, or beside it."""
        ...


@dataclass(frozen=True)
class _Head:
    """The next frame of a stream that was searched: its place in the order, then among the streams."""

    place: Place
    number: int
    frame: Tried


def in_turn(streams: Sequence[Stream]) -> Iterator[tuple[int, Tried]]:
    """Yield the frames of all streams, the best first, each with the number of its stream.

    It is the merge of sorted streams: alike frames in the order of the streams.
    """
    heads, waiting = list[_Head](), list(range(len(streams)))
    while waiting or heads:
        first = min(heads, key=lambda one: (one.place, one.number), default=None)
        due = next((n for n in waiting if first is None or streams[n].may_precede(first.place[0][0])), None)
        if due is not None:
            waiting.remove(due)
        elif first is not None:
            heads.remove(first)
            yield first.number, first.frame
        number = due if due is not None or first is None else first.number
        heads += _head(streams, number)


def _head(streams: Sequence[Stream], number: int | None) -> list[_Head]:
    if number is None:
        return []
    found = next(streams[number].frames, None)
    return [] if found is None else [_Head([(one.key, one.tie) for one in found], number, found)]


def may_precede(field: Field, order: Order, key: Key) -> bool:
    """Return whether a frame of a field may come before a key or beside it, by what it costs at least."""
    columns = _lowest(field, order)
    allowed = np.ones(len(field), dtype=bool) if order.where is None else order.where(field)
    rows = np.flatnonzero(allowed & _not_after(columns, key)).tolist()
    if order.objective == "no_prices":
        return bool(rows)
    dearer = FIRST if order.objective == "cost" else SECOND
    for row in rows:
        lowest = [float(column[row]) for column in columns]
        lowest[dearer] = max(lowest[dearer], float(field.least_of_way(row, order.footings_stand)))
        if tuple(lowest) <= key:
            return True
    return False


def _lowest(field: Field, order: Order) -> list[Floats]:
    """The columns of the best keys that frames of a field may have."""
    stand = np.full(len(field), float(order.footings_stand))
    members = (field.level, field.interior, stand, field.unpriced > 0)
    return [one.astype(float) for one in (*members, *order.keys(field, order.footings_stand))]


def _not_after(columns: Sequence[Floats], key: Key) -> Mask:
    before, alike = np.zeros(len(columns[0]), dtype=bool), np.ones(len(columns[0]), dtype=bool)
    for column, value in zip(columns, key, strict=True):
        before |= alike & (column < value)
        alike &= column == value
    return before | alike

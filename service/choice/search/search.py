"""The frames of one region from the best on, and how many there are."""

from __future__ import annotations

import heapq
from collections.abc import Iterator
from dataclasses import replace
from functools import cached_property
from itertools import chain

from service.choice.level.ask import Ask
from service.choice.level.beam_rows import MOST_INNER, wishes
from service.choice.level.limits import Limits
from service.choice.search.arranging import Arranging
from service.choice.search.best_first import SMALL, Candidate, Order, candidates
from service.choice.search.field import Desk, Field, field_of
from service.choice.search.footing_price import FootingPrices


class Search:
    """The frames of one region, field by field as they are asked for: with no row between the ends, one, ..."""

    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        self._fields: dict[int, Field] = {}

    @property
    def fields(self) -> tuple[Field, ...]:
        """The fields looked at so far."""
        return tuple(self._fields.values())

    @property
    def tried(self) -> int:
        """How many frames they hold before any limit is looked at."""
        return sum(field.tried for field in self.fields)

    @property
    def standing(self) -> int:
        """How many of them pass the limits of their joists and beams."""
        return sum(len(field) for field in self.fields)

    @property
    def small(self) -> bool:
        """Whether all of them are few enough to be looked through to the end."""
        return self.standing <= SMALL

    def field(self, inner: int) -> Field:
        """Return the frames with so many rows between the ends, worked out once."""
        if inner not in self._fields:
            self._fields[inner] = field_of(self.desk, inner)
        return self._fields[inner]

    def on_footings(self, footings: FootingPrices) -> Search:
        """Return the frames of the fields looked at so far, on footings that are priced otherwise."""
        found = Search(replace(self.desk, footings=footings))
        found._fields = {inner: replace(field, desk=found.desk) for inner, field in self._fields.items()}
        return found

    @cached_property
    def takes_interior(self) -> bool:
        """Whether the place reads rows between in the tables: then they are weighed with the others."""
        criteria = self.desk.arranging.ask.criteria
        return criteria.rulebook.in_force_settings.accept_tributary_interior_beams

    def best_first(self, order: Order) -> Iterator[Candidate]:
        """Yield the frames that stand, the best first."""
        streams = (candidates(self.field(inner), order) for inner in range(MOST_INNER + 1))
        if self.takes_interior:
            return heapq.merge(*streams, key=lambda one: (one.key, one.tie))
        return chain.from_iterable(streams)  # rows between are worse than none, whatever they cost

    def best_known(self, order: Order) -> Iterator[Candidate]:
        """Yield the frames of the fields looked at so far, the best first."""
        streams = [candidates(field, order) for field in self.fields]
        return heapq.merge(*streams, key=lambda one: (one.key, one.tie))

    def least_failing(self, order: Order) -> Candidate | None:
        """Return the frame that fails least, for pins that can't stand."""
        for inner in range(MOST_INNER + 1):
            found = next(candidates(field_of(self.desk, inner, keep_failing=True), order), None)
            if found is not None:
                return found
        return None


def has_rows(ask: Ask) -> bool:
    """Return whether beams can be laid under the edges of a region at all, whatever their size."""
    arranging = Arranging(ask, Limits(ask.criteria))
    return any(arranging.ends(wish, "dropped") is not None for wish in wishes(ask.region, 3.0, "dropped"))

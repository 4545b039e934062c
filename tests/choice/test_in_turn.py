"""The frames of several ways in one order: as a plain merge has them, without searching ways too dear to matter."""

from __future__ import annotations

import heapq
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import islice

import pytest
from choice.brute_decks import case_of, deck_of
from hypothesis import given
from hypothesis import strategies as st

from service.choice.search.best_first import Candidate, Key, Order, candidates
from service.choice.search.decide import kinds, search_of
from service.choice.search.field import Field
from service.choice.search.in_turn import Tried, in_turn, may_precede
from service.choice.search.plans import plans

EACH = 5  # frames of a field, the best first, whose keys are asked for


@dataclass
class Known:
    """A stream of made-up frames that can say how its first one stands; it remembers that it was searched."""

    keys: Sequence[float]
    slack: float
    searched: bool = field(default=False, init=False)

    @property
    def frames(self) -> Iterator[Tried]:
        """Its frames."""
        return self._iterator

    def __post_init__(self) -> None:
        self._iterator = self._run()

    def _run(self) -> Iterator[Tried]:
        self.searched = True
        for key in sorted(self.keys):
            yield (made_up(key),)

    def may_precede(self, key: Key) -> bool:
        """Whether its first frame, or what is known of it, comes before a key."""
        return bool(self.keys) and (min(self.keys) - self.slack,) <= key


@dataclass(frozen=True)
class MadeUp:
    """A frame of which nothing but its key is looked at."""

    key: Key
    tie: tuple[object, ...] = ()


def made_up(key: float) -> Candidate:
    """Return one with a key of one number."""
    return MadeUp((key,))  # type: ignore[return-value]


NUMBERS = st.lists(st.integers(0, 8).map(float), max_size=6)


@given(st.lists(st.tuples(NUMBERS, st.sampled_from([0.0, 1.0, 100.0])), max_size=4))
def test_frames_come_as_a_merge_of_sorted_streams_has_them(made: list[tuple[list[float], float]]) -> None:
    streams = [Known(keys, slack) for keys, slack in made]
    found = [(tried[0].key[0], number) for number, tried in in_turn(streams)]
    merged = heapq.merge(*([(key, number) for key in sorted(one.keys)] for number, one in enumerate(streams)))
    assert found == list(merged)


def test_a_way_too_dear_is_not_searched() -> None:
    near, far = Known([1.0, 2.0], 0.0), Known([5.0], 1.0)
    turn = in_turn([near, far])
    assert [next(turn)[1][0].key[0] for _ in range(2)] == [1.0, 2.0]
    assert not far.searched
    assert next(turn)[0] == 1
    assert far.searched


@pytest.mark.parametrize("seed", [1, 4, 10, 11, 16])
@pytest.mark.parametrize("objective", ["cost", "fewest_footings", "stiffness"])
def test_a_frame_that_comes_before_a_key_is_never_denied(seed: int, objective: str) -> None:
    case = case_of(deck_of(seed))
    order = Order(objective if case.context.prices else "no_prices")  # type: ignore[arg-type]
    of_case = search_of(case, next(iter(plans(case, kinds(case)[0]))).regions[0])
    looked: Field = of_case.field(0)
    found = list(islice(candidates(looked, order), EACH))
    assert found
    assert all(may_precede(looked, order, one.key) for one in found)
    level, interior, stand, unpriced, *_ = found[0].key
    known = order._replace(footings_stand=int(stand))
    assert not may_precede(looked, known, (level, interior, stand, unpriced, 0.0, 0.0))

"""Tasks in their order: the ways through them, floats, and one engine for cases, counts and samples."""

from __future__ import annotations

import itertools

import msgspec
import numpy as np
import pytest

from service.comparison.network import Network, course, growth, network, slack, times
from service.comparison.schedule import AtCounts, at_counts, task_days_at, timetable
from service.foundations.facts import FoundationFacts

METHODS = (
    "tube_form_pier", "pad_and_pier", "belled_pier", "post_on_buried_pad", "helical_pile", "pier_block_on_grade",
)  # fmt: skip
WORDS = (
    ("bagged",),
    ("ready_mix", "cold"),
    ("bagged", "special_inspector"),
    ("bagged", "cold", "torque_log"),
)


def likely_at(
    method: str,
    words: tuple[str, ...],
    counts: tuple[int, ...],
    crew: int,
    facts: FoundationFacts,
    share: float = 1.0,
) -> AtCounts | None:
    net = network(method, frozenset(words), facts)
    return at_counts(net, counts, crew, share) if net else None


def of(facts: FoundationFacts, method: str, words: tuple[str, ...] = ("bagged",)) -> Network:
    found = network(method, frozenset(words), facts)
    assert found is not None
    return found


def lengths(net: Network, seed: int) -> list[float]:
    return np.random.default_rng(seed).uniform(0.0, 3.0, len(net.rows)).tolist()


def framing(net: Network, days: list[float]) -> float:
    """The end of the last task framing waits for, by walking forward."""
    ends = times(net, days).ends
    return max(
        end
        for end, row in zip(ends, net.rows, strict=True)
        if row.before_framing == "yes" and end is not None
    )


@pytest.mark.parametrize(("method", "words"), [*itertools.product(METHODS, WORDS)])
def test_the_longest_way_is_the_end_of_the_last_task(
    method: str, words: tuple[str, ...], facts: FoundationFacts
) -> None:
    net = of(facts, method, words)
    cases = [lengths(net, seed) for seed in range(20)]
    found = course(net, np.array(cases).T, np.zeros((len(net.rows), 20))).elapsed_days(growth(9, 3, facts))
    assert found == pytest.approx([framing(net, days) for days in cases])


@pytest.mark.parametrize(("method", "seed"), [*itertools.product(METHODS, range(3))])
def test_float_is_how_much_later_a_task_may_end(method: str, seed: int, facts: FoundationFacts) -> None:
    net = of(facts, method, ("bagged", "cold", "torque_log"))
    days = lengths(net, seed)
    spare, whole = slack(net, days, times(net, days).ends), framing(net, days)
    for place, row in enumerate(net.rows):
        room = spare[place]
        assert (room is None) == (row.before_framing == "no")
        if room is not None:
            assert framing(net, [*days[:place], days[place] + room, *days[place + 1 :]]) == pytest.approx(
                whole
            )
            later = framing(net, [*days[:place], days[place] + room + 0.25, *days[place + 1 :]])
            assert later == pytest.approx(whole + 0.25)


def test_some_task_has_no_float(facts: FoundationFacts) -> None:
    for method in METHODS:
        table = timetable(method, ("bagged",), 9, 3, facts)
        assert table
        spare = [one for one in table.slack(table.at(1)) if one is not None]
        assert min(spare) == pytest.approx(0.0)
        assert all(one >= -1e-12 for one in spare)


def test_a_choice_of_words_that_leaves_a_hole_has_no_network(facts: FoundationFacts) -> None:
    # without a supply of concrete nothing is poured, and curing would start before the holes are dug
    assert network("tube_form_pier", frozenset(), facts) is None
    assert timetable("tube_form_pier", ("torque_log",), 9, 3, facts) is None


@pytest.mark.parametrize(("method", "words"), [*itertools.product(METHODS, WORDS)])
def test_many_counts_at_once_are_the_timetables_one_by_one(
    method: str, words: tuple[str, ...], facts: FoundationFacts
) -> None:
    counts = range(1, 30)
    at_once = likely_at(method, words, counts, 2, facts)
    assert at_once
    for place, count in enumerate(counts):
        table = timetable(method, words, count, 2, facts)
        assert table
        assert at_once.elapsed_days[place] == pytest.approx(table.elapsed_days[1])
        assert at_once.idle_days[place] == pytest.approx(table.idle_days[1])
        assert at_once.crew_hours[place] == pytest.approx(table.crew_hours[1])


@pytest.mark.parametrize(("method", "share"), [*itertools.product(METHODS, (0.4, 1.43, 6.0))])
def test_deeper_holes_add_their_hours_and_days_and_nothing_else(
    method: str, share: float, facts: FoundationFacts
) -> None:
    usual, deep = (timetable(method, ("bagged",), 9, 3, facts, one) for one in (1.0, share))
    assert usual
    assert deep
    # hours of the row over nine footings; three people, eight hours a day
    hours = sum(row.hours_likely for row in usual.rows if row.task == "dig") * 9
    more = hours * (share - 1)
    assert deep.crew_hours[1] == pytest.approx(usual.crew_hours[1] + more)
    assert deep.task_hours("dig") == pytest.approx(hours * share)
    assert deep.elapsed_days[1] == pytest.approx(usual.elapsed_days[1] + more / 24)
    assert deep.idle_days == pytest.approx(usual.idle_days)
    assert deep.task_range("dig")[1] == pytest.approx(usual.task_range("dig")[1] + more / 24)
    others = [row.task for row in usual.rows if row.task != "dig"]
    assert [deep.task_range(one) for one in others] == [usual.task_range(one) for one in others]
    at = likely_at(method, ("bagged",), (4, 9), 3, facts, share)
    assert at
    assert at.elapsed_days[1] == pytest.approx(deep.elapsed_days[1])
    assert (at.idle_days[1], at.crew_hours[1]) == pytest.approx((deep.idle_days[1], deep.crew_hours[1]))
    (days,) = task_days_at(usual.network, "dig", (9,), 3, share)
    assert days == pytest.approx(deep.task_range("dig")[1])


def test_an_unknown_method_has_nothing_at_any_count(facts: FoundationFacts) -> None:
    assert likely_at("stone_heap", (), (4, 5), 3, facts) is None


@pytest.mark.parametrize("method", METHODS)
def test_tasks_of_a_timetable_add_up_to_its_days(method: str, facts: FoundationFacts) -> None:
    for count, crew in itertools.product((1, 6, 20), (1, 3, 8)):
        table = timetable(method, ("bagged",), count, crew, facts)
        assert table
        for case in range(3):
            days = [one[case] for one in table.days]
            assert table.elapsed_days[case] == pytest.approx(framing(table.network, days))
            worked = sum(
                day
                for day, row in zip(days, table.rows, strict=True)
                if row.who == "crew" and row.before_framing == "yes"
            )
            assert table.idle_days[case] == pytest.approx(max(0.0, table.elapsed_days[case] - worked))


def test_a_crew_that_works_on_two_things_at_once_is_not_idle_less_than_never(facts: FoundationFacts) -> None:
    net = of(facts, "tube_form_pier")
    busy = tuple(
        msgspec.structs.replace(row, who="crew") if row.step in ("A3", "A7") else row for row in net.rows
    )
    found = course(
        Network(busy, net.before, net.ways, facts), np.ones((len(busy), 1)), np.zeros((len(busy), 1))
    )
    grows = growth(9, 3, facts)
    # seven tasks of the crew, two of them side by side, in six days
    assert found.elapsed_days(grows) == pytest.approx([6.0])
    assert found.idle_days(found.elapsed_days(grows), grows) == pytest.approx([0.0])


def test_words_of_other_methods_make_no_other_network(facts: FoundationFacts) -> None:
    assert of(facts, "belled_pier", ("bagged", "torque_log")) is of(facts, "belled_pier", ("bagged",))
    assert of(facts, "belled_pier", ("ready_mix",)) is not of(facts, "belled_pier")
    assert of(facts, "belled_pier", ("cold",)) is not of(facts, "belled_pier")

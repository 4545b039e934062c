"""Labels keep off each other; dimension strings say what lies between their stops."""

from __future__ import annotations

from itertools import combinations, pairwise

from hypothesis import given
from hypothesis import strategies as st

from service.drawings.kit.dimensions import Baseline, between, string
from service.drawings.kit.labels import Label, Placing, around
from service.drawings.kit.lettering import Box
from service.units.text import feet_inches

ROOM = Box(0, 0, 500, 400)
PLACES = st.tuples(st.floats(0, 500), st.floats(0, 400))
MARKS = st.text(st.sampled_from("BPF12-"), min_size=1, max_size=8)


@given(st.lists(st.tuples(MARKS, PLACES, st.sampled_from([0.0, -90.0, 30.0])), max_size=40))
def test_no_label_lies_over_another_or_off_the_paper(
    wanted: list[tuple[str, tuple[float, float], float]],
) -> None:
    placing, boxes, missed = Placing(ROOM), [], 0
    for text, at, turn_deg in wanted:
        label = Label(text, around(at), turn_deg=turn_deg)
        middle = placing.place(label)
        missed += middle is None
        boxes += [] if middle is None else [label.box(middle)]
    assert not any(one.meets(other) for one, other in combinations(boxes, 2))
    assert all(box.inside(ROOM) for box in boxes)
    assert len(placing.missed) == missed


def test_a_label_takes_its_first_free_place_and_says_when_there_is_none() -> None:
    placing = Placing(ROOM)
    label = Label("B1", ((100, 100), (100, 120)))
    assert placing.place(label) == (100, 100)
    assert placing.place(label) == (100, 120)
    assert placing.place(label) is None
    assert placing.missed == ["B1"]


def written(*labels: Label) -> list[str]:
    placing = Placing(ROOM)
    for label in labels:
        placing.place(label)
    return [one.tag for one in placing.written()]


def test_a_leader_runs_to_a_label_that_stands_off() -> None:
    assert written(Label("B1", ((104, 100),), of=(100, 100))) == ["rect", "text"]
    assert written(Label("B1", ((150, 100),), of=(100, 100))) == ["line", "rect", "text"]


def test_leaders_are_drawn_before_every_text_so_that_none_crosses_letters() -> None:
    first, second = Label("B1", ((150, 100),), of=(100, 100)), Label("B2", ((250, 100),), of=(200, 100))
    assert written(first, second) == ["line", "line", "rect", "text", "rect", "text"]


@given(st.lists(st.integers(1, 400), min_size=2, max_size=12, unique=True).map(sorted))
def test_a_string_says_each_part_once_and_its_texts_keep_apart(stops_in: list[int]) -> None:
    placing, texts = Placing(Box(0, 0, 500, 400)), [feet_inches(b - a) for a, b in pairwise(stops_in)]
    drawn = string(Baseline((40, 100), (1, 0), (0, 1)), stops_in, texts, 20, placing)
    said = [one.text for one in placing.written() if one.tag == "text"]
    assert sorted([*said, *placing.missed]) == sorted(texts)
    assert drawn.reach_pt >= 23


def test_texts_are_read_from_below_or_from_the_right() -> None:
    turns = [between((0, 0), end, (5, 5)).turn_deg for end in ((10, 0), (-10, 0), (0, 10), (0, -10))]
    assert turns == [0, 0, -90, -90]


def test_out_is_away_from_what_is_measured() -> None:
    base = between((0, 0), (10, 0), (5, 50))
    assert base.at(5, 20) == (5, -20)

"""Places of guard posts judged together come out as those judged one by one."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st
from shapely import box

from service.framing.guard_edges import edge_between
from service.framing.guard_places import Room

EDGE = edge_between(1, (0.0, 0.0), (0.0, 9.0), 1.0)
FLOOR = box(-6, 0, 0, 9)
BOXES = st.tuples(st.floats(-0.6, 0.6), st.floats(-1, 9), st.floats(0.05, 1.5), st.floats(0.05, 5))


@given(
    st.sampled_from(["side", "surface"]),
    st.lists(BOXES, max_size=4),
    st.lists(st.floats(0, 9), max_size=5),
    st.lists(st.floats(0, 9), max_size=40),
)
def test_the_first_place_is_the_first_where_one_stands(
    mount: str, shut: list[tuple[float, float, float, float]], taken: list[float], places: list[float]
) -> None:
    room = Room(mount, FLOOR, [box(x, y, x + wide, y + high) for x, y, wide, high in shut])
    for at in taken:
        room.take(EDGE, at)
    one_by_one = next((at for at in places if room.stands(EDGE, at)), None)
    assert room.first(EDGE, places) == one_by_one

"""Rows of boards over a rectangle by arithmetic against the same rows cut out of polygons."""

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import example, given, settings
from hypothesis import strategies as st

from service.takeoff import rows as board_rows
from service.takeoff.rows import lay_of, rows

place = st.floats(-500.0, 500.0)


@settings(max_examples=300, deadline=None)
@given(
    place, place, st.floats(0.01, 500.0), st.floats(0.0005, 300.0), st.sampled_from([5.625, 3.625, 5.6871])
)
@example(0.0, 0.0, 192.0, 5.625 * 3 + 0.0011, 5.625)
@example(0.0, 0.0, 0.5, 11.2515, 5.625)
def test_rectangles_need_no_cutting(
    x_in: float, y_in: float, wide_in: float, deep_in: float, pitch_in: float
) -> None:
    box = shapely.box(x_in, y_in, x_in + wide_in, y_in + deep_in)
    for direction in ("away_from_house", "along_house"):
        field = lay_of(direction, 0.0).frame(box)
        if field.is_empty:
            continue
        low, high = field.bounds[1::2]
        starts = [low + n * pitch_in for n in range(math.ceil(round((high - low) / pitch_in, 6)))]
        assert rows(field, pitch_in) == board_rows._cut(field, starts, pitch_in)


@pytest.mark.parametrize(
    "corners",
    [
        [(0, 0), (100, 0), (100, 50), (0, 60)],
        [(0, 0), (100, 0), (100, 50), (50, 50), (50, 80), (0, 80)],
        [(0, 0), (100, 0), (50, 50), (0, 100)],
    ],
    ids=["leaning", "ell", "kite"],
)
def test_other_fields_are_cut(corners: list[tuple[float, float]], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(board_rows, "_of_rectangle", None)
    assert len(rows(shapely.Polygon(corners), 5.625)) > 5


def test_a_rectangle_askew_is_cut(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(board_rows, "_of_rectangle", None)
    field = lay_of("away_from_house", 45.0).frame(shapely.box(0, 0, 100, 50))
    assert {row.cuts_deg for row in rows(field, 5.625)} != {(0.0, 0.0)}

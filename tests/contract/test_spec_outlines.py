"""Outlines nobody can build are refused at their place, however they are written; real ones are taken."""

from __future__ import annotations

import json
import math
from typing import Any

import pytest

from service.contract.faults import deck_spec
from service.contract.plan import SAME_FT
from service.contract.problem import Rejected
from tests.contract.fault_bodies import L_SHAPE, faults, found, level, outlined, spec, tub

Corners = list[tuple[float, float]]
IN = 1 / 12
OUTLINE = "/levels/0/outline_ft"


def ring(count: int, radius: float, x: float = 0, y: float = 0, inner: float = 1.0) -> Corners:
    """Corners round a circle, every other one drawn in."""
    turns = [(2 * math.pi * i / count, radius * (inner if i % 2 else 1)) for i in range(count)]
    return [(round(x + r * math.cos(a), 6), round(y + r * math.sin(a), 6)) for a, r in turns]


def rounded(radius: float, parts: int) -> Corners:
    """A square of 10 ft whose last corner is rounded."""
    turns = [math.pi / 2 * i / parts for i in range(parts + 1)]
    arc = [(10 - radius + radius * math.cos(a), 10 - radius + radius * math.sin(a)) for a in turns]
    return [(0, 0), (10, 0), *arc, (0, 10)]


def stepped(rise: float) -> Corners:
    return [(0, 0), (20, 0), (20, 12 + rise), (10, 12 + rise), (10, 12), (0, 12)]


def slotted(width: float) -> Corners:
    return [(0, 0), (5, 0), (5, 3), (5 + width, 3), (5 + width, 0), (12, 0), (12, 12), (0, 12)]


def tongued(width: float, length: float = 3) -> Corners:
    end = 10 + length
    return [(0, 0), (10, 0), (10, 5), (end, 5), (end, 5 + width), (10, 5 + width), (10, 10), (0, 10)]


def necked(width: float) -> Corners:
    """Two floors joined by a strip between slots from both sides."""
    far = 3 + width
    left, right = [(0, 0), (5, 0), (5, 3)], [(8, 3), (8, 0), (12, 0), (12, 9), (8, 9), (8, far)]
    return [*left, *right, (5, far), (5, 9), (0, 9)]


def diagonal(width: float) -> Corners:
    """Two squares that hold together at a corner, so wide along each axis."""
    low = 10 - width
    return [(0, 0), (10, 0), (10, low), (20, low), (20, 20), (low, 20), (low, 10), (0, 10)]


def notched(width: float, depth: float) -> Corners:
    return [(0, 0), (10, 0), (10, 10 - depth), (10 - width, 10 - depth), (10 - width, 10), (0, 10)]


TAKEN: dict[str, Corners] = {
    "sixty corners round a circle": ring(60, 6, 8, 8),
    "sixty corners round a small circle": ring(60, 2, 8, 8),
    "star of sixty corners": ring(60, 14, 14, 14, 0.9),
    "rounded corner": rounded(1, 8),
    "corner rounded to six inches": rounded(0.5, 6),
    "corner clipped by two inches": [(0, 0), (10, 0), (10, 10 - 2 * IN), (10 - 2 * IN, 10), (0, 10)],
    "corner clipped at 45 degrees": [(0, 0), (24, 0), (24, 8), (20, 12), (0, 12)],
    "sharp corner clipped by four inches": [(0, 0), (20, 0), (1 / 3, 20 - 1 / 3), (0, 20 - 1 / 3)],
    "corner of six degrees": [(0, 0), (60, 0), (60, 6.3)],
    "step of an inch": stepped(IN),
    "step of three inches": stepped(3 * IN),
    "notch of two inches": notched(2 * IN, 2 * IN),
    "notch for a post": notched(5.5 * IN, 5.5 * IN),
    "slot round a fin of wall": slotted(4 * IN),
    "slot of an inch": slotted(IN),
    "tongue of six inches": tongued(0.5),
    "neck of six inches": necked(0.5),
    "notch that runs to a point": [(0, 0), (12, 0), (12, 12), (7, 12), (6, 1), (5, 12), (0, 12)],
    "wrapped round a corner of the house": [(0, 0), (20, 0), (20, -15), (32, -15), (32, 12), (0, 12)],
}

REFUSED: dict[str, tuple[Corners, str, str]] = {
    "figure of eight": ([(0, 0), (8, 8), (8, 0), (0, 8)], "outline_crosses_itself", OUTLINE),
    "pentagram": (
        [ring(5, 10, 10, 10)[2 * i % 5] for i in range(5)],
        "outline_crosses_itself",
        OUTLINE,
    ),
    "crossing by an eighth": (diagonal(-SAME_FT), "outline_crosses_itself", OUTLINE),
    "one corner again and again": ([(0, 0)] * 60, "outline_repeats_point", f"{OUTLINE}/1"),
    "corner a sixteenth from another": (
        [(0, 0), (12, 0), (12, 9), (12 - IN / 16, 9), (0, 9)],
        "outline_repeats_point",
        f"{OUTLINE}/3",
    ),
    "all in one line": ([(float(x), 0) for x in range(9)], "outline_crosses_itself", OUTLINE),
    "hole reached by a seam": (
        [
            (0, 0),
            (12, 0),
            (12, 9),
            (0, 9),
            (0, 6.02),
            *[(4, 6.02), (4, 8), (8, 8), (8, 4), (4, 4)],
            (4, 6),
            (0, 6),
        ],
        "outline_sliver",
        OUTLINE,
    ),
    "edge of half an inch": (
        [(0, 0), (12, 0), (12, 9), (6 + IN / 2, 9), (6, 9), (0, 9)],
        "outline_sliver",
        f"{OUTLINE}/3",
    ),
    "strip of five inches": ([(0, 0), (20, 0), (20, 5 * IN), (0, 5 * IN)], "outline_sliver", f"{OUTLINE}/0"),
    "tongue of five inches": (tongued(5 * IN), "outline_sliver", f"{OUTLINE}/3"),
    "bump of four inches": (tongued(4 * IN, 2 * IN), "outline_sliver", f"{OUTLINE}/3"),
    "neck of five inches": (necked(5 * IN), "outline_sliver", f"{OUTLINE}/2"),
    "neck at a corner": (diagonal(2 * IN), "outline_sliver", f"{OUTLINE}/2"),
    "notch almost through": (
        [(0, 0), (12, 0), (12, 12), (7, 12), (6, 0.3), (5, 12), (0, 12)],
        "outline_sliver",
        f"{OUTLINE}/4",
    ),
}


@pytest.mark.parametrize("name", TAKEN)
def test_outline_that_can_be_built_is_taken(name: str) -> None:
    assert found(spec(outlined(*TAKEN[name]))) == []


@pytest.mark.parametrize("name", REFUSED)
def test_outline_that_cannot_be_built_is_refused_at_its_place(name: str) -> None:
    corners, code, pointer = REFUSED[name]
    assert found(spec(outlined(*corners))) == [(code, pointer)]


@pytest.mark.parametrize("name", [*TAKEN, *REFUSED])
def test_outline_is_judged_alike_however_it_lies_and_is_written(name: str) -> None:
    """Turned, mirrored, moved, begun elsewhere, the other way round: the same code, or none."""
    corners = TAKEN[name] if name in TAKEN else REFUSED[name][0]
    for step in range(20):
        codes = [code for code, _ in found(spec(outlined(*_moved(corners, step))))]
        assert codes == ([] if name in TAKEN else [REFUSED[name][1]])


def _moved(corners: Corners, step: int) -> Corners:
    turn, mirror = 0.3 * step, (-1) ** step
    moved = [
        (
            mirror * (x * math.cos(turn) - y * math.sin(turn)) + 8.1 * step,
            x * math.sin(turn) + y * math.cos(turn) - 4.7 * step,
        )
        for x, y in corners
    ]
    first = step % len(moved)
    return (moved[first:] + moved[:first])[:: (-1) ** (step // 2)]


def test_outline_faults_say_what_would_do() -> None:
    least = {
        name: faults(spec(outlined(*REFUSED[name][0])))[0].allowed
        for name in ("neck of five inches", "edge of half an inch", "hole reached by a seam")
    }
    assert [one.min if one else None for one in least.values()] == [0.5, 0.0833, 0.0833]


MALFORMED: dict[str, tuple[Any, str, str]] = {
    "two corners": ([[0, 0], [8, 0]], "too_few", OUTLINE),
    "sixty-one corners": (ring(61, 12, 12, 12), "too_many", OUTLINE),
    "four hundred corners": (ring(400, 12, 12, 12), "too_many", OUTLINE),
    "a million feet": ([[0, 0], [1e6, 0], [0, 8]], "out_of_range", f"{OUTLINE}/1/0"),
    "1e9": ([[0, 0], [8, 0], [8, 1e9]], "out_of_range", f"{OUTLINE}/2/1"),
    "as far as a double goes": ([[1.7e308, -1.7e308], [8, 0], [8, 8]], "out_of_range", f"{OUTLINE}/0/1"),
    "three coordinates": ([[0, 0], [8, 0, 0], [8, 8]], "too_many", f"{OUTLINE}/1"),
    "one coordinate": ([[0, 0], [8], [8, 8]], "too_few", f"{OUTLINE}/1"),
    "lists in lists": ([[[0, 0]], [8, 0], [8, 8]], "wrong_type", f"{OUTLINE}/0/0"),
    "nested deep": (json.loads("[" * 20 + "]" * 20), "wrong_type", f"{OUTLINE}/0/0"),
    "points as objects": ([{"x": 0, "y": 0}, [8, 0], [8, 8]], "wrong_type", f"{OUTLINE}/0"),
    "words": ([["0", "0"], [8, 0], [8, 8]], "wrong_type", f"{OUTLINE}/0/0"),
    "truth": ([[True, False], [8, 0], [8, 8]], "wrong_type", f"{OUTLINE}/0/1"),
    "a null corner": ([None, [8, 0], [8, 8]], "wrong_type", f"{OUTLINE}/0"),
    "no list": ({"0": [0, 0]}, "wrong_type", OUTLINE),
}


@pytest.mark.parametrize("name", MALFORMED)
def test_outline_out_of_form_is_refused_at_its_place(name: str) -> None:
    outline, code, pointer = MALFORMED[name]
    assert (code, pointer) in found(spec({"outline_ft": outline, "surface_height_in": 34}))


@pytest.mark.parametrize("number", ["NaN", "Infinity", "-Infinity", "1e400", "9" * 400])
def test_outline_of_no_number_is_no_json(number: str) -> None:
    body = json.dumps(spec(outlined((0, 0), (8, 0), (8, 777)))).replace("777", number)
    with pytest.raises(Rejected, match="not_json"):
        deck_spec(body.encode())


@pytest.mark.filterwarnings("error")
@pytest.mark.parametrize("far", [1e9, -1e9, 1.7e308])
def test_far_coordinates_are_refused_wherever_they_stand(far: float) -> None:
    """No geometry is tried on them, so none can overflow."""
    given = spec(
        level(),
        outlined(*L_SHAPE, id="b", origin_ft=[far, far]),
        level(id="c", width_ft=abs(far)),
        heavy_objects=[tub(x_ft=far, y_ft=far, width_ft=abs(far)), tub(x_ft=far, width_ft=abs(far))],
        stairs=[{"edge": 2, "offset_ft": abs(far), "width_in": abs(far)}],
    )
    assert [pointer for code, pointer in found(given) if code == "out_of_range"] == [
        "/levels/1/origin_ft/0", "/levels/1/origin_ft/1", "/levels/2/width_ft", "/stairs/0/offset_ft",
        "/stairs/0/width_in", "/heavy_objects/0/x_ft", "/heavy_objects/0/y_ft", "/heavy_objects/0/width_ft",
        "/heavy_objects/1/x_ft", "/heavy_objects/1/width_ft",
    ]  # fmt: skip
    assert [pointer for code, pointer in found(given) if code == "object_off_level"] == [
        "/heavy_objects/0",
        "/heavy_objects/1",
    ]


def test_the_most_that_is_taken_is_taken() -> None:
    """Four levels of sixty corners with every wall and object there is room for: the limits bound the work."""
    levels = [outlined(*ring(60, 11.9, 12, 12, 0.95), id=f"l{n}", origin_ft=[n * 23.8, 0]) for n in range(4)]
    walls = [{"level": f"l{n // 4}", "edge": 45 + n % 4, "wall": "wood_band"} for n in range(16)]
    small = {"y_ft": 8, "width_ft": 4, "length_ft": 4}
    objects = [tub(level=f"l{n // 2}", x_ft=8 + 5 * (n % 2), **small) for n in range(8)]
    assert found(spec(*levels, house={"edge_walls": walls}, heavy_objects=objects)) == []
    for more in ({"levels": [*levels, levels[0]]}, {"heavy_objects": [*objects, objects[0]]}):
        assert found(spec(*levels) | more) == [("too_many", f"/{next(iter(more))}")]
    more_walls = {"edge_walls": [*walls, walls[0]]}
    assert found(spec(*levels, house=more_walls)) == [("too_many", "/house/edge_walls")]

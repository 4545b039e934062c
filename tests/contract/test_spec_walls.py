"""How levels lie to each other and to the house: what joins, what contradicts, and which edges are at a wall."""

from __future__ import annotations

import json
from typing import Any

import msgspec
import pytest
from context import AS_OF, places, rulebooks

from service.contract.faults import deck_spec
from service.contract.plan import SAME_FT, edges_at_walls
from service.contract.spec import DeckSpec
from service.framing.sides import level_outline
from service.sizing.resolve import resolve_spec
from tests.contract.fault_bodies import L_SHAPE, faults, found, level, outlined, spec, tub

IN = 1 / 12
WRAP = ((0, 0), (20, 0), (20, -15), (32, -15), (32, 12), (0, 12))
BAND = {"wall": "wood_band"}
SIDE_WALL = {**BAND, "edge_walls": [{"edge": 1, "wall": "brick_veneer"}]}


def beside(x: float, y: float, width: float = 8, projection: float = 8, **fields: Any) -> dict[str, Any]:
    return level(id="b", origin_ft=[x, y], width_ft=width, projection_ft=projection, **fields)


def stair(down_to: str = "grade", edge: int = 2, **fields: Any) -> dict[str, Any]:
    return {"edge": edge, "down_to": down_to} | fields


def read(given: dict[str, Any]) -> DeckSpec:
    return deck_spec(json.dumps(given).encode())


def resolved_of(given: DeckSpec) -> DeckSpec:
    return resolve_spec(given, rulebooks()["irc-2021"], places()["alder-county"], None, AS_OF)


TAKEN: dict[str, dict[str, Any]] = {
    "levels touch along an edge": spec(level(), beside(0, 12)),
    "levels touch at a corner": spec(level(), beside(16, 12)),
    "levels overlap by a tenth of an inch": spec(level(), beside(16 - 0.1 * IN, 2)),
    "level in a notch with a tenth of an inch to spare": spec(outlined(*L_SHAPE), beside(4.008, 4.008, 8, 8)),
    "level a foot away": spec(level(), beside(0, 13)),
    "each at the house, far apart": spec(level(), beside(60, 0)),
    "joined by way of another level": spec(level(), beside(0, 12), level(id="c", origin_ft=[0, 20])),
    "at another wall alone": spec(
        level(), beside(60, 40), house={"edge_walls": [{"level": "b", "edge": 1, "wall": "wood_band"}]}
    ),
    "in the yard with a stair to the ground": spec(level(), beside(0, 40), stairs=[stair(level="b")]),
    "no house at all": spec(level(), beside(0, 12), house={"wall": "none"}),
    "round a corner of the house": spec(outlined(*WRAP), house=SIDE_WALL),
    "round a corner of the house, side left open": spec(outlined(*WRAP)),
    "past a corner of the house": spec(
        outlined((20, -15), (32, -15), (32, 0), (20, 0)), house={"edge_walls": [{"edge": 3}]}
    ),
    "wrap in two levels, corner where the wall ends": spec(
        outlined((0, 0), (20, 0), (32, 0), (32, 12), (0, 12), house_edges=[0]), beside(20, -15, 12, 15)
    ),
    "wrap in two levels, wall none where it ends": spec(
        outlined((0, 0), (20, 0), (32, 0), (32, 12), (0, 12)),
        beside(20, -15, 12, 15),
        house={**BAND, "edge_walls": [{"edge": 1, "wall": "none"}]},
    ),
    "levels back to back where no house is": spec(level(), beside(0, -8), house={"wall": "none"}),
    "floor on both sides of a fin of wall": spec(
        outlined((0, 0), (5, 0), (5, 4), (5.5, 4), (5.5, 0), (12, 0), (12, 12), (0, 12)),
        house={**BAND, "edge_walls": [{"edge": number, "wall": "brick_veneer"} for number in (1, 2, 3)]},
    ),
    "acute corner of the house": spec(
        outlined((0, 0), (20, 0), (12, -15), (32, -15), (32, 12), (0, 12)), house=SIDE_WALL
    ),
    "stair where an edge is not at the house": spec(
        stairs=[stair(edge=0)], house={**BAND, "edge_walls": [{"edge": 0, "wall": "none"}]}
    ),
    "stair where a house edge is named but no house is": spec(
        level(house_edges=[0]), stairs=[stair(edge=0)], house={"wall": "none"}
    ),
    "stair towards the yard on the wall line": spec(
        outlined((20, -15), (32, -15), (32, 0), (20, 0)), stairs=[stair(edge=2)], house=BAND
    ),
    "object in a notch of the outline": spec(
        outlined(*L_SHAPE), heavy_objects=[tub(x_ft=0, y_ft=5, width_ft=4, length_ft=7)]
    ),
    "object a tenth of an inch over the edge": spec(heavy_objects=[tub(x_ft=9 + 0.1 * IN)]),
    "objects side by side": spec(level(width_ft=30), heavy_objects=[tub(x_ft=1), tub(x_ft=8)]),
    "objects in one place of two levels": spec(
        level(id="main"),
        beside(0, 12, 16, 12),
        heavy_objects=[tub(), tub(level="b")],
    ),
    "object before a stair": spec(heavy_objects=[tub(y_ft=5)], stairs=[stair(offset_ft=3)]),
    "object left of the level's own origin": spec(
        outlined((-16, 0), (0, 0), (0, 12), (-16, 12)), heavy_objects=[tub(x_ft=-9)]
    ),
}

REFUSED: dict[str, tuple[dict[str, Any], list[tuple[str, str]]]] = {
    "levels overlap by a quarter inch": (
        spec(level(), beside(16 - 0.25 * IN, 2)),
        [("levels_overlap", "/levels/1")],
    ),
    "one level within another": (spec(level(), beside(2, 2)), [("levels_overlap", "/levels/1")]),
    "level larger than the notch": (
        spec(outlined(*L_SHAPE), beside(3.9, 3.9, 8, 8)),
        [("levels_overlap", "/levels/1")],
    ),
    "third over both others": (
        spec(level(), beside(16, 0), level(id="c", origin_ft=[10, 5])),
        [("levels_overlap", "/levels/2"), ("levels_overlap", "/levels/2")],
    ),
    "level thirteen inches away": (spec(level(), beside(0, 12 + 13 * IN)), [("level_floats", "/levels/1")]),
    "two levels joined to nothing but each other": (
        spec(level(), beside(0, 40), level(id="c", origin_ft=[0, 48])),
        [("level_floats", "/levels/1"), ("level_floats", "/levels/2")],
    ),
    "two levels with stairs to each other only": (
        spec(
            level(),
            beside(0, 40),
            level(id="c", origin_ft=[0, 80], surface_height_in=12),
            stairs=[stair("c", level="b")],
        ),
        [("level_floats", "/levels/1"), ("level_floats", "/levels/2")],
    ),
    "floats where no house is": (
        spec(level(), beside(0, 40), house={"wall": "none"}),
        [("level_floats", "/levels/1")],
    ),
    "its wall is none": (
        spec(level(), beside(60, 0), house={"edge_walls": [{"level": "b", "edge": 0, "wall": "none"}]}),
        [("level_floats", "/levels/1")],
    ),
    "wall goes on past the corner of the house": (
        spec(outlined((0, 0), (32, 0), (32, 12), (0, 12)), beside(20, -15, 12, 15)),
        [("floor_behind_wall", "/levels/0/house_edges")],
    ),
    "the same, by name": (
        spec(level(width_ft=32, house_edges=[0]), beside(20, -15, 12, 15), house=BAND),
        [("floor_behind_wall", "/levels/0/house_edges/0")],
    ),
    "the same, as another wall": (
        spec(
            level(width_ft=32),
            beside(20, -15, 12, 15),
            house={**BAND, "edge_walls": [{"edge": 3}, {"edge": 0, "wall": "wood_band"}]},
        ),
        [("floor_behind_wall", "/house/edge_walls/1/edge")],
    ),
    "wall between two levels": (
        spec(level(), beside(16, 0), house={**BAND, "edge_walls": [{"edge": 1, "wall": "wood_band"}]}),
        [("floor_behind_wall", "/house/edge_walls/0/edge")],
    ),
    "wall within a slot of its own level": (
        spec(
            outlined((0, 0), (5, 0), (5, 4), (5.2, 4), (5.2, 0), (12, 0), (12, 12), (0, 12)),
            house={**BAND, "edge_walls": [{"edge": 1, "wall": "brick_veneer"}]},
        ),
        [("floor_behind_wall", "/house/edge_walls/0/edge")],
    ),
    "house edge with the floor behind the wall line": (
        spec(level(origin_ft=[0, -12], house_edges=[2])),
        [("house_edge_not_on_wall", "/levels/0/house_edges/0")],
    ),
    "house edge off the wall line by a quarter inch": (
        spec(level(origin_ft=[0, 0.25 * IN], house_edges=[0])),
        [("house_edge_not_on_wall", "/levels/0/house_edges/0")],
    ),
    "edge wall twice": (
        spec(house={"edge_walls": [{"edge": 3, "wall": "none"}, {"edge": 3, "wall": "wood_band"}]}),
        [("edge_wall_repeated", "/house/edge_walls/1/edge")],
    ),
    "house edge and edge wall beyond the outline": (
        spec(outlined(*WRAP, house_edges=[0, 6]), house={"edge_walls": [{"edge": 6}]}),
        [
            ("edge_out_of_range", "/levels/0/house_edges/1"),
            ("edge_out_of_range", "/house/edge_walls/0/edge"),
        ],
    ),
    "stair on another wall": (
        spec(outlined(*WRAP), stairs=[stair(edge=1)], house=SIDE_WALL),
        [("stair_on_house_edge", "/stairs/0/edge")],
    ),
    "object over a reflex corner": (
        spec(outlined(*WRAP), heavy_objects=[tub(x_ft=15, y_ft=-2, width_ft=8, length_ft=4)]),
        [("object_off_level", "/heavy_objects/0")],
    ),
    "object over a clipped corner": (
        spec(outlined((0, 0), (24, 0), (24, 8), (20, 12), (0, 12)), heavy_objects=[tub(x_ft=17, y_ft=5)]),
        [("object_off_level", "/heavy_objects/0")],
    ),
    "one object within another": (
        spec(heavy_objects=[tub(), tub(kind="other", x_ft=10, y_ft=4, width_ft=1, length_ft=1)]),
        [("objects_overlap", "/heavy_objects/1")],
    ),
    "objects overlap by a quarter inch": (
        spec(level(width_ft=30), heavy_objects=[tub(x_ft=1), tub(x_ft=8 - 0.25 * IN)]),
        [("objects_overlap", "/heavy_objects/1")],
    ),
}


@pytest.mark.parametrize("name", TAKEN)
def test_levels_that_go_together_are_taken(name: str) -> None:
    assert found(TAKEN[name]) == []


@pytest.mark.parametrize("name", REFUSED)
def test_levels_that_contradict_are_refused_at_their_place(name: str) -> None:
    given, expected = REFUSED[name]
    assert found(given) == expected


@pytest.mark.parametrize("name", TAKEN)
def test_the_frame_and_the_faults_know_the_same_edges_at_walls(name: str) -> None:
    taken = read(TAKEN[name])
    for one in taken.levels:
        sides = level_outline(taken, one).sides
        framed = {part.number for side in sides if side.on_house for part in side.parts}
        assert framed == edges_at_walls(one, taken.house)


AT_WALLS: dict[str, tuple[dict[str, Any], list[int]]] = {
    "default": (spec(house=BAND), [0]),
    "named none": (spec(level(house_edges=[]), house=BAND), []),
    "near the line": (spec(level(origin_ft=[0, SAME_FT / 2]), house=BAND), [0]),
    "round a corner": (spec(outlined(*WRAP), house=SIDE_WALL), [0, 1]),
    "the other way round": (spec(outlined(*reversed(WRAP)), house=BAND), [4]),
    "floor behind the line": (spec(outlined((20, -15), (32, -15), (32, 0), (20, 0)), house=BAND), []),
    "unnamed": (spec(house={**BAND, "edge_walls": [{"edge": 0, "wall": "none"}]}), []),
    "no house, another wall": (
        spec(level(house_edges=[0]), house={"wall": "none", "edge_walls": [{"edge": 2}]}),
        [2],
    ),
}


@pytest.mark.parametrize("name", AT_WALLS)
def test_edges_at_walls(name: str) -> None:
    given, expected = AT_WALLS[name]
    taken = read(given)
    assert sorted(edges_at_walls(taken.levels[0], taken.house)) == expected


@pytest.mark.parametrize("name", [*TAKEN, *AT_WALLS])
def test_resolved_spec_is_taken_again_and_keeps_every_shape(name: str) -> None:
    """Only house_edges left open are filled in, and with the edges they stood for."""
    sent = read(TAKEN[name] if name in TAKEN else AT_WALLS[name][0])
    resolved = resolved_of(sent)
    again = deck_spec(msgspec.json.encode(resolved))
    assert resolved_of(again) == resolved
    assert (again.house, again.stairs, again.heavy_objects) == (sent.house, sent.stairs, sent.heavy_objects)
    for one, as_sent in zip(again.levels, sent.levels, strict=True):
        assert edges_at_walls(one, again.house) == edges_at_walls(as_sent, sent.house)
        assert msgspec.structs.replace(one, house_edges=as_sent.house_edges) == as_sent


def test_resolved_spec_keeps_the_ground() -> None:
    points = [{"x_ft": x, "y_ft": x * x, "grade_in": -x} for x in (0, 1, 2)]
    lines = [{"side": "rear", "distance_from_house_ft": 45, "setback_ft": 20}]
    sent = read(spec(site={"grade_points": points, "property_lines": lines, "water_table_depth_in": 90}))
    site = resolved_of(sent).site
    assert (site.grade_points, site.property_lines) == (sent.site.grade_points, sent.site.property_lines)
    falling = read(spec(site={"grade_fall_x_in_per_ft": -1, "grade_fall_y_in_per_ft": 2}))
    site = resolved_of(falling).site
    assert (site.grade_fall_x_in_per_ft, site.grade_fall_y_in_per_ft, site.grade_points) == (-1, 2, None)


def test_object_off_its_level_says_where_it_stands() -> None:
    """Its corner is the one nearest the level's origin, which a caller may have read the other way."""
    given = spec(outlined((-16, 0), (0, 0), (0, 12), (-16, 12)), heavy_objects=[tub(x_ft=-12)])
    assert "from x -12 to -19, y 2 to 9 ft" in faults(given)[0].detail

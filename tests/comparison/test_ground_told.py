"""The filled ground a report tells is that its footings are judged by.

Widths by 29 CFR 1926 Subpart P Appendix B (type B: 1 ft out for each foot up) and 2 ft of working room, as in
`test_backfill`; the zone at the frost line is a convention of this service.
"""

from __future__ import annotations

from typing import Any

import pytest
from context import AS_OF, NOWHERE, context, designed, facts, spec_of
from deck_strategy import decks
from hypothesis import given, settings
from hypothesis import strategies as st
from properties.outlines import NAMES, outline_case
from shapely import Point as Place
from shapely import Polygon

from service.contract.report import DesignReport
from service.contract.report_ground import Footing, Ground
from service.contract.spec import DeckSpec
from service.foundations.backfill import beside_house
from service.foundations.ground_told import ground_told
from service.framing.ground import grade_of
from service.framing.sides import level_outline
from service.framing.walls import wall_distance_ft, walls_of
from service.sizing.criteria import Criteria
from service.sizing.resolve import criteria_of, resolve_spec

HOUSE = {"wall": "wood_band", "foundation_depth_in": 96, "excavation_slope": "type_b"}
# 8 ft deep at 1:1 with 24 in at the floor: 120 in at the surface, 88 in at frost 32 in down
AT_FROST_FT, AT_SURFACE_IN, AT_FLOOR_IN = 88 / 12, 120.0, 24.0
ROUNDED_FT = 0.03  # arcs are told as polygons


def judged(spec: DeckSpec) -> tuple[DeckSpec, Criteria]:
    where = context()
    resolved = resolve_spec(spec, where.rulebook, None, None, AS_OF)
    return resolved, criteria_of(resolved, where.rulebook, where.guide, None, where.timber)


def told(house: dict[str, Any], *outlines: Any, **site: Any) -> Ground:
    levels = [
        {"id": f"l{n}", "outline_ft": one, "surface_height_in": 40, "origin_ft": [0, 0]}
        for n, one in enumerate(outlines)
    ]
    spec = spec_of(house=house, levels=levels, site={**NOWHERE, "frost_depth_in": 32, **site})
    return ground_told(*judged(spec), facts())


def test_before_one_wall() -> None:
    found = told(HOUSE, [[0, 0], [16, 0], [16, 12], [0, 12]])
    assert (found.frost_depth_in, found.grade_at_house_in, found.house_footing_depth_in) == (32, 0, 96)
    assert (found.backfill_top_width_in, found.backfill_floor_width_in) == (AT_SURFACE_IN, AT_FLOOR_IN)
    (zone,) = found.backfill_zones_ft
    past = 2 + AT_FROST_FT
    assert Polygon(zone).bounds == pytest.approx((-past, 0, 16 + past, AT_FROST_FT))
    assert Polygon(zone).area == pytest.approx((16 + 2 * past) * AT_FROST_FT)


def test_beside_a_wing_two_zones_meet_in_the_corner() -> None:
    wing = {**HOUSE, "edge_walls": [{"level": "l0", "edge": 3, "wall": "wood_band"}]}
    zones = told(wing, [[0, 0], [16, 0], [16, 12], [0, 12]]).backfill_zones_ft
    front, side = (Polygon(zone) for zone in zones)
    # neither reaches into the house behind the other's wall
    assert front.bounds[:2] == pytest.approx((0, 0))
    assert side.bounds[:2] == pytest.approx((0, 0))
    assert front.intersection(side).area == pytest.approx(AT_FROST_FT**2)


def test_round_a_corner_of_the_house_the_zone_goes_round_it() -> None:
    wrap = {**HOUSE, "edge_walls": [{"level": "l0", "edge": 1, "wall": "wood_band"}]}
    zones = told(wrap, [[0, 0], [16, 0], [16, -10], [24, -10], [24, 12], [0, 12]]).backfill_zones_ft
    dug = [Polygon(zone) for zone in zones]
    off = AT_FROST_FT / 2**0.5  # off the corner the edge of the hole is as far from it as before the walls
    assert any(one.contains(Place(16 + off - ROUNDED_FT, off - ROUNDED_FT)) for one in dug)
    assert not any(one.contains(Place(16 + off + ROUNDED_FT, off + ROUNDED_FT)) for one in dug)


@pytest.mark.parametrize("turned", [False, True], ids=["right end", "left end"])
def test_past_the_end_of_a_wall_the_zone_goes_round_it(turned: bool) -> None:
    # the outline goes straight on past x = 10 with an open side: there the house ends
    corners = [[0, 0], [10, 0], [16, 0], [16, 12], [0, 12]]
    outline = [[-x, y] for x, y in corners][::-1] if turned else corners
    edge = 3 if turned else 0
    spec = spec_of(
        house=HOUSE, site={**NOWHERE, "frost_depth_in": 32},
        levels=[{"outline_ft": outline, "surface_height_in": 40, "house_edges": [edge]}],
    )  # fmt: skip
    (zone,) = ground_told(*judged(spec), facts()).backfill_zones_ft
    way = -1 if turned else 1
    ends = Polygon(zone).bounds
    assert way * (ends[0] if turned else ends[2]) == pytest.approx(10 + AT_FROST_FT)
    assert ends[1] == pytest.approx(-AT_FROST_FT)
    assert not Polygon(zone).contains(Place(way * 9.9, -0.1))


def test_two_levels_on_one_wall_have_one_zone() -> None:
    found = told(HOUSE, [[0, 0], [8, 0], [8, 12], [0, 12]], [[10, 0], [20, 0], [20, 8], [10, 8]])
    assert len(found.backfill_zones_ft) == 1


def test_where_the_ground_falls_the_zone_is_narrower() -> None:
    # y = w(frost - g) with g = -y in: y ft = (24 + 96 - 32 - y) / 12, so y = 88 / 13
    (zone,) = told(HOUSE, [[0, 0], [16, 0], [16, 12], [0, 12]], grade_fall_y_in_per_ft=1.0).backfill_zones_ft
    assert Polygon(zone).bounds[3] == pytest.approx(88 / 13, abs=1e-3)


@pytest.mark.parametrize(
    ("house", "depth_in"),
    [
        ({"wall": "wood_band"}, None),
        ({**HOUSE, "wall": "none"}, None),
        ({**HOUSE, "foundation_depth_in": 30}, 30),
    ],
    ids=["depth unknown", "no house", "frost below the house footing"],
)
def test_no_zone(house: dict[str, Any], depth_in: float | None) -> None:
    found = told(house, [[0, 0], [16, 0], [16, 12], [0, 12]])
    assert found.backfill_zones_ft == ()
    assert found.house_footing_depth_in == depth_in
    assert (found.backfill_top_width_in is None) == (depth_in is None)


def _off_ft(ground: Ground, at: tuple[float, float], half_ft: float) -> float:
    """How far a footing is from the nearest zone; under 0 by how much it reaches into it."""
    return (
        min((Polygon(zone).distance(Place(at)) for zone in ground.backfill_zones_ft), default=1e3) - half_ft
    )


@pytest.mark.parametrize("seed", range(4 * len(NAMES)))
def test_places_on_any_level_ground_are_in_a_zone_where_footings_are_judged_so(seed: int) -> None:
    drawn = outline_case(seed).spec
    plain = spec_of(
        house={**_plain(drawn.house), "foundation_depth_in": 96}, site={**NOWHERE, "frost_depth_in": 32},
        levels=[_plain(level) for level in drawn.levels],
    )  # fmt: skip
    spec, criteria = judged(plain)
    ground, walls = ground_told(spec, criteria, facts()), walls_of(spec)
    floor = level_outline(spec, spec.levels[0]).polygon
    x0, y0, x1, y1 = floor.bounds
    said = set()
    for n in range(20):
        for m in range(20):
            at = (x0 + (x1 - x0) * n / 19, y0 + (y1 - y0) * m / 19)
            off = _off_ft(ground, at, 0.75)
            if not floor.covers(Place(at)) or abs(off) < ROUNDED_FT:
                continue
            beside = beside_house(
                criteria, facts(), wall_distance_ft(walls, *at), 9.0, grade_of(spec.site)(*at)
            )
            assert beside.in_zone == (off < 0), at
            said.add(beside.in_zone)
    assert said or drawn.house.wall == "none"


def _plain(struct: Any) -> dict[str, Any]:
    return {key: getattr(struct, key) for key in struct.__struct_fields__ if getattr(struct, key) is not None}


@settings(max_examples=6)
@given(decks(), st.sampled_from((36, 60, 96)))
def test_footings_of_any_deck_are_in_a_zone_where_they_say_so(deck: dict[str, Any], depth_in: float) -> None:
    spec = spec_of(**{**deck, "house": {**deck["house"], "foundation_depth_in": depth_in}})
    _check(designed(spec, context(None, deck["rulebook"], priced=False)))


@pytest.mark.parametrize("attachment", ["ledger", "freestanding"])
def test_footings_on_either_side_of_the_edge_of_a_zone(attachment: str) -> None:
    spec = spec_of(
        house={**HOUSE, "door_sill_height_in": 41.5, "rim_depth_in": 11.25},
        site={**NOWHERE, "grade_fall_y_in_per_ft": 0.5},
        levels=[{"width_ft": 16, "projection_ft": 14, "surface_height_in": 40}],
        framing={"attachment": attachment},
    )
    said = _check(designed(spec, context(priced=False)))
    assert said == ({False} if attachment == "ledger" else {True, False})


def _check(report: DesignReport) -> set[bool]:
    """What the footings of a deck say of themselves, each borne out by the zones."""
    said = set()
    for one in report.footings:
        if one.in_backfill_zone is not None:
            off = _off_ft(report.ground, (one.x_ft, one.y_ft), _half_ft(one))
            assert one.in_backfill_zone == (off < 0) or abs(off) < ROUNDED_FT, one.id
            said.add(one.in_backfill_zone)
    return said


def _half_ft(footing: Footing) -> float:
    return footing.width_in / 24

"""Every fault between fields of a deck spec can be reached, and names its place."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from service.contract.spec_stairs import StairLayoutSpec, stair_layout_faults
from service.contract.vocabulary import known
from tests.contract.fault_bodies import L_SHAPE, SQUARE, found, level, outlined, spec, tub

# these need stored rulebooks, jurisdictions and price books, or numbers JSON cannot carry
ELSEWHERE = {"unknown_rulebook", "unknown_jurisdiction", "unknown_price_book", "not_finite"}
# of price books: tests/contract/test_price_uploads.py, tests/integration/test_price_books_http.py
OF_UPLOADS = {"duplicate_line", "units_mixed", "unit_not_for_item", "not_this_book"}
OF_DRAFTS = {
    "duplicate_table", "rule_text", "duplicate_column", "key_column", "row_exists", "unknown_row", "unreadable_table",
}  # fmt: skip
STRUCTURAL = {
    "wrong_type",
    "unknown_field",
    "not_in_list",
    "bad_pattern",
    "too_long",
    "too_many",
    "too_few",
}


CASES: dict[str, tuple[dict[str, Any], str, str]] = {
    "no_jurisdiction": ({"levels": [level()]}, "missing", "/jurisdiction"),
    "no_jurisdiction_no_snow": (
        {"levels": [level()], "rulebook": "irc-2021", "site": {"frost_depth_in": 32}},
        "missing",
        "/jurisdiction",
    ),
    "no_size": (spec({"surface_height_in": 30}), "missing", "/levels/0/width_ft"),
    "half_a_size": (spec({"surface_height_in": 30, "width_ft": 9}), "missing", "/levels/0/projection_ft"),
    "two_sizes": (spec(outlined(*SQUARE, width_ft=8)), "both_given", "/levels/0/outline_ft"),
    "two_grades": (
        spec(
            site={
                "grade_fall_y_in_per_ft": 1,
                "grade_points": [{"x_ft": x, "y_ft": x * x, "grade_in": 0} for x in (0, 1, 2)],
            }
        ),
        "both_given",
        "/site/grade_points",
    ),
    "grade_points_in_line": (
        spec(site={"grade_points": [{"x_ft": x, "y_ft": 3 * x, "grade_in": -x} for x in (0, 1, 2, 40)]}),
        "grade_points_in_line",
        "/site/grade_points",
    ),
    "grade_points_at_two_places": (
        spec(site={"grade_points": [{"x_ft": x, "y_ft": 0, "grade_in": -x} for x in (0, 1, 1)]}),
        "grade_points_in_line",
        "/site/grade_points",
    ),
    "grade_points_differ": (
        spec(
            site={
                "grade_points": [
                    {"x_ft": x, "y_ft": y, "grade_in": z}
                    for x, y, z in ((0, 0, 0), (9, 0, -3), (0, 9, -3), (9, 0.01, -4))
                ]
            }
        ),
        "grade_points_differ",
        "/site/grade_points/3",
    ),
    "area": (spec(level(width_ft=100, projection_ft=51)), "out_of_range", "/levels/0"),
    "outline_area": (
        spec(outlined((0, 0), (80, 0), (80, 80), (0, 80))),
        "out_of_range",
        "/levels/0",
    ),
    "solid_beam_of_two_plies": (
        spec(framing={"beam_size": "4x8", "beam_plies": 2}),
        "out_of_range",
        "/framing/beam_plies",
    ),
    "as_of": (spec(as_of="2014-12-31"), "date_out_of_range", "/as_of"),
    "start": (spec(schedule={"start_date": "2100-01-01"}), "date_out_of_range", "/schedule/start_date"),
    "closed": (
        spec(schedule={"closed_days": ["2027-01-01", "1999-01-01"]}),
        "date_out_of_range",
        "/schedule/closed_days/1",
    ),
    "duplicate_id": (spec(level(), level(origin_ft=[16, 0])), "duplicate_id", "/levels/1/id"),
    "reserved_id": (spec(level(id="grade")), "reserved_id", "/levels/0/id"),
    "bow_tie": (
        spec(outlined((0, 0), (8, 8), (8, 0), (0, 8))),
        "outline_crosses_itself",
        "/levels/0/outline_ft",
    ),
    "fold": (
        spec(outlined((0, 0), (8, 0), (4, 0), (4, 8))),
        "outline_crosses_itself",
        "/levels/0/outline_ft",
    ),
    "touch": (
        spec(outlined((0, 0), (8, 0), (8, 8), (4, 0), (0, 8))),
        "outline_crosses_itself",
        "/levels/0/outline_ft",
    ),
    "closed_ring": (spec(outlined(*SQUARE, (0, 0))), "outline_repeats_point", "/levels/0/outline_ft/4"),
    "sliver_corner": (spec(outlined((0, 0), (60, 0), (60, 4))), "outline_sliver", "/levels/0/outline_ft/0"),
    "sliver_area": (
        spec(outlined((0, 0), (1, 0), (1, 1), (0, 1))),
        "outline_sliver",
        "/levels/0/outline_ft",
    ),
    "flat_triangle": (spec(outlined((0, 0), (8, 0), (4, 0))), "outline_sliver", "/levels/0/outline_ft/0"),
    "cross_through_corners": (
        spec(
            outlined((4, 0), (8, 4), (4, 8), (0, 4)),
            outlined((4, -2), (12, 4), (4, 10), (4, 8), (8, 4), (4, 0), id="ring"),
            outlined((4, 0), (4, 8), (3, 9), (3, -1), id="cut"),
        ),
        "levels_overlap",
        "/levels/2",
    ),
    "house_edge_number": (spec(level(house_edges=[4])), "edge_out_of_range", "/levels/0/house_edges/0"),
    "stair_edge_number": (spec(stairs=[{"edge": 4}]), "edge_out_of_range", "/stairs/0/edge"),
    "wall_edge_number": (
        spec(house={"edge_walls": [{"edge": 9}]}),
        "edge_out_of_range",
        "/house/edge_walls/0/edge",
    ),
    "house_edge": (spec(level(house_edges=[0, 2])), "house_edge_not_on_wall", "/levels/0/house_edges/1"),
    "house_edge_behind_the_wall_line": (
        spec(outlined((20, -15), (32, -15), (32, 0), (20, 0), house_edges=[2])),
        "house_edge_not_on_wall",
        "/levels/0/house_edges/0",
    ),
    "edge_wall_twice": (
        spec(house={"edge_walls": [{"edge": 1, "wall": "wood_band"}, {"edge": 3}, {"edge": 1}]}),
        "edge_wall_repeated",
        "/house/edge_walls/2/edge",
    ),
    "floor_behind_a_wall": (
        spec(level(width_ft=32), level(id="b", origin_ft=[20, -15], width_ft=12, projection_ft=15)),
        "floor_behind_wall",
        "/levels/0/house_edges",
    ),
    "overlap": (spec(level(), level(id="b", origin_ft=[15, 0])), "levels_overlap", "/levels/1"),
    "same_place": (spec(level(), level(id="b")), "levels_overlap", "/levels/1"),
    "cross": (
        spec(level(), level(id="b", origin_ft=[4, -4], width_ft=4, projection_ft=20)),
        "levels_overlap",
        "/levels/1",
    ),
    "bar_across": (
        spec(level(), level(id="b", origin_ft=[1, -40], width_ft=2, projection_ft=54)),
        "levels_overlap",
        "/levels/1",
    ),
    "floats": (spec(level(), level(id="b", origin_ft=[0, 40])), "level_floats", "/levels/1"),
    "stair_level": (spec(stairs=[{"level": "b", "edge": 2}]), "unknown_level", "/stairs/0/level"),
    "stair_down": (spec(stairs=[{"edge": 2, "down_to": "b"}]), "unknown_level", "/stairs/0/down_to"),
    "object_level": (spec(heavy_objects=[tub(level="b")]), "unknown_level", "/heavy_objects/0/level"),
    "wall_level": (
        spec(house={"edge_walls": [{"level": "b", "edge": 1}]}),
        "unknown_level",
        "/house/edge_walls/0/level",
    ),
    "stair_offset": (spec(stairs=[{"edge": 2, "offset_ft": 13.1}]), "stair_off_edge", "/stairs/0/offset_ft"),
    "stair_width": (spec(stairs=[{"edge": 1, "width_in": 145}]), "stair_off_edge", "/stairs/0/width_in"),
    "stairs_overlap": (
        spec(stairs=[{"edge": 2, "offset_ft": 5}, {"edge": 2, "offset_ft": 2.5}]),
        "stairs_overlap",
        "/stairs/1/offset_ft",
    ),
    "object": (spec(heavy_objects=[tub(x_ft=9.1)]), "object_off_level", "/heavy_objects/0"),
    "object_over_a_corner": (
        spec(outlined(*L_SHAPE), heavy_objects=[tub(x_ft=1, y_ft=1, width_ft=4, length_ft=4)]),
        "object_off_level",
        "/heavy_objects/0",
    ),
    "object_over_a_notch": (
        spec(
            outlined((0, 0), (3, 0), (3.5, 2), (4, 0), (12, 0), (12, 12), (0, 12)),
            heavy_objects=[tub(x_ft=0, y_ft=0, width_ft=10, length_ft=4)],
        ),
        "object_off_level",
        "/heavy_objects/0",
    ),
    "objects_overlap": (
        spec(level(width_ft=30), heavy_objects=[tub(), tub(x_ft=20), tub(kind="planter", x_ft=14.9, y_ft=4)]),
        "objects_overlap",
        "/heavy_objects/2",
    ),
    "stair_to_itself": (
        spec(stairs=[{"edge": 2, "down_to": "main"}]),
        "stair_to_itself",
        "/stairs/0/down_to",
    ),
    "stair_goes_up": (
        spec(
            level(),
            level(id="upper", origin_ft=[0, 12], surface_height_in=60),
            stairs=[{"edge": 2, "down_to": "upper"}],
        ),
        "stair_goes_up",
        "/stairs/0/down_to",
    ),
    "stair_on_house": (spec(stairs=[{"edge": 0}]), "stair_on_house_edge", "/stairs/0/edge"),
    "stair_on_other_wall": (
        spec(stairs=[{"edge": 1}], house={"edge_walls": [{"edge": 1}]}),
        "stair_on_house_edge",
        "/stairs/0/edge",
    ),
    "currency": (
        spec(crew={"currency": "USD"}, framing={"cost_ceiling": {"currency": "CAD", "amount": "9000.00"}}),
        "currency_mixed",
        "/framing/cost_ceiling/currency",
    ),
}


@pytest.mark.parametrize("case", CASES)
def test_spec_fault_is_found_at_its_place(case: str) -> None:
    given, code, pointer = CASES[case]
    assert (code, pointer) in found(given)


def test_spec_every_fault_code_is_reached() -> None:
    reached = {code for _, code, _ in CASES.values()} | STRUCTURAL | ELSEWHERE | OF_UPLOADS | OF_DRAFTS
    assert reached == set(known("error"))


GOOD: dict[str, dict[str, Any]] = {
    "values_instead_of_a_jurisdiction": {
        "levels": [level()],
        "rulebook": "irc-2021@2",
        "site": {"frost_depth_in": 0, "ground_snow_load_psf": 0},
    },
    "rectangle_as_outline_other_sense": spec(outlined((0, 0), (0, 8), (8, 8), (8, 0))),
    "l_shape": spec(outlined(*L_SHAPE)),
    "point_between_two_in_line": spec(outlined((0, 0), (4, 0), (8, 0), (8, 8), (0, 8))),
    "smallest_level": spec(level(width_ft=2, projection_ft=2)),
    "largest_level": spec(level(width_ft=100, projection_ft=50)),
    "levels_share_an_edge": spec(level(), level(id="b", origin_ft=[16, 0])),
    "levels_share_an_edge_in_tenths": spec(level(width_ft=16.1), level(id="b", origin_ft=[16.1, 0.3])),
    "level_in_the_notch_of_another": spec(
        outlined(*L_SHAPE), level(id="b", origin_ft=[4, 4], width_ft=8, projection_ft=8)
    ),
    "level_half_a_foot_away": spec(level(), level(id="b", origin_ft=[0, 12.5])),
    "level_joined_by_a_stair": spec(
        level(),
        level(id="b", origin_ft=[0, 20], surface_height_in=10),
        stairs=[{"edge": 2, "down_to": "b"}],
    ),
    "side_wall": spec(level(house_edges=[0, 3]), house={"edge_walls": [{"edge": 3, "wall": "wood_band"}]}),
    "falling_ground": spec(site={"grade_fall_y_in_per_ft": 1}),
    "grade_points_and_the_defaults": spec(
        site={
            "grade_fall_x_in_per_ft": 0,
            "grade_fall_y_in_per_ft": 0,
            "grade_points": [{"x_ft": x, "y_ft": x * x, "grade_in": -x} for x in (0, 1, 2)],
        }
    ),
    "grade_point_given_twice": spec(
        site={"grade_points": [{"x_ft": x, "y_ft": x * x, "grade_in": -x} for x in (0, 1, 2, 1)]}
    ),
    "foot_and_top_of_a_wall": spec(
        site={
            "grade_points": [
                {"x_ft": x, "y_ft": y, "grade_in": z} for x in (0, 20) for y, z in ((12, 0), (12.05, -36))
            ]
        }
    ),
    "tub_in_the_corner": spec(heavy_objects=[tub(x_ft=9, y_ft=5)]),
    "stair_over_the_whole_edge": spec(stairs=[{"edge": 1, "width_in": 144}]),
    "stairs_side_by_side": spec(stairs=[{"edge": 2}, {"edge": 2, "offset_ft": 3}]),
    "stair_where_no_house_is": spec(house={"wall": "none"}, stairs=[{"edge": 0}]),
    "solid_beam": spec(framing={"beam_size": "4x8"}),
}


@pytest.mark.parametrize("case", GOOD)
def test_spec_that_can_exist_is_taken(case: str) -> None:
    assert found(GOOD[case]) == []


def test_spec_worst_outlines_take_bounded_work() -> None:
    """Four levels of sixty corners, stairs and objects on them: found or not, it is quick."""
    path = Path(__file__).parent / "fixtures" / "deck_spec_full.json"
    base = json.loads(path.read_text())
    comb = [(x, 10 if x % 2 else 4) for x in range(58)] + [(57, 20), (0, 20)]
    base["levels"] = [outlined(*comb, id=f"l{number}", origin_ft=[number * 57.0, 0]) for number in range(4)]
    base["stairs"] = [{"level": "l0", "edge": 57}] * 8
    base["heavy_objects"] = [tub(level="l1", x_ft=20, y_ft=11)] * 8
    assert {code for code, _ in found(base)} <= set(known("error"))


@pytest.mark.parametrize(
    ("fields", "codes"),
    [
        ({}, ["missing"]),
        ({"total_rise_in": 34, "rulebook": "irc-2021"}, []),
        ({"total_rise_in": 34}, ["missing"]),
        ({"risers_in": (7.25, 7.75)}, []),
        ({"risers_in": (7.25, 7.75), "total_rise_in": 34, "rulebook": "irc-2021"}, ["both_given"]),
    ],
)
def test_spec_stair_layout_takes_one_of_two(fields: dict[str, Any], codes: list[str]) -> None:
    assert [fault.code for fault in stair_layout_faults(StairLayoutSpec(**fields))] == codes

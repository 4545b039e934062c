"""What must be on the paper whatever else finds no room there: why a deck may not be built as drawn, and who is who."""

from __future__ import annotations

import re
from functools import cache
from itertools import pairwise
from typing import Any

import msgspec
import pytest
from context import context, designed, spec_of
from drawings.sheet_checks import EXAMPLES, PAPERS, SVG, Sheet, faults, report_of

from service.contract.report import DesignReport
from service.drawings.package.package import package_of
from service.drawings.sheets import sheet_svg, sheets_of
from service.units.text import feet_inches

NOT_BUILT = tuple(one for one in EXAMPLES if report_of(one).verdict.status != "prescriptive")
# an id of a member, as the wire has it: no drawing and no schedule beside it shows one
ID = re.compile(r"\b[\w-]+\.(?:joists|beam|ledger|rim|post|footing|stair|heavy|brace|guard|blocking)-\d")
TUB_ON_A_SLOPE: dict[str, Any] = {
    "jurisdiction": "alder-county",
    "site": {"grade_fall_y_in_per_ft": 1.5, "grade_fall_x_in_per_ft": -1.0, "soil_class": "clay"},
    "house": {
        "wall": "brick_veneer", "foundation_wall": "poured_concrete", "rim_depth_in": 11.25,
        "floor_joist_direction": "toward_deck", "foundation_depth_in": 96, "excavation_slope": "type_b",
        "door_sill_height_in": 49.5,
    },
    "levels": [{"width_ft": 20, "projection_ft": 16, "surface_height_in": 48}],
    "stairs": [{"edge": 3, "offset_ft": 3, "width_in": 48}],
    "heavy_objects": [
        {
            "kind": "hot_tub", "x_ft": 10, "y_ft": 6, "width_ft": 7, "length_ft": 7, "filled_weight_lb": 5200,
            "people": 7,
        }
    ],
    "framing": {"species": "southern_pine"},
}  # fmt: skip


@cache
def tub_on_a_slope() -> DesignReport:
    """A deck with so many footings that their schedules alone nearly fill the column beside the plan."""
    return designed(spec_of(**TUB_ON_A_SLOPE), context("alder-county"))


def side(svg: str) -> str:
    """All that is written in the column beside a drawing, on one line."""
    return " ".join(one.text or "" for one in Sheet(svg).group("side").iter(f"{SVG}text")).replace(
        "\u00a0", " "
    )


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("example", NOT_BUILT)
def test_why_a_deck_is_not_built_as_drawn_comes_first_on_every_sheet(example: str, paper: str) -> None:
    report = report_of(example)
    for name in sheets_of(report):
        told = side(sheet_svg(report, name, paper))
        assert told.startswith(f"{report.verdict.status.replace('_', ' ').capitalize()}: why 1.")


def test_reasons_are_on_a_sheet_whose_column_is_full() -> None:
    report = tub_on_a_slope()
    told = side(sheet_svg(report, "footing_plan", "letter"))
    assert "more lines" in told
    assert "Filled, the hot tub lifts each joist off B1 by up to 74 lb: tie it down." in told
    assert "Filled, the hot tub lifts each joist off B2 by up to 261 lb: tie it down." in told


def test_every_footing_has_its_row_on_a_sheet_whose_column_is_full() -> None:
    report = tub_on_a_slope()
    for paper in PAPERS:
        svg = sheet_svg(report, "footing_plan", paper)
        told = Sheet(svg).group("side").iter(f"{SVG}text")
        assert {one.mark for one in report.footings} <= {one.text for one in told}
        assert faults(svg) == []


@pytest.mark.parametrize("example", EXAMPLES)
def test_no_sheet_calls_a_member_by_its_id(example: str) -> None:
    report = report_of(example)
    for name in sheets_of(report):
        for paper in PAPERS:
            assert ID.findall(" ".join(Sheet(sheet_svg(report, name, paper)).said())) == []


def test_a_reason_several_members_share_is_told_once_with_their_marks() -> None:
    """Two guards of edge 2 (the stair parts it) and one of edge 4 stand on rims at 45 degrees."""
    outline = [[0, 0], [20, 0], [20, 8], [16, 12], [4, 12], [0, 8]]
    report = designed(
        spec_of(
            **{k: v for k, v in TUB_ON_A_SLOPE.items() if k != "heavy_objects"}
            | {
                "site": {},
                "levels": [{"outline_ft": outline, "surface_height_in": 36}],
                "stairs": [{"edge": 2, "offset_ft": 0.5, "width_in": 48}],
                "house": TUB_ON_A_SLOPE["house"] | {"door_sill_height_in": 37.5},
            }
        ),
        context("alder-county"),
    )
    told = side(sheet_svg(report, "stair_detail", "letter"))
    assert told.count("meets the joists at 45 degrees") == 2
    assert "G2, G3: Edge 2 meets" in told
    assert "G5: Edge 4 meets" in told


def test_details_of_several_levels_say_whose_member_they_mean() -> None:
    report = report_of("two-levels")
    upper = sheet_svg(report, "ledger_detail", "letter")
    assert "upper L1" in side(upper)
    assert "upper P1-1" in side(sheet_svg(report, "bracing_detail", "letter"))


def test_what_joists_hang_in_and_are_tied_by_is_on_the_framing_plan() -> None:
    """13 lines of joists, end ones too, hang at the ledger and lie on one beam."""
    told = side(sheet_svg(report_of("ledger-composite"), "framing_plan", "letter"))
    assert "11 joist hanger, 2x8" in told
    assert "concealed flange" in told
    assert "13 uplift tie" in told


def _alongside() -> DesignReport:
    """Joists along the house, on beams that run away from it."""
    return designed(
        spec_of(
            **TUB_ON_A_SLOPE
            | {
                "site": {},
                "house": TUB_ON_A_SLOPE["house"] | {"door_sill_height_in": 37.5},
                "levels": [{"width_ft": 24, "projection_ft": 8, "surface_height_in": 36}],
                "stairs": [],
                "heavy_objects": [],
                "framing": {"species": "southern_pine", "joist_direction": "along_house"},
            }
        ),
        context("alder-county"),
    )


def test_a_section_across_joists_tells_joists_beam_and_ties() -> None:
    report = _alongside()
    (joists,), beams = report.levels[0].joists, report.levels[0].beams
    said = Sheet(sheet_svg(report, "section", "letter")).said()
    assert any(one.startswith(f"{joists.mark}  {joists.size} at") for one in said)
    assert any(one.endswith(", beyond") and one[:2] in {beam.mark for beam in beams} for one in said)
    assert any("joist to beam" in one for one in said) or any(one.startswith("uplift tie") for one in said)


def test_places_of_beams_that_run_away_from_the_house_are_dimensioned_with_their_posts() -> None:
    report = _alongside()
    said = Sheet(sheet_svg(report, "framing_plan", "letter")).said()
    xs = sorted(beam.start_ft[0] for beam in report.levels[0].beams)
    ys = sorted({round(post.y_ft, 4) for post in report.posts})
    assert len(xs) == 3
    assert len(ys) == 2
    assert {feet_inches(12 * (b - a)) for a, b in pairwise(xs)} <= set(said)
    assert {feet_inches(12 * ys[0]), feet_inches(12 * (ys[1] - ys[0]))} <= set(said)


def test_footings_under_a_beam_with_no_post_between_are_on_the_framing_plan() -> None:
    """A saddle is a support like any other: it is drawn at its place, marked, and has a row."""
    report = report_of("low-ground")
    saddles = [one for one in report.footings if one.post is None]
    assert saddles
    svg = sheet_svg(report, "framing_plan", "letter")
    drawn = Sheet(svg)
    for one in saddles:
        (ring,) = drawn.group(one.id).iter(f"{SVG}circle")
        place = drawn.feet((float(ring.get("cx", "")), float(ring.get("cy", ""))), "framing")
        assert place == pytest.approx((one.x_ft, one.y_ft), abs=0.01)
        assert one.mark in drawn.said()
    assert "beam sits on it" in side(svg)


def test_a_level_is_called_as_its_maker_called_it() -> None:
    """A sentence that begins with a mark begins with a level's own word, not with a capital letter of ours."""
    report = report_of("two-levels")
    reasons = [
        msgspec.structs.replace(
            one, text="upper.footing-1-1 and lower.footing-1-1 stand too near", member=None
        )
        for one in report_of("hot-tub").verdict.reasons[:1]
    ]
    verdict = msgspec.structs.replace(report.verdict, status="engineer_required", reasons=tuple(reasons))
    told = side(sheet_svg(msgspec.structs.replace(report, verdict=verdict), "section", "letter"))
    assert "1. upper F1-1 and lower F1-1 stand too near." in told


def test_a_pier_that_is_too_small_with_its_own_weight_is_told_on_the_footing_plan() -> None:
    cautions = [one.text for one in report_of("hillside").cautions if "own weight" in one.text]
    assert cautions
    told = side(sheet_svg(report_of("hillside"), "footing_plan", "tabloid"))
    assert all(text[1:60] in told for text in cautions)


def test_what_a_beam_sits_in_on_a_pile_is_among_the_connections() -> None:
    """The lower of these levels lies so low that its beams sit in caps on the piles, with no post between."""
    report = designed(
        spec_of(
            **TUB_ON_A_SLOPE
            | {
                "site": {},
                "house": {"wall": "none"},
                "levels": [{"width_ft": 12, "projection_ft": 10, "surface_height_in": 21}],
                "stairs": [],
                "heavy_objects": [],
                "foundation": {"method": "helical_pile"},
            }
        ),
        context("alder-county"),
    )
    assert not report.posts
    assert "pile cap" in side(sheet_svg(report, "section", "letter"))


def test_the_package_calls_members_in_reasons_and_cautions_by_their_marks() -> None:
    told = msgspec.json.encode(package_of(tub_on_a_slope(), None)).decode()
    assert "Filled, the hot tub lifts each joist off B2" in told
    assert "S1: the pad at its foot" in told

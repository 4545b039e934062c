"""The footing plan read back: every footing once at its place and size, hatching only where the ground was dug."""

from __future__ import annotations

import math
from typing import Any
from xml.etree.ElementTree import Element

import msgspec
import pytest
from drawings.sheet_checks import (
    EXAMPLES,
    PAPERS,
    SVG,
    Sheet,
    close,
    corners_pt,
    faults,
    middle_of,
    report_of,
    size_of,
)
from shapely import unary_union
from shapely.geometry import LineString, Point, Polygon

from service.contract.report import DesignReport
from service.contract.report_frame import Concrete, Footing, Pile
from service.drawings.sheets import sheet_svg
from service.units.text import feet_inches

# places are written in hundredths of a point: each end of a shape may be half of one off, twice over
WITHIN_PT = 0.021


def drawn(report: DesignReport, paper: str = "tabloid", level: str | None = None) -> Sheet:
    return Sheet(sheet_svg(report, "footing_plan", paper, level))


def per_ft(sheet: Sheet) -> float:
    return float(sheet.group("footings").attrib["data-pt-per-ft"])


def shapes(sheet: Sheet, footing: Footing, *, dashed: bool) -> list[Element]:
    """The circles and polygons of a footing that have a line, whole or dashed ones."""
    return [
        one
        for one in sheet.group(footing.id)
        if one.tag in (f"{SVG}circle", f"{SVG}polygon")
        and one.get("stroke") != "none"
        and (one.get("stroke-dasharray") is not None) == dashed
    ]


def wide_pt(one: Element) -> float:
    return 2 * float(one.attrib["r"]) if one.tag == f"{SVG}circle" else size_of(one)[0]


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("example", EXAMPLES)
def test_the_sheet_has_no_fault(example: str, paper: str) -> None:
    assert faults(sheet_svg(report_of(example), "footing_plan", paper)) == []


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("example", EXAMPLES)
def test_every_footing_is_drawn_once_where_the_report_says(example: str, paper: str) -> None:
    report = report_of(example)
    sheet = drawn(report, paper)
    assert sorted(one.get("id", "") for one in sheet.group("footings")) == sorted(
        one.id for one in report.footings
    )
    for footing in report.footings:
        for one in (*shapes(sheet, footing, dashed=True), *shapes(sheet, footing, dashed=False)):
            at_ft = sheet.feet(middle_of(one), "footings")
            assert close(at_ft, (footing.x_ft, footing.y_ft), WITHIN_PT / per_ft(sheet)), footing.id


@pytest.mark.parametrize("example", EXAMPLES)
def test_every_footing_has_its_size(example: str) -> None:
    """A shaft whole, what lies under the ground dashed, a slab with its two sides."""
    report = report_of(example)
    sheet = drawn(report)
    in_pt = per_ft(sheet) / 12
    for footing in report.footings:
        whole = [wide_pt(one) / in_pt for one in shapes(sheet, footing, dashed=False)]
        under = [wide_pt(one) / in_pt for one in shapes(sheet, footing, dashed=True)]
        made, pile = footing.concrete, footing.pile
        if pile is not None:
            assert pile.shaft == "round_2-7-8in"
            assert whole == [pytest.approx(2.875, abs=WITHIN_PT / in_pt)]
            assert under == [pytest.approx(max(pile.helices), abs=WITHIN_PT / in_pt)]
        elif made is not None and made.width_in is not None and made.length_in is not None:
            (slab,) = shapes(sheet, footing, dashed=False)
            sides = sorted(round(one / in_pt, 2) for one in size_of(slab))
            assert sides == pytest.approx(sorted((made.width_in, made.length_in)), abs=WITHIN_PT / in_pt)
            assert under == []
        elif made is not None:
            assert whole == [pytest.approx(made.shaft_diameter_in, abs=WITHIN_PT / in_pt)]
            told = [] if made.base_size_in is None else [made.base_size_in]
            assert under == [pytest.approx(one, abs=WITHIN_PT / in_pt) for one in told]


def of_kind(made: Concrete | Pile, **changes: Any) -> DesignReport:
    """An example with one footing made otherwise: kinds that no example has."""
    report = report_of("mild-coast")
    first = msgspec.structs.replace(
        report.footings[0],
        concrete=made if isinstance(made, Concrete) else None,
        pile=made if isinstance(made, Pile) else None,
        **changes,
    )
    return msgspec.structs.replace(report, footings=(first, *report.footings[1:]))


def concrete(**given: Any) -> Concrete:
    nothing: dict[str, Any] = {"shaft_diameter_in": None, "base_shape": None, "base_size_in": None}
    plain = {"shape": "round", "thickness_in": None, "depth_below_grade_in": 32.0, "volume_cuft": 2.0}
    return Concrete(**(nothing | plain | given))


@pytest.mark.parametrize(
    ("made", "whole_in", "under_in"),
    [
        (
            concrete(shaft_diameter_in=12.0, base_shape="square", base_size_in=24.0, thickness_in=8.0),
            12.0,
            24.0,
        ),
        (
            concrete(shaft_diameter_in=10.0, base_shape="bell", base_size_in=22.0, thickness_in=8.0),
            10.0,
            22.0,
        ),
        (concrete(shape="square", base_shape="square", base_size_in=20.0, thickness_in=10.0), None, 20.0),
        (
            concrete(
                shape="square", base_shape="square", base_size_in=11.0, thickness_in=7.0, volume_cuft=0.0
            ),
            11.0,
            None,
        ),
        (
            Pile(shaft="square_1-1-2in", helices=(8.0, 10.0), length_ft=9, kt_per_ft=10, torque_ft_lb=500),
            1.5,
            10.0,
        ),
    ],
    ids=["pier on a square pad", "bell", "buried pad", "block on the ground", "two helices"],
)
def test_every_kind_has_its_sign(
    made: Concrete | Pile, whole_in: float | None, under_in: float | None
) -> None:
    report = of_kind(made)
    sheet = drawn(report)
    in_pt = per_ft(sheet) / 12
    for dashed, told in ((False, whole_in), (True, under_in)):
        found = [wide_pt(one) / in_pt for one in shapes(sheet, report.footings[0], dashed=dashed)]
        assert found == ([] if told is None else [pytest.approx(told, abs=WITHIN_PT / in_pt)])


def test_a_slab_lies_the_way_its_stair_goes() -> None:
    """Wide across the stair and long down it: a stair off the right side goes down along x."""
    report = report_of("mild-coast")
    pad = next(one for one in report.footings if one.method == "pad_on_grade")
    stair = next(one for one in report.stairs if one.id == pad.serves)
    x, y = pad.x_ft, pad.y_ft
    turned = msgspec.structs.replace(
        stair.landings[-1], corners_ft=((x - 1, y - 2), (x - 1, y + 2), (x + 2, y + 2), (x + 2, y - 2))
    )
    stairs = (msgspec.structs.replace(stair, landings=(*stair.landings[:-1], turned)),)
    sheet = drawn(msgspec.structs.replace(report, stairs=stairs))
    assert pad.concrete is not None
    (slab,) = shapes(sheet, pad, dashed=False)
    in_pt = per_ft(sheet) / 12
    assert [one / in_pt for one in size_of(slab)] == pytest.approx(
        [pad.concrete.length_in, pad.concrete.width_in], abs=WITHIN_PT / in_pt
    )


@pytest.mark.parametrize("example", EXAMPLES)
def test_only_ground_that_was_dug_is_hatched(example: str) -> None:
    report = report_of(example)
    sheet = drawn(report)
    zone = unary_union([Polygon(corners) for corners in report.ground.backfill_zones_ft])
    strokes = list(sheet.group("backfill").iter(f"{SVG}line"))
    assert bool(strokes) == bool(report.ground.backfill_zones_ft)
    near = 0.02 / per_ft(sheet)
    for one in strokes:
        ends = [sheet.feet(end, "backfill") for end in corners_pt(one)]
        assert zone.buffer(near).covers(LineString(ends))


def test_all_of_a_zone_is_hatched_under_the_deck() -> None:
    report = report_of("footings-beside-basement")
    sheet = drawn(report)
    strokes = unary_union(
        [
            LineString([sheet.feet(end, "backfill") for end in corners_pt(one)])
            for one in sheet.group("backfill").iter(f"{SVG}line")
        ]
    )
    zone = Polygon(report.ground.backfill_zones_ft[0])
    apart_ft = 7.0 / math.sqrt(2) / per_ft(sheet)
    for x in range(1, 16):
        for y in range(1, 10):
            place = Point(x, y)
            if zone.buffer(-apart_ft).contains(place):
                assert strokes.distance(place) <= apart_ft


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("example", EXAMPLES)
def test_every_place_is_dimensioned(example: str, paper: str) -> None:
    report = report_of(example)
    sheet = drawn(report, paper)
    lettered = [one.text for one in sheet.group("lettering").iter(f"{SVG}text")]
    for footing in report.footings:
        for place_ft in (footing.x_ft, footing.y_ft):
            assert feet_inches(12 * place_ft) in lettered
    assert not any(one.startswith("No room on this paper") for one in sheet.said())


def test_an_ordinate_ends_beside_its_text_and_begins_at_its_footing() -> None:
    report = report_of("ledger-composite")
    sheet = drawn(report)
    starts = [corners_pt(one)[0] for one in sheet.group("ordinates").iter(f"{SVG}polyline")]
    xs = {round(sheet.feet(start, "footings")[0], 2) for start in starts}
    ys = {round(sheet.feet(start, "footings")[1], 2) for start in starts}
    assert {round(one.x_ft, 2) for one in report.footings} <= xs
    assert {round(one.y_ft, 2) for one in report.footings} <= ys


@pytest.mark.parametrize("example", EXAMPLES)
def test_the_schedule_has_place_and_load_of_every_footing(example: str) -> None:
    report = report_of(example)
    rows: dict[float, list[tuple[float, str]]] = {}
    for one in drawn(report).group("side").iter(f"{SVG}text"):
        rows.setdefault(float(one.attrib["y"]), []).append((float(one.attrib["x"]), one.text or ""))
    told = {tuple(text for _, text in sorted(row)) for row in rows.values()}
    for footing in report.footings:
        level = footing.id.partition(".")[0]
        several = len(report.levels) > 1 and level != "deck"
        mark = f"{level} {footing.mark}" if several else footing.mark
        ends = (feet_inches(12 * footing.x_ft), feet_inches(12 * footing.y_ft), f"{footing.load_lb:,.0f}")
        assert any(row[0] == mark and row[2:] == ends for row in told), footing.id


def text_of(sheet: Sheet) -> str:
    return " ".join(one.replace("\u00a0", " ") for one in sheet.said())


def test_depth_and_size_stand_in_the_schedule() -> None:
    told = text_of(drawn(report_of("footings-narrow-way-in")))
    assert "belled pier, 1'-0\" dia shaft, base 1'-6\" dia" in told
    assert "bottom 2'-8\" below grade" in told
    assert 'top 3" above grade' in told
    assert "Frost depth 2'-8\" below grade." in told


def test_what_the_report_warns_of_is_told_as_it_stands() -> None:
    report = report_of("footings-beside-basement")
    told = text_of(drawn(report))
    for code in ("call_before_you_dig", "pile_shaft_unbraced"):
        (caution,) = (one for one in report.cautions if one.code == code)
        assert caution.text[1:] in told
        assert caution.action[1:].rstrip(".") in told
    assert "In that ground: F1-1, F1-2" in told


def test_lot_lines_are_told() -> None:
    assert (
        "Rear lot line 45'-0\" from the house wall, setback 20'-0\""
        in drawn(report_of("ledger-composite")).said()
    )


def test_one_level_shows_its_own_footings() -> None:
    report = report_of("two-levels")
    ids = [one.get("id", "") for one in drawn(report, level="upper").group("footings")]
    assert ids == [one.id for one in report.footings if one.id.startswith("upper.")]


@pytest.mark.parametrize("paper", PAPERS)
def test_without_a_frame_the_sheet_says_so(paper: str) -> None:
    report = report_of("hot-tub")
    empty = [
        msgspec.structs.replace(
            one, joists=(), ledgers=(), rims=(), beams=(), blocking=(), braces=(), guards=()
        )
        for one in report.levels
    ]
    bare = msgspec.structs.replace(report, levels=tuple(empty), posts=(), footings=(), stairs=())
    svg = sheet_svg(bare, "footing_plan", paper)
    assert faults(svg) == []
    told = text_of(Sheet(svg))
    assert "NO FRAME WAS FOUND" in told
    assert report.verdict.reasons[0].text[:40] in told
    assert len(list(Sheet(svg).group("footings"))) == 0

"""Stairs from their side, read back from the sheet and held to the report."""

from __future__ import annotations

import math

import pytest
from drawings.details import NEAR_IN, Place, has, inches_of, part, sheet_of
from drawings.sheet_checks import EXAMPLES, PAPERS, Sheet, faults, report_of
from shapely import LineString, Point, Polygon

from service.contract.report_frame import Flight, Stair
from service.drawings.sheets import sheet_svg

NAME = "stair_detail"
WITH_STAIRS = tuple(example for example in EXAMPLES if report_of(example).stairs)


def stairs_of(example: str) -> tuple[Stair, ...]:
    return report_of(example).stairs


def treads(sheet: Sheet, stair: Stair, number: int) -> list[list[Place]]:
    flight = sheet.group(f"{stair.id}.flight-{number}")
    return [inches_of(sheet, one, stair.id) for one in part(flight, "treads")]


def risers(sheet: Sheet, stair: Stair, number: int) -> list[list[Place]]:
    flight = sheet.group(f"{stair.id}.flight-{number}")
    return [inches_of(sheet, one, stair.id) for one in part(flight, "risers")]


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("example", EXAMPLES)
def test_nothing_is_wrong_with_the_sheet(example: str, paper: str) -> None:
    assert faults(sheet_svg(report_of(example), NAME, paper)) == []


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("example", WITH_STAIRS)
def test_every_riser_and_tread_is_drawn_at_its_height(example: str, paper: str) -> None:
    sheet = sheet_of(example, NAME, paper)
    for stair in stairs_of(example):
        for number, flight in enumerate(stair.flights, start=1):
            lines, boards = risers(sheet, stair, number), treads(sheet, stair, number)
            assert (len(lines), len(boards)) == (flight.risers, flight.treads)
            for step, (top, low) in enumerate(lines):
                height = flight.head_height_in - step * flight.riser_in
                assert top[1] == pytest.approx(height, abs=NEAR_IN)
                assert top[1] - low[1] == pytest.approx(flight.riser_in, abs=NEAR_IN)
            for board in boards:
                xs = [x for x, _ in board]
                assert max(xs) - min(xs) == pytest.approx(flight.tread_in, abs=NEAR_IN)


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("example", WITH_STAIRS)
def test_a_stair_rises_and_runs_as_much_as_the_report_says(example: str, paper: str) -> None:
    sheet = sheet_of(example, NAME, paper)
    for stair in stairs_of(example):
        first = risers(sheet, stair, 1)[0]
        last = risers(sheet, stair, len(stair.flights))[-1]
        assert first[0][1] - last[1][1] == pytest.approx(stair.rise_in, abs=NEAR_IN)
        # from the face of the highest riser to that of the lowest, in plan: the report's own corners
        head = stair.flights[0].corners_ft[0]
        foot = stair.flights[-1].corners_ft[3]
        assert last[0][0] - first[0][0] == pytest.approx(12 * math.dist(head, foot), abs=NEAR_IN)


def inner_corners(flight: Flight, start_in: float, thick_in: float) -> list[Point]:
    """Where the notches of a cut stringer are deepest: by the report's figures alone."""
    return [
        Point(start_in + n * flight.tread_in, flight.head_height_in - (n + 1) * flight.riser_in - thick_in)
        for n in range(1, flight.treads)
    ]


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("example", WITH_STAIRS)
def test_as_much_wood_is_left_in_a_cut_stringer_as_the_report_says(example: str, paper: str) -> None:
    """By shapely: from every notch to the board's lower edge it is the throat."""
    sheet = sheet_of(example, NAME, paper)
    for stair, wish in zip(stairs_of(example), report_of(example).resolved_spec.stairs, strict=True):
        for number, flight in enumerate(stair.flights, start=1):
            (board,) = part(sheet.group(f"{stair.id}.flight-{number}"), "stringer")
            corners = inches_of(sheet, board, stair.id)
            assert Polygon(corners).is_valid
            if flight.throat_in is None or flight.treads < 2:
                continue
            sides = [LineString(pair) for pair in zip(corners, [*corners[1:], corners[0]], strict=True)]
            # all others of a cut stringer's sides are upright or level
            (lower,) = (side for side in sides if all(a != b for a, b in (side.xy[0], side.xy[1])))
            inner = inner_corners(flight, corners[0][0], wish.tread_thickness_in)
            assert all(Polygon(corners).exterior.distance(corner) < NEAR_IN for corner in inner)
            assert min(lower.distance(corner) for corner in inner) == pytest.approx(
                flight.throat_in, abs=NEAR_IN
            )


@pytest.mark.parametrize("example", WITH_STAIRS)
def test_rails_lie_as_high_over_the_nosings_as_the_report_says(example: str) -> None:
    sheet = sheet_of(example, NAME, "tabloid")
    for stair in stairs_of(example):
        for name, rail in (("handrail", stair.handrail), ("guard", stair.guard)):
            assert has(sheet, f"{stair.id}.{name}") == (rail is not None)
            if rail is None:
                continue
            upper = inches_of(sheet, next(iter(sheet.group(f"{stair.id}.{name}"))), stair.id)
            assert upper[0][1] - stair.flights[0].head_height_in == pytest.approx(rail.height_in, abs=NEAR_IN)
            slope = (upper[0][1] - upper[1][1]) / (upper[1][0] - upper[0][0])
            assert slope == pytest.approx(stair.flights[0].riser_in / stair.flights[0].tread_in, abs=0.01)


def test_lengths_are_written_as_a_carpenter_measures_them() -> None:
    """The composite deck's stair by hand: 36 in in five risers is 7.2, to a sixteenth 7 3/16; four treads of 10.5."""
    said = sheet_of("ledger-composite", NAME, "letter").said()
    for text in ('5 risers at 7 3/16"', "rise 3'-0\"", '4 treads at 10 1/2"', "run 3'-6\"", "landing 3'-0\""):
        assert text in said
    assert "top notch 8 3/16\" below the deck's surface" in said
    assert 'lowest notch 6 3/16" up: 1" cut off (drop)' in said


def test_the_pad_reaches_from_under_the_stringers_to_the_end_of_the_landing() -> None:
    sheet, (stair,) = sheet_of("ledger-composite", NAME, "tabloid"), stairs_of("ledger-composite")
    pad = next(one for one in report_of("ledger-composite").footings if one.serves == stair.id)
    corners = inches_of(sheet, sheet.group(pad.id)[0], stair.id)
    xs, ys = [x for x, _ in corners], [y for _, y in corners]
    assert pad.concrete is not None
    assert max(xs) - min(xs) == pytest.approx(pad.concrete.length_in, abs=NEAR_IN)
    assert max(xs) == pytest.approx(stair.flights[0].run_in + stair.landings[-1].depth_in, abs=NEAR_IN)
    assert (min(ys), max(ys)) == pytest.approx((pad.bottom_height_in, pad.top_height_in), abs=NEAR_IN)


def test_a_deck_without_stairs_says_so() -> None:
    said = " ".join(sheet_of("clipped-corner", NAME, "letter").said())
    assert "No stair" in said


def test_tables_of_a_stair_with_a_landing_say_that_they_count_one_flight() -> None:
    """Hillside's stair has two flights of 12 risers on 4 stringers each: 8 stringers are ordered."""
    (stair,) = report_of("hillside").stairs
    said = Sheet(sheet_svg(report_of("hillside"), "stair_detail", "letter")).said()
    assert [flight.stringers for flight in stair.flights] == [4, 4]
    assert {"Stairs, each flight", "Stringers, each flight"} <= set(said)

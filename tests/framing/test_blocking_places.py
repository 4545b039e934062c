"""Where blocking lies: rows by common practice (middle and thirds of spans, every 12 in under borders), no source."""

from __future__ import annotations

from functools import cache
from itertools import pairwise
from math import dist
from typing import Any

import pytest
from context import context, designed, spec_of
from laid import arranged, members, rectangle_region
from properties.any_outline import report_of
from recorded import DECKS

from service.contract.report import DesignReport
from service.contract.report_frame import Blocking, Joists, Level
from service.framing.blocking import BACKING, BORDERS, IN_SPANS, OVER_BEAMS, blocking

WIDE_IN = 192.0
CENTRES_IN = (0.75, *range(16, 192, 16), 191.25)  # 16 ft at 16 in: 13 joists
CLEAR_IN = [(a + 0.75, b - 0.75) for a, b in pairwise(CENTRES_IN)]
# what may stand between two joists without lying from face to face of them
OTHERWISE = ("laid flat", "stub")


def found(depth_in: float, beams_in: tuple[float, ...], borders: int = 0) -> list[Blocking]:
    laid = arranged(rectangle_region(WIDE_IN, depth_in, "ledger"), beams_in)
    return list(blocking("main", members(laid, "2x8", 16.0, ("2x10", 2)), 1, borders))


def across(pieces: list[Blocking], because: str, y_in: float) -> list[tuple[float, float]]:
    """The pieces of a row at one distance from the house, from left to right, in."""
    ends = [place for one in pieces if one.because == because for place in one.places_ft]
    row = [(a[0] * 12, b[0] * 12) for a, b in ends if a[1] * 12 == pytest.approx(y_in) == b[1] * 12]
    return sorted(row)


def same(one: list[tuple[float, float]], other: list[tuple[float, float]]) -> bool:
    return [x for ends in one for x in ends] == pytest.approx([x for ends in other for x in ends])


def test_a_row_over_the_beam_and_one_in_the_middle_of_the_span() -> None:
    pieces = found(144.0, (120.0,))
    assert same(across(pieces, OVER_BEAMS, 120.0), CLEAR_IN)
    # from the ledger's face 1.5 in out to the beam: over 8 ft, one row
    assert same(across(pieces, IN_SPANS, (1.5 + 120) / 2), CLEAR_IN)
    assert sum(one.count for one in pieces) == 2 * len(CLEAR_IN)
    assert {(one.because, one.length_in, one.count) for one in pieces} == {
        (OVER_BEAMS, 14.5, 10), (OVER_BEAMS, 13.75, 2), (IN_SPANS, 14.5, 10), (IN_SPANS, 13.75, 2),
    }  # fmt: skip


def test_two_rows_at_the_thirds_of_a_span_over_12_ft() -> None:
    pieces = found(180.0, (156.0,))
    span = 156 - 1.5
    for third in (1, 2):
        assert same(across(pieces, IN_SPANS, 1.5 + span * third / 3), CLEAR_IN)


def test_a_beam_under_the_rim_needs_none() -> None:
    assert not [one for one in found(144.0, (142.5,)) if one.because == OVER_BEAMS]


def test_under_a_border_blocks_every_12_in_and_a_board_laid_along_them() -> None:
    pieces = found(144.0, (120.0,), borders=1)
    low, high = 1.5, 142.5  # ledger's face to the rim
    left, right = (0.75 + 0.75, 16 - 0.75), (176 + 0.75, 191.25 - 0.75)
    for ends in (left, right):
        ys = sorted(
            a[1] * 12
            for one in pieces
            if one.because == BORDERS
            for a, b in one.places_ft
            if (a[0] * 12, b[0] * 12) == pytest.approx(ends)
        )
        assert len(ys) == 12  # 141 in
        # each in the middle of a stretch of 11.75 in
        assert ys == pytest.approx([low + 141 / 12 * (n + 0.5) for n in range(12)])
        assert ys[-1] < high
    (backing,) = (one for one in pieces if one.because == BACKING)
    assert backing.length_in == 141
    for (ax, ay), (bx, by) in backing.places_ft:
        assert ax == bx
        assert (ay * 12, by * 12) == pytest.approx((low, high))
    assert sorted(a[0] * 12 for a, _ in backing.places_ft) == pytest.approx([8.375, 183.625])


@cache
def _reports() -> list[tuple[str, DesignReport]]:
    named = [(name, designed(spec_of(**deck), context(deck["jurisdiction"]))) for name, deck in DECKS.items()]
    return [*named, *((f"outline-{seed}", report_of(seed)) for seed in range(0, 16, 3))]


def _faces(group: Joists, place: tuple[float, float]) -> bool:
    """Whether a joist of the group has a face there, and reaches the place."""
    away, half = group.direction == "away_from_house", 0.75 * group.plies / 12
    across_ft, along_ft = place if away else place[::-1]
    for line in group.lines:
        at, start, end = (
            (line.x_ft, line.y_start_ft, line.y_end_ft)
            if away
            else (line.y_ft, line.x_start_ft, line.x_end_ft)
        )
        low, high = sorted((start or 0.0, end or 0.0))
        if abs(abs(across_ft - (at or 0.0)) - half) < 1e-3 and low - 1e-3 <= along_ft <= high + 1e-3:
            return True
    return False


def _between_joists(level: Level, one: Blocking) -> bool:
    return all(any(_faces(group, end) for group in level.joists) for ends in one.places_ft for end in ends)


def _over_a_beam(level: Level, one: Blocking) -> bool:
    return all(
        any(abs(_off_ft(((a[0] + b[0]) / 2, (a[1] + b[1]) / 2), beam)) < 1e-3 for beam in level.beams)
        for a, b in one.places_ft
    )


def _off_ft(at: tuple[float, float], beam: Any) -> float:
    (ax, ay), (bx, by) = beam.start_ft, beam.end_ft
    return ((at[0] - ax) * (by - ay) - (at[1] - ay) * (bx - ax)) / dist((ax, ay), (bx, by))


def test_every_piece_of_every_deck_lies_where_it_says() -> None:
    seen: set[str] = set()
    for name, report in _reports():
        for level in report.levels:
            for one in level.blocking:
                where = f"{name} {one.id}"
                assert len(one.places_ft) == one.count, where
                lengths = [12 * dist(*ends) for ends in one.places_ft]
                assert lengths == pytest.approx([one.length_in] * one.count, abs=1 / 32), where  # cut to 1/16
                if one.because == OVER_BEAMS:
                    assert _over_a_beam(level, one), where
                if not any(word in one.because for word in OTHERWISE) and "guard" not in one.because:
                    assert _between_joists(level, one), where
                seen.add(one.because)
    assert {OVER_BEAMS, IN_SPANS} <= seen
    assert any("guard" in one for one in seen)


def test_guard_blocks_stand_behind_their_posts() -> None:
    report = dict(_reports())["attached_16x12"]
    (level,) = report.levels
    blocks = {one.id: one for one in level.blocking if one.because.startswith("guard post")}
    checked = 0
    for guard in level.guards:
        for post in guard.posts:
            for block in (blocks[name] for name in post.carried_by if name in blocks):
                near = min(
                    dist(((a[0] + b[0]) / 2, (a[1] + b[1]) / 2), (post.x_ft, post.y_ft))
                    for a, b in block.places_ft
                )
                assert near < 26 / 12, post.id  # within a bay, or behind a stub of 14.5 in
                checked += 1
    assert checked

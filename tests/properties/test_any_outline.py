"""Whatever the outline: the frame is sound by a referee of its own, and does not depend on how it was written down."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import Any

import msgspec
import pytest
from context import context, designed
from properties import outline_moves as moves
from properties.any_outline import (
    FRAMED_AT_LEAST,
    WHOLE,
    judged,
    report_of,
    seeds,
    shares,
    whole,
)
from properties.outlines import NAMES, Case, outline_case, sound
from properties.referee_plan import floor_of

from service.contract.report import DesignReport
from service.contract.spec import DeckSpec

CHUNK = 50
EACH_WAY = 16  # decks written, moved and mirrored: one of each kind
AS_POLYGON = 8
SHOWN = 120
Plain = dict[str, Any]


@pytest.mark.parametrize("first", range(0, len(seeds()), CHUNK), ids=lambda n: f"outlines-{n}")
def test_random_outlines_are_framed_soundly(first: int) -> None:
    chunk = seeds()[first : first + CHUNK]
    said = [f"{one.case}: {what}" for one in map(judged, chunk) for what in one.wrong]
    assert not said, "\n".join(said[:30])


@pytest.mark.parametrize("first", range(0, WHOLE, len(NAMES)), ids=lambda n: f"outlines-{n}")
def test_random_outlines_are_designed_soundly(first: int) -> None:
    found = [judged(seed, whole) for seed in range(first, min(WHOLE, first + len(NAMES)))]
    said = [f"{one.case}: {what}" for one in found for what in one.wrong]
    assert not said, "\n".join(said[:30])


def test_refusing_is_not_the_way_out() -> None:
    found = shares(map(judged, seeds()))
    short = {kind: share for kind, share in found.items() if share < FRAMED_AT_LEAST[kind]}
    assert not short, f"of {short} at least {FRAMED_AT_LEAST} must get a frame"


def _cases(fits: Callable[[Case], bool] = lambda case: True) -> list[Case]:
    """The same number of decks of every kind, as far as they fit."""
    drawn = [case for case in map(outline_case, range(6 * len(NAMES))) if fits(case)]
    each = EACH_WAY // len(NAMES)
    return [case for kind in NAMES for case in [c for c in drawn if c.kind == kind][:each]]


def _drawn(case: Case) -> bool:
    return case.spec.levels[0].outline_ft is not None


def _again(case: Case, spec: DeckSpec) -> DesignReport:
    assert sound(spec)
    return designed(spec, context(None, f"irc-{case.edition}"))


def _sides(spec: DeckSpec) -> list[str]:
    """For each edge the straight side it is part of, by where that side ends."""
    sides = floor_of(spec, spec.levels[0]).sides
    count = len(sides)

    def straight_on(n: int) -> bool:
        one, other = sides[n % count], sides[(n + 1) % count]
        (ax, ay), (bx, by), (cx, cy) = one.start, one.end, other.end
        turn = (bx - ax) * (cy - by) - (by - ay) * (cx - bx)
        return one.wall == other.wall and abs(turn) < 0.01 * one.line.length

    names = []
    for n in range(count):
        first = next(k for k in range(n, n - count, -1) if not straight_on(k - 1))
        last = next(k for k in range(n, n + count) if not straight_on(k))
        ends = sorted((sides[first % count].start, sides[last % count].end))
        names.append(str([(round(x, 1) + 0.0, round(y, 1) + 0.0) for x, y in ends]))
    return names


def _told(report: DesignReport, spec: DeckSpec) -> Plain:
    """The answer less its echo, sides named by where they lie instead of by the caller's numbers."""
    found: Plain = msgspec.to_builtins(report)
    del found["design_id"], found["resolved_spec"]
    for level in found["levels"]:
        del level["outline_ft"]  # corners as the caller lists them
    return _named(found, _sides(spec))  # type: ignore[return-value]


def _named(value: object, sides: list[str]) -> object:
    if isinstance(value, dict):
        return {
            key: sides[part] if key == "edge" and isinstance(part, int) else _named(part, sides)
            for key, part in value.items()
        }
    if isinstance(value, (list, tuple)):
        return [_named(part, sides) for part in value]
    return re.sub(r"\bedge \d+", "edge", value) if isinstance(value, str) else value


def _differences(one: object, other: object, loose: float, at: str = "") -> Iterator[str]:
    """Where two answers differ; with ``loose`` 1, by more than the rounding of coordinates and loads."""
    if isinstance(one, dict) and isinstance(other, dict):
        for key in {**one, **other}:
            yield from _differences(one.get(key), other.get(key), loose, f"{at}/{key}")
    elif isinstance(one, list) and isinstance(other, list) and len(one) == len(other):
        for n, (a, b) in enumerate(zip(one, other, strict=True)):
            yield from _differences(a, b, loose, f"{at}/{n}")
    elif isinstance(one, float) and isinstance(other, float):
        rounding = 0.11 if at.rsplit("_", 1)[-1] in ("lb", "plf", "psf", "psi") else 2e-4
        if abs(one - other) > loose * (rounding + 1e-4 * abs(one)):
            yield f"{at}: {one} {other}"
    elif one != other:
        yield f"{at}: {str(one)[:SHOWN]} {str(other)[:SHOWN]}"


def _same(one: object, other: object, loose: float = 0.0) -> None:
    found = list(_differences(one, other, loose))
    assert not found, f"{len(found)} differences\n" + "\n".join(found[:20])


@pytest.mark.parametrize("case", _cases(_drawn), ids=str)
def test_the_other_sense_changes_nothing(case: Case) -> None:
    spec = moves.other_sense(case.spec)
    _same(_told(_again(case, spec), spec), _told(report_of(case.seed), case.spec))


@pytest.mark.parametrize("case", _cases(_drawn), ids=str)
def test_another_first_corner_changes_nothing(case: Case) -> None:
    spec = moves.other_start(case.spec, 2)
    _same(_told(_again(case, spec), spec), _told(report_of(case.seed), case.spec))


@pytest.mark.parametrize("case", _cases(_drawn), ids=str)
def test_a_corner_on_a_straight_edge_changes_nothing(case: Case) -> None:
    edge = case.seed % len(moves.corners_of(case.spec))
    spec = moves.more_corners(case.spec, edge, 0.375)
    _same(_told(_again(case, spec), spec), _told(report_of(case.seed), case.spec))


@pytest.mark.parametrize(
    "case",
    [c for c in map(outline_case, range(0, 1600, len(NAMES))) if not _drawn(c)][:AS_POLYGON],
    ids=str,
)  # fmt: skip
def test_a_rectangle_given_as_polygon_is_the_same_design(case: Case) -> None:
    spec = moves.as_polygon(case.spec)
    _same(_told(_again(case, spec), spec), _told(report_of(case.seed), case.spec))


PLACES = ("x_ft", "y_ft", "x_start_ft", "x_end_ft", "y_start_ft", "y_end_ft")
POINTS = (
    "start_ft", "end_ft", "foot_ft", "region_ft", "footprint_ft", "places_ft", "corners_ft", "house_lines_ft",
    "backfill_zones_ft",
)  # fmt: skip


def _moved_back(value: object, by: tuple[float, float], name: str = "") -> object:
    if isinstance(value, dict):
        return {key: _moved_back(part, by, key) for key, part in value.items()}
    if isinstance(value, list):
        if name in POINTS and len(value) == 2 and isinstance(value[0], float):
            return [value[0] - by[0], value[1] - by[1]]
        return [_moved_back(part, by, name) for part in value]
    if name in PLACES and isinstance(value, float):
        return value - by["xy".index(name[0])]
    # figures in sentences may be places
    return re.sub(r"-?\d+(\.\d+)?", "n", value) if isinstance(value, str) and " " in value else value


def _level_along_x(case: Case) -> bool:
    return case.spec.site.grade_fall_x_in_per_ft == 0


@pytest.mark.parametrize("case", _cases(_level_along_x), ids=str)
def test_moving_the_frame_moves_it_and_no_more(case: Case) -> None:
    alone = case.spec.house.wall == "none" and case.spec.site.grade_fall_y_in_per_ft == 0
    by = (7.25, 11.5 if alone else 0.0)
    spec = moves.moved(case.spec, *by)
    moved, plain = _told(_again(case, spec), case.spec), _told(report_of(case.seed), case.spec)
    _same(_moved_back(moved, by), _moved_back(plain, (0.0, 0.0)), loose=1.0)


def _sizes(report: DesignReport) -> Plain:
    """What the frame is made of, and what is said of it, wherever it stands."""
    levels = report.levels
    return {
        "status": report.verdict.status,
        "reasons": sorted({reason.code for reason in report.verdict.reasons}),
        "attachment": report.attachment.kind,
        "joists": sorted({(g.size, g.plies, g.spacing_in, g.direction) for lv in levels for g in lv.joists}),
        "beams": sorted((b.size, b.plies, b.placement) for lv in levels for b in lv.beams),
        "ledgers": sorted(one.size for lv in levels for one in lv.ledgers),
        "posts": sorted(post.size for post in report.posts),
        "footings": len(report.footings),
    }


CHANGED_BY_A_SIDE = ("joists", "beams", "posts")
NEARLY_AS_DEAR = 0.01


def _half_way(report: DesignReport) -> bool:
    """Whether a post between two others at even spans would stand half way between two inches of its beam.

    Posts stand at whole inches from where a beam starts: such a post goes to the next inch, away from that end, and so
    to the other side in a mirrored deck. The two posts beside it carry a little more or less there.
    """
    for beam in (one for level in report.levels for one in level.beams):
        first, last = beam.overhang_start_in, beam.overhang_start_in + sum(beam.spans_in)
        even = (last - first) / len(beam.spans_in)
        inner = [first + even * n for n in range(1, len(beam.spans_in))]
        if any(abs(at % 1 - 0.5) < 0.01 for at in inner):
            return True
    return False


def _cost(report: DesignReport) -> float:
    return float(report.search.cost.total.amount) if report.search and report.search.cost else 0.0


@pytest.mark.parametrize("case", _cases(), ids=str)
def test_mirroring_changes_no_size(case: Case) -> None:
    """But where a post is half way between two inches: sizes may then differ, what is said and the cost hardly.

    Of a deck that may not be built it is enough that both sides say so: which failing frame is shown may differ.
    """
    plain, mirrored = report_of(case.seed), _again(case, moves.mirrored(case.spec))
    one, other = _sizes(plain), _sizes(mirrored)
    if one["status"] == other["status"] == "not_permitted":
        return
    if one != other:
        assert _half_way(plain) or _half_way(mirrored), (one, other)
        assert _cost(plain) == pytest.approx(_cost(mirrored), rel=NEARLY_AS_DEAR)
        for name in CHANGED_BY_A_SIDE:
            del one[name], other[name]
    assert one == other

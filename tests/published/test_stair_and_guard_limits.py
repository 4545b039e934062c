"""Stair and guard limits of each edition, tried at the printed figure and just past it.

Figures: International Residential Code, sections named in each test id, read as adopted by states.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache

import pytest

from service.connections.door import check_door_step
from service.connections.stair_layout import stair_layout
from service.contract.spec import HouseSpec
from service.contract.spec_stairs import StairLayoutSpec
from service.framing.guard_edges import edges_of, greatest_drop_in
from service.framing.stair_climb import find_climb
from service.framing.stair_flights import StairWish, climb_finder, guard_needed
from service.rules.rulebook import build_rulebook
from service.sizing import stair_checks as checks
from service.sizing.stair_limits import StairRules, figure
from service.store.bundled import bundled

EDITIONS = ("2015", "2018", "2021", "2024")


@cache
def rules(edition: str) -> StairRules:
    books = {book.id: book for book in (build_rulebook(one.meta, one.tables) for one in bundled().rulebooks)}
    return StairRules(books[f"irc-{edition}"], books["dca-6"])


@dataclass(frozen=True)
class Case:
    """A limit: what passes at the figure, what fails just past it, and the section that says so."""

    edition: str
    section: str
    what: str
    allowed: Callable[[StairRules], bool]
    beyond: Callable[[StairRules], bool]
    cited: Callable[[StairRules], str | None]

    @property
    def id(self) -> str:
        return f"IRC {self.edition} {self.section} {self.what}"


def _flights(rise_in: float, by: StairRules) -> int:
    climb = find_climb(lambda _: rise_in, *climb_finder(StairWish(36, 10.5, 1.0, "auto"), by))
    assert climb is not None
    return len(climb.flights)


def _section(key: str) -> Callable[[StairRules], str | None]:
    return lambda by: figure(by.code, key).citation.section


def _door(drop_in: float, exit_door: bool, by: StairRules) -> bool:
    house = HouseSpec(wall="wood_band", door_sill_height_in=50, required_exit_door=exit_door)
    return all(finding.passes for finding in check_door_step(house, 50 - drop_in, by.code)[0])


def _rail(rise_in: float, by: StairRules) -> bool:
    return stair_layout(StairLayoutSpec(total_rise_in=rise_in, rulebook="irc-2021"), by).handrail.required


STAIR = "deck.stair-1"


def _steps(edition: str) -> Iterator[Case]:
    stair = "R318.7" if edition == "2024" else "R311.7"
    yield Case(
        edition,
        f"{stair}.5.1",
        "riser 7.75 in",
        lambda by: checks.riser_findings(STAIR, (7.75, 7.75), by)[0].passes,
        lambda by: checks.riser_findings(STAIR, (7.7501, 7.75), by)[0].passes,
        _section("riser_height"),
    )
    yield Case(
        edition,
        f"{stair}.5.1",
        "risers within 0.375 in",
        lambda by: checks.riser_findings(STAIR, (7.25, 7.625), by)[1].passes,
        lambda by: checks.riser_findings(STAIR, (7.25, 7.626), by)[1].passes,
        _section("riser_variation"),
    )
    yield Case(
        edition,
        f"{stair}.5.2",
        "tread 10 in",
        lambda by: checks.tread_finding(STAIR, 10, by).passes,
        lambda by: checks.tread_finding(STAIR, 9.999, by).passes,
        _section("tread_depth"),
    )
    yield Case(
        edition,
        f"{stair}.5.3",
        "no nosing needed from 11 in",
        lambda by: not checks.nosing_needed(11, by),
        lambda by: not checks.nosing_needed(10.999, by),
        _section("nosing_not_required_tread_depth"),
    )


def _flight(edition: str) -> Iterator[Case]:
    stair = "R318.7" if edition == "2024" else "R311.7"
    flight_most = 147 if edition == "2015" else 151  # R311.7.3 (R318.7.3): 147 in, from 2018 151 in
    yield Case(
        edition,
        f"{stair}.1",
        "clear width 36 in",
        lambda by: checks.width_finding(STAIR, 36, by).passes,
        lambda by: checks.width_finding(STAIR, 35.99, by).passes,
        _section("stair_width"),
    )
    yield Case(
        edition,
        f"{stair}.3",
        f"flight {flight_most} in",
        lambda by, most=flight_most: _flights(most, by) == 1,
        lambda by, most=flight_most: _flights(most + 0.01, by) == 1,
        _section("flight_rise"),
    )
    yield Case(
        edition,
        f"{stair}.6",
        "landing 36 in deep",
        lambda by: checks.landing_finding(STAIR, 36, by).passes,
        lambda by: checks.landing_finding(STAIR, 35.9, by).passes,
        _section("landing_depth"),
    )
    yield Case(
        edition,
        f"{stair}.8",
        "handrail from 4 risers",
        lambda by: not _rail(23.25, by),
        lambda by: not _rail(23.26, by),
        _section("handrail_required_risers"),
    )


def _guards_and_doors(edition: str) -> Iterator[Case]:
    guard, door = ("R321.1", "R318.3") if edition == "2024" else ("R312.1", "R311.3")
    yield Case(
        edition,
        f"{guard}.1",
        "guard over 30 in",
        lambda by: not guard_needed(30, by),
        lambda by: not guard_needed(30.01, by),
        _section("guard_required_above"),
    )
    yield Case(
        edition,
        f"{door}.1",
        "1.5 in under the required exit door",
        lambda by: _door(1.5, True, by),
        lambda by: _door(1.51, True, by),
        _section("door_drop_required_exit"),
    )
    yield Case(
        edition, f"{door}.2", "7.75 in under other doors",
        lambda by: _door(7.75, False, by), lambda by: _door(7.76, False, by),
        _section("door_drop_other"),
    )  # fmt: skip


CASES = tuple(
    case for edition in EDITIONS for part in (_steps, _flight, _guards_and_doors) for case in part(edition)
)


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.id)
def test_limit(case: Case) -> None:
    by = rules(case.edition)
    assert case.allowed(by)
    assert not case.beyond(by)
    assert case.cited(by) == case.section


FIGURES = (
    # key, value, section to 2021, section in 2024
    ("handrail_height_min", 34, "R311.7.8.1", "R320.2"),
    ("handrail_height_max", 38, "R311.7.8.1", "R320.2"),
    ("nosing_projection_min", 0.75, "R311.7.5.3", "R318.7.5.3"),
    ("nosing_projection_max", 1.25, "R311.7.5.3", "R318.7.5.3"),
    ("guard_height", 36, "R312.1.2", "R321.1.2"),
    ("stair_guard_height", 34, "R312.1.2", "R321.1.2"),
    ("guard_opening_sphere", 4, "R312.1.3", "R321.1.3"),
    ("stair_guard_opening_sphere", 4.375, "R312.1.3", "R321.1.3"),
    ("stair_triangle_sphere", 6, "R312.1.3", "R321.1.3"),
    ("open_riser_sphere", 4, "R311.7.5.1", "R318.7.5.1"),
    ("guard_top_load", 200, "R301.5", "R301.5"),
    ("stair_live_load", 40, "R301.5", "R301.5"),
)


@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize(("key", "value", "before", "after"), FIGURES, ids=lambda v: str(v))
def test_figure_a_check_is_made_with(edition: str, key: str, value: float, before: str, after: str) -> None:
    found = figure(rules(edition).code, key)
    assert found.value == value
    assert found.citation.section == (after if edition == "2024" else before)
    assert found.citation.edition == edition


@pytest.mark.parametrize("edition", EDITIONS)
def test_ground_counts_within_36_in_of_the_edge(edition: str) -> None:
    """IRC R312.1.1 (2024 R321.1.1): the surface against the ground within 36 in outside the edge."""
    reach = figure(rules(edition).code, "guard_grade_check_distance").value
    yard = edges_of(((0, 0), (16, 0), (16, 12), (0, 12)))[2]

    def pit(from_ft: float) -> Callable[[float, float], float]:
        return lambda x, y: -10.0 if y >= from_ft - 1e-9 else 0.0

    assert reach == 36
    assert greatest_drop_in(yard, 28, pit(12 + 3), reach) == 38
    assert greatest_drop_in(yard, 28, pit(12 + 3.01), reach) == 28


GUIDE_FIGURES = (
    # AWC DCA 6; 'from memory' where the reference says so
    ("guide_cut_stringer_span", 72, "one_source"),
    ("guide_solid_stringer_span", 159, "one_source"),
    ("guide_cut_stringer_throat", 5, "memory"),
    ("guide_stringer_spacing", 18, "memory"),
    ("guide_guard_post_spacing", 72, "memory"),
    ("guide_guard_post_anchor_capacity", 1800, "one_source"),
)


@pytest.mark.parametrize(("key", "value", "status"), GUIDE_FIGURES, ids=lambda v: f"AWC DCA 6 {v}")
def test_figure_of_the_guide(key: str, value: float, status: str) -> None:
    found = figure(rules("2021").guide, key)
    assert found.value == value
    assert found.citation.status == status

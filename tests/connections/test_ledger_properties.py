"""What has to hold of every ledger: rows inside their limits, more load never a wider spacing."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.connections.ledger import LedgerResult
from service.connections.ledger_fasteners import LedgerRun, stagger
from service.connections.ledger_placement import Board, land, ledger_board
from service.connections.wall import WallBehind
from service.sizing.criteria import Criteria
from service.sizing.ledger import fastener_options, ledger_spacing

LOADS = {"2015": [40], "2018": [40], "2021": [40, 50, 60, 70], "2024": [40, 50, 60, 70]}
CRITERIA = Callable[..., Criteria]
# Lengths a tape gives: sixteenths of an inch.


def tape(low: float, high: float) -> st.SearchStrategy[float]:
    return st.integers(int(low * 16), int(high * 16)).map(lambda n: n / 16)


def brute_force_rows(board: Board, wall: WallBehind, memory: dict[str, float], *, with_memory: bool) -> bool:
    """Try every pair of heights on a 1/16 in grid against the inequalities as the trade writes them."""
    assert wall.door_sill_height_in is not None
    assert wall.rim_depth_in is not None
    top = wall.door_sill_height_in - wall.floor_build_up_in
    bottom = top - wall.rim_depth_in
    heights = [board.bottom_in + n / 16 for n in range(int((board.top_in - board.bottom_in) * 16) + 1)]
    lower = [h for h in heights if h >= board.bottom_in + 0.75 and h >= bottom + 2]
    if with_memory:
        lower = [h for h in lower if h <= board.top_in - memory[board.size]]
    upper = [h for h in heights if h <= board.top_in - 2 and h <= top - 0.75]
    return bool(lower) and bool(upper) and max(upper) - min(lower) >= 1.625


@given(
    size=st.sampled_from(["2x8", "2x10", "2x12"]),
    surface=tape(10, 60),
    sill=tape(10, 60),
    rim=st.sampled_from([7.25, 9.25, 11.25, 5.5, 24.0]),
    build_up=tape(0, 4),
)
def test_rows_against_every_pair_of_heights(
    criteria: CRITERIA, size: str, surface: float, sill: float, rim: float, build_up: float
) -> None:
    # 5.5, 6.5, 7.5 in: from memory of IRC Figure R507.9.1.3(1); the rest IRC Table R507.9.1.3(2).
    memory = {"2x8": 5.5, "2x10": 6.5, "2x12": 7.5}
    wall = WallBehind("wood_band", "unknown", sill, rim, build_up)
    board = ledger_board(size, surface, 1.0)
    landing = land(wall, board, criteria().rulebook, "main.ledger-1")
    assert (landing.kind == "wood_band") == brute_force_rows(board, wall, memory, with_memory=False)
    if landing.rows_in is None:
        return
    assert landing.decided_by_memory != brute_force_rows(board, wall, memory, with_memory=True)
    lower, upper = landing.rows_in
    band_top = sill - build_up
    assert board.bottom_in + 0.75 <= lower
    assert band_top - rim + 2 <= lower
    assert upper <= board.top_in - 2
    assert upper <= band_top - 0.75
    assert 1.625 <= upper - lower <= 5
    assert landing.decided_by_memory or lower <= board.top_in - memory[size]
    assert all(one.passes for one in landing.findings)


@pytest.mark.parametrize("band_bottom", [24.75 + n / 16 for n in range(9)])
@pytest.mark.parametrize("size", ["2x8", "2x10", "2x12"])
def test_the_lower_row_keeps_the_remembered_distance_where_it_can(
    criteria: CRITERIA, size: str, band_bottom: float
) -> None:
    # Band bottom + 2 lies 1/2 in or less under the highest lower row; from memory of IRC Figure R507.9.1.3(1).
    memory = {"2x8": 5.5, "2x10": 6.5, "2x12": 7.5}[size]
    board = ledger_board(size, band_bottom + 2 + memory + 1 + 0.25, 1.0)
    wall = WallBehind("wood_band", "unknown", band_bottom + 24 + 1.5, 24.0)
    landing = land(wall, board, criteria().rulebook, "main.ledger-1")
    assert landing.rows_in is not None
    assert not landing.decided_by_memory
    assert board.top_in - landing.rows_in[0] >= memory
    assert landing.rows_in[0] >= band_bottom + 2


@pytest.mark.parametrize("edition", LOADS)
@pytest.mark.parametrize("which", range(3))
def test_more_span_never_a_wider_spacing(criteria: CRITERIA, edition: str, which: int) -> None:
    for load in LOADS[edition]:
        rules = criteria(edition, table_load_psf=load)
        option = fastener_options(rules.rulebook.tables["ledger_fasteners"])[which]
        found = [ledger_spacing(rules, option, span / 10).value for span in range(20, 181)]
        assert all(a is not None and b is not None and b <= a for a, b in pairwise(found))


@pytest.mark.parametrize("edition", ["2021", "2024"])
@pytest.mark.parametrize("which", range(3))
def test_more_load_never_a_wider_spacing(criteria: CRITERIA, edition: str, which: int) -> None:
    for tenths in range(20, 181, 5):
        found = []
        for load in LOADS[edition]:
            rules = criteria(edition, table_load_psf=load)
            option = fastener_options(rules.rulebook.tables["ledger_fasteners"])[which]
            found.append(ledger_spacing(rules, option, tenths / 10).value)
        assert all(a is not None and b is not None and b <= a for a, b in pairwise(found))


@given(length=tape(24, 1200), spacing=st.integers(7, 36))
def test_fasteners_keep_spacing_ends_and_rows(length: float, spacing: int) -> None:
    # IRC Table R507.9.1.3(2): 2 to 5 in from the ends.
    places = stagger(LedgerRun(length, 0.5), spacing, 3.5)
    assert places[0].at_in == pytest.approx(3.5)
    assert places[-1].at_in == pytest.approx(length - 3.5)
    assert all(b.at_in - a.at_in <= max(spacing, 7.0) + 1e-9 for a, b in pairwise(places))
    assert all(a.row != b.row for a, b in pairwise(places))


@given(span=tape(48, 260), sheathing=tape(0, 2))
def test_the_spacing_ordered_is_never_over_the_table(
    judged: Callable[..., LedgerResult], span: float, sheathing: float
) -> None:
    result = judged(first_span_in=span, walls={"sheathing_thickness_in": sheathing})
    assert result.ledger is not None
    covered = span <= 216 and sheathing <= 1
    assert (result.ledger.spacing_in is not None) == covered
    assert (result.possible == "prescriptive") == covered
    assert all(one.passes for one in result.findings)

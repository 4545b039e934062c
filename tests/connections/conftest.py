"""Criteria of each edition, and a small ledger to judge."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import Any

import pytest

from service.connections.ledger import LedgerAsk, LedgerResult, judge_ledger
from service.connections.wall import WallBehind
from service.rules.rulebook import Rulebook, build_rulebook
from service.sizing.criteria import Criteria, Ground
from service.store.bundled import bundled

GROUND = Ground(32, "clay", 1500, None, None, None, None, "type_c", True)
BAND: dict[str, Any] = {"door_sill_height_in": 37.5, "floor_build_up_in": 1.5, "rim_depth_in": 11.25}


@cache
def _books() -> dict[str, Rulebook]:
    books = [build_rulebook(one.meta, one.tables) for one in bundled().rulebooks]
    return {book.id: book for book in books}


def _criteria(edition: str = "2021", **changed: Any) -> Criteria:
    values: dict[str, Any] = {
        "rulebook": _books()[f"irc-{edition}"],
        "guide": _books()["dca-6"],
        "jurisdiction": None,
        "live_psf": 40.0,
        "dead_psf": 10.0,
        "snow_psf": 30.0,
        "table_load_psf": 40,
        "species": "southern_pine",
        "species_group": "southern_pine",
        "grade": "no_2",
        "coating": "hot_dip_galvanized",
        "ground": GROUND,
    }
    return Criteria(**{**values, **changed})


def _ask(**changed: Any) -> LedgerAsk:
    values: dict[str, Any] = {
        "member": "main.ledger-1",
        "mark": "L1",
        "edge": 0,
        "start_ft": (0.0, 0.0),
        "end_ft": (16.0, 0.0),
        "size": "2x10",
        "joist_size": "2x10",
        "surface_height_in": 36.0,
        "decking_thickness_in": 1.0,
        "first_span_in": 120.0,
        "projection_ft": 12.0,
        "joists_at_in": (0.75, *range(16, 192, 16), 191.25),
    }
    return LedgerAsk(**{**values, **changed})


@pytest.fixture(scope="session")
def criteria() -> Callable[..., Criteria]:
    return _criteria


@pytest.fixture(scope="session")
def ask() -> Callable[..., LedgerAsk]:
    return _ask


@pytest.fixture(scope="session")
def judged() -> Callable[..., LedgerResult]:
    """Judge a ledger on a wall; wall fields, then `edition`, `rules` for the criteria, the rest for the ask."""

    def judge(
        wall: str = "wood_band",
        edition: str = "2021",
        walls: dict[str, Any] | None = None,
        rules: dict[str, Any] | None = None,
        **changed: Any,
    ) -> LedgerResult:
        behind = WallBehind(wall, **{**BAND, **(walls or {})})
        return judge_ledger(behind, _criteria(edition, **(rules or {})), _ask(**changed))

    return judge

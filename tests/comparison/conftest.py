"""Criteria, demands and facts the footing methods are compared with."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest

from service.contract.spec import CrewSpec, DeckSpec, FoundationSpec, LevelSpec
from service.foundations.demand import Demand
from service.foundations.facts import FoundationFacts, parse_facts
from service.rules.jurisdiction import Jurisdiction, parse_jurisdiction
from service.rules.price_book import PriceBook, parse_price_book
from service.rules.rulebook import Rulebook, build_rulebook
from service.sizing.criteria import Criteria, Ground
from service.store.bundled import bundled

ROOT = Path(str(files("service"))) / "rulebooks"
# A house on a 8 ft deep basement, dug at one to one.
GROUND = Ground(32.0, "clay", 1500.0, None, None, None, 96.0, "type_b", True)


@cache
def _books() -> dict[str, Rulebook]:
    books = [build_rulebook(one.meta, one.tables) for one in bundled().rulebooks]
    return {book.id: book for book in books}


@cache
def _place(name: str) -> Jurisdiction:
    return parse_jurisdiction((ROOT / "jurisdictions" / f"{name}.toml").read_text(encoding="utf-8"), name)


def _criteria(edition: str = "2021", place: str | None = "alder-county", **changed: Any) -> Criteria:
    ground = {name: changed.pop(name) for name in list(changed) if name in GROUND.__dataclass_fields__}
    values: dict[str, Any] = {
        "rulebook": _books()[f"irc-{edition}"], "guide": _books()["dca-6"],
        "jurisdiction": _place(place) if place else None, "live_psf": 40.0, "dead_psf": 10.0, "snow_psf": 30.0,
        "table_load_psf": 40, "species": "southern_pine", "species_group": "southern_pine", "grade": "no_2",
        "coating": "hot_dip_galvanized", "ground": replace(GROUND, **ground),
    }  # fmt: skip
    return Criteria(**{**values, **changed})


def _demand(load_lb: float = 2000.0, n: int = 1, **changed: Any) -> Demand:
    values: dict[str, Any] = {
        "footing_id": f"main.footing-1-{n}", "mark": f"F1-{n}", "post": f"main.post-1-{n}",
        "serves": f"main.post-1-{n}", "x_ft": 4.0 * n, "y_ft": 10.0, "load_lb": load_lb, "sizing_load_lb": load_lb,
        "post_size": "6x6", "grade_height_in": 0.0, "attached": True,
    }  # fmt: skip
    return Demand(**{**values, **changed})


@pytest.fixture
def criteria() -> Callable[..., Criteria]:
    return _criteria


@pytest.fixture
def demand() -> Callable[..., Demand]:
    return _demand


@pytest.fixture(scope="session")
def fact_texts() -> dict[str, str]:
    return {file.stem: file.read_text(encoding="utf-8") for file in (ROOT / "foundations").glob("*.csv")}


@pytest.fixture(scope="session")
def facts(fact_texts: dict[str, str]) -> FoundationFacts:
    return parse_facts(fact_texts)


@pytest.fixture(scope="session")
def prices() -> PriceBook:
    file = ROOT / "price_books" / "brindlemoor-yard@4.csv"
    return parse_price_book(file.read_text(encoding="utf-8"), file.name)


@pytest.fixture
def spec() -> Callable[..., DeckSpec]:
    def build(**foundation: Any) -> DeckSpec:
        crew = foundation.pop("crew", CrewSpec(currency="USD", hourly_rate="48.00", crew_day_value="1450.00"))
        schedule = foundation.pop("schedule", None)
        level = LevelSpec(width_ft=16.0, projection_ft=12.0, surface_height_in=36.0)
        given = {"schedule": schedule} if schedule else {}
        return DeckSpec(levels=(level,), crew=crew, foundation=FoundationSpec(**foundation), **given)

    return build

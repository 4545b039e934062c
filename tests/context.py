"""What the tests design against: the bundled rulebooks, places, demo prices and facts, with no database."""

from __future__ import annotations

import datetime as dt
from functools import cache
from importlib.resources import files
from typing import Any

import msgspec

from service.choice.level.context import Context
from service.contract.report import DesignReport
from service.contract.spec import DeckSpec
from service.foundations.facts import FoundationFacts, parse_facts
from service.pipeline import design
from service.rules.amend import apply_amendments
from service.rules.choice import rulebook_in_force
from service.rules.framing_minutes import FramingMinutes, parse_framing_minutes
from service.rules.jurisdiction import Jurisdiction, parse_jurisdiction
from service.rules.price_book import PriceBook, parse_price_book
from service.rules.rulebook import Rulebook, build_rulebook
from service.sizing.criteria import Criteria
from service.sizing.resolve import criteria_of, resolve_spec
from service.store.bundled import bundled
from service.timber.values import TimberData, parse_timber

AS_OF = dt.date(2026, 11, 28)
EDITIONS = ("2015", "2018", "2021", "2024")
# A place of no jurisdiction: every value a design needs is given, and no local law is in the way.
NOWHERE: dict[str, Any] = {"frost_depth_in": 24, "ground_snow_load_psf": 30, "soil_class": "clay"}


@cache
def rulebooks() -> dict[str, Rulebook]:
    """Every bundled rulebook by its id."""
    return {book.id: book for book in (build_rulebook(one.meta, one.tables) for one in bundled().rulebooks)}


@cache
def places() -> dict[str, Jurisdiction]:
    """Every bundled jurisdiction by its id."""
    return {p.id: p for p in (parse_jurisdiction(one.text, one.name) for one in bundled().jurisdictions)}


@cache
def prices() -> PriceBook:
    """The demo price book, in the version that holds in 2026."""
    first = next(one for one in bundled().price_books if one.name == "brindlemoor-yard@4.csv")
    return parse_price_book(first.text, first.name)


def _texts(folder: str) -> dict[str, str]:
    found = (files("service") / "rulebooks" / folder).iterdir()
    return {
        one.name.removesuffix(".csv"): one.read_text("utf-8") for one in found if one.name.endswith(".csv")
    }


@cache
def facts() -> FoundationFacts:
    """Figures of the footing methods."""
    return parse_facts(_texts("foundations"))


@cache
def timber() -> TimberData:
    """Design values and factors."""
    texts = _texts("timber")
    return parse_timber(texts["design_values"], texts["factors"])


@cache
def minutes() -> FramingMinutes:
    """How long framing takes."""
    return parse_framing_minutes(_texts("framing")["framing_minutes"])


@cache
def context(place: str | None = None, rulebook: str | None = None, priced: bool = True) -> Context:
    """What a spec is designed against; the rulebook in force in the place unless another is named."""
    where = places()[place] if place else None
    in_force = rulebook_in_force(where, AS_OF) if where else None
    book = rulebooks()[rulebook or in_force or "irc-2021"]
    amended = apply_amendments(book, where) if where else book
    return Context(
        amended,
        rulebooks()["dca-6"],
        where,
        prices() if priced else None,
        facts(),
        timber(),
        minutes(),
        AS_OF,
        in_force,
        "0.0.0",
    )


def spec_of(**given: Any) -> DeckSpec:
    """A spec from plain JSON values."""
    return msgspec.convert(given, DeckSpec)


def designed(spec: DeckSpec, where: Context, *, with_wishes: bool = False) -> DesignReport:
    """The report of a spec."""
    return design(spec, where, with_wishes=with_wishes)


def criteria(edition: str, load_psf: float = 40, species: str = "southern_pine", **site: Any) -> Criteria:
    """What a member is judged by under an edition, in no jurisdiction; ``load_psf`` over 40 is ground snow."""
    where = context(None, f"irc-{edition}")
    snow = load_psf if load_psf > 40 else 0
    spec = spec_of(
        site={**NOWHERE, "ground_snow_load_psf": snow, **site},
        levels=[{"width_ft": 16, "projection_ft": 12, "surface_height_in": 30}],
        framing={"species": species},
    )
    resolved = resolve_spec(spec, where.rulebook, None, None, AS_OF)
    return criteria_of(resolved, where.rulebook, where.guide, None, where.timber)

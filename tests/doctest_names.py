"""What the examples in docstrings may use without building it: rulebooks, facts, and what a deck is judged by.

`guide` is DCA 6; `rulebook_2021` and `criteria_2021` are named by edition; `criteria` is `criteria_2021`:
40 psf live, 10 psf dead, 30 psf snow, No. 2 southern pine in Alder County (invented).
"""

from __future__ import annotations

from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

import pytest

EDITIONS = ("2015", "2018", "2021", "2024")
RULEBOOKS = Path(__file__).parents[1] / "service" / "rulebooks"


def _texts(folder: str) -> dict[str, str]:
    return {file.stem: file.read_text(encoding="utf-8") for file in (RULEBOOKS / folder).glob("*.csv")}


@cache
def _names() -> dict[str, Any]:
    # Here, not above: a plugin is imported before coverage and assertion rewriting see the service.
    from service.contract.spec import DeckSpec, LevelSpec
    from service.foundations.facts import parse_facts
    from service.rules.jurisdiction import parse_jurisdiction
    from service.rules.rulebook import build_rulebook
    from service.sizing.resolve import criteria_of, resolve_spec
    from service.store.bundled import bundled
    from service.timber.values import parse_timber

    woods = _texts("timber")
    bundle = bundled()
    books = {book.id: book for book in (build_rulebook(one.meta, one.tables) for one in bundle.rulebooks)}
    place = next(
        parse_jurisdiction(one.text, one.name) for one in bundle.jurisdictions if "alder-county" in one.name
    )
    spec = DeckSpec(levels=(LevelSpec(width_ft=16.0, projection_ft=12.0, surface_height_in=36.0),))
    names: dict[str, Any] = {"guide": books["dca-6"], "facts": parse_facts(_texts("foundations"))}
    names["timber"] = parse_timber(woods["design_values"], woods["factors"])
    for edition in EDITIONS:
        book = names[f"rulebook_{edition}"] = books[f"irc-{edition}"]
        resolved = resolve_spec(spec, book, place, None, date(2026, 6, 1))
        names[f"criteria_{edition}"] = criteria_of(resolved, book, names["guide"], place, names["timber"])
    return {**names, "criteria": names["criteria_2021"]}


@pytest.fixture(autouse=True)
def _doctest_names(request: pytest.FixtureRequest, doctest_namespace: dict[str, Any]) -> None:
    if isinstance(request.node, pytest.DoctestItem):
        doctest_namespace.update(_names())

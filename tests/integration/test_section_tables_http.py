"""Section tables over real HTTP and a real PostgreSQL: kept byte for byte, shown, and used by designs."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from typing import Any

import pytest

from service.app import bundled_snapshot
from service.rules.price_book import canonical_text
from service.store.embedded import EmbeddedServer
from tests.integration.price_service import CSV, Yard, day, line, new_yard, prices, service, until

ITEM = "laminated_veneer_lumber.1-3-4x7-1-4.1_7e.uc3b"
SECTION = {
    "section": "lvl-7-1-4", "material": "laminated_veneer_lumber", "use": "joist", "depth_in": 7.25, "width_in": 1.75,
    "weight_plf": 4.0, "service": "wet", "protection": "uc3b", "fb_psi": 2000, "fv_psi": 205, "fc_perp_psi": 480,
    "e_psi": 1_700_000, "item": ITEM, "source": "Invented table",
}  # fmt: skip
DECK = {
    "jurisdiction": "alder-county",
    "levels": [{"width_ft": 16, "projection_ft": 12, "surface_height_in": 36}],
    "framing": {"joist_size": "2x8"},
}


@pytest.fixture(scope="module")
def address(database: EmbeddedServer) -> Iterator[str]:
    with service(database) as found:
        yield found


@pytest.fixture
def yard(database: EmbeddedServer, address: str) -> Yard:
    return new_yard(database, address)


def upload(yard: Yard) -> dict[str, Any]:
    lines = [line(), line(ITEM, "58.20"), line(ITEM, "116.40", length_ft=24)]
    made = yard.upload(prices(day(0), lines=lines, sections=[SECTION]))
    assert made.status_code == 201, made.text
    until(lambda: yard.ask("GET", made.headers["location"]).status_code == 200)
    shown: dict[str, Any] = yard.ask("GET", made.headers["location"]).json()
    return shown


def test_sections_come_back_as_they_were_sent_under_one_digest(yard: Yard) -> None:
    shown = upload(yard)
    assert shown["sections"] == [
        {
            **SECTION, "most_plies": 1, "inertia_in4": None, "allowable_moment_lb_ft": None,
            "allowable_shear_lb": None, "allowable_reaction_lb": None, "reaction_bearing_in": None,
        }
    ]  # fmt: skip
    text = yard.ask("GET", f"{yard.versions}/1", headers={"Accept": "text/csv"}).text
    assert hashlib.sha256(text.encode()).hexdigest() == shown["digest"]
    for sent in ({"json": shown}, {"content": text, "headers": CSV}):
        again = yard.ask("POST", yard.versions, **sent)
        assert (again.status_code, again.json()["outcome"]) == (200, "existing"), again.text


def test_a_design_is_offered_and_framed_of_the_suppliers_sections(yard: Yard) -> None:
    upload(yard)
    offered = yard.ask("GET", f"/v1/options?price_book={yard.book}").json()["sections_offered"]
    assert [one["section"] for one in offered] == ["lvl-7-1-4"]
    deck = {**DECK, "price_book": yard.book, "as_of": day(0)}
    found = yard.ask("POST", "/v1/designs", json=deck).json()
    wood, steel = found["material_options"]
    assert [one["section"] for one in wood["members"]] == ["lvl-7-1-4"]
    assert [one["code"] for one in steel["why_not"]] == ["no_sections"]
    framing = {**DECK["framing"], "material": "laminated_veneer_lumber"}  # type: ignore[dict-item]
    framed = yard.ask("POST", "/v1/designs", json={**deck, "framing": framing}).json()
    assert framed["verdict"]["status"] == "engineer_required"
    assert framed["levels"][0]["joists"][0]["size"] == "lvl-7-1-4"
    assert framed["levels"][0]["beams"][0]["species"] == "southern_pine"


def test_a_bad_section_keeps_the_whole_version_out(yard: Yard) -> None:
    bad = prices(day(0), lines=[line(), line(ITEM)], sections=[{**SECTION, "e_psi": 17}])
    refused = yard.upload(bad)
    assert (refused.status_code, refused.json()["code"]) == (422, "invalid_upload")
    assert [one["pointer"] for one in refused.json()["errors"]] == ["/sections/0/e_psi"]
    assert yard.ask("GET", yard.versions).json()["items"] == []


def test_the_demo_book_pinned_frames_a_deck_of_steel(yard: Yard) -> None:
    body = {**DECK, "price_book": "brindlemoor-yard@6", "framing": {"material": "light_gauge_steel"}}
    found = yard.ask("POST", "/v1/designs", json=body).json()
    assert found["price_book"]["version"] == 6
    assert {one["species"] for one in found["levels"][0]["joists"]} == {"light_gauge_steel"}
    own = bundled_snapshot().price_books.pinned("brindlemoor-yard", 6)
    assert found["price_book"]["digest"] == hashlib.sha256(canonical_text(own).encode()).hexdigest()

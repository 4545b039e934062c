"""What answers carry: headers, media types, entity tags, HEAD, and the same body for the same spec."""

from __future__ import annotations

import asyncio
import csv
import hashlib
import io
from functools import cache
from typing import Any

import httpx
import pytest

from service.contract.ids import DESIGN, pinned_text
from tests.contract.api import SMALLEST, application, call, deck_names, desk, example

TABLE = "/v1/rulebooks/irc-2021/versions/1/tables/joist_spans"
GETS = [
    "/",
    "/docs",
    "/health/live",
    "/health/ready",
    "/openapi.json",
    "/problems/not_found",
    "/v1/options",
    "/v1/rulebooks",
    "/v1/rulebooks/irc-2021/versions/1",
    TABLE,
    "/v1/jurisdictions",
    "/v1/jurisdictions/alder-county",
]


@cache
def designed(name: str) -> httpx.Response:
    """What an example is answered, with its wishes priced: asked for once."""
    return call("POST", "/v1/designs", json=example(name))


@pytest.mark.parametrize("name", deck_names())
def test_api_parts_of_a_design_agree(name: str) -> None:
    """The takeoff and the comparison alone are those of the whole design, and say whose they are."""
    spec, whole = example(name), designed(name)
    body = whole.json()
    own = {key: value for key, value in whole.headers.items() if key.startswith("deck-")}
    assert DESIGN.fullmatch(own["deck-design-id"])
    assert own["deck-verdict"] == body["verdict"]["status"]
    assert own["deck-rulebook"] == pinned_text(body["rulebook"]["id"], body["rulebook"]["version"])
    for path, part in (("/v1/takeoffs", "takeoff"), ("/v1/footing-comparisons", "footing_comparison")):
        answer = call("POST", path, json=spec)
        found = answer.json()
        assert found[part] == body[part]
        shared = ("design_id", "reference", "verdict", "cautions", "rulebook", "price_book", "engine_version")
        assert {key: found[key] for key in shared} == {key: body[key] for key in shared}
        assert {key: value for key, value in answer.headers.items() if key.startswith("deck-")} == own


def test_api_no_price_book_no_price_header() -> None:
    assert "deck-price-book" not in call("POST", "/v1/designs", json=SMALLEST).headers


def test_api_same_spec_same_bytes() -> None:
    first, second = (call("POST", "/v1/designs", json=SMALLEST) for _ in range(2))
    assert first.content == second.content
    assert first.headers["x-request-id"] != second.headers["x-request-id"]


@pytest.mark.parametrize("name", deck_names())
def test_api_resolved_spec_gives_the_same_design(name: str) -> None:
    first = designed(name).json()
    again = call("POST", "/v1/designs", json=first["resolved_spec"])
    assert again.status_code == 200, again.text
    assert again.json()["design_id"] == first["design_id"]
    assert again.json()["levels"] == first["levels"]


def test_api_null_is_absent() -> None:
    spec = {**SMALLEST, "site": None, "house": None, "framing": {"attachment": None}, "stairs": None}
    spec["levels"] = [{**SMALLEST["levels"][0], "decking": {"thickness_in": None}, "id": None}]  # type: ignore[dict-item]
    nulls, plain = (call("POST", "/v1/designs", json=one) for one in (spec, SMALLEST))
    assert nulls.content == plain.content


def test_api_today_is_the_place_s_own() -> None:
    """The clock of these tests stands at noon UTC on 2026-11-25; Phoenix and New York have the same date."""
    assert call("POST", "/v1/designs", json=SMALLEST).json()["as_of"] == "2026-11-25"


def test_api_takeoff_as_csv() -> None:
    answer = call("POST", "/v1/takeoffs", json=example("snow-country"), headers={"Accept": "text/csv"})
    assert answer.headers["content-type"] == "text/csv; charset=utf-8"
    assert answer.headers["vary"] == "Accept, Accept-Encoding, Authorization, Origin"
    kinds = {row["line_kind"] for row in csv.DictReader(io.StringIO(answer.text))}
    assert kinds <= {"item", "quantity", "unpriced", "caution"}
    assert "item" in kinds


def test_api_table_as_csv_is_the_text_of_its_digest() -> None:
    table = call("GET", TABLE).json()
    answer = call("GET", TABLE, headers={"Accept": "text/csv"})
    assert hashlib.sha256(answer.content).hexdigest() == table["digest"]
    assert answer.headers["etag"] != call("GET", TABLE).headers["etag"]


def test_api_version_digest_can_be_worked_out_by_an_outsider() -> None:
    for path in [f"/v1/rulebooks/{id}/versions/{n}" for id, n in desk().snapshot.rulebooks.versions]:
        version = call("GET", path).json()
        lines = sorted(f"{table['name']}\t{table['digest']}\n" for table in version["tables"])
        assert hashlib.sha256("".join(lines).encode()).hexdigest() == version["digest"]


@pytest.mark.parametrize("path", [TABLE, "/v1/rulebooks/irc-2021/versions/1"])
def test_api_entity_tag(path: str) -> None:
    plain = {"Accept-Encoding": "identity"}
    first = call("GET", path, headers=plain)
    etag = first.headers["etag"]
    if path == TABLE:
        assert etag == f'"{first.json()["digest"]}"'
    for sent in (etag, f"W/{etag}", f'"other", {etag}', "*"):
        again = call("GET", path, headers={"If-None-Match": sent, **plain})
        assert (again.status_code, again.content, again.headers["etag"]) == (304, b"", etag)
    assert call("GET", path, headers={"If-None-Match": '"other"'}).status_code == 200


@pytest.mark.parametrize("path", GETS)
def test_api_head_is_get_without_a_body(path: str) -> None:
    plain = {"Accept-Encoding": "identity"}
    full, head = call("GET", path, headers=plain), call("HEAD", path, headers=plain)
    assert (full.status_code, head.status_code) == (200, 200)
    assert head.content == b""
    assert head.headers["content-length"] == full.headers["content-length"] == str(len(full.content))
    assert head.headers["content-type"] == full.headers["content-type"]


@pytest.mark.parametrize("path", ["/v1/rulebooks", "/v1/jurisdictions"])
def test_api_lists_have_items_and_next(path: str) -> None:
    found = call("GET", path).json()
    assert list(found) == ["items", "next"]
    assert found["next"] is None
    assert all(call("GET", one["url"]).status_code == 200 for one in found["items"])


def test_api_jurisdictions_are_searched() -> None:
    found = call("GET", "/v1/jurisdictions", params={"q": "COUNTY"}).json()["items"]
    assert [one["id"] for one in found] == ["alder-county"]


def test_api_jurisdictions_show_local_law() -> None:
    place = call("GET", "/v1/jurisdictions/sallowmere-bay").json()
    assert {one["id"] for one in place["amendments"]} == {"guards-42", "stainless-3000"}
    assert place["time_zone"] == "America/Los_Angeles"
    assert place["rulebook_in_force"] == "irc-2018"


def test_api_options_mark_what_a_place_refuses() -> None:
    answer = call("GET", "/v1/options", params={"jurisdiction": "sundrel-flats"}).json()
    method = next(field for field in answer["fields"] if field["path"] == "foundation.method")
    refused = {choice["value"] for choice in method["choices"] if not choice["allowed_here"]}
    assert refused == {"pier_block_on_grade", "post_on_buried_pad"}


def test_api_options_name_and_explain_every_choice() -> None:
    fields = call("GET", "/v1/options").json()["fields"]
    assert all(field["label"] and field["help"] for field in fields)
    assert all(choice["help"] for field in fields for choice in field["choices"])


def test_api_options_have_every_field_of_a_spec() -> None:
    def leaves(schema: dict[str, Any], path: str) -> set[str]:
        found: set[str] = set()
        for name, field in schemas[schema["$ref"].rpartition("/")[2]]["properties"].items():
            forms = [field, *field.get("anyOf", [])]
            part = next((one for one in forms if "$ref" in one), None)
            entry = next((one["items"] for one in forms if "$ref" in one.get("items", {})), None)
            at = f"{path}{name}"
            found |= leaves(part, f"{at}.") if part else leaves(entry, f"{at}[].") if entry else {at}
        return found

    schemas = call("GET", "/openapi.json").json()["components"]["schemas"]
    fields = {field["path"]: field for field in call("GET", "/v1/options").json()["fields"]}
    assert set(fields) == leaves({"$ref": "/DeckSpec"}, "")
    outline = fields["levels[].outline_ft"]
    assert (outline["kind"], outline["min_length"], outline["max_length"]) == ("points", 3, 60)
    assert (fields["levels[].origin_ft"]["kind"], fields["levels[].origin_ft"]["default"]) == (
        "point",
        [0, 0],
    )
    assert (outline["minimum"], outline["maximum"], outline["unit"]) == (-300, 300, "ft")
    assert all(field["pattern"] for field in fields.values() if field["kind"] == "text")


def test_api_options_list_what_a_book_sells() -> None:
    assert call("GET", "/v1/options").json()["items_offered"] == []
    sold = call("GET", "/v1/options", params={"price_book": "brindlemoor-yard"}).json()["items_offered"]
    assert sold
    assert all(one["lengths_ft"] == sorted(one["lengths_ft"]) for one in sold)


# the pages that do run scripts: tests/web/test_pages.py
@pytest.mark.parametrize("path", ["/problems/not_found", "/problems/internal"])
def test_api_plain_pages_take_nothing_from_elsewhere(path: str) -> None:
    page = call("GET", path)
    assert page.headers["content-security-policy"].startswith("default-src 'none'")
    assert "http://" not in page.text
    assert "<script" not in page.text


def test_api_stair_layouts() -> None:
    rise = call("POST", "/v1/stair-layouts", json={"total_rise_in": 34, "rulebook": "irc-2021"}).json()
    assert rise["risers"] == len(rise["risers_in"])
    built = call("POST", "/v1/stair-layouts", json={"risers_in": [7.25, 7.25, 7.75]}).json()
    assert built["verdict"]["status"] == "not_permitted"
    assert built["rulebook"]["id"] == "irc-2024"


def test_api_head_sends_no_body_to_the_server() -> None:
    """The server and the client here would both hide a stray body, so the messages themselves are read."""
    sent: list[Any] = []

    async def receive() -> dict[str, Any]:
        return {"type": "http.request", "body": b"", "more_body": False}

    async def send(message: Any) -> None:
        sent.append(message)

    scope = {
        "type": "http", "method": "HEAD", "path": "/health/live", "raw_path": b"/health/live", "query_string": b"",
        "headers": [], "http_version": "1.1", "scheme": "http", "root_path": "", "asgi": {"version": "3.0"},
        "client": ("127.0.0.1", 1), "server": ("127.0.0.1", 80),
    }  # fmt: skip
    asyncio.run(application()(scope, receive, send))  # type: ignore[arg-type]
    assert sent[0]["status"] == 200
    assert b"".join(message.get("body", b"") for message in sent[1:]) == b""

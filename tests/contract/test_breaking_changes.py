"""What breaks a client is found, edit by edit, and what does not is not; the released document is kept to."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from service.cli import main
from service.web.openapi.breaking import breaking_changes
from service.web.openapi.build import document, document_text
from tests.contract.api import ROOT

KEPT = (
    "/v1/stair-layouts", "/v1/member-checks", "/v1/price-books", "/v1/price-books/{price_book_id}/versions",
    "/v1/rulebooks/{rulebook_id}/versions/{version}/tables/{table}", "/v1/options", "/v1/audit-entries",
)  # fmt: skip
WHOLE = document()
DOCUMENT = {**WHOLE, "paths": {path: WHOLE["paths"][path] for path in KEPT}}
STAIR = "paths:/v1/stair-layouts:post"
TABLE = f"paths:{KEPT[4]}:get"
OK = "responses:200"
JSON = "content:application/json"
SCHEMAS = "components:schemas"
GONE = object()


def changed(where: str, to: Any) -> dict[str, Any]:
    """The document with one value replaced, taken out or put in; what is not on the way is shared."""

    def put(value: Any, steps: list[str]) -> Any:
        if not steps:
            return to(value) if callable(to) else to
        if isinstance(value, list):
            place = int(steps[0])
            return [put(one, steps[1:]) if number == place else one for number, one in enumerate(value)]
        new = put(value.get(steps[0]), steps[1:])
        kept = {key: one for key, one in value.items() if key != steps[0] or new is not GONE}
        return kept if new is GONE else {**kept, steps[0]: new}

    found: dict[str, Any] = put(DOCUMENT, where.split(":"))
    return found


def without(*gone: Any) -> Any:
    return lambda listed: [one for one in listed if one not in gone]


def with_more(*more: Any) -> Any:
    return lambda listed: [*(listed or []), *more]


NEW_PARAMETER = {"name": "colour", "in": "query", "required": True, "schema": {"type": "string"}}
BREAKING = [
    ("paths:/v1/options", GONE, "GET /v1/options is gone"),
    (f"{STAIR}:operationId", "stairLayout", "operationId is stairLayout"),
    (f"{STAIR}:{OK}", GONE, "answer 200 is gone"),
    (f"{STAIR}:responses:422", GONE, "answer 422 is gone"),
    (f"{TABLE}:{OK}:content:text/csv", GONE, "no longer comes as text/csv"),
    (f"{TABLE}:{OK}:headers:X-Request-Id", GONE, "header X-Request-Id is gone"),
    ("components:headers:X-Request-Id:required", False, "header X-Request-Id is no longer always there"),
    (f"{TABLE}:{OK}:headers:ETag:schema:pattern", GONE, "header ETag: may now be"),
    ("components:responses:Problem503:headers:Retry-After", GONE, "header Retry-After is gone"),
    (f"{TABLE}:parameters", with_more(NEW_PARAMETER), "query parameter colour is new and required"),
    ("paths:/v1/options:get:parameters", [], "query parameter jurisdiction is gone"),
    ("paths:/v1/options:get:parameters:0:required", True, "query parameter jurisdiction is required"),
    ("paths:/v1/options:get:parameters:0:schema:maxLength", 4, "no longer takes beyond maxLength 4"),
    (f"{STAIR}:requestBody:{JSON}", GONE, "no longer takes application/json"),
    (f"paths:{KEPT[3]}:post:requestBody:content:text/csv", GONE, "no longer takes text/csv"),
    (f"paths:{KEPT[3]}:post:requestBody:content:text/csv:schema:maxLength", 9, "beyond maxLength 9"),
    (f"{STAIR}:security", [{"key": ["designs"]}], "no key is no longer enough"),
    ("paths:/v1/audit-entries:get:security", [{"key": ["admin", "audit"]}], "key is no longer enough"),
    (f"{SCHEMAS}:StairLayoutSpec:required", with_more("width_in"), "width_in is required and was not"),
    (f"{SCHEMAS}:StairLayoutSpec:properties:tread_in", GONE, "tread_in is no longer taken"),
    (f"{SCHEMAS}:StairLayoutSpec:properties:width_in:maximum", 90, "no longer takes beyond maximum 90"),
    (f"{SCHEMAS}:StairLayoutSpec:properties:width_in:minimum", 90, "no longer takes beyond minimum 90"),
    (f"{SCHEMAS}:StairLayoutSpec:properties:width_in:default", 40, "default is 40"),
    (f"{SCHEMAS}:StairLayoutSpec:properties:width_in:anyOf", without({"type": "null"}), "no longer takes"),
    (f"{SCHEMAS}:StairLayoutSpec:properties:width_in:multipleOf", 2, "not of multipleOf 2"),
    (f"{SCHEMAS}:StairLayoutSpec:properties:stringer:enum", without("solid"), "no longer takes 'solid'"),
    (f"{SCHEMAS}:MemberCheckSpec:discriminator:mapping:joist", GONE, "kind joist is another"),
    (f"{SCHEMAS}:MemberCheckSpec:oneOf", lambda listed: listed[1:], "no longer takes"),
    (f"{SCHEMAS}:PriceBookSpec:properties:id:pattern", "^[a-z]+$", "not of pattern"),
    (f"{SCHEMAS}:StairLayout:properties:total_rise_in", GONE, "StairLayout.total_rise_in is gone"),
    (f"{SCHEMAS}:StairLayout:required", without("total_rise_in"), "total_rise_in is no longer always there"),
    (f"{SCHEMAS}:StairLayout:properties:total_rise_in:type", "string", "may now be string"),
    (f"{SCHEMAS}:StairLayout:properties:total_rise_in:type", ["number", "null"], "may now be null"),
    (f"{SCHEMAS}:StairLayout:additionalProperties", False, "is closed and was not"),
    (f"{SCHEMAS}:Citation", GONE, "schema Citation is gone"),
    (f"{SCHEMAS}:Problem:properties:errors:items:$ref", "#/components/schemas/Citation", "may now be list of"),
]  # fmt: skip


@pytest.mark.parametrize(("where", "to", "told"), BREAKING, ids=[f"{one[0]}-{one[2]}" for one in BREAKING])
def test_what_breaks_a_client_is_found(where: str, to: Any, told: str) -> None:
    found = breaking_changes(DOCUMENT, changed(where, to))
    assert any(told in line for line in found), found


ANY_SCHEMA = {"type": "object", "properties": {}}
COMPATIBLE = [
    ("paths:/v2/designs", {"get": {"operationId": "new", "responses": {}}}),
    ("paths:/v1/options:post", {"operationId": "newOne", "responses": {}}),
    (f"{STAIR}:summary", "Another summary"),
    (f"{STAIR}:tags", ["stairs"]),
    (f"{STAIR}:responses:418", {"description": "A new problem"}),
    (f"{TABLE}:{OK}:content:application/xml", {"schema": {"type": "string"}}),
    (f"{TABLE}:{OK}:headers:Deprecation", {"required": False, "schema": {"type": "string"}}),
    (f"{TABLE}:parameters", with_more({**NEW_PARAMETER, "required": False})),
    ("paths:/v1/options:get:parameters:0:schema:maxLength", 4000),
    (f"{STAIR}:requestBody:content:application/cbor", {"schema": ANY_SCHEMA}),
    (f"{STAIR}:security", with_more({"other_key": []})),
    ("paths:/v1/audit-entries:get:security", [{"key": []}]),
    (f"{SCHEMAS}:StairLayoutSpec:properties:colour", {"type": ["string", "null"]}),
    (f"{SCHEMAS}:StairLayoutSpec:properties:width_in:maximum", 300),
    (f"{SCHEMAS}:StairLayoutSpec:properties:stringer:enum", with_more("curved")),
    (f"{SCHEMAS}:PriceBookSpec:required", []),
    (f"{SCHEMAS}:StairLayout:properties:colour", {"type": "string"}),
    (f"{SCHEMAS}:StairLayout:required", with_more("colour")),
    (f"{SCHEMAS}:StairLayout:properties:total_rise_in:type", "integer"),
    (f"{SCHEMAS}:StairLayout:description", "Other words"),
    (f"{SCHEMAS}:Caution:properties:code:x-known-values", with_more("a_new_caution")),
    (f"{SCHEMAS}:Colour", ANY_SCHEMA),
]  # fmt: skip


@pytest.mark.parametrize(("where", "to"), COMPATIBLE, ids=[one[0] for one in COMPATIBLE])
def test_what_breaks_no_client_is_not_found(where: str, to: Any) -> None:
    new = changed(where, to)
    assert new != DOCUMENT
    assert breaking_changes(DOCUMENT, new) == []


def openapi(*arguments: str) -> tuple[int, str]:
    done = CliRunner().invoke(main, ["openapi", *arguments])
    return done.exit_code, done.output


def test_the_released_document_is_kept_to() -> None:
    code, told = openapi("diff", "--folder", str(ROOT / "openapi"))
    assert code == 0, told


def test_a_break_is_refused_until_it_is_listed_with_a_reason(tmp_path: Path) -> None:
    folder = str(tmp_path)
    assert openapi("diff", "--folder", folder)[0] == 1
    assert openapi("release", "--folder", folder)[0] == 0
    assert openapi("diff", "--folder", folder) == (0, "nothing would break a client\n")
    older = json.loads(document_text())
    older["paths"]["/v1/colours"] = {"get": {"operationId": "listColours", "responses": {}}}
    (file,) = (tmp_path / "released").glob("*.json")
    file.write_text(json.dumps(older), "utf-8")
    change = "GET /v1/colours is gone"
    assert openapi("diff", "--folder", folder) == (1, f"Error: this would break clients: {change}\n")
    accepted = tmp_path / "released" / "accepted.toml"
    accepted.write_text(f'[[breaking]]\nchange = "{change}"\nreason = " "\n', "utf-8")
    assert openapi("diff", "--folder", folder) == (1, f"Error: accepted without a reason: {change}\n")
    accepted.write_text(f'[[breaking]]\nchange = "{change}"\nreason = "Nobody used it"\n', "utf-8")
    assert openapi("diff", "--folder", folder)[0] == 0
    file.write_text(document_text(), "utf-8")
    assert openapi("diff", "--folder", folder) == (1, f"Error: accepted, but not so: {change}\n")


def test_the_newest_release_is_compared_with(tmp_path: Path) -> None:
    released = tmp_path / "released"
    released.mkdir()
    for version, text in (("0.9.0", "no JSON"), ("0.10.0", document_text()), ("0.2.0", "no JSON")):
        (released / f"{version}.json").write_text(text, "utf-8")
    assert openapi("diff", "--folder", str(tmp_path))[0] == 0

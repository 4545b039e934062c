"""The OpenAPI document: valid, up to date, complete, and strict only about requests."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

import pytest
from click.testing import CliRunner
from openapi_spec_validator import validate

from service.cli import main
from service.web.openapi.build import document
from service.web.openapi.examples import REQUEST_EXAMPLES, bundled_deck
from tests.contract.api import ROOT, call, example

DOCUMENT = document()
SCHEMAS = DOCUMENT["components"]["schemas"]
REQUESTS = (
    "DeckSpec", "StairLayoutSpec", "RepricingSpec", "JoistCheckSpec", "BeamCheckSpec", "PostCheckSpec",
    "FootingCheckSpec", "LedgerCheckSpec", "GuardPostCheckSpec", "PriceBookSpec", "PriceBookUpload",
    "DrawingRequest", "PermitPackageRequest", "RulebookDraftSpec", "RulebookDraftChange", "JurisdictionDraftSpec",
    "JurisdictionDraftChange", "PublicationSpec",
)  # fmt: skip
# One of several requests, told apart by a field of theirs.
UNIONS = {"MemberCheckSpec", "DesignBatchLine", "RepricingLine", "RuleImpactLine"}


def operations() -> Iterator[tuple[str, str, dict[str, Any]]]:
    for path, item in DOCUMENT["paths"].items():
        for method, operation in item.items():
            yield path, method, operation


def reachable(names: set[str]) -> set[str]:
    seen: set[str] = set()
    waiting = list(names)
    while waiting:
        name = waiting.pop()
        if name not in seen:
            seen.add(name)
            text = json.dumps(SCHEMAS[name])
            waiting += [other for other in SCHEMAS if f'"#/components/schemas/{other}"' in text]
    return seen


def takes_null(schema: dict[str, Any]) -> bool:
    return (
        "null" in (schema.get("type") or "")
        or None in schema.get("enum", [])
        or {"type": "null"} in schema.get("anyOf", [])
    )


def test_api_document_is_valid() -> None:
    validate(DOCUMENT)
    assert DOCUMENT["openapi"] == "3.1.0"


def test_api_document_is_what_is_served_and_released() -> None:
    text = (ROOT / "openapi" / "openapi.json").read_text("utf-8")
    assert json.loads(text) == DOCUMENT
    assert call("GET", "/openapi.json").text == text


def test_api_document_operations_are_complete() -> None:
    ids = [operation["operationId"] for _, _, operation in operations()]
    assert len(ids) == len(set(ids))
    tags = {tag["name"] for tag in DOCUMENT["tags"]}
    for path, method, operation in operations():
        title = f"{method} {path}"
        assert operation["summary"], title
        assert operation["description"], title
        assert set(operation["tags"]) <= tags, title
        assert {"422", "500", "503"} <= set(operation["responses"]), title
        assert all(one["description"] and one["schema"] for one in operation["parameters"]), title


def test_api_document_every_field_is_described() -> None:
    bare = [
        f"{name}.{field}"
        for name, schema in SCHEMAS.items()
        for field, given in schema.get("properties", {}).items()
        if not given.get("description")
    ]
    assert bare == []


def test_api_document_only_requests_are_closed() -> None:
    requests = reachable(set(REQUESTS))
    closed = {name for name, schema in SCHEMAS.items() if schema.get("additionalProperties") is False}
    assert closed == requests
    for name in set(SCHEMAS) - requests - UNIONS:
        assert set(SCHEMAS[name]["required"]) == set(SCHEMAS[name]["properties"]), name


def test_api_document_request_fields_take_null_unless_required() -> None:
    for name in reachable(set(REQUESTS)):
        schema = SCHEMAS[name]
        for field, given in schema["properties"].items():
            optional = field not in schema.get("required", [])
            assert takes_null(given) is optional, f"{name}.{field}"


def test_api_document_a_union_names_the_type_of_each_kind() -> None:
    for name in UNIONS:
        told, members = SCHEMAS[name]["discriminator"], SCHEMAS[name]["oneOf"]
        assert sorted(told["mapping"].values()) == sorted(member["$ref"] for member in members)
        for kind, reference in told["mapping"].items():
            schema = SCHEMAS[reference.rpartition("/")[2]]
            assert schema["properties"][told["propertyName"]]["enum"] == [kind]
            assert told["propertyName"] in schema["required"]


def nested(value: Any) -> Iterator[dict[str, Any]]:
    if isinstance(value, dict):
        yield value
    for one in value.values() if isinstance(value, dict) else value if isinstance(value, list) else ():
        yield from nested(one)


def test_api_document_can_be_read_by_client_generators() -> None:
    """openapi-python-client 0.29 makes no client of a schema of false, nor of a default beside a choice of parts."""
    for schema in nested(SCHEMAS):
        assert schema.get("items") is not False, schema
        if isinstance(schema.get("default"), dict):
            assert "$ref" not in json.dumps(schema.get("anyOf", [])), schema
        if "prefixItems" in schema:
            assert schema["minItems"] == schema["maxItems"] == len(schema["prefixItems"]), schema


def test_api_document_has_no_words_for_programmers() -> None:
    assert not [name for name, schema in SCHEMAS.items() if ">>>" in schema.get("description", "")]


def test_api_document_says_where_things_are_measured_from() -> None:
    assert "datum is the ground at" in SCHEMAS["DeckSpec"]["description"]
    assert "edge 0 lies along the house" in SCHEMAS["LevelSpec"]["description"]
    for name in ("Finding.passes", "Verdict.reasons"):
        struct, field = name.split(".")
        assert "1.15" in SCHEMAS[struct]["properties"][field]["description"]


def test_api_document_whole_numbers_have_whole_bounds() -> None:
    plies = SCHEMAS["FramingSpec"]["properties"]["beam_plies"]
    assert [type(one["maximum"]) for one in plies["anyOf"] if "maximum" in one] == [int]


def test_api_document_open_words_are_strings_with_known_values() -> None:
    code = SCHEMAS["Caution"]["properties"]["code"]
    assert code["type"] == "string"
    assert "enum" not in code
    assert "call_before_you_dig" in code["x-known-values"]


@pytest.mark.parametrize(
    ("name", "body"),
    [(f"{key}:{title}", value) for key, examples in REQUEST_EXAMPLES.items() for title, _, value in examples],
)
def test_api_document_examples_are_answered(name: str, body: dict[str, Any]) -> None:
    wanted = name.partition(":")[0]
    path = next(path for path, _, operation in operations() if operation["operationId"] == wanted)
    assert call("POST", path, json=body).status_code == 200


def test_api_bundled_deck_is_the_first_example() -> None:
    assert bundled_deck() == example("ledger-composite")


def test_api_stale_document_fails_the_check(tmp_path: Any) -> None:
    runner = CliRunner()
    assert runner.invoke(main, ["openapi", "write", "--folder", str(tmp_path)]).exit_code == 0
    assert runner.invoke(main, ["openapi", "check", "--folder", str(tmp_path)]).exit_code == 0
    file = tmp_path / "openapi.json"
    file.write_text(file.read_text("utf-8").replace("Design a deck", "Design a barn", 1), "utf-8")
    found = runner.invoke(main, ["openapi", "check", "--folder", str(tmp_path)])
    assert found.exit_code == 1
    assert "is stale: 2 lines differ" in found.output
    assert "Design a barn" in found.output

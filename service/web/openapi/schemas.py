"""The schemas of the wire types: what msgspec says of them, and what it cannot know."""

from __future__ import annotations

import inspect
import json
import tomllib
from collections.abc import Iterator
from functools import cache
from importlib.resources import files
from typing import Any, get_args

import msgspec

from service.contract.audit import AuditEntryList
from service.contract.drawing import DrawingRequest
from service.contract.ids import CODE, DESIGN, DIGEST, ITEM, REQUEST, SKU
from service.contract.member_checks import MemberCheckRequest, MemberCheckSpec
from service.contract.member_checks_answer import MemberCheck
from service.contract.permit_package import PermitPackageRequest
from service.contract.price_book import (
    PriceBookList,
    PriceBookPublication,
    PriceBookSpec,
    PriceBookSummary,
    PriceBookUpload,
    PriceBookVersion,
    PriceBookVersionList,
)
from service.contract.problem import Problem
from service.contract.report import DesignReport
from service.contract.repricing import RepricingSpec
from service.contract.rule_compare import JurisdictionComparison, RulebookComparison
from service.contract.rule_drafts import (
    DraftCheck,
    JurisdictionDraftChange,
    JurisdictionDraftSpec,
    JurisdictionVersion,
    JurisdictionVersionList,
    PublicationSpec,
    RulebookDraftChange,
    RulebookDraftSpec,
)
from service.contract.spec import DeckSpec
from service.contract.spec_stairs import StairLayoutSpec
from service.contract.stair_layout import StairLayout
from service.contract.stream import DesignBatchLine, RepricingLine, RuleImpactLine
from service.contract.vocabulary import REGISTRY
from service.web.form_fields import label
from service.web.health import Health, Readiness
from service.web.jurisdictions import JurisdictionAnswer, JurisdictionList
from service.web.openapi.answer_words import ANSWER_WORDS
from service.web.options import Options
from service.web.provenance import FootingComparisonAnswer, TakeoffAnswer
from service.web.rulebook_answers import RulebookList, RulebookVersion, RuleTable

Json = dict[str, Any]
REQUESTS = (
    DeckSpec, StairLayoutSpec, *get_args(MemberCheckRequest), PriceBookSpec, PriceBookUpload, RepricingSpec,
    DrawingRequest, PermitPackageRequest, RulebookDraftSpec, RulebookDraftChange, JurisdictionDraftSpec,
    JurisdictionDraftChange, PublicationSpec,
)  # fmt: skip
# One of several types, told apart by a field: each under the name its handlers call it by.
UNIONS: dict[str, Any] = {
    MemberCheckSpec.__name__: MemberCheckRequest,
    "DesignBatchLine": DesignBatchLine,
    "RepricingLine": RepricingLine,
    "RuleImpactLine": RuleImpactLine,
}
ANSWERS = (
    DesignReport, TakeoffAnswer, FootingComparisonAnswer, StairLayout, MemberCheck, Options, RulebookList,
    RulebookVersion, RuleTable, JurisdictionList, JurisdictionAnswer, PriceBookList, PriceBookSummary,
    PriceBookVersionList, PriceBookPublication, PriceBookVersion, RulebookComparison, JurisdictionComparison,
    DraftCheck, JurisdictionVersionList, JurisdictionVersion, AuditEntryList, Health, Readiness, Problem,
    *get_args(DesignBatchLine), *get_args(RepricingLine), *get_args(RuleImpactLine),
)  # fmt: skip
_PREFIX = "#/components/schemas/"
_PATTERNS = {
    "digest": DIGEST, "design_id": DESIGN, "request_id": REQUEST, "item": ITEM, "sku": SKU,
}  # fmt: skip
_UNIT_WORDS = {
    "in_per_ft": "inches per foot", "ft_lb": "foot-pounds", "per_ft": "per foot", "lb_ft": "pound-feet",
    "in": "inches", "ft": "feet", "psf": "pounds per square foot", "plf": "pounds per foot",
    "psi": "pounds per square inch", "lb": "pounds", "sqft": "square feet", "cuft": "cubic feet",
    "cuyd": "cubic yards", "deg": "degrees", "mph": "miles per hour", "years": "years", "days": "days",
    "hours": "hours", "percent": "percent",
}  # fmt: skip


def component_schemas() -> Json:
    """Return every schema by name, requests first."""
    _, found = msgspec.json.schema_components((*REQUESTS, *ANSWERS), ref_template=_PREFIX + "{name}")
    plain: Json = {name: _told(schema) for name, schema in json.loads(json.dumps(found)).items()}
    requests = frozenset(_reachable(plain, {one.__name__ for one in REQUESTS}))
    answers = set(_reachable(plain, {one.__name__ for one in ANSWERS}, stop=requests))
    return {
        **{name: _request_schema(plain[name]) for name in sorted(requests)},
        **{name: _union_schema(union) for name, union in UNIONS.items()},
        **{name: _answer_schema(name, plain[name]) for name in sorted(answers - requests)},
    }


def _told(schema: Json) -> Json:
    """A schema described for callers: without the example that shows programmers how it is made."""
    words = inspect.cleandoc(schema["description"].partition(">>>")[0]).strip().replace("``", "`")
    return {**_with_items(schema), "description": words}


def _with_items(value: Any) -> Any:
    """Say of a list of fixed length what its items are, not that it holds no more: its bounds say that.

    Linters ask for items in every list, and generators of clients stumble on false.
    """
    if isinstance(value, dict):
        found = {key: _with_items(one) for key, one in value.items()}
        if found.get("items") is False and found.get("maxItems") == len(found["prefixItems"]):
            found["items"] = _any_of(found["prefixItems"])
        return found
    return [_with_items(one) for one in value] if isinstance(value, list) else value


def _any_of(schemas: list[Json]) -> Json:
    different = [one for number, one in enumerate(schemas) if one not in schemas[:number]]
    return different[0] if len(different) == 1 else {"anyOf": different}


def _reachable(schemas: Json, names: set[str], stop: frozenset[str] = frozenset()) -> Iterator[str]:
    seen: set[str] = set()
    waiting = list(names)
    while waiting:
        name = waiting.pop()
        if name in seen or name in stop:
            continue
        seen.add(name)
        waiting += _references(schemas[name])
        yield name


def _references(schema: Any) -> list[str]:
    if isinstance(schema, dict):
        own = [schema["$ref"].removeprefix(_PREFIX)] if isinstance(schema.get("$ref"), str) else []
        return own + [name for value in schema.values() for name in _references(value)]
    if isinstance(schema, list):
        return [name for value in schema for name in _references(value)]
    return []


def _request_schema(schema: Json) -> Json:
    """A field that may be left out may be null too; a part left out is a part with every default.

    That default is not written down: beside a choice of a part or null, generators of clients refuse it.
    """
    required = schema.get("required", [])
    fields = {
        name: field if name in required else _optional(field) for name, field in schema["properties"].items()
    }
    if "description" not in fields.get("kind", {"description": ""}):
        fields["kind"] = {"description": "Which kind of member this is", "type": "string", **fields["kind"]}
    return {**schema, "properties": fields}


def _union_schema(union: Any) -> Json:
    """A request that is one of several types, with the field that tells which."""
    (found,), _ = msgspec.json.schema_components((union,), ref_template=_PREFIX + "{name}")
    plain: Json = json.loads(json.dumps(found))
    words = {key: value for key, value in plain.items() if key != "anyOf"}
    return {"description": "One type a kind, told apart by its kind", "oneOf": plain["anyOf"], **words}


def _optional(field: Json) -> Json:
    allows_null = {"type": "null"} in field.get("anyOf", []) or None in field.get("enum", [])
    if allows_null:
        return field
    if "$ref" in field or "allOf" in field:
        words = {key: value for key, value in field.items() if key not in ("$ref", "allOf")}
        inner = {"$ref": field["$ref"]} if "$ref" in field else field["allOf"][0]
        return {**words, "anyOf": [inner, {"type": "null"}]}
    if "enum" in field:
        return {**field, "enum": [*field["enum"], None]}
    return {**field, "type": [field["type"], "null"]}


def _answer_schema(name: str, schema: Json) -> Json:
    """Every field is always there, and a client may meet ones it does not know."""
    fields = {field: _answer_field(name, field, given) for field, given in schema["properties"].items()}
    kept = {key: value for key, value in schema.items() if key != "additionalProperties"}
    return {**kept, "properties": fields, "required": list(fields)}


def _answer_field(struct: str, name: str, field: Json) -> Json:
    field = {key: value for key, value in field.items() if key != "default"}
    lists = ANSWER_WORDS.get(f"{struct}.{name}", ())
    if lists:
        field = _on_strings(field, _words(lists))
    elif name in _PATTERNS:
        field = _on_strings(field, {"pattern": f"^{_PATTERNS[name].pattern}$"})
    if "description" not in field:
        field = {"description": _description(struct, name), **field}
    return field


def _on_strings(field: Json, extra: Json) -> Json:
    """Add to the string in a field, be it alone, nullable or in a list."""
    if field.get("type") == "string":
        return {**field, **extra}
    if "anyOf" in field:
        return {**field, "anyOf": [_on_strings(member, extra) for member in field["anyOf"]]}
    if isinstance(field.get("items"), dict):
        return {**field, "items": _on_strings(field["items"], extra)}
    return field


def _words(lists: tuple[str, ...]) -> Json:
    codes = list(dict.fromkeys(word.code for name in lists for word in REGISTRY[name].words))
    if all(REGISTRY[name].kind == "fixed" for name in lists):
        return {"enum": codes}
    return {"pattern": f"^{CODE.pattern}$", "x-known-values": codes}


@cache
def _notes() -> dict[str, str]:
    text = (files("service.web.openapi") / "notes.toml").read_text("utf-8")
    return {
        f"{struct}.{name}": note
        for struct, notes in tomllib.loads(text).items()
        for name, note in notes.items()
    }


def _description(struct: str, name: str) -> str:
    """The note on a field, or else its name in words with its unit."""
    note = _notes().get(f"{struct}.{name}") or _notes().get(f"any.{name}")
    for unit, words in _UNIT_WORDS.items():
        if name.endswith(f"_{unit}"):
            return f"{note or label(name.removesuffix(f'_{unit}'))}, {words}"
    return note or label(name)

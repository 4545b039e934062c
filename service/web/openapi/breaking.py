"""What in a new document would break a client of the old one."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Literal

Json = dict[str, Any]
Way = Literal["request", "answer"]
_METHODS = ("get", "put", "post", "delete", "patch")
_LIMITS = {"minimum": 1, "minLength": 1, "minItems": 1, "maximum": -1, "maxLength": -1, "maxItems": -1}


def breaking_changes(old: Json, new: Json) -> list[str]:
    """Return what a client of ``old`` can no longer rely on in ``new``, one line each.

    >>> breaking_changes({"paths": {"/a": {"get": {}}}}, {"paths": {}})
    ['GET /a is gone']
    """
    found = list(_operations(old, new))
    requests, answers = _names(old, "request"), _names(old, "answer")
    schemas, others = _schemas(old), _schemas(new)
    for name, schema in schemas.items():
        if name not in others:
            found.append(f"schema {name} is gone")
            continue
        if name in requests:
            found += _request_changes(name, schema, others[name])
        if name in answers:
            found += _answer_changes(name, schema, others[name])
    return list(dict.fromkeys(found))


def _schemas(document: Json) -> Json:
    found: Json = document.get("components", {}).get("schemas", {})
    return found


def _operations(old: Json, new: Json) -> Iterator[str]:
    for path, item in old["paths"].items():
        for method in (method for method in _METHODS if method in item):
            title = f"{method.upper()} {path}"
            other = new["paths"].get(path, {}).get(method)
            if other is None:
                yield f"{title} is gone"
            else:
                yield from _operation_changes(title, item[method], other)


def _operation_changes(title: str, old: Json, new: Json) -> Iterator[str]:
    if old.get("operationId") != new.get("operationId"):
        yield f"{title}: operationId is {new.get('operationId')} and was {old.get('operationId')}"
    before = {(one["in"], one["name"]) for one in old.get("parameters", [])}
    after = {(one["in"], one["name"]): one for one in new.get("parameters", [])}
    for place, name in sorted(before - set(after)):
        yield f"{title}: {place} parameter {name} is gone"
    for key, one in after.items():
        if key not in before and one.get("required"):
            yield f"{title}: {key[0]} parameter {key[1]} is new and required"
    for status, answer in old.get("responses", {}).items():
        other = new.get("responses", {}).get(status)
        if other is None:
            yield f"{title}: answer {status} is gone"
            continue
        for media in answer.get("content", {}):
            if media not in other.get("content", {}):
                yield f"{title}: answer {status} no longer comes as {media}"


def _names(document: Json, way: Way) -> set[str]:
    """The schemas a caller sends, or those a caller is sent."""
    waiting: list[str] = []
    for item in document["paths"].values():
        for operation in (item[method] for method in _METHODS if method in item):
            part = operation.get("requestBody", {}) if way == "request" else operation.get("responses", {})
            waiting += _references(part)
    waiting += _references(document.get("components", {}).get("responses", {})) if way == "answer" else []
    seen: set[str] = set()
    while waiting:
        name = waiting.pop()
        if name not in seen and name in _schemas(document):
            seen.add(name)
            waiting += _references(_schemas(document)[name])
    return seen


def _references(value: Any) -> list[str]:
    if isinstance(value, dict):
        own = [str(value["$ref"]).rpartition("/")[2]] if isinstance(value.get("$ref"), str) else []
        return own + [name for one in value.values() for name in _references(one)]
    if isinstance(value, list):
        return [name for one in value for name in _references(one)]
    return []


def _request_changes(name: str, old: Json, new: Json) -> Iterator[str]:
    for field in sorted(set(new.get("required", [])) - set(old.get("required", []))):
        yield f"{name}.{field} is required and was not"
    for field, schema in old.get("properties", {}).items():
        other = new.get("properties", {}).get(field)
        if other is None:
            yield f"{name}.{field} is no longer taken"
            continue
        at = f"{name}.{field}"
        yield from (f"{at}: {what}" for what in _narrowed(schema, other))
        if schema.get("default") != other.get("default"):
            yield f"{at}: default is {other.get('default')} and was {schema.get('default')}"


def _answer_changes(name: str, old: Json, new: Json) -> Iterator[str]:
    for field in sorted(set(old.get("required", [])) - set(new.get("required", []))):
        yield f"{name}.{field} is no longer always there"
    for field, schema in old.get("properties", {}).items():
        other = new.get("properties", {}).get(field)
        if other is None:
            yield f"{name}.{field} is gone"
            continue
        at = f"{name}.{field}"
        yield from (f"{at}: {what}" for what in _narrowed(other, schema, "may now be", "limit"))


def _narrowed(
    wide: Json, narrow: Json, lost: str = "no longer takes", limit: str = "limit is tighter"
) -> Iterator[str]:
    """What ``wide`` admits and ``narrow`` does not."""
    forms, others = _forms(wide), _forms(narrow)
    for form in sorted(forms - others):
        yield f"{lost} {form}"
    for key, sign in _LIMITS.items():
        before, after = _limit(wide, key), _limit(narrow, key)
        if after is not None and (before is None or (after - before) * sign > 0):
            yield f"{limit}: {key} {after:g} against {'none' if before is None else f'{before:g}'}"


def _forms(schema: Any) -> set[str]:
    """Types, words and references a schema admits; a list by what is in it."""
    if not isinstance(schema, dict):
        return set()
    found = {f"{word!r}" for word in schema.get("enum", [])}
    given = schema.get("type", [])
    found |= {str(one) for one in ([given] if isinstance(given, str) else given)}
    found |= {str(schema["$ref"]).rpartition("/")[2]} if "$ref" in schema else set()
    for member in schema.get("anyOf", []):
        found |= _forms(member)
    return found | {f"list of {form}" for form in _forms(schema.get("items"))}


def _limit(schema: Json, key: str) -> float | None:
    found = [schema, *schema.get("anyOf", [])]
    given = [float(one[key]) for one in found if isinstance(one, dict) and key in one]
    return given[0] if given else None

"""What in a new document would break a client of the old one."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Literal

from service.web.openapi.narrowed import Json, lost, reference

Way = Literal["request", "answer"]
_METHODS = ("get", "put", "post", "delete", "patch")


def breaking_changes(old: Json, new: Json) -> list[str]:
    """Return what a client of ``old`` can no longer rely on in ``new``, one line each.

    >>> breaking_changes({"paths": {"/a": {"get": {}}}}, {"paths": {}})
    ['GET /a is gone']
    """
    found = list(_operations(old, new))
    requests, answers = _names(old, "request"), _names(old, "answer")
    others = _components(new, "schemas")
    for name, schema in _components(old, "schemas").items():
        if name not in others:
            found.append(f"schema {name} is gone")
            continue
        if name in requests:
            found += _changes(name, schema, others[name], "request")
        if name in answers:
            found += _changes(name, schema, others[name], "answer")
    return list(dict.fromkeys(found))


def _components(document: Json, kind: str) -> Json:
    found: Json = document.get("components", {}).get(kind, {})
    return found


def _resolved(document: Json, value: Json, kind: str) -> Json:
    if "$ref" not in value:
        return value
    found: Json = _components(document, kind).get(reference(value), {})
    return found


def _operations(old: Json, new: Json) -> Iterator[str]:
    for path, item in old["paths"].items():
        for method in (method for method in _METHODS if method in item):
            title = f"{method.upper()} {path}"
            other = new["paths"].get(path, {}).get(method)
            if other is None:
                yield f"{title} is gone"
                continue
            before, after = item[method], other
            if before.get("operationId") != after.get("operationId"):
                yield f"{title}: operationId is {after.get('operationId')} and was {before.get('operationId')}"
            yield from _security(title, before.get("security", old.get("security", [])), new, after)
            yield from _parameters(title, before, after)
            yield from _body(title, before.get("requestBody", {}), after.get("requestBody", {}))
            yield from _answers(title, (old, before), (new, after))


def _security(title: str, before: list[Json], new: Json, operation: Json) -> Iterator[str]:
    """Each way in that was enough has to be enough still."""
    after = operation.get("security", new.get("security", []))
    for way in before or [{}]:
        if not any(_is_enough(way, one) for one in after or [{}]):
            yield f"{title}: {' and '.join(way) or 'no key'} is no longer enough"


def _is_enough(given: Json, asked: Json) -> bool:
    return all(scheme in given and set(scopes) <= set(given[scheme]) for scheme, scopes in asked.items())


def _parameters(title: str, old: Json, new: Json) -> Iterator[str]:
    before = {(one["in"], one["name"]): one for one in old.get("parameters", [])}
    after = {(one["in"], one["name"]): one for one in new.get("parameters", [])}
    for (place, name), one in before.items():
        at, other = f"{title}: {place} parameter {name}", after.get((place, name))
        if other is None:
            yield f"{at} is gone"
            continue
        if other.get("required") and not one.get("required"):
            yield f"{at} is required and was not"
        yield from _changes(at, one.get("schema", {}), other.get("schema", {}), "request")
    for (place, name), one in after.items():
        if (place, name) not in before and one.get("required"):
            yield f"{title}: {place} parameter {name} is new and required"


def _body(title: str, old: Json, new: Json) -> Iterator[str]:
    if new.get("required") and not old.get("required"):
        yield f"{title}: a body is required and was not"
    for media, content in old.get("content", {}).items():
        other = new.get("content", {}).get(media)
        if other is None:
            yield f"{title}: no longer takes {media}"
        else:
            at = f"{title}: {media}"
            yield from _changes(at, content.get("schema", {}), other.get("schema", {}), "request")


def _answers(title: str, old: tuple[Json, Json], new: tuple[Json, Json]) -> Iterator[str]:
    after = new[1].get("responses", {})
    for status, given in old[1].get("responses", {}).items():
        at = f"{title}: answer {status}"
        if status not in after:
            yield f"{at} is gone"
            continue
        before, other = _resolved(old[0], given, "responses"), _resolved(new[0], after[status], "responses")
        yield from _headers(at, _headers_of(old[0], before), _headers_of(new[0], other))
        for media, content in before.get("content", {}).items():
            if media not in other.get("content", {}):
                yield f"{at} no longer comes as {media}"
                continue
            schema = other["content"][media].get("schema", {})
            yield from _changes(f"{at}: {media}", content.get("schema", {}), schema, "answer")


def _headers_of(document: Json, answer: Json) -> Json:
    return {name: _resolved(document, one, "headers") for name, one in answer.get("headers", {}).items()}


def _headers(at: str, old: Json, new: Json) -> Iterator[str]:
    for name, one in old.items():
        other = new.get(name)
        if other is None:
            yield f"{at}: header {name} is gone"
            continue
        if one.get("required") and not other.get("required"):
            yield f"{at}: header {name} is no longer always there"
        yield from _changes(f"{at}: header {name}", one.get("schema", {}), other.get("schema", {}), "answer")


def _changes(at: str, old: Json, new: Json, way: Way) -> Iterator[str]:
    """What of one schema breaks, and of the fields it has itself; those it refers to are compared by name."""
    taken = way == "request"
    wide, narrow = (old, new) if taken else (new, old)
    yield from (f"{at}: {'no longer takes' if taken else 'may now be'} {what}" for what in lost(wide, narrow))
    yield from _fields(at, old, new, way)
    kinds, others = (one.get("discriminator", {}).get("mapping", {}) for one in (old, new))
    yield from (f"{at}: kind {kind} is another" for kind in kinds if others.get(kind) != kinds[kind])
    if (
        not taken
        and old.get("additionalProperties") is not False
        and new.get("additionalProperties") is False
    ):
        yield f"{at}: is closed and was not"
    if taken and old.get("default") != new.get("default"):
        yield f"{at}: default is {new.get('default')} and was {old.get('default')}"


def _fields(at: str, old: Json, new: Json, way: Way) -> Iterator[str]:
    before, after = set(old.get("required", [])), set(new.get("required", []))
    for field in sorted(after - before) if way == "request" else ():
        yield f"{at}.{field} is required and was not"
    for field in sorted(before - after) if way == "answer" else ():
        yield f"{at}.{field} is no longer always there"
    for field, schema in old.get("properties", {}).items():
        other = new.get("properties", {}).get(field)
        if other is None:
            yield f"{at}.{field} is {'no longer taken' if way == 'request' else 'gone'}"
        else:
            yield from _changes(f"{at}.{field}", schema, other, way)


def _names(document: Json, way: Way) -> set[str]:
    """The schemas a caller sends, or those a caller is sent."""
    waiting: list[str] = []
    for item in document["paths"].values():
        for operation in (item[method] for method in _METHODS if method in item):
            sent = [operation.get("requestBody", {}), operation.get("parameters", [])]
            waiting += _references(sent if way == "request" else operation.get("responses", {}))
    waiting += _references(_components(document, "responses")) if way == "answer" else []
    seen: set[str] = set()
    while waiting:
        name = waiting.pop()
        if name not in seen and name in _components(document, "schemas"):
            seen.add(name)
            waiting += _references(_components(document, "schemas")[name])
    return seen


def _references(value: Any) -> list[str]:
    if isinstance(value, dict):
        own = [reference(value)] if isinstance(value.get("$ref"), str) else []
        return own + [name for one in value.values() for name in _references(one)]
    if isinstance(value, list):
        return [name for one in value for name in _references(one)]
    return []

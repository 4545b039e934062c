"""What one schema admits and another does not, as far as a client can tell."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

Json = dict[str, Any]
_LIMITS = {
    "minimum": 1, "exclusiveMinimum": 1, "minLength": 1, "minItems": 1, "minProperties": 1,
    "maximum": -1, "exclusiveMaximum": -1, "maxLength": -1, "maxItems": -1, "maxProperties": -1,
}  # fmt: skip
_RULES = ("pattern", "format", "multipleOf", "uniqueItems", "contentMediaType")


def lost(wide: Json, narrow: Json) -> Iterator[str]:
    """Yield what `wide` admits and `narrow` does not: types, words, types of lists, limits and rules of a text.

    >>> list(lost({"type": ["string", "null"]}, {"type": "string", "maxLength": 5}))
    ['null', 'beyond maxLength 5 (none)']
    """
    taken = forms(narrow)
    for form in sorted(forms(wide) - taken):
        if not _covered(form, taken):
            yield form
    for key, sign in _LIMITS.items():
        before, after = _first(wide, key), _first(narrow, key)
        if after is not None and (before is None or (after - before) * sign > 0):
            yield f"beyond {key} {after:g} ({'none' if before is None else f'{before:g}'})"
    for key in _RULES:
        before, after = _first(wide, key), _first(narrow, key)
        if after and before != after:
            yield f"what is not of {key} {after} ({before or 'none'})"


def _covered(form: str, taken: set[str]) -> bool:
    """Whether a form is part of one that is taken: whole numbers of numbers, words of any text, all of anything."""
    text = form.startswith("'") and "string" in taken and not any(one.startswith("'") for one in taken)
    whole = form.endswith("integer") and f"{form.removesuffix('integer')}number" in taken
    return not taken or text or whole


def forms(schema: Any) -> set[str]:
    """Return types, words and references a schema admits; a list by what is in it; nothing where all is admitted."""
    if not isinstance(schema, dict):
        return set()
    words = [*schema.get("enum", []), *([schema["const"]] if "const" in schema else [])]
    found = {"null" if word is None else f"{word!r}" for word in words}
    given = schema.get("type", [])
    found |= {str(one) for one in ([given] if isinstance(given, str) else given)}
    found |= {reference(schema)} if "$ref" in schema else set()
    for member in members(schema):
        found |= forms(member)
    return found | {f"list of {form}" for item in _items(schema) for form in forms(item)}


def members(schema: Json) -> list[Json]:
    """Return the schemas it is one of, or all of."""
    return [one for key in ("anyOf", "oneOf", "allOf") for one in schema.get(key, [])]


def reference(schema: Json) -> str:
    """Return the name of the schema, answer or parameter it refers to."""
    return str(schema["$ref"]).rpartition("/")[2]


def _items(schema: Json) -> list[Any]:
    return [schema.get("items"), *schema.get("prefixItems", [])]


def _first(schema: Json, key: str) -> Any:
    """The first value of a keyword, in a schema, what it is one of, or what a list of it holds."""
    inner = [*members(schema), *(one for one in _items(schema) if isinstance(one, dict))]
    found = (one for one in [schema, *inner] if key in one)
    return next((one[key] for one in found), None)

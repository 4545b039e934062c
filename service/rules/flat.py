"""A TOML document as one value a path, so that two of them can be compared."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from service.contract.rule_compare import ChangedValue

# An entry of a list is told by the first of these it has; its place would change with every entry before it.
_NAMES = ("id", "rulebook")


def flat(document: Mapping[str, Any]) -> dict[str, str]:
    """Return every value of a document by its path, written as JSON; what is null is not there.

    >>> flat({"site": {"frost_depth_in": 32}, "amendments": [{"id": "guards-42", "value": 42}]})
    {'site.frost_depth_in': '32', 'amendments[guards-42].id': '"guards-42"', 'amendments[guards-42].value': '42'}
    """
    return dict(_walk(document, ""))


def _walk(value: Any, path: str) -> Iterator[tuple[str, str]]:
    if isinstance(value, Mapping):
        for name, item in value.items():
            yield from _walk(item, f"{path}.{name}" if path else name)
    elif isinstance(value, list | tuple) and any(isinstance(item, Mapping) for item in value):
        for name, item in zip(_names(value), value, strict=True):
            yield from _walk(item, f"{path}[{name}]")
    elif value is not None:
        yield path, _written(value)


def _written(value: Any) -> str:
    whole = isinstance(value, float) and value.is_integer()
    return json.dumps(int(value) if whole else value, ensure_ascii=False, default=str)


def _names(items: Sequence[Any]) -> list[str]:
    """What entries of a list are told by: their own names where every one has one, else their places."""
    for word in _NAMES:
        names = [str(item.get(word, "")) if isinstance(item, Mapping) else "" for item in items]
        if all(names) and len(set(names)) == len(names):
            return names
    return [str(number) for number in range(len(items))]


def changed_values(old: Mapping[str, str], new: Mapping[str, str]) -> tuple[ChangedValue, ...]:
    """Return the values that differ, those of the older side first.

    >>> [(one.name, one.old, one.new) for one in changed_values({"a": "1", "b": "2"}, {"b": "3"})]
    [('a', '1', None), ('b', '2', '3')]
    """
    names = [*old, *(name for name in new if name not in old)]
    return tuple(
        ChangedValue(name=name, old=old.get(name), new=new.get(name))
        for name in names
        if old.get(name) != new.get(name)
    )

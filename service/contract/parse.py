"""From bytes to plain JSON values: what RFC 8259 leaves open is refused here.

Refused: bytes that are not UTF-8, a repeated key, nesting past the limit, NaN and Infinity, a number no
double can hold, NUL and lone surrogates (written plainly or as escapes).
"""

from __future__ import annotations

import json
import math
import re
from collections.abc import Iterator
from itertools import accumulate
from typing import Any

from service.contract.problem import Rejected

_STRING = re.compile(r'"(?:[^"\\]|\\.)*+"?', re.DOTALL)
_STEPS = {ord("["): 1, ord("{"): 1, ord("]"): -1, ord("}"): -1}
_NO_BRACKETS = bytes(set(range(256)) - set(_STEPS))
_FORBIDDEN = re.compile("[\x00\ud800-\udfff]")
# no double has more digits before its point than this
_MOST_DIGITS = 310
_EXACT = 2**53


def parse(body: bytes, depth: int) -> Any:
    """Return the value a body holds; whole numbers come back as int, ``3.0`` too.

    >>> parse(b'{"a": [1, 2.0, 2.5]}', depth=8)
    {'a': [1, 2, 2.5]}
    """
    text = decoded(body)
    _check_depth(text, depth)
    value = _loaded(text)
    if "\\u" in text and any(_FORBIDDEN.search(string) for string in _strings(value)):
        raise Rejected("not_json", "a text holds a NUL or half of a surrogate pair")
    return value


def decoded(body: bytes) -> str:
    """Return the body as text.

    >>> decoded("é".encode())
    'é'
    """
    try:
        return body.decode("utf-8")
    except UnicodeDecodeError as error:
        raise Rejected("not_json", f"byte {error.start} is not UTF-8") from error


def _check_depth(text: str, depth: int) -> None:
    if text.count("[") + text.count("{") <= depth:
        return
    # without escapes every other quote ends a string, and what stands outside strings is quickly had
    outside = _STRING.sub("", text) if "\\" in text else "".join(text.split('"')[::2])
    brackets = outside.encode().translate(None, _NO_BRACKETS)
    if max(accumulate(map(_STEPS.__getitem__, brackets)), default=0) > depth:
        raise Rejected("too_deep", f"objects and lists are nested more than {depth} deep")


def _loaded(text: str) -> Any:
    try:
        return json.loads(
            text,
            object_pairs_hook=_object,
            parse_int=_int,
            parse_float=_float,
            parse_constant=_constant,
        )
    except json.JSONDecodeError as error:
        place = f"line {error.lineno} column {error.colno}"
        raise Rejected("not_json", f"{error.msg.lower().removesuffix(' at')} at {place}") from error


def _object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    value = dict(pairs)
    if len(value) < len(pairs):
        raise Rejected("duplicate_key", f"the key {_repeated(pairs)} appears twice in one object")
    return value


def _repeated(pairs: list[tuple[str, Any]]) -> str:
    seen: set[str] = set()
    for key, _ in pairs:
        if key in seen:
            return json.dumps(key[:64])
        seen.add(key)
    return ""


def _int(text: str) -> int:
    if len(text) > _MOST_DIGITS:
        raise _beyond()
    _finite(text)
    return int(text)


def _float(text: str) -> float | int:
    value = _finite(text)
    return int(value) if value.is_integer() and abs(value) <= _EXACT else value


def _finite(text: str) -> float:
    value = float(text)
    if not math.isfinite(value):
        raise _beyond()
    return value


def _beyond() -> Rejected:
    return Rejected("not_json", "a number is beyond what a double can hold")


def _constant(name: str) -> Any:
    raise Rejected("not_json", f"{name} is not a JSON number")


def _strings(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, list):
        for item in value:
            yield from _strings(item)
    elif isinstance(value, dict):
        yield from value
        for item in value.values():
            yield from _strings(item)

"""Every way a JSON value departs from a message type, with its place.

The decoder stops at the first departure; this walk over the same type information goes on to the end.
"""

from __future__ import annotations

import datetime as dt
import json
import math
import re
import unicodedata
from collections.abc import Callable, Iterator
from functools import lru_cache
from itertools import islice
from typing import Any

import msgspec
from msgspec import inspect

from service.contract.problem import Allowed, Fault, pointer

LONGEST_TEXT = 120
# An object may hold hundreds of thousands of names nobody knows; these many show what is wrong.
MOST_UNKNOWN = 100
_CONTROL = re.compile("[\x00-\x1f\x7f-\x9f]")
# A text of several lines says so by this pattern; any other text is one line.
LINES_PATTERN = r"^[^\x00-\x08\x0b-\x1f\x7f-\x9f]*$"
_DATE = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_NAMES = {
    dict: "an object",
    list: "a list",
    str: "a text",
    bool: "true or false",
    int: "a number",
    float: "a number",
    type(None): "null",
}
_EXEMPLIFIED = ("bad_pattern", "wrong_type", "missing")

Walk = Callable[[Any, Any, str], Iterator[Fault]]


@lru_cache(maxsize=64)
def described(type_: Any) -> inspect.Type:
    """Return what msgspec knows of a type.

    >>> described(int)
    IntType(gt=None, ge=None, lt=None, le=None, multiple_of=None)
    """
    return inspect.type_info(type_)


def settled(info: inspect.Type, value: Any) -> inspect.Type:
    """Return the type that applies to a value: no annotation around it, one member of a union.

    >>> settled(described(int | None), 4)
    IntType(gt=None, ge=None, lt=None, le=None, multiple_of=None)
    """
    while isinstance(info, inspect.Metadata):
        info = info.type
    if not isinstance(info, inspect.UnionType):
        return info
    members = [settled(member, value) for member in info.types if not isinstance(member, inspect.NoneType)]
    if value is None and info.includes_none:
        return inspect.NoneType()
    return members[0] if len(members) == 1 else _tagged(members, value) or info


def _tagged(members: list[inspect.Type], value: Any) -> inspect.Type | None:
    structs = [member for member in members if isinstance(member, inspect.StructType)]
    given = value if isinstance(value, dict) else {}
    return next((one for one in structs if one.tag_field and given.get(one.tag_field) == one.tag), None)


def without_nulls(value: Any, info: inspect.Type) -> Any:
    """Return a value in which every known field given as null is absent.

    A null under an unknown name stays, so that the name is still refused.
    """
    info = settled(info, value)
    if isinstance(info, inspect.StructType) and isinstance(value, dict):
        known = {field.encode_name: field.type for field in info.fields}
        return {
            name: without_nulls(item, known[name]) if name in known else item
            for name, item in value.items()
            if item is not None or name not in known
        }
    if isinstance(info, inspect.VarTupleType | inspect.ListType) and isinstance(value, list):
        if len(value) > (info.max_length or len(value)):
            return value  # refused for its length alone, so nobody looks at what is in it
        return [without_nulls(item, info.item_type) for item in value]
    return value


def faults_in(value: Any, info: inspect.Type, at: str = "") -> Iterator[Fault]:
    """Yield every fault of a value against a type, in the order of the type's fields.

    >>> [(fault.pointer, fault.code) for fault in faults_in("x", described(int), "/people")]
    [('/people', 'wrong_type')]
    """
    actual = settled(info, value)
    for fault in _WALKS[type(actual)](value, actual, at):
        yield _exemplified(_ranged(fault, info, at), info, at)


def _ranged(fault: Fault, info: inspect.Type, at: str) -> Fault:
    """A number written as a text is held by a pattern, which says nothing of its range to people."""
    limits = _limits(info) if fault.pointer == at and fault.code == "bad_pattern" else None
    if limits is None or fault.allowed is None:
        return fault
    least, most = limits
    detail = f"an amount of {least} to {most} with two decimals is needed here"
    allowed = msgspec.structs.replace(fault.allowed, min=least, max=most)
    return msgspec.structs.replace(fault, detail=detail, allowed=allowed)


def _limits(info: inspect.Type) -> tuple[str, str] | None:
    if isinstance(info, inspect.UnionType):
        return next(filter(None, map(_limits, info.types)), None)
    if not isinstance(info, inspect.Metadata):
        return None
    return (info.extra or {}).get("range") or _limits(info.type)


def _exemplified(fault: Fault, info: inspect.Type, at: str) -> Fault:
    if fault.pointer != at or fault.code not in _EXEMPLIFIED or not isinstance(info, inspect.Metadata):
        return fault
    examples = (info.extra_json_schema or {}).get("examples")
    if not examples:
        return fault
    return msgspec.structs.replace(fault, detail=f"{fault.detail}; for example {json.dumps(examples[0])}")


def _wrong(value: Any, wanted: str, at: str) -> Fault:
    return Fault(at, "wrong_type", f"{wanted} is needed here, not {_NAMES.get(type(value), 'this')}")


def _struct(value: Any, info: inspect.StructType, at: str) -> Iterator[Fault]:
    if not isinstance(value, dict):
        yield _wrong(value, "an object", at)
        return
    for field in info.fields:
        yield from _field(value.get(field.encode_name), field, at + pointer(field.encode_name))
    yield from _unknown(value, info, at)


def _unknown(value: dict[str, Any], info: inspect.StructType, at: str) -> Iterator[Fault]:
    names = tuple(field.encode_name for field in info.fields)
    known = Allowed(one_of=names)
    unknown = value.keys() - {*names, info.tag_field}
    for name in islice((one for one in value if one in unknown), MOST_UNKNOWN):
        yield Fault(at + pointer(name), "unknown_field", "there is no field of this name here", known)
    if len(unknown) > MOST_UNKNOWN:
        text = f"and {len(unknown) - MOST_UNKNOWN} more fields there is no name for here"
        yield Fault(at, "unknown_field", text, known)


def _field(value: Any, field: inspect.Field, at: str) -> Iterator[Fault]:
    if value is not None:
        yield from faults_in(value, field.type, at)
    elif field.required:
        yield _exemplified(Fault(at, "missing", "this field is needed"), field.type, at)


def _list(value: Any, info: inspect.VarTupleType | inspect.ListType, at: str) -> Iterator[Fault]:
    if not isinstance(value, list):
        yield _wrong(value, "a list", at)
        return
    count = tuple(_count(value, info.min_length or 0, info.max_length, at))
    yield from count
    if any(fault.code == "too_many" for fault in count):
        return
    for number, item in enumerate(value):
        yield from faults_in(item, info.item_type, f"{at}/{number}")


def _count(value: list[Any], least: int, most: int | None, at: str) -> Iterator[Fault]:
    allowed = Allowed(min=float(least), max=None if most is None else float(most))
    if len(value) < least:
        yield Fault(at, "too_few", f"{len(value)} given, at least {least} needed", allowed)
    if most is not None and len(value) > most:
        yield Fault(at, "too_many", f"{len(value)} given, at most {most} taken", allowed)


def _tuple(value: Any, info: inspect.TupleType, at: str) -> Iterator[Fault]:
    if not isinstance(value, list):
        yield _wrong(value, "a list", at)
        return
    yield from _count(value, len(info.item_types), len(info.item_types), at)
    for number, (item, item_type) in enumerate(zip(value, info.item_types, strict=False)):
        yield from faults_in(item, item_type, f"{at}/{number}")


def _int(value: Any, info: inspect.IntType, at: str) -> Iterator[Fault]:
    if isinstance(value, bool) or not isinstance(value, int | float):
        yield _wrong(value, "a whole number", at)
    elif isinstance(value, float) and not value.is_integer():
        yield Fault(at, "wrong_type", "a whole number is needed here, not a fraction")
    else:
        yield from _range(value, info, at)


def _float(value: Any, info: inspect.FloatType, at: str) -> Iterator[Fault]:
    if isinstance(value, bool) or not isinstance(value, int | float):
        yield _wrong(value, "a number", at)
    elif not math.isfinite(value):
        yield Fault(at, "not_finite", "a finite number is needed here")
    else:
        yield from _range(value, info, at)


def _range(value: float, info: inspect.IntType | inspect.FloatType, at: str) -> Iterator[Fault]:
    low = -math.inf if info.ge is None else info.ge
    high = math.inf if info.le is None else info.le
    if not low <= value <= high:
        allowed = Allowed(min=_bound(info.ge), max=_bound(info.le))
        yield Fault(at, "out_of_range", f"{value:.12g} is not within {low:g} to {high:g}", allowed)


def _bound(limit: float | None) -> float | None:
    return None if limit is None else float(limit)


def _bool(value: Any, _: inspect.BoolType, at: str) -> Iterator[Fault]:
    if not isinstance(value, bool):
        yield _wrong(value, "true or false", at)


def _str(value: Any, info: inspect.StrType, at: str) -> Iterator[Fault]:
    if not isinstance(value, str):
        yield _wrong(value, "a text", at)
        return
    longest = info.max_length or LONGEST_TEXT
    if len(value) > longest:
        allowed = Allowed(max=float(longest), pattern=info.pattern)
        yield Fault(at, "too_long", f"{len(value)} characters given, at most {longest} taken", allowed)
    elif why := _malformed(value, info):
        yield Fault(at, "bad_pattern", why, Allowed(pattern=info.pattern))


def _malformed(value: str, info: inspect.StrType) -> str | None:
    if info.pattern != LINES_PATTERN and _CONTROL.search(value):
        return "control characters are not taken"
    # one spelling only, so that a text comes back byte for byte and names compare as they look
    if not unicodedata.is_normalized("NFC", value):
        return "the text has to be in Unicode form NFC"
    if len(value) < (info.min_length or 0) or (info.pattern and not re.search(info.pattern, value)):
        return "the text does not have the form needed here"
    return None


def _literal(value: Any, info: inspect.LiteralType, at: str) -> Iterator[Fault]:
    if not isinstance(value, str):
        yield _wrong(value, "a text", at)
    elif value not in info.values:
        words = tuple(str(word) for word in info.values)
        yield Fault(at, "not_in_list", "this is not one of the words taken here", Allowed(one_of=words))


def _date(value: Any, _: inspect.DateType, at: str) -> Iterator[Fault]:
    if not isinstance(value, str):
        yield _wrong(value, "a date", at)
    elif day(value) is None:
        yield Fault(at, "bad_pattern", "a date is written year-month-day", Allowed(pattern=_DATE.pattern))


def day(text: str) -> dt.date | None:
    """Return the day a text names, none if it is not written year-month-day.

    >>> day("2026-11-25"), day("20261125")
    (datetime.date(2026, 11, 25), None)
    """
    if not _DATE.fullmatch(text):
        return None
    try:
        return dt.date.fromisoformat(text)
    except ValueError:
        return None


def _union(value: Any, info: inspect.UnionType, at: str) -> Iterator[Fault]:
    structs = [member for member in info.types if isinstance(member, inspect.StructType)]
    field = structs[0].tag_field or ""
    if not isinstance(value, dict):
        yield _wrong(value, "an object", at)
    elif value.get(field) is None:
        yield Fault(at + pointer(field), "missing", "this field is needed", _tags(structs))
    else:
        detail = "this is not one of the kinds taken here"
        yield Fault(at + pointer(field), "not_in_list", detail, _tags(structs))


def _tags(structs: list[inspect.StructType]) -> Allowed:
    return Allowed(one_of=tuple(str(struct.tag) for struct in structs))


_WALKS: dict[type[inspect.Type], Walk] = {
    inspect.StructType: _struct,
    inspect.VarTupleType: _list,
    inspect.ListType: _list,
    inspect.TupleType: _tuple,
    inspect.IntType: _int,
    inspect.FloatType: _float,
    inspect.BoolType: _bool,
    inspect.StrType: _str,
    inspect.LiteralType: _literal,
    inspect.DateType: _date,
    inspect.UnionType: _union,
}

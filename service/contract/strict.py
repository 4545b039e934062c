"""A request body becomes a message value, or is refused with everything that is wrong with it.

Strings have to be in Unicode form NFC already: they are refused, not changed, so that what comes back is
what was sent. The work is linear in the body, whose size the caller has limited.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from itertools import chain, islice
from typing import Any, TypeVar, cast

import msgspec
from msgspec import inspect

from service.contract.parse import parse
from service.contract.problem import Fault, Rejected
from service.contract.structure import LONGEST_TEXT, day, described, faults_in, settled, without_nulls

T = TypeVar("T", bound=msgspec.Struct)

# with these the value still has a shape in which fields can be compared with each other
_SHAPE_KEPT = frozenset({"out_of_range", "not_in_list", "bad_pattern", "too_long", "unknown_field"})

# a delete character, or a text that may be over the longest taken
_NOT_PLAIN = re.compile(rb'\x7f|"[^"]{%d}' % (LONGEST_TEXT + 1))


class Limits(msgspec.Struct, frozen=True):
    """How deep a body may nest and how many faults are reported at most."""

    depth: int = 32
    faults: int = 50


DEFAULT_LIMITS = Limits()


def no_faults(_: Any) -> Iterable[Fault]:
    """Find nothing: for types whose fields do not depend on each other."""
    return ()


def decode(
    body: bytes,
    type_: type[T],
    limits: Limits = DEFAULT_LIMITS,
    across: Callable[[T], Iterable[Fault]] = no_faults,
) -> T:
    """Return the value in a body.

    Args:
        body: UTF-8 JSON, its size already limited.
        type_: a msgspec Struct with forbid_unknown_fields.
        limits: nesting and number of faults.
        across: finds the faults between fields of a well-formed value.

    Raises:
        Rejected: not_json, duplicate_key, too_deep (400), invalid_spec (422) with all faults.

    >>> class Cut(msgspec.Struct, forbid_unknown_fields=True):
    ...     length_in: float
    >>> decode(b'{"length_in": 96}', Cut)
    Cut(length_in=96.0)
    """
    info = described(type_)
    value = without_nulls(parse(body, limits.depth), info)
    if _plain(body) and (quick := _converted(value, type_)) is not None:
        _refuse_any(across(quick), limits.faults)
        return quick
    structural = tuple(islice(faults_in(value, info), limits.faults + 1))
    result: T | None = None
    if not structural:
        result = msgspec.convert(value, type_)
    elif all(fault.code in _SHAPE_KEPT for fault in structural):
        result = _assumed(value, info)
    crossed = () if result is None else across(result)
    _refuse_any(chain(structural, crossed), limits.faults)
    return cast(T, result)


def _plain(body: bytes) -> bool:
    """Whether no text of a body can break the rules for texts: the converter knows every other rule."""
    return body.isascii() and b"\\" not in body and _NOT_PLAIN.search(body) is None


def _converted(value: Any, type_: type[T]) -> T | None:
    try:
        return msgspec.convert(value, type_)
    except msgspec.ValidationError:
        return None


def _refuse_any(found: Iterable[Fault], most: int) -> None:
    faults = tuple(islice(found, most + 1))
    if not faults:
        return
    count = "1 fault" if len(faults) == 1 else f"{len(faults)} faults"
    detail = f"more than {most} faults, the first {most} are listed" if len(faults) > most else count
    raise Rejected("invalid_spec", detail, faults[:most])


def _assumed(value: Any, info: inspect.Type) -> Any:
    """Build the value without checking ranges and words, so that fields can be compared all the same."""
    info = settled(info, value)
    if isinstance(info, inspect.StructType):
        known = {field.encode_name: field for field in info.fields}
        given = {
            known[name].name: _assumed(item, known[name].type)
            for name, item in value.items()
            if name in known
        }
        return info.cls(**given)
    if isinstance(info, inspect.VarTupleType):
        return tuple(_assumed(item, info.item_type) for item in value)
    if isinstance(info, inspect.TupleType):
        return tuple(_assumed(item, kind) for item, kind in zip(value, info.item_types, strict=True))
    if isinstance(info, inspect.DateType):
        return day(value)
    return float(value) if isinstance(info, inspect.FloatType) else value

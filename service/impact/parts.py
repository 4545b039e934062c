"""What differs between two values of one type from a report, field by field, as text."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import msgspec

from service.contract.ids import MEMBER

# Loads are what a member is judged by, not how it is built; marks go by the id, and sentences by what they explain.
NOT_BUILT = frozenset({"id", "mark", "because", "load_lb", "line_load_plf", "tributary_sqft"})
# Longer lists of figures are told by their count, or by the first that differs.
MOST_WRITTEN_OUT = 8

Difference = tuple[str, str | None, str | None]


def is_member(value: Any) -> bool:
    """Whether a part of a report is a member, which has an id of its own."""
    return isinstance(value, msgspec.Struct) and bool(MEMBER.fullmatch(str(getattr(value, "id", ""))))


def differences(before: msgspec.Struct, after: msgspec.Struct) -> Iterator[Difference]:
    """Yield each field two members of one id differ in: its name, and both values as text.

    Loads are left out, and so are members inside of it: they are compared by their own ids.

    >>> from service.contract.report_frame import Handrail
    >>> old = Handrail(required=True, height_in=34.0, sides=1)
    >>> list(differences(old, msgspec.structs.replace(old, height_in=36.5)))
    [('height_in', '34', '36.5')]
    """
    for name in before.__struct_fields__:
        if name not in NOT_BUILT:
            yield from _differing(name, getattr(before, name), getattr(after, name, None))


def _differing(at: str, before: Any, after: Any) -> Iterator[Difference]:
    if before == after:
        return
    if isinstance(before, msgspec.Struct) or isinstance(after, msgspec.Struct):
        yield from _of_parts(at, before, after)
    elif isinstance(before, tuple) or isinstance(after, tuple):
        yield from _of_lists(at, before or (), after or ())
    else:
        yield at, _told(before), _told(after)


def _of_parts(at: str, before: Any, after: Any) -> Iterator[Difference]:
    """Of a part that one of the two may lack."""
    there = before if before is not None else after
    for name in there.__struct_fields__:
        if name not in NOT_BUILT:
            yield from _differing(f"{at}.{name}", getattr(before, name, None), getattr(after, name, None))


def _of_lists(at: str, before: tuple[Any, ...], after: tuple[Any, ...]) -> Iterator[Difference]:
    entries = (*before, *after)
    if any(is_member(one) for one in entries):
        return
    if _written_out(before) and _written_out(after):
        yield at, _told(before), _told(after)
    elif len(before) != len(after):
        yield f"{at}.count", str(len(before)), str(len(after))
    else:
        yield from _first_of_each(at, before, after)


def _first_of_each(at: str, before: tuple[Any, ...], after: tuple[Any, ...]) -> Iterator[Difference]:
    told: set[str] = set()
    for old, new in zip(before, after, strict=True):
        for difference in _differing(at, old, new):
            if difference[0] not in told:
                told.add(difference[0])
                yield difference


def _written_out(values: tuple[Any, ...]) -> bool:
    return len(values) <= MOST_WRITTEN_OUT and all(isinstance(one, (str, int, float)) for one in values)


def _told(value: Any) -> str | None:
    if isinstance(value, tuple):
        return ", ".join(str(_told(one)) for one in value)
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, float):
        return f"{value:.10g}"
    return None if value is None else str(value)

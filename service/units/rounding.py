"""The only place where numbers are rounded: once, by the unit that ends a field's name."""

from __future__ import annotations

import math
from decimal import ROUND_HALF_UP, Decimal
from functools import cache, lru_cache
from operator import is_
from typing import Any, TypeVar

import msgspec
from msgspec import inspect

CUT_FRACTION_IN = 16  # saw cuts are given to 1/16 in
CUT_STEPS_A_DEG = 10  # and their angles to 0.1 degree

# Longest suffix first: `_lb_ft` must not be read as `_ft`.
PLACES: tuple[tuple[str, int], ...] = (
    ("in_per_ft", 4), ("per_ft", 3), ("ft_lb", 1), ("lb_ft", 1), ("psf", 1), ("plf", 1), ("psi", 1),
    ("lb", 1), ("sqft", 4), ("cuft", 4), ("cuyd", 4), ("percent", 3), ("days", 2), ("hours", 2),
    ("years", 2), ("deg", 3), ("mph", 1), ("ratio", 3), ("probability", 3), ("in", 4), ("ft", 4),
)  # fmt: skip
OTHER_PLACES = 4
# The last decimal kept, for none to four decimals of money.
LAST_PLACES = tuple(Decimal(1).scaleb(-decimals) for decimals in range(5))


@lru_cache(maxsize=4096)
def places(name: str) -> int:
    """Return the number of decimals for a unit or a field name ending in one.

    >>> places("height_in"), places("load_lb"), places("moment_lb_ft"), places("ratio")
    (4, 1, 1, 3)
    """
    for suffix, digits in PLACES:
        if name == suffix or name.endswith("_" + suffix):
            return digits
    if name.endswith("s") and name != "s":
        return places(name[:-1])
    return OTHER_PLACES


def number(value: float, unit: str) -> float:
    """Return ``value`` rounded for ``unit``; never -0, NaN or infinity.

    >>> number(12.345678, "in"), number(-0.0, "lb"), number(1178.26, "lb")
    (12.3457, 0.0, 1178.3)
    """
    if not math.isfinite(value):
        raise ValueError(f"a {unit} figure is not finite")
    return round(float(value), places(unit)) + 0.0


def cut_length(length_in: float) -> float:
    """Return a cut length to the nearest 1/16 in.

    >>> cut_length(140.97)
    141.0
    """
    return math.floor(length_in * CUT_FRACTION_IN + 0.5) / CUT_FRACTION_IN


def cut_angle(angle_deg: float) -> float:
    """Return the angle of a cut to the nearest 0.1 degree.

    >>> cut_angle(44.97), cut_angle(-0.01)
    (45.0, 0.0)
    """
    return math.floor(angle_deg * CUT_STEPS_A_DEG + 0.5) / CUT_STEPS_A_DEG + 0.0


def money(amount: Decimal, decimals: int = 2) -> Decimal:
    """Return an amount rounded half up.

    >>> money(Decimal("2.345"))
    Decimal('2.35')
    """
    return amount.quantize(LAST_PLACES[decimals], rounding=ROUND_HALF_UP)


S = TypeVar("S", bound=msgspec.Struct)
BY_UNIT = ("demand", "capacity", "value")


def _may_hold_figures(kind: inspect.Type) -> bool:
    if isinstance(kind, inspect.UnionType):
        return any(_may_hold_figures(one) for one in kind.types)
    if isinstance(kind, inspect.TupleType):
        return any(_may_hold_figures(one) for one in kind.item_types)
    if isinstance(kind, (inspect.VarTupleType, inspect.ListType)):
        return _may_hold_figures(kind.item_type)
    if isinstance(kind, inspect.StructType):
        return any(_may_hold_figures(field.type) for field in kind.fields)
    return isinstance(kind, (inspect.FloatType, inspect.AnyType))


@cache
def _figures(kind: type[msgspec.Struct]) -> tuple[tuple[str, bool], ...]:
    """The fields of a type that may hold figures, and whether the field ``unit`` says how each is rounded.

    Most of a report is words and citations: what can hold no figure by its type is never looked at.
    """
    by_unit = "unit" in kind.__struct_fields__
    return tuple(
        (field.name, by_unit and field.name in BY_UNIT)
        for field in msgspec.structs.fields(kind)
        if _may_hold_figures(inspect.type_info(field.type))
    )


def _plain(value: Any, unit: str) -> Any:
    """Return what a field holds with its figures rounded; the same object where nothing in it changes."""
    if isinstance(value, float):
        # Whole figures are most of them. A minus zero and a float of NumPy's equal what they become.
        if value and value.is_integer() and type(value) is float:
            return value
        return number(value, unit)
    if isinstance(value, msgspec.Struct):
        return rounded(value)
    if value and isinstance(value, (list, tuple)):
        items = [_plain(item, unit) for item in value]
        return value if all(map(is_, items, value)) else type(value)(items)
    return value


def rounded(struct: S) -> S:
    """Return the struct with every number rounded by its field's unit, in all depths.

    A struct that carries its unit in a field ``unit`` (a check, a step) rounds ``demand``, ``capacity`` and
    ``value`` by that.

    >>> from service.units.working import step
    >>> rounded(step("P", 1178.26, "lb", "load")).value
    1178.3
    """
    changes = {}
    for field, by_unit in _figures(type(struct)):
        value = getattr(struct, field)
        if value is not None:
            unit = by_unit and struct.unit  # type: ignore[attr-defined]
            new = _plain(value, unit or field)
            if new is not value:
                changes[field] = new
    return msgspec.structs.replace(struct, **changes) if changes else struct

"""The only place where numbers are rounded: once, by the unit that ends a field's name."""

from __future__ import annotations

import math
from decimal import ROUND_HALF_UP, Decimal
from functools import lru_cache
from typing import Any, TypeVar

import msgspec

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


def _plain(value: Any, name: str) -> Any:
    if isinstance(value, float):
        return number(value, name)
    if isinstance(value, (list, tuple)):
        return type(value)(_plain(item, name) for item in value)
    if isinstance(value, msgspec.Struct):
        return rounded(value)
    return value


def rounded(struct: S) -> S:
    """Return the struct with every number rounded by its field's unit, in all depths.

    A struct that carries its unit in a field ``unit`` (a check, a step) rounds ``demand``, ``capacity`` and
    ``value`` by that.

    >>> from service.units.working import step
    >>> rounded(step("P", 1178.26, "lb", "load")).value
    1178.3
    """
    unit = getattr(struct, "unit", None)
    changes = {}
    for field in struct.__struct_fields__:
        value = getattr(struct, field)
        name = unit if unit and field in ("demand", "capacity", "value") else field
        new = _plain(value, name)
        if new is not value:
            changes[field] = new
    return msgspec.structs.replace(struct, **changes) if changes else struct

"""How items may be sold: the units an order can count in, so that no price is taken for another quantity."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from service.rules.price_book import PriceLine
from service.takeoff.items import KINDS, has_lengths, is_item
from service.takeoff.pricing import PACKED_UNITS

# Beside the unit an order counts a kind in: small parts come in packs too, whose content has to be known.
UNITS_OF: dict[str, tuple[str, ...]] = {
    "each": ("each", *PACKED_UNITS),
    "lot": ("lot", "each"),
}
UNITS_OF_START: dict[str, tuple[str, ...]] = {
    "concrete.ready_mix.": ("cuyd",),
    "service.": ("each", "lot"),
}


class SaleFault(NamedTuple):
    """Why an item cannot be ordered as a line sells it."""

    column: str
    code: str
    text: str
    one_of: tuple[str, ...] | None = None


def units_of(item: str) -> tuple[str, ...]:
    """Return the units an item may be sold by.

    >>> units_of("concrete.bag.60lb"), units_of("concrete.ready_mix.3000psi"), units_of("nail.10d.none")
    (('bag',), ('cuyd',), ('each', 'box', 'roll', 'lb'))
    """
    special = (units for start, units in UNITS_OF_START.items() if item.startswith(start))
    unit = KINDS[item.partition(".")[0]].unit
    return next(special, None) or UNITS_OF.get(unit, (unit,))


def sale_faults(line: PriceLine) -> Iterator[SaleFault]:
    """Find what keeps a line from being ordered: the form of its code, unit, length or pack."""
    kind = KINDS[line.item.partition(".")[0]]
    if not is_item(line.item):
        form = ".".join((kind.kind, *(f"<{name}>" for name in kind.attributes)))
        yield SaleFault("item", "bad_pattern", f"items of this kind are {form}, like {kind.example}")
    units = units_of(line.item)
    if line.unit not in units:
        text = f"{kind.kind} is sold by the {' or '.join(units)}, not by the {line.unit}"
        yield SaleFault("unit", "unit_not_for_item", text, units)
    if has_lengths(line.item) and line.length_ft is None:
        yield SaleFault("length_ft", "missing", f"{kind.kind} is sold in lengths: give its feet, 1 to 99.99")
    if not has_lengths(line.item) and line.length_ft is not None:
        yield SaleFault("length_ft", "unit_not_for_item", f"{kind.kind} has no length: leave it empty")
    if line.unit in PACKED_UNITS and line.unit != kind.unit and line.pack_quantity is None:
        yield SaleFault("pack_quantity", "missing", f"how many are in a {line.unit}, 1 to 999999")

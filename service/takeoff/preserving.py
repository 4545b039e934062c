"""Preservative for the ends that are cut of treated wood."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from service.contract.ids import item
from service.rules.sections import WOOD
from service.sizing.lumber import depth_in, width_in
from service.takeoff.items import sides_in
from service.takeoff.needs import Need
from service.takeoff.parts import Part
from service.takeoff.substitutes import TREATMENTS

PRESERVATIVE = item("preservative", "copper_naphthenate", "1qt")
# Brushed on until no more is taken up (AWPA M4, from memory); what a can covers on end grain is common practice.
COVERS_SQIN = 25 * 144.0
ENDS = 2


def preservative(parts: Iterable[Part]) -> Iterator[Need]:
    """Yield what of a can both ends of every treated piece take.

    >>> boards = [Part("lumber.2x8.southern_pine.no_2.uc3b", 141.0, "main.joists-1", 13)]
    >>> [(need.item, round(need.quantity, 4)) for need in preservative(boards)]
    [('preservative.copper_naphthenate.1qt', 0.0785)]
    """
    for part in parts:
        if part.item.split(".")[-1] in TREATMENTS:
            yield Need(PRESERVATIVE, ENDS * part.quantity * _end_sqin(part.item) / COVERS_SQIN, part.member)


def _end_sqin(code: str) -> float:
    kind, size = code.split(".")[:2]
    if kind == WOOD:
        width, depth = sides_in(size)
        return width * depth
    return width_in(size) * depth_in(size)

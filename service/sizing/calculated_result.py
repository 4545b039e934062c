"""What a calculation allows: the least of its checks over the species it may be."""

from __future__ import annotations

import math
from collections.abc import Iterable

import msgspec

from service.units.working import Step, step


class Bound(msgspec.Struct, frozen=True):
    """What one check of one species allows; the unit is that of the answer it serves.

    Source: named by its steps.

    >>> Bound("bending", "hem_fir", 133.2, "second_hand", ()).check
    'bending'
    """

    check: str
    species: str
    value: float
    status: str
    steps: tuple[Step, ...]


class Allowable(msgspec.Struct, frozen=True):
    """The allowed span, height or length: ``value`` exact, ``printed`` as a table would print it.

    Source: ``steps``. ``unit`` is in. ``status`` is that of the least known value of the governing check;
    ``memory`` means a remembered value decides. ``bounds`` holds the least of every check.

    >>> Allowable(133.2, 133.0, "in", "bending", "hem_fir", "second_hand", {}, ()).printed
    133.0
    """

    value: float
    printed: float
    unit: str
    governing: str
    species: str
    status: str
    bounds: dict[str, float]
    steps: tuple[Step, ...]


def nearest(value: float) -> float:
    """Return the nearest whole number, halves up; in the unit given.

    Source: fit of the deck tables (they round to the nearest inch).

    >>> nearest(103.5), nearest(103.49)
    (104.0, 103.0)
    """
    return float(math.floor(value + 0.5))


def least(bounds: Iterable[Bound], printed_down: bool = False, unit: str = "in") -> Allowable:
    """Return the least bound as the answer, in the bounds' unit.

    Source: each check must hold, and a group of species takes its weakest member.

    Args:
        bounds: at least one, all in one unit.
        printed_down: whether the table this follows rounds down instead of to the nearest.
        unit: the unit, in.

    Returns:
        The answer with its working.

    >>> least([Bound("bending", "a", 9.6, "memory", ()), Bound("shear", "a", 12.0, "memory", ())]).printed
    10.0
    """
    every = list(bounds)
    found = min(every, key=lambda bound: bound.value)
    by_check: dict[str, float] = {}
    for bound in every:
        by_check[bound.check] = min(bound.value, by_check.get(bound.check, math.inf))
    printed = float(math.floor(found.value)) if printed_down else nearest(found.value)
    answer = step("allowed", found.value, unit, f"{found.check} of {found.species} governs")
    return Allowable(
        found.value, printed, unit, found.check, found.species, found.status, by_check, (*found.steps, answer)
    )

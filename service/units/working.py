"""The steps of a calculation, kept beside its result."""

from __future__ import annotations

import msgspec


class Step(msgspec.Struct, frozen=True):
    """One named number of a working, with its unit and where it came from.

    ``value`` is null where the step is a word; then ``value_text`` holds it.

    >>> Step("w", 50.0, None, "psf", "dead 10 + live 40").unit
    'psf'
    """

    symbol: str
    value: float | None
    value_text: str | None
    unit: str | None
    source: str


def step(symbol: str, value: float, unit: str | None, source: str) -> Step:
    """Return a numeric step.

    >>> step("A", 20.0, "sqft", "tributary area").value
    20.0
    """
    return Step(symbol, float(value), None, unit, source)


def word(symbol: str, value_text: str, source: str) -> Step:
    """Return a step whose value is a word.

    >>> word("species_group", "southern_pine", "caller").value_text
    'southern_pine'
    """
    return Step(symbol, None, value_text, None, source)

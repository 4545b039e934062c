"""Figures, places and sources as a plan reviewer reads them."""

from __future__ import annotations

from collections.abc import Sequence

from service.contract.money import Money, MoneyRange
from service.contract.report_frame import Point
from service.units.citation import Citation
from service.units.text import feet_inches
from service.units.working import Step

NOTHING = "-"
_UNITS = {
    "in": "in", "ft": "ft", "sqft": "sq ft", "cuft": "cu ft", "cuyd": "cu yd", "lb_ft": "lb-ft", "ft_lb": "ft-lb",
    "ratio": "", "in_per_ft": "in per ft", "in2": "sq in", "in3": "cu in", "in4": "in^4", "deg": "degrees",
}  # fmt: skip
_KNOWN = {
    "two_sources": "read in two sources",
    "one_source": "read in one source",
    "second_hand": "read second hand",
    "memory": "from memory",
    "common_practice": "common practice",
    "own_convention": "own convention",
}


def words(code: str) -> str:
    """Return a word of the wire as it is read.

    >>> words("engineer_required")
    'engineer required'
    """
    return code.replace("_", " ")


def number(value: float, decimals: int = 4) -> str:
    """Return a number with no more digits than it has, and no more decimals than given.

    >>> number(1400000.0), number(0.0625), number(-0.0), number(32.3643, 1)
    ('1,400,000', '0.0625', '0', '32.4')
    """
    text = f"{value + 0.0:,.{decimals}f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def figure(value: float | None, unit: str | None) -> str:
    """Return a number with its unit.

    >>> figure(12.5, "sqft"), figure(0.9, "ratio"), figure(None, "in")
    ('12.5 sq ft', '0.9', '-')
    """
    if value is None:
        return NOTHING
    return f"{number(value)} {unit_words(unit or '')}".rstrip()


def unit_words(unit: str) -> str:
    """Return a unit as it is printed.

    >>> unit_words("cuyd"), unit_words("lineal_ft"), unit_words("ratio")
    ('cu yd', 'lineal ft', '')
    """
    return _UNITS.get(unit, words(unit))


def length(value_in: float | None) -> str:
    """Return a length in feet, inches and sixteenths.

    >>> length(141), length(None)
    ('11\\'-9"', '-')
    """
    return NOTHING if value_in is None else feet_inches(value_in)


def lengths(values_in: Sequence[float]) -> str:
    """Return lengths in a row, like ones counted.

    >>> lengths([96, 96, 60])
    '2 x 8\\'-0", 5\\'-0"'
    """
    found: list[tuple[str, int]] = []
    for value in values_in:
        text = feet_inches(value)
        if found and found[-1][0] == text:
            found[-1] = (text, found[-1][1] + 1)
        else:
            found.append((text, 1))
    return ", ".join(text if count == 1 else f"{count} x {text}" for text, count in found) or NOTHING


def feet(value_ft: float) -> str:
    """Return a distance in feet as feet, inches and sixteenths.

    >>> feet(11.8125)
    '11\\'-9 3/4"'
    """
    return feet_inches(value_ft * 12)


def place(point: Point) -> str:
    """Return a place by its distances along the house and out from it.

    >>> place((2.5, 11.0))
    'x 2\\'-6", y 11\\'-0"'
    """
    return f"x {feet(point[0])}, y {feet(point[1])}"


def cost(money: Money | None) -> str:
    """Return an amount; a dash where none is known.

    >>> cost(Money("USD", "1234.50"))
    '1,234.50'
    """
    return NOTHING if money is None else grouped(money.amount)


def grouped(amount: str) -> str:
    """Return a decimal text with its thousands apart.

    >>> grouped("-1234567.5")
    '-1,234,567.5'
    """
    whole, dot, part = amount.partition(".")
    return f"{int(whole):,}{dot}{part}" if whole.lstrip("-") not in ("", "0") else amount


def three(given: MoneyRange | None) -> str:
    """Return low, likely and high money; a dash where none is known."""
    return (
        NOTHING
        if given is None
        else " / ".join(grouped(one) for one in (given.low, given.likely, given.high))
    )


def cited(citation: Citation | None) -> str:
    """Return a citation in one line: document, edition, section, table and cell, and how well it is known.

    >>> cited(Citation("IRC", "2021", "R507.4"))
    'IRC 2021, R507.4 (read in one source)'
    """
    if citation is None:
        return ""
    named = " ".join(filter(None, (citation.document, citation.edition)))
    table = citation.table if citation.table and citation.table not in (citation.section or "") else None
    text = ", ".join(filter(None, (named, citation.section, table)))
    return f"{text}{_cell(citation)} ({_KNOWN.get(citation.status, words(citation.status))})"


def _cell(citation: Citation) -> str:
    keys = [f"{words(row.name)} {words(row.value)}" for row in citation.rows]
    if citation.column and citation.column != "value":
        keys.append(f"column {words(citation.column)}")
    return f": {', '.join(keys)}" if keys else ""


def worked(step: Step) -> str:
    """Return a step of a working in one line.

    >>> worked(Step("w", 50.0, None, "psf", "dead 10 + live 40"))
    'w = 50 psf, dead 10 + live 40'
    """
    value = step.value_text if step.value is None else figure(step.value, step.unit)
    return f"{step.symbol} = {words(value or NOTHING)}, {step.source}"

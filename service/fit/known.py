"""How well the design values and factors behind the calculations are known."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator

from service.timber.values import DesignRow, FactorRow, TimberData

KNOWN = {
    "two_sources": "from two sources",
    "one_source": "from one source",
    "second_hand": "at second hand",
    "memory": "from memory",
    "disputed": "disputed",
}


def known_lines(timber: TimberData) -> Iterator[str]:
    """Yield how many values are known how well, and which are from memory or disputed."""
    values, factors = timber.values.rows.values(), timber.factors.rows.values()
    yield (
        f"Rows of design values: {len(values)}, {_counts(values)}. Adjustment factors: {len(factors)}, "
        f"{_counts(factors)}. The standard itself was not at hand. A value from memory is marked in the data and "
        "in the working of every answer, and never decides alone."
    )
    yield f"Design values from memory: {_names(values, 'memory')}. Disputed and refused: {_names(values, 'disputed')}."
    yield f"Factors from memory: {_factors(factors, 'memory')}. Disputed and refused: {_factors(factors, 'disputed')}."


def _counts(rows: Iterable[DesignRow] | Iterable[FactorRow]) -> str:
    found = Counter(row.status for row in rows)
    return ", ".join(f"{count} {KNOWN[status]}" for status, count in sorted(found.items()))


def _names(rows: Iterable[DesignRow], status: str) -> str:
    grades: dict[str, list[str]] = {}
    for row in rows:
        if row.status == status:
            where = f"{row.species.replace('_', ' ')} {row.size_class.replace('_', ' ')}"
            grades.setdefault(where, []).append(row.grade.replace("_", " "))
    return "; ".join(f"{where} ({', '.join(names)})" for where, names in grades.items()) or "none"


def _factors(rows: Iterable[FactorRow], status: str) -> str:
    cases: dict[str, list[str]] = {}
    for row in rows:
        # A remembered 1.0 changes nothing.
        if row.status == status and row.value != 1:
            cases.setdefault(row.factor, []).append(f"{row.property} {row.case.replace('_', ' ')}")
    return "; ".join(f"{factor} ({', '.join(names)})" for factor, names in cases.items()) or "none"

"""Cells of the reference copies under tests/published/reference/code, read without any code of the service."""

from __future__ import annotations

import csv
import hashlib
import itertools
from collections.abc import Callable, Iterable, Sequence
from functools import cache
from pathlib import Path

CODE = Path(__file__).parent / "published" / "reference" / "code"
SEED = 20261125
SIXTEENTH_IN = 1 / 16
Row = dict[str, str]

TABLES = {
    ("joist_spans", "2015"): "R507.5", ("joist_spans", "2018"): "R507.6", ("joist_spans", "2021"): "R507.6",
    ("joist_spans", "2024"): "R507.6", ("joist_cantilevers_2021_2024", "2021"): "R507.6",
    ("joist_cantilevers_2021_2024", "2024"): "R507.6", ("beam_spans", "2015"): "R507.6",
    ("beam_spans", "2018"): "R507.5", ("beam_spans", "2021"): "R507.5", ("beam_spans", "2024"): "R507.5",
    ("post_heights", "2015"): "R507.8", ("post_heights", "2018"): "R507.4", ("post_heights", "2021"): "R507.4",
    ("post_heights", "2024"): "R507.4", ("footing_sizes", "2018"): "R507.3.1", ("footing_sizes", "2021"): "R507.3.1",
    ("footing_sizes", "2024"): "R507.3.1", ("ledger_fasteners", "2015"): "R507.2",
    ("ledger_fasteners", "2018"): "R507.9.1.3(1)", ("ledger_fasteners", "2021"): "R507.9.1.3(1)",
    ("ledger_fasteners", "2024"): "R507.9.1.3(1)", ("decking_joist_spacing", "2015"): "R507.4",
    ("decking_joist_spacing", "2018"): "R507.7", ("decking_joist_spacing", "2021"): "R507.7",
    ("decking_joist_spacing", "2024"): "R507.7",
}  # fmt: skip

# One species of each group the tables print.
SPECIES = {
    "southern_pine": "southern_pine",
    "douglas_fir_larch_hem_fir_spruce_pine_fir": "hem_fir",
    "redwood_western_cedars_ponderosa_red_pine": "redwood",
    "df_hf_spf_and_redwood_cedar_ponderosa_red_pine": "hem_fir",
}
SHORT = {
    "southern_pine": "southern_pine",
    "douglas_fir_larch_hem_fir_spruce_pine_fir": "hem_fir_group",
    "redwood_western_cedars_ponderosa_red_pine": "redwood_group",
    "df_hf_spf_and_redwood_cedar_ponderosa_red_pine": "hem_fir_and_redwood_group",
    "any": "any_species",
}


@cache
def _table(name: str) -> tuple[tuple[tuple[str, str], ...], ...]:
    with (CODE / f"{name}.csv").open(newline="", encoding="utf-8") as file:
        return tuple(tuple(row.items()) for row in csv.DictReader(file))


def rows(name: str, **equal: str) -> list[Row]:
    """The rows of a reference table whose cells equal these."""
    found = (dict(pairs) for pairs in _table(name))
    return [row for row in found if all(row[column] == value for column, value in equal.items())]


def drawn(found: Iterable[Row], count: int, salt: str = "") -> list[Row]:
    """``count`` rows, drawn by the committed seed."""

    def draw(row: Row) -> str:
        return hashlib.sha256(f"{SEED}{salt}{sorted(row.items())}".encode()).hexdigest()

    return sorted(found, key=draw)[:count]


def cited(name: str, row: Row, *cells: object) -> str:
    """The id of a test of one cell: document, edition, table, cell."""
    table = TABLES.get((name, row["edition"]), name)
    return "-".join(str(part).replace("/", "_") for part in ("IRC", row["edition"], f"Table_{table}", *cells))


def safer(row: Row, column: str, pick: Callable[[Sequence[float]], float] = min) -> float | None:
    """The safer of printed and likely; null for a blank cell."""
    values = [float(row[name]) for name in (column, f"likely_{column}") if row.get(name)]
    return pick(values) if values and row[column] else None


def between(points: Iterable[tuple[float, float | None]], x: float) -> float | None:
    """The value at ``x`` on the straight line between printed points; null beyond them or next to a blank."""
    known = sorted(points, key=lambda point: point[0])
    for at, value in known:
        if abs(at - x) < 1e-6:
            return value
    for (x0, v0), (x1, v1) in itertools.pairwise(known):
        if x0 < x < x1:
            return None if v0 is None or v1 is None else v0 + (v1 - v0) * (x - x0) / (x1 - x0)
    return None

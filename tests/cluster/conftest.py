"""Data sets of open quotes, and the command run on them. Run with `pytest -q tests/cluster`."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pyarrow as pa
import pyarrow.parquet as pq
import pytest

from service.app import bundled_snapshot

ROOT = Path(__file__).parents[2]
PARTITIONS, QUOTES = 16, 220
BOOK = "brindlemoor-yard@2"
# the processes answer from what comes with the service, whatever database this machine has
ENVIRONMENT = {**os.environ, "PYTHONPATH": str(ROOT), "DATABASE_URL": ""}  # noqa: TID251


Sold = tuple[str, float | None, str]


def _orders() -> list[Sold]:
    book = bundled_snapshot().price_books.versions["brindlemoor-yard", 1]
    return [(line.item, line.length_ft, line.unit) for line in book.lines]


def quote(number: int, priced: list[Sold]) -> dict[str, Any]:
    """An order of 30 lines of the book; no two alike."""
    chosen = [priced[(number * 11 + step * 7) % len(priced)] for step in range(30)]
    lines = [
        {"item": item, "length_ft": length_ft, "unit": unit, "quantity": 1 + (number + step * 3) % 60}
        for step, (item, length_ft, unit) in enumerate(chosen)
    ]
    total = {"currency": "USD", "amount": f"{1000 + number % 4000}.{number % 100:02d}"}
    return {"reference": f"Q-{number}", "lines": lines, "previous_total": total}


def deck(number: int, body: dict[str, Any]) -> dict[str, Any]:
    """A small deck, each of another width."""
    level = {**body["levels"][0], "width_ft": 8 + number % 9}
    total = {"currency": "USD", "amount": "900.00"}
    spec = {**body, "levels": [level], "as_of": "2026-11-25"}
    return {"reference": f"S-{number}", "spec": spec, "previous_total": total}


def lines_of_partition(part: int) -> Iterator[tuple[str, str]]:
    """Orders with decks among them, one that is refused, and one with an item nobody sells."""
    priced = _orders()
    body = json.loads((ROOT / "openapi" / "examples" / "low-ground.json").read_text("utf-8"))
    for number in range(part * QUOTES, (part + 1) * QUOTES):
        place = number % QUOTES
        if place == 7:
            yield f"Q-{number}", '{"reference": "Q", "quantity": 1'
        elif place == 9:
            strange = quote(number, priced)
            strange["lines"][4]["item"] = "fee.yard.nobody_asks"
            yield f"Q-{number}", json.dumps({**strange, "reference": f"Q-{number}"})
        elif place % 110 == 30:
            yield f"S-{number}", json.dumps(deck(number, body))
        else:
            yield f"Q-{number}", json.dumps(quote(number, priced))


def write_partition(path: Path, quotes: list[tuple[str, str]]) -> None:
    """Write a partition."""
    path.parent.mkdir(parents=True, exist_ok=True)
    columns = {"reference": [one for one, _ in quotes], "line": [line for _, line in quotes]}
    pq.write_table(pa.table(columns), path)


@pytest.fixture(scope="session")
def data_set(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """16 partitions in folders by yard, 3,520 quotes, 32 of them decks."""
    folder = tmp_path_factory.mktemp("quotes")
    for part in range(PARTITIONS):
        path = folder / f"yard={part % 4}" / f"part-{part:04d}.parquet"
        write_partition(path, list(lines_of_partition(part)))
    return folder


def command(*arguments: str | Path, book: str = BOOK) -> list[str]:
    """The command line for a repricing."""
    fixed = ["--price-book", book, "--as-of", "2026-11-25"]
    return [sys.executable, "-m", "service", "reprice", *map(str, arguments), *fixed]


def run(*arguments: str | Path, book: str = BOOK) -> subprocess.CompletedProcess[str]:
    """Run it to its end."""
    line = command(*arguments, book=book)
    return subprocess.run(line, cwd=ROOT, env=ENVIRONMENT, capture_output=True, text=True, check=False)


@pytest.fixture(scope="session")
def alone(data_set: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """What one process makes of it."""
    target = tmp_path_factory.mktemp("alone") / "result"
    done = run(data_set, "--out", target)
    assert done.returncode == 0, done.stderr
    return target


def rows(folder: Path) -> list[dict[str, Any]]:
    """Every row of a result by its reference."""
    found: list[dict[str, Any]] = []
    for path in sorted(folder.rglob("[!._]*.parquet")):
        found += pq.ParquetFile(path).read().to_pylist()
    return sorted(found, key=lambda row: row["reference"])


def files(folder: Path) -> list[str]:
    """Every file there, hidden ones too."""
    return sorted(str(path.relative_to(folder)) for path in folder.rglob("*") if path.is_file())

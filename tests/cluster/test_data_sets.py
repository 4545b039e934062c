"""A data set repriced in one process: what is in the result, what is kept, what is refused."""

from __future__ import annotations

import datetime as dt
import json
import re
import shlex
import shutil
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any

import pyarrow as pa
import pyarrow.parquet as pq
import pytest
from cluster.conftest import ENVIRONMENT, PARTITIONS, QUOTES, files, quote, rows, run, write_partition

from service.app import bundled_snapshot
from service.cli import main
from service.cli.reprice import _seen_with
from service.contract.problem import Rejected
from service.datasets.files import write_result
from service.datasets.partition import reprice_partition
from service.datasets.supplies import DataSetError, Supplies
from service.store.access import Access, ApiKey, BookHead
from service.store.snapshot import Shelf, Snapshot
from service.web.open_quotes import reprice_quote

BAG = ("concrete.bag.60lb", None, "bag")
BAGS = {"item": "concrete.bag.60lb", "quantity": 10}


def _one(folder: Path, line: str, reference: str = "Q-1") -> Path:
    write_partition(folder / "part-0.parquet", [(reference, line)])
    return folder


def test_every_quote_is_answered_once_in_its_own_partition(data_set: Path, alone: Path) -> None:
    names = [name for name in files(alone) if name.endswith(".parquet")]
    assert names == files(data_set)
    assert files(alone) == sorted([*names, "_summary.json"])
    for name in names:
        given = pq.read_table(data_set / name, partitioning=None)["reference"].to_pylist()
        found = pq.read_table(alone / name, partitioning=None)
        assert found["reference"].to_pylist() == given
        assert found["row"].to_pylist() == list(range(QUOTES))


def test_a_row_holds_the_answer_and_its_figures(alone: Path) -> None:
    found = {row["reference"]: row for row in rows(alone)}
    assert len(found) == PARTITIONS * QUOTES
    for row in found.values():
        answer = json.loads(row["answer"])
        if row["kind"] == "result":
            assert answer["reference"] == row["reference"]
            assert Decimal(answer["total"]["amount"]) == row["total"]
            if row["complete"]:
                assert row["change"] == row["total"] - row["previous_total"]
    assert json.loads(found["Q-7"]["answer"])["code"] == "not_json"
    assert found["Q-9"]["complete"] is False
    assert found["Q-9"]["change"] is None


def test_the_summary_counts_what_is_in_the_rows(alone: Path) -> None:
    found, every = json.loads((alone / "_summary.json").read_text("utf-8")), rows(alone)
    counts = found["counts"]
    assert (found["partitions"], found["kept"], counts["quotes"]) == (PARTITIONS, 0, len(every))
    assert counts["problems"] == sum(row["kind"] == "problem" for row in every) == PARTITIONS
    whole = [row for row in every if row["complete"]]
    assert Decimal(counts["total"]) == sum(row["total"] for row in whole)
    assert Decimal(found["change"]) == sum(row["change"] for row in whole)


def test_what_is_done_is_kept_and_what_changed_is_done_again(
    alone: Path, tmp_path: Path, data_set: Path
) -> None:
    source, target = tmp_path / "quotes", tmp_path / "result"
    shutil.copytree(data_set, source)
    shutil.copytree(alone, target)
    left = target / "yard=1" / ".part-0001.parquet.elsewhere-1.unfinished"
    left.write_bytes(b"what a killed worker was at")
    changed = source / files(source)[3]
    other = {**quote(1, [BAG]), "lines": [BAGS]}
    write_partition(changed, [("Q-new", json.dumps(other))])
    before = {name: (target / name).stat().st_mtime_ns for name in files(source)}
    done = run(source, "--out", target)
    assert done.returncode == 0, done.stderr
    found = json.loads((target / "_summary.json").read_text("utf-8"))
    assert found["kept"] == PARTITIONS - 1
    assert not left.exists()
    redone = [name for name, time in before.items() if (target / name).stat().st_mtime_ns != time]
    assert redone == [str(changed.relative_to(source))]
    assert [row["reference"] for row in rows(target)].count("Q-new") == 1


def test_a_price_checked_by_hand(tmp_path: Path) -> None:
    """brindlemoor-yard@2 sells 60 lb bags at 5.62, and at 5.20 from 42 on: 10 x 5.62 = 56.20, 42 x 5.20 = 218.40."""
    for count, total in ((10, "56.20"), (42, "218.40")):
        lines = [{**BAGS, "quantity": count}]
        line = json.dumps({**quote(1, [BAG]), "lines": lines})
        done = run(_one(tmp_path / "quotes", line))
        assert done.returncode == 0, done.stderr
        (row,) = rows(tmp_path / "quotes-repriced")
        assert row["total"] == Decimal(total)


def test_a_result_is_not_mixed_with_another(tmp_path: Path) -> None:
    source = _one(tmp_path / "quotes", "{}")
    write_partition(tmp_path / "result" / "other.parquet", [("Q", "{}")])
    done = run(source, "--out", tmp_path / "result")
    assert done.returncode == 1
    assert "other.parquet, which is no partition" in done.stderr
    assert files(tmp_path / "result") == ["other.parquet"]


def test_a_result_inside_the_data_set_is_refused(tmp_path: Path) -> None:
    done = run(_one(tmp_path / "quotes", "{}"), "--out", tmp_path / "quotes" / "result")
    assert done.returncode == 1
    assert "outside the data set" in done.stderr


def test_a_missing_column_is_named(tmp_path: Path) -> None:
    (tmp_path / "quotes").mkdir()
    pq.write_table(pa.table({"reference": ["Q-1"]}), tmp_path / "quotes" / "part-0.parquet")
    done = run(tmp_path / "quotes")
    assert done.returncode == 1
    assert "part-0.parquet needs a column line of text; it has reference" in done.stderr
    assert files(tmp_path / "quotes-repriced") == []


def test_an_empty_folder_and_a_file_that_is_no_parquet_are_named(tmp_path: Path) -> None:
    (tmp_path / "quotes").mkdir()
    assert "holds no .parquet files" in run(tmp_path / "quotes").stderr
    (tmp_path / "quotes" / "part-0.parquet").write_bytes(b"no parquet at all")
    done = run(tmp_path / "quotes")
    assert done.returncode == 1
    assert "part-0.parquet cannot be read as Parquet" in done.stderr


def test_an_unknown_price_book_is_named(tmp_path: Path) -> None:
    done = run(_one(tmp_path / "quotes", "{}"), book="nobody-sells")
    assert done.returncode == 1
    assert "there is no price book nobody-sells" in done.stderr
    assert files(tmp_path) == ["quotes/part-0.parquet"]


def test_a_result_is_there_whole_or_not_at_all(alone: Path, tmp_path: Path) -> None:
    """Rows that end in a failure leave what was there before, and nothing beside it."""

    def failing() -> Iterator[dict[str, Any]]:
        yield from rows(alone)[:300]
        raise RuntimeError("the row cannot be worked out")

    path = tmp_path / "part-0.parquet"
    for before in (None, b"an earlier result"):
        if before is not None:
            path.write_bytes(before)
        with pytest.raises(RuntimeError):
            write_result(path, failing(), "0" * 64, lambda: b"{}")
        assert files(tmp_path) == ([] if before is None else ["part-0.parquet"])
        assert before is None or path.read_bytes() == before


def _with_heads(
    snapshot: Snapshot, *heads: BookHead, grants: frozenset[tuple[str, str]] = frozenset()
) -> Snapshot:
    books = {**snapshot.access.books, **{head.id: head for head in heads}}
    return replace(snapshot, access=Access(books=books, grants=grants))


def test_a_quote_that_fails_stops_no_other(tmp_path: Path) -> None:
    """An earlier book without lines, which no parser lets through, and a line that is no UTF-8."""
    snapshot = bundled_snapshot()
    prices = snapshot.price_books.versions["brindlemoor-yard", 1]
    lines: Any = None
    shelf = snapshot.price_books
    books = {**shelf.versions, ("broken-yard", 1): replace(prices, id="broken-yard", lines=lines)}
    states = {**shelf.states, ("broken-yard", 1): "in_force"}
    whole = _with_heads(snapshot, BookHead("broken-yard", "broken", public=True))
    whole = replace(whole, price_books=Shelf(shelf.sort, books, states, {}))
    good = {**quote(1, [BAG]), "lines": [BAGS]}
    quotes = [good, {**good, "previous_price_book": "broken-yard@1"}, good]
    sent = [*(json.dumps(one).encode() for one in quotes), b"\xff\xfe", json.dumps(good).encode()]
    text = pa.Array.from_buffers(pa.string(), len(sent), pa.array(sent, pa.binary()).buffers())
    path = tmp_path / "quotes" / "part-0.parquet"
    path.parent.mkdir()
    pq.write_table(pa.table({"reference": ["a", "b", "c", "d", "e"], "line": text}), path)
    supplies = Supplies(whole, prices, dt.date(2026, 11, 25))
    target = tmp_path / "result"
    done = reprice_partition(str(path.parent), str(target), path.name, supplies)
    assert (done.counts.quotes, done.counts.results, done.counts.problems) == (5, 3, 2)
    found = {row["reference"]: row for row in rows(target)}
    assert [found[one]["kind"] for one in "abcde"] == ["result", "problem", "result", "problem", "result"]
    failed = json.loads(found["b"]["answer"])
    assert (failed["code"], failed["status"], failed["request_id"]) == ("internal", 500, "row 1")
    assert json.loads(found["d"]["answer"])["code"] == "not_json"


def test_who_may_see_a_book_is_one_of_the_inputs() -> None:
    """A book granted, taken back or made public changes what a quote that names it is answered with."""
    snapshot = bundled_snapshot()
    prices = snapshot.price_books.versions["brindlemoor-yard", 1]
    hidden, public = (BookHead("other-yard", "other", public=one) for one in (False, True))
    grant = frozenset({("other-yard", prices.organisation)})
    seen = [
        _with_heads(snapshot, hidden),
        _with_heads(snapshot, hidden, grants=grant),
        _with_heads(snapshot, public),
        _with_heads(snapshot, hidden, grants=frozenset({("other-yard", "third")})),
    ]
    none, granted, open_to_all, of_a_third = (
        Supplies(one, prices, dt.date(2026, 11, 25)).digest() for one in seen
    )
    assert granted == open_to_all != none == of_a_third


def test_a_worker_of_another_version_refuses(tmp_path: Path) -> None:
    snapshot = bundled_snapshot()
    prices = snapshot.price_books.versions["brindlemoor-yard", 1]
    supplies = Supplies(snapshot, prices, dt.date(2026, 11, 25), engine_version="0.0.0")
    with pytest.raises(DataSetError, match="a worker runs version"):
        reprice_partition(str(_one(tmp_path, "{}")), str(tmp_path / "result"), "part-0.parquet", supplies)
    assert files(tmp_path) == ["part-0.parquet"]


def test_the_example_of_the_help_runs(tmp_path: Path) -> None:
    line = json.dumps({**quote(1, [BAG]), "lines": [BAGS]})
    _one(tmp_path / "quotes", line)
    (example,) = re.findall(r"^ +deck-framing (.+)$", main.commands["reprice"].help or "", flags=re.MULTILINE)
    done = subprocess.run(
        [sys.executable, "-m", "service", *shlex.split(example)],
        cwd=tmp_path, env=ENVIRONMENT, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert "1: 1 results, 0 problems" in done.stdout
    assert [row["total"] for row in rows(tmp_path / "quotes-repriced")] == [Decimal("56.20")]


def test_keys_and_the_books_of_others_stay_where_the_command_runs() -> None:
    snapshot = bundled_snapshot()
    prices = snapshot.price_books.versions["brindlemoor-yard", 1]
    other = replace(prices, id="other-yard", organisation="other", digest="1" * 64)
    granted = replace(other, id="granted-yard", digest="2" * 64)
    shelf = snapshot.price_books
    books = {("other-yard", 1): other, ("granted-yard", 1): granted, **shelf.versions}
    heads = {id: BookHead(id, "other", public=False) for id in ("other-yard", "granted-yard")}
    full = replace(
        snapshot,
        price_books=Shelf(shelf.sort, books, dict.fromkeys(books, "in_force"), {}),
        access=Access(
            keys={"0" * 16: ApiKey("0" * 16, "other", "secret", frozenset(), None, "3" * 64)},
            books={**snapshot.access.books, **heads},
            grants=frozenset({("granted-yard", prices.organisation)}),
        ),
    )
    found = _seen_with(prices, full)
    assert set(found.price_books.versions) == {*shelf.versions, ("granted-yard", 1)}
    assert not found.access.keys
    supplies = Supplies(found, prices, dt.date(2026, 11, 25))
    line = {**quote(1, [BAG]), "previous_price_book": "other-yard@1"}
    with pytest.raises(Rejected) as refused:
        reprice_quote(json.dumps(line).encode(), supplies.desk(), prices, supplies.caller)
    (fault,) = refused.value.faults
    assert (fault.pointer, fault.code) == ("/previous_price_book", "unknown_price_book")
    assert "other-yard" not in (fault.allowed.one_of or () if fault.allowed else ())

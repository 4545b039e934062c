"""One partition: every quote of it repriced, the same way in any process."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from decimal import Decimal
from pathlib import Path
from typing import Any

import msgspec

from service.contract.canonical import digest_of_text
from service.contract.problem import Rejected
from service.contract.repricing_answer import Repricing
from service.datasets.files import counts_if_done, digest_of_file, quotes, write_result
from service.datasets.supplies import Supplies
from service.web.desk import Desk
from service.web.open_quotes import reprice_quote
from service.web.problem_answer import problem_body, problem_of, refusal_of

LONGEST_LINE_BYTES = 256 * 1024


class Counts(msgspec.Struct, frozen=True, kw_only=True):
    """What came of some quotes. The two amounts are sums over the results that have a ``change``."""

    quotes: int = 0
    results: int = 0
    problems: int = 0
    incomplete: int = 0
    previous_total: Decimal = Decimal("0.00")
    total: Decimal = Decimal("0.00")

    def plus(self, other: Counts) -> Counts:
        """Return both together."""
        names = self.__struct_fields__
        return Counts(**{name: getattr(self, name) + getattr(other, name) for name in names})


class Done(msgspec.Struct, frozen=True, kw_only=True):
    """A partition that is written; ``kept``: an earlier run had done it from the same inputs."""

    partition: str
    kept: bool
    counts: Counts


@dataclass
class _Tally:
    counts: Counts = field(default_factory=Counts)

    def add(self, row: dict[str, Any]) -> dict[str, Any]:
        known = row["change"] is not None
        self.counts = self.counts.plus(
            Counts(
                quotes=1,
                results=int(row["kind"] == "result"),
                problems=int(row["kind"] == "problem"),
                incomplete=int(row["kind"] == "result" and not row["complete"]),
                previous_total=row["previous_total"] if known else Decimal(0),
                total=row["total"] if known else Decimal(0),
            )
        )
        return row


def reprice_partition(source: str, target: str, partition: str, supplies: Supplies) -> Done:
    """Reprice one partition into a file of the same name under ``target``.

    Doing it twice, even at the same moment in two processes, gives one file with the same rows. A file that is
    there already and was made from the same inputs is left as it is.

    Raises:
        DataSetError: the partition cannot be read, or this process runs another version of the service
    """
    read, written = Path(source) / partition, Path(target) / partition
    inputs = digest_of_text(f"{digest_of_file(read)} {supplies.digest()}")
    known = counts_if_done(written, inputs)
    if known is not None:
        return Done(partition=partition, kept=True, counts=msgspec.json.decode(known, type=Counts))
    tally = _Tally()
    rows = (tally.add(row) for row in _rows(read, supplies))
    write_result(written, rows, inputs, lambda: msgspec.json.encode(tally.counts))
    return Done(partition=partition, kept=False, counts=tally.counts)


def _rows(path: Path, supplies: Supplies) -> Iterator[dict[str, Any]]:
    desk = supplies.desk()
    for number, (reference, line) in enumerate(quotes(path)):
        yield {"reference": reference, "row": number, **_answer(number, line, desk, supplies)}


def _answer(number: int, line: bytes, desk: Desk, supplies: Supplies) -> dict[str, Any]:
    try:
        if len(line) > LONGEST_LINE_BYTES:
            raise Rejected(
                "too_large", f"a line has {len(line)} bytes, at most {LONGEST_LINE_BYTES} are taken"
            )
        return _result(reprice_quote(line, desk, supplies.prices, supplies.caller))
    except Exception as error:  # one quote must not stop the others: refused or failed, it is a problem
        place = "" if isinstance(error, Rejected) else f"row {number}"
        body = problem_body(problem_of(refusal_of(error, place), "", place)).decode()
        nothing = dict.fromkeys(("currency", "previous_total", "total", "complete", "change"))
        return {"kind": "problem", **nothing, "answer": body}


def _result(found: Repricing) -> dict[str, Any]:
    total, change = found.total, found.change
    return {
        "kind": "result",
        "currency": found.previous_total.currency,
        "previous_total": Decimal(found.previous_total.amount),
        "total": Decimal(total.amount) if total else None,
        "complete": total is not None and total.complete,
        "change": Decimal(change.amount) if change else None,
        "answer": msgspec.json.encode(found).decode(),
    }

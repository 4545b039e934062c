"""What callers send is in no log and on no disk: with every logger at its most talkative, over real HTTP."""

from __future__ import annotations

import io
import json
import logging
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import httpx
import pytest

from service.app import serving_app
from service.cli.trial import served
from service.settings import Settings
from service.store.embedded import EmbeddedServer
from service.store.key_writer import create_key
from tests.contract.api import SMALLEST
from tests.integration.conftest import loaded, spare_server
from tests.integration.price_service import prices

__all__ = ["loaded", "spare_server"]
MARK = "Zq7-marker"
SPEC = {**SMALLEST, "reference": f"{MARK}-reference"}
SPEC["levels"] = [{**SMALLEST["levels"][0], "id": "zq7-marker-level"}]
JOB = {name: f"{MARK}-{name}" for name in ("owner", "site_address", "parcel", "builder")}
BOOK = "zq7-marker-book"
PLAIN = {"Content-Type": "application/json"}
QUOTES = "/v1/repricings?price_book=brindlemoor-yard"
NDJSON = {"Content-Type": "application/x-ndjson"}
LOUD = logging.DEBUG
# At DEBUG it writes the rows it reads, which is what it is for; nobody is to run a service so.
ROWS = "sqlalchemy.engine"


@contextmanager
def everything_logged() -> Iterator[io.StringIO]:
    """Every logger at DEBUG, those of the server and the libraries too, into one text."""
    text = io.StringIO()
    handler = logging.StreamHandler(text)
    # the client of this test is another process's, in life
    handler.addFilter(lambda record: not record.name.startswith(("httpx", "httpcore")))
    names = [name for name in logging.root.manager.loggerDict if not name.startswith("hypothesis")]
    names += ["uvicorn", "uvicorn.error", "uvicorn.access", "uvicorn.asgi", "litestar", "psycopg", "psycopg.pool",
              "sqlalchemy", "asyncio", "httptools", "deck_framing", "deck_framing.web"]  # fmt: skip
    loggers = [logging.getLogger(name) for name in {*names, ""}]
    before = [(one, one.level) for one in loggers]
    for one in loggers:
        one.setLevel(logging.INFO if one.name.startswith(ROWS) else LOUD)
        one.addHandler(handler)
    try:
        yield text
    finally:
        for one, level in before:
            one.setLevel(level)
            one.removeHandler(handler)


def main_calls(address: str, key: str) -> dict[str, int]:
    """One of each call that takes something of a caller's; the status of each."""
    headers = {"Authorization": f"Bearer {key}"}
    line = json.dumps(SPEC).encode() + b"\n"
    bought = {"item": "lumber.2x8.hem_fir.no_2.uc3b", "length_ft": 12, "quantity": 2}
    quote = {"reference": f"{MARK}-quote", "lines": [bought],
             "previous_total": {"currency": "USD", "amount": "10.00"}}  # fmt: skip
    with httpx.Client(base_url=address, headers=headers, trust_env=False, timeout=120) as asking:

        def sent(path: str, **body: Any) -> int:
            return asking.post(path, **body).status_code

        made = sent("/v1/price-books", json={"id": BOOK})
        return {
            "design": sent("/v1/designs", json=SPEC),
            "faulty": sent("/v1/designs", json={**SPEC, f"{MARK}-field": f"{MARK}-value"}),
            "no JSON": sent("/v1/designs", content=f'{{"{MARK}"'.encode(), headers=PLAIN),
            "sheet": sent("/v1/drawings", json={"spec": SPEC, "sheet": "framing_plan", "paper": "letter"}),
            "package": sent("/v1/permit-packages", json={"spec": SPEC, "paper": "letter", "job": JOB}),
            "batch": sent("/v1/design-batches?view=summary", content=line + b"{" + MARK.encode(), headers=NDJSON),
            "quotes": sent(QUOTES, content=json.dumps(quote).encode(), headers=NDJSON),
            "book": made,
            "prices": sent(f"/v1/price-books/{BOOK}/versions", json=marked_prices()),
            "bad prices": sent(f"/v1/price-books/{BOOK}/versions", content=f"{MARK},1".encode(),
                               headers={"Content-Type": "text/csv"}),
            "query": asking.get(f"/v1/jurisdictions?q={MARK}").status_code,
            "bad key": asking.get("/v1/options", headers={"Authorization": f"Bearer {MARK}"}).status_code,
        }  # fmt: skip


def marked_prices() -> dict[str, Any]:
    found = prices("2099-01-01")
    found["lines"][0].update(sku="Zq7-marker-sku", description=f"{MARK}-description", unit_price="9137.77")
    return found


@pytest.fixture(scope="module")
def told(
    loaded: EmbeddedServer, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[tuple[str, dict[str, int], Path, str]]:
    """All that was logged while every call was made, their statuses, the temporary folder, and the key."""
    key = create_key(loaded.owner_url, "zq7-marker", ("designs", "prices:read", "prices:write"))
    folder = tmp_path_factory.mktemp("spool")
    before, tempfile.tempdir = tempfile.tempdir, str(folder)
    try:
        with everything_logged() as text:
            app = serving_app(loaded.service_url, Settings(batch_workers=1))
            with served(app) as address:
                statuses = main_calls(address, key)
        yield text.getvalue(), statuses, folder, key
    finally:
        tempfile.tempdir = before


def test_every_call_was_taken(told: tuple[str, dict[str, int], Path, str]) -> None:
    statuses = told[1]
    assert {name: statuses[name] for name in ("design", "sheet", "package", "batch", "quotes", "prices", "query")} == {
        "design": 200, "sheet": 200, "package": 200, "batch": 200, "quotes": 200, "prices": 201, "query": 200,
    }  # fmt: skip
    assert statuses["book"] in (200, 201)
    assert [statuses[name] for name in ("faulty", "no JSON", "bad prices", "bad key")] == [422, 400, 422, 401]


def test_nothing_a_caller_sent_is_logged(told: tuple[str, dict[str, int], Path, str]) -> None:
    text, _, _, key = told
    assert text, "nothing was listened to"
    found = [line for line in text.splitlines() if "zq7" in line.lower() or "9137.77" in line]
    assert found == []
    assert key.rpartition(".")[2] not in text


def test_nothing_a_caller_sent_is_left_on_disk(told: tuple[str, dict[str, int], Path, str]) -> None:
    assert list(told[2].iterdir()) == []


def test_a_line_that_is_logged_is_found() -> None:
    with everything_logged() as text:
        logging.getLogger("uvicorn.error").debug("%s", MARK)
    assert MARK in text.getvalue()

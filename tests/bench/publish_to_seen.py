"""From the publishing of prices to the moment a second server answers with them: heard of, and looked for alone.

How: `PYTHONPATH=. python tests/bench/publish_to_seen.py [times]` from the project's folder; 50 unless given, which
takes three minutes.

Two servers are processes of their own on one database, with the settings they have by themselves. A version of a
price book is published through the first; the second is asked for it all the while, every few milliseconds. Counted
from the moment the upload is sent, so its own work is in it, and from the moment it is answered. In the rows below
nobody can listen: `DATABASE_URL_DIRECT` leads nowhere. Uploads come at all fractions of a second, lest they keep step
with the looks.
"""

from __future__ import annotations

import os
import socket
import statistics
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager

import httpx

from service.settings import read_settings
from service.store.embedded import EmbeddedServer, embedded_postgres
from service.store.key_writer import create_key
from service.store.migrate import migrate
from service.store.writer import load_bundled
from tests.integration.price_service import EVERYTHING, bearer, day, prices

TIMES = int(sys.argv[1]) if len(sys.argv) > 1 else 50
NOWHERE = "postgresql://deck_service@/deck_framing?host=/nowhere"
PAUSE_S = 0.002
PATIENCE_S = 30.0


@contextmanager
def server(database: EmbeddedServer, **more: str) -> Iterator[str]:
    """Run a server in a process of its own; yield its address."""
    with socket.create_server(("127.0.0.1", 0)) as free:
        port = str(free.getsockname()[1])
    urls = {"DATABASE_URL": database.service_url, "DATABASE_URL_OWNER": database.owner_url}
    command = [sys.executable, "-m", "service", "serve", "--port", port]
    with subprocess.Popen(command, env={**os.environ, **urls, **more}, stderr=subprocess.DEVNULL) as process:  # noqa: TID251
        try:
            yield f"http://127.0.0.1:{port}"
        finally:
            process.terminate()


def answered(client: httpx.Client, path: str) -> float:
    """Ask again and again until it is there; the moment it was."""
    end = time.monotonic() + PATIENCE_S
    while time.monotonic() < end:
        try:
            if client.get(path).status_code == 200:
                return time.monotonic()
        except httpx.TransportError:
            time.sleep(0.1)
        time.sleep(PAUSE_S)
    raise TimeoutError(path)


def published(number: int, first: httpx.Client, second: httpx.Client, versions: str) -> tuple[float, float]:
    """Publish a version; seconds from sent and from answered until the second server has it."""
    seen: list[float] = []
    watching = threading.Thread(target=lambda: seen.append(answered(second, f"{versions}/{number}")))
    watching.start()
    time.sleep(number * 0.618 % 1)
    sent = time.monotonic()
    made = first.post(versions, json=prices(day(number)))
    told = time.monotonic()
    assert made.status_code == 201, made.text
    watching.join()
    return seen[0] - sent, seen[0] - told


def measured(name: str, database: EmbeddedServer, organisation: str, **more: str) -> None:
    """Publish so many times between two servers; print a row."""
    key = create_key(database.owner_url, organisation, EVERYTHING)
    with ExitStack() as stack:
        first, second = (
            stack.enter_context(httpx.Client(base_url=one, headers=bearer(key), trust_env=False, timeout=60))
            for one in [stack.enter_context(server(database, **more)) for _ in range(2)]
        )
        for client in (first, second):
            answered(client, "/v1/price-books")
        assert first.post("/v1/price-books", json={"id": organisation}).status_code == 201
        versions = f"/v1/price-books/{organisation}/versions"
        found = [published(number, first, second, versions) for number in range(1, TIMES + 1)]
    for since, seconds in zip(("sent", "answered"), zip(*found, strict=True), strict=True):
        worst, middle = 1000 * max(seconds), 1000 * statistics.median(seconds)
        print(f"{name:14} since {since:9} max {worst:7.0f} ms   median {middle:7.0f} ms   of {len(seconds)}")


def main() -> None:
    """Measure both ways."""
    with embedded_postgres(programs=read_settings().pg_bin) as database:
        migrate(database.owner_url, database.service_url)
        load_bundled(database.owner_url)
        measured("heard of", database, "tollgate")
        measured("looked for", database, "oakline", DATABASE_URL_DIRECT=NOWHERE)


if __name__ == "__main__":
    main()

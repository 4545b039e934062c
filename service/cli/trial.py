"""`deck-framing try`: the whole service in one go, on an example deck."""

from __future__ import annotations

import socket
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from importlib.resources import files
from pathlib import Path

import click
import httpx
import msgspec
import uvicorn

from service.app import make_app, make_desk
from service.cli.database import ready_database
from service.cli.item_names import item_names
from service.cli.printing import page
from service.cli.progress import teller
from service.cli.serve import server_options
from service.cli.summary import print_summary
from service.contract.report import DesignReport
from service.settings import Settings, read_settings
from service.store.errors import StoreError
from service.store.reader import load_snapshot
from service.web.door import door_of
from service.web.envelope import Application

START_PATIENCE_S = 15.0


@click.command("try")
@click.option("--out", type=click.Path(dir_okay=False, path_type=Path), help="File for the JSON answer.")
def trial(out: Path | None) -> None:
    """Start everything, design an example deck over HTTP, show it, stop.

    PostgreSQL runs in a temporary folder, unless DATABASE_URL names a server.
    Nothing is left behind but the JSON answer.

    \b
    Example:
      deck-framing try
    """
    settings, tell = read_settings(), teller()
    spec = (files("service") / "cli" / "example_deck.json").read_bytes()
    with ready_database(settings, None, tell) as url:
        desk = make_desk(load_snapshot(url))
        door = door_of("127.0.0.1")
        with served(make_app(desk, settings, door=door)) as address:
            tell(f"posting the example deck to {address}/v1/designs")
            body = _post(address, spec)
            tell("answered")
    tell("service and database are stopped")
    file = out or Path(tempfile.mkdtemp(prefix="deck-framing-")) / "answer.json"
    file.write_bytes(body)
    report = msgspec.json.decode(body, type=DesignReport)
    print_summary(report, item_names(report, desk), page())
    click.echo(f"\nThe whole answer ({len(body) / 1000:.0f} kB of JSON): {file}")
    click.echo("To keep the service running: deck-framing serve")


@contextmanager
def served(app: Application, settings: Settings | None = None) -> Iterator[str]:
    """Serve an application on a free loopback port for as long as the block runs; yield its address."""
    with socket.create_server(("127.0.0.1", 0)) as listening:
        server = uvicorn.Server(uvicorn.Config(app, **server_options(settings or Settings())))
        thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]}, daemon=True)
        thread.start()
        _await_start(server, thread)
        try:
            yield f"http://127.0.0.1:{listening.getsockname()[1]}"
        finally:
            server.should_exit = True
            thread.join(START_PATIENCE_S)


def _await_start(server: uvicorn.Server, thread: threading.Thread) -> None:
    end = time.monotonic() + START_PATIENCE_S
    while not server.started:
        if not thread.is_alive() or time.monotonic() > end:
            raise StoreError("the HTTP service did not start")
        time.sleep(0.01)


def _post(address: str, spec: bytes) -> bytes:
    headers = {"Content-Type": "application/json"}
    answer = httpx.post(f"{address}/v1/designs", content=spec, headers=headers, timeout=60, trust_env=False)
    if answer.status_code != 200:
        raise click.ClickException(f"answered {answer.status_code}: {answer.text}")
    return answer.content

"""`deck-framing serve`."""

from __future__ import annotations

import errno
import os
import signal
import socket
from dataclasses import replace
from pathlib import Path
from types import FrameType
from typing import Any

import click
import uvicorn

from service.app import serving_app
from service.cli.database import ready_database
from service.cli.progress import Tell, teller
from service.settings import Settings, read_settings
from service.store.key_writer import has_key_in_force
from service.store.origins import is_loopback
from service.web.door import door_of

STOP_PATIENCE_S = 10
MOST_HEAD_BYTES = 65_536
DATA_DIR = click.option(
    "--data-dir",
    type=click.Path(file_okay=False, path_type=Path),
    help="Folder of the embedded database; unused with DATABASE_URL.",
)


@click.command()
@click.option("--host", help="Address to listen on; 127.0.0.1 unless set.")
@click.option("--port", type=click.IntRange(1, 65535), help="Port to listen on; 8000 unless set.")
@DATA_DIR
def serve(host: str | None, port: int | None, data_dir: Path | None) -> None:
    """Serve over HTTP until stopped with Ctrl-C.

    Starts PostgreSQL in a data folder unless DATABASE_URL names a server.

    \b
    Example:
      deck-framing serve --port 8000 --data-dir ./deck-data
    """
    given, tell = read_settings(), teller()
    settings = replace(given, host=host or given.host, port=port or given.port)
    refuse_busy(settings.host, settings.port)
    signal.signal(signal.SIGTERM, _leave)
    with ready_database(settings, data_dir or settings.data_dir, tell) as url:
        tell(who_may_ask(settings, has_key_in_force(url)))
        tell(f"serving on http://{settings.host}:{settings.port}/")
        _run(url, settings, tell)


def who_may_ask(settings: Settings, has_key: bool) -> str:
    """Return what is said at the start of who is let in.

    Raises:
        click.ClickException: other machines could reach it, and there is no key to let them in with
    """
    if door_of(settings.host, settings.hosts).keyless:
        return "no key is needed on this machine to read and to design; to write one is, always"
    if has_key:
        return "every call needs a key, except those for rulebooks and jurisdictions"
    make = "no key is in force: make one with `deck-framing keys create --organisation ID --scope designs`"
    if not is_loopback(settings.host):
        raise click.ClickException(f"{settings.host} can be reached from other machines, and {make} first")
    return f"every call needs a key, except those for rulebooks and jurisdictions; {make}"


def refuse_busy(host: str, port: int) -> None:
    """Refuse a place that cannot be listened on, before a database is started for it.

    Raises:
        click.ClickException: names the port and the option that gives another
    """
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    try:
        socket.create_server((host, port), family=family).close()
    except OSError as failure:
        why = "is in use" if failure.errno == errno.EADDRINUSE else f"cannot be had: {failure.strerror}"
        raise click.ClickException(
            f"port {port} on {host} {why}; stop what listens there, or name another with --port"
        ) from failure


def server_options(settings: Settings) -> dict[str, Any]:
    """Return what the HTTP server is told wherever it listens.

    Its own default believes anyone on this machine what it says about the address of a client; here only proxies
    that are named are believed, since publishable keys are counted by address.
    """
    return {
        "access_log": False,
        "server_header": False,
        "log_level": "warning",
        "proxy_headers": bool(settings.proxies),
        "forwarded_allow_ips": ",".join(settings.proxies),
        # the other parser sets no limit to the head of a request and keeps all of it
        "http": "h11",
        "h11_max_incomplete_event_size": MOST_HEAD_BYTES,
    }


def _run(url: str, settings: Settings, tell: Tell) -> None:
    options = {
        **server_options(settings),
        "host": settings.host,
        "port": settings.port,
        # a batch may go on for hours: it is cut off, and its client resumes it
        "timeout_graceful_shutdown": STOP_PATIENCE_S,
    }
    if settings.workers == 1:
        app = serving_app(url, settings, door_of(settings.host, settings.hosts))
        uvicorn.run(app, **options)
    else:
        tell(f"{settings.workers} workers")
        # Workers are new processes and read their settings themselves; only the serving role's URL goes to them.
        os.environ.pop("DATABASE_URL_OWNER", None)  # noqa: TID251
        os.environ["DATABASE_URL"] = url  # noqa: TID251
        os.environ["DECK_FRAMING_HOST"] = settings.host  # noqa: TID251
        uvicorn.run("service.app:from_environment", factory=True, workers=settings.workers, **options)


def _leave(_: int, __: FrameType | None) -> None:
    """Leave through the blocks that are open, so that the database is stopped in order."""
    raise SystemExit(0)

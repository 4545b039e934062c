"""`deck-framing serve`."""

from __future__ import annotations

import errno
import ipaddress
import os
import signal
import socket
from pathlib import Path
from types import FrameType

import click
import uvicorn

from service.app import serving_app
from service.cli.database import ready_database
from service.cli.progress import Tell, teller
from service.settings import Settings, read_settings

STOP_PATIENCE_S = 10
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
    settings, tell = read_settings(), teller()
    place = (host or settings.host, port or settings.port)
    if not is_loopback(place[0]):
        tell(
            f"warning: {place[0]} can be reached from other machines: price books need a key, designs need none"
        )
    refuse_busy(*place)
    signal.signal(signal.SIGTERM, _leave)
    with ready_database(settings, data_dir or settings.data_dir, tell) as url:
        tell(f"serving on http://{place[0]}:{place[1]}/")
        _run(url, settings, place, tell)


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


def is_loopback(host: str) -> bool:
    """Return whether only this machine can reach an address.

    >>> is_loopback("127.0.0.1"), is_loopback("localhost"), is_loopback("0.0.0.0")
    (True, True, False)
    """
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return host == "localhost"


def _run(url: str, settings: Settings, place: tuple[str, int], tell: Tell) -> None:
    options = {
        "host": place[0],
        "port": place[1],
        "access_log": False,
        "server_header": False,
        "log_level": "warning",
        # a batch may go on for hours: it is cut off, and its client resumes it
        "timeout_graceful_shutdown": STOP_PATIENCE_S,
    }
    if settings.workers == 1:
        app = serving_app(url, settings)
        uvicorn.run(app, **options)  # type: ignore[arg-type]
    else:
        tell(f"{settings.workers} workers")
        # Workers are new processes and read their settings themselves; only the serving role's URL goes to them.
        os.environ.pop("DATABASE_URL_OWNER", None)  # noqa: TID251
        os.environ["DATABASE_URL"] = url  # noqa: TID251
        uvicorn.run("service.app:from_environment", factory=True, workers=settings.workers, **options)  # type: ignore[arg-type]


def _leave(_: int, __: FrameType | None) -> None:
    """Leave through the blocks that are open, so that the database is stopped in order."""
    raise SystemExit(0)

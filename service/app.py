"""The composition root: settings and a snapshot in, an ASGI application out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from importlib.resources import files
from importlib.resources.abc import Traversable
from importlib.util import find_spec
from typing import TypeVar, cast

from litestar import Litestar
from litestar.datastructures import State
from litestar.di import Provide
from litestar.types import Scope

from service import __version__
from service.comparison.draws import warm
from service.foundations.facts import FoundationFacts, parse_facts
from service.rules.framing_minutes import FramingMinutes, parse_framing_minutes
from service.rules.jurisdiction import Jurisdiction
from service.rules.price_book import PriceBook, following, parse_price_book
from service.rules.rulebook import Rulebook, build_rulebook
from service.setting_values import pairs
from service.settings import SettingError, Settings, read_settings
from service.store.access import Access, BookHead
from service.store.bundled import bundled
from service.store.live import LiveStore, await_store
from service.store.places import read_place
from service.store.reader import load_snapshot
from service.store.snapshot import Days, Shelf, Snapshot
from service.timber.values import TimberData, parse_timber
from service.web.caller import Caller
from service.web.current import CurrentDesk
from service.web.desk import Clock, Desk, utc_now
from service.web.door import Door, door_of
from service.web.envelope import Application, Envelope
from service.web.intake import Intake, Limits
from service.web.keys import Scope as AsgiScope
from service.web.keys import desk_of, settled_caller
from service.web.logs import set_up
from service.web.methods import operation_at, operation_ids
from service.web.openapi.build import show_document
from service.web.problem_answer import EXCEPTION_HANDLERS
from service.web.queries import refuse_unknown_parameters
from service.web.rates import Rates
from service.web.routes import HANDLERS, STREAMS
from service.web.seen.around import Around, NotingCaller
from service.web.seen.collector import Collector
from service.web.seen.watching import watching
from service.web.settling import settle
from service.web.streams.pool import Pool
from service.web.streams.serve import Streams
from service.web.streams.spool import Spools

Version = TypeVar("Version", Rulebook, Jurisdiction, PriceBook)


def make_desk(snapshot: Snapshot, clock: Clock = utc_now) -> Desk:
    """Return what handlers work at: a snapshot, and the facts that come with this version of the service."""
    facts = bundled_facts()
    warm(facts)
    return Desk(snapshot, facts, bundled_timber(), bundled_minutes(), __version__, clock)


def make_app(
    desk: Desk, settings: Settings | None = None, store: LiveStore | None = None, door: Door | None = None
) -> Application:
    """Return the application.

    Args:
        desk: what it answers from, at first
        settings: give the largest bodies it takes, the processes for batches and the rate of publishable keys
        store: where price books are kept and newer snapshots come from; without one, nothing changes
        door: whom it lets in; without one, anyone under any host name
    """
    limits = settings or Settings()
    current = CurrentDesk(desk, store)
    seen = watching(counted=limits.metrics_port is not None, collector=_collector(limits))
    spools = Spools(limits.batch_calls, limits.max_batch_bytes)
    streams = Streams(spools, Pool(limits.batch_workers_each), limits.work_seconds)
    inner = Litestar(
        route_handlers=[*HANDLERS, *STREAMS, show_document],
        dependencies={
            "desk": Provide(_desk, sync_to_thread=False),
            "caller": Provide(_caller, sync_to_thread=False),
        },
        exception_handlers=EXCEPTION_HANDLERS,
        before_request=refuse_unknown_parameters,
        request_max_body_size=limits.max_body_bytes,
        openapi_config=None,
        logging_config=None,
        state=State({"current": current, "streams": streams}),
        lifespan=[*seen.lifespans(current), current.watched],
        on_shutdown=[streams.pool.close],
    )
    passing = [path for one in STREAMS for path in one.paths]
    may_take, shared = Limits(work_seconds=limits.work_seconds), limits.workers > 1
    intake = Intake(cast("Application", inner), passing, may_take, shared=shared)
    rates = Rates(limits.publishable_per_minute)
    enveloped = Envelope(NotingCaller(intake), current, door or Door(), rates)
    seen.expect(operation_ids())
    return Around(enveloped, operation_at, seen.sinks)


def _collector(settings: Settings) -> Collector | None:
    if settings.otlp_endpoint is None:
        return None
    if find_spec("opentelemetry") is None or find_spec("opentelemetry.exporter") is None:
        raise SettingError("OTEL_EXPORTER_OTLP_ENDPOINT is set, and the extra `tracing` is not installed")
    return Collector(
        settings.otlp_endpoint,
        settings.otel_service_name,
        pairs(settings.otlp_headers),
        pairs(settings.otel_attributes),
        settings.otel_sampler,
        settings.otel_ratio,
    )


def _desk(scope: Scope) -> Desk:
    return desk_of(cast("AsgiScope", scope))


def _caller(scope: Scope) -> Caller:
    return settled_caller(cast("AsgiScope", scope))


def serving_app(url: str, settings: Settings | None = None, door: Door | None = None) -> Application:
    """Return the application of a database; it sees what is published there while it runs; see `make_app`.

    Raises:
        StoreError: the database cannot be read
    """
    direct_url = None if settings is None else settings.database_url_direct
    return make_app(make_desk(load_snapshot(url)), settings, LiveStore(url, direct_url), door)


def from_environment() -> Application:
    """Return the application of the database that settings name; servers call this in each worker.

    Raises:
        SettingError: a setting is wrong, or no database is named
        StoreError: the database cannot be read
    """
    settings = read_settings()
    log_as(settings)
    if settings.database_url is None:
        raise SettingError("DATABASE_URL is not set: `deck-framing serve` starts a database of its own")
    await_store(settings.database_url)
    app = serving_app(settings.database_url, settings, door_of(settings.host, settings.hosts))
    settle()
    return app


def log_as(settings: Settings) -> None:
    """Have this process log in the form and from the level that settings say."""
    set_up("json" if settings.log == "json" else "text", settings.log_level)


def bundled_snapshot() -> Snapshot:
    """Return a snapshot of what comes with the service, for use without a database.

    Raises:
        TableRefused: a text cannot be parsed; names file and line
    """
    texts = bundled()
    books = following([parse_price_book(one.text, one.name) for one in texts.price_books])
    return Snapshot(
        rulebooks=_dated(
            _shelf("rulebook", [build_rulebook(one.meta, one.tables) for one in texts.rulebooks])
        ),
        jurisdictions=_dated(
            _shelf("jurisdiction", [read_place(one.text, one.name) for one in texts.jurisdictions])
        ),
        price_books=_shelf("price book", books),
        access=Access(books={book.id: BookHead(book.id, book.organisation, public=True) for book in books}),
    )


def _shelf(sort: str, items: Sequence[Version]) -> Shelf[Version]:
    versions = {(item.id, item.version): item for item in items}
    newest = dict(sorted(versions))
    states = {key: "in_force" if newest[key[0]] == key[1] else "superseded" for key in versions}
    return Shelf(sort, versions, states, {})


def _dated(shelf: Shelf[Version]) -> Shelf[Version]:
    """Versions from the days they say; the first of an id, and one that says none, from ever on."""
    days: dict[tuple[str, int], Days] = {}
    after: dict[str, date | None] = {}
    for id, version in sorted(shelf.versions, reverse=True):
        begins = getattr(shelf.versions[id, version], "published_on", None) if version > 1 else None
        if id not in after or after[id] is not None:
            days[id, version] = Days(begins, after.get(id))
            after[id] = begins
    return replace(shelf, days=days)


def bundled_facts() -> FoundationFacts:
    """Return the facts of the footing methods that come with the service."""
    return parse_facts(_texts("foundations"))


def bundled_timber() -> TimberData:
    """Return the design values of wood that come with the service."""
    texts = _texts("timber")
    return parse_timber(texts["design_values"], texts["factors"])


def bundled_minutes() -> FramingMinutes:
    """Return how long framing takes, as it comes with the service."""
    return parse_framing_minutes(_texts("framing")["framing_minutes"])


def _texts(folder: str) -> dict[str, str]:
    found: list[Traversable] = list((files("service") / "rulebooks" / folder).iterdir())
    return {
        one.name.removesuffix(".csv"): one.read_text("utf-8") for one in found if one.name.endswith(".csv")
    }

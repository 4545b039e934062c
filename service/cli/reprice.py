"""`deck-framing reprice DATASET`."""

from __future__ import annotations

import importlib.util
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path

import click
from rich.console import Console
from rich.table import Table

from service.app import bundled_snapshot
from service.cli.progress import teller
from service.rules.price_book import PriceBook
from service.settings import read_settings
from service.store.reader import load_snapshot
from service.store.snapshot import Snapshot

NEEDED = ("pyarrow", "distributed")


@click.command()
@click.argument("dataset", type=click.Path(exists=True, file_okay=False, path_type=Path))
@click.option("--price-book", required=True, help="Price book to price by; @n pins a version.")
@click.option("--scheduler", help="Address of a Dask scheduler, like tcp://host:8786; here unless set.")
@click.option(
    "--out",
    type=click.Path(file_okay=False, path_type=Path),
    help="Folder of the result; DATASET-repriced unless set.",
)
@click.option(
    "--as-of",
    type=click.DateTime(["%Y-%m-%d"]),
    help="Day of prices, and of specs that name none; today in UTC unless set.",
)
def reprice(
    dataset: Path, price_book: str, scheduler: str | None, out: Path | None, as_of: datetime | None
) -> None:
    """Reprice the open quotes of a partitioned Parquet data set.

    DATASET is a folder of .parquet files with two columns of text: `reference`,
    carried over as it is, and `line`, the JSON of one line of POST /v1/repricings.
    The result has a file of the same name for each: columns `reference`, `row`,
    `kind` (result or problem), `currency`, `previous_total`, `total`, `complete`,
    `change`, and `answer`, the whole answer as JSON. A file that an earlier run
    made from the same inputs is kept. `_summary.json` comes last, when all is done.

    Rules and prices are read from the database that DATABASE_URL names, else from
    the files that come with the service, and sent to the workers with the work.
    Workers need this version of the service, and the same paths of DATASET and
    the result.

    \b
    Example:
      deck-framing reprice ./quotes --price-book brindlemoor-yard
    """
    _refuse_without_extra()
    from service.datasets.run import reprice_data_set
    from service.datasets.supplies import DataSetError, Supplies

    tell, day = teller(), as_of.date() if as_of else _today()
    settings = read_settings()
    snapshot = load_snapshot(settings.database_url) if settings.database_url else bundled_snapshot()
    prices = snapshot.price_book(price_book, day)
    supplies = Supplies(_readable_with(prices, snapshot), prices, day)
    target = out or dataset.resolve().with_name(f"{dataset.resolve().name}-repriced")
    try:
        found = reprice_data_set(dataset, target, supplies, scheduler, tell)
    except DataSetError as fault:
        raise click.ClickException(str(fault)) from fault
    table = Table(show_header=False, box=None)
    table.add_row("result", str(target))
    table.add_row("price book", found.price_book)
    table.add_row("partitions", f"{found.partitions}, of which {found.kept} were done already")
    table.add_row(
        "quotes", f"{found.counts.quotes}: {found.counts.results} results, {found.counts.problems} problems"
    )
    table.add_row("without a whole total", str(found.counts.incomplete))
    table.add_row(
        "totals", f"{found.counts.previous_total} before, {found.counts.total} now {found.currency}"
    )
    table.add_row("change", f"{found.change} {found.currency}")
    Console(highlight=False, soft_wrap=True).print(table)


def _today() -> date:
    return datetime.now(UTC).date()  # noqa: TID251 - a command has a clock


def _refuse_without_extra() -> None:
    missing = [name for name in NEEDED if importlib.util.find_spec(name) is None]
    if missing:
        raise click.ClickException(
            f"{' and '.join(missing)} not installed: pip install 'deck-framing[cluster]'"
        )


def _readable_with(prices: PriceBook, snapshot: Snapshot) -> Snapshot:
    """The snapshot with the price books a quote priced by this one may have been made from."""
    # everybody's here: the command works for the organisation, and needs no keys
    books = {
        id: replace(head, public=head.public or head.organisation == prices.organisation)
        for id, head in snapshot.access.books.items()
    }
    return replace(snapshot, access=replace(snapshot.access, books=books, keys={}))

"""What a partition is repriced from, in one value that is sent to a worker once: it needs no database."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, time

from service import __version__
from service.app import make_desk
from service.contract.canonical import digest
from service.rules.price_book import PriceBook
from service.store.snapshot import Snapshot
from service.web.caller import Caller
from service.web.desk import Desk


class DataSetError(Exception):
    """A data set cannot be repriced; the message names the file or column and what is needed."""


@dataclass(frozen=True)
class Supplies:
    """Everything besides a quote that its answer depends on.

    Attributes:
        snapshot: rulebooks, jurisdictions and the price books quotes may have been made from
        prices: the book to price by
        day: stands for today in specs that name no day
        engine_version: version of the service that gathered them
    """

    snapshot: Snapshot
    prices: PriceBook
    day: date
    engine_version: str = __version__

    def desk(self) -> Desk:
        """Return the desk quotes are answered at.

        Raises:
            DataSetError: this process runs another version of the service
        """
        if self.engine_version != __version__:
            raise DataSetError(
                f"a worker runs version {__version__} of the service, the command {self.engine_version}"
            )
        noon = datetime.combine(self.day, time(12), UTC)
        return make_desk(self.snapshot, clock=lambda: noon)

    @property
    def caller(self) -> Caller:
        """Who the quotes are answered for: the organisation whose prices they are."""
        return Caller(self.prices.organisation, frozenset({"designs"}))

    def digest(self) -> str:
        """Return the digest of all of it: answers from supplies with the same digest are the same."""
        shelves = (self.snapshot.rulebooks, self.snapshot.jurisdictions, self.snapshot.price_books)
        versions = sorted(
            f"{shelf.sort} {id}@{version} {item.digest} {shelf.states[id, version]} {shelf.days.get((id, version))}"
            for shelf in shelves
            for (id, version), item in shelf.versions.items()
        )
        damaged = sorted(f"{shelf.sort} {id}@{version}" for shelf in shelves for id, version in shelf.damaged)
        seen = list(self.snapshot.access.visible(self.caller.reads_as))
        return digest(
            [self.engine_version, self.day.isoformat(), self.prices.digest, versions, damaged, seen]
        )

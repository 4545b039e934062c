"""Price books and their versions as they are told over HTTP."""

from __future__ import annotations

from dataclasses import asdict
from datetime import timedelta
from typing import Any

from service.contract.money import unit_price
from service.contract.price_book import (
    EndedVersion,
    PriceBookBreak,
    PriceBookLine,
    PriceBookPublication,
    PriceBookSummary,
    PriceBookVersion,
    PriceBookVersionSummary,
)
from service.contract.price_sections import PriceBookSection
from service.rules.price_book import PriceBook, PriceLine
from service.store.access import BookHead
from service.store.price_writer import Publication
from service.store.snapshot import Snapshot


def book_url(id: str) -> str:
    """Return where a price book is served."""
    return f"/v1/price-books/{id}"


def version_url(id: str, version: int) -> str:
    """Return where a version of a price book is served."""
    return f"{book_url(id)}/versions/{version}"


def versions_of(id: str, snapshot: Snapshot) -> tuple[PriceBook, ...]:
    """Return the versions of a price book, oldest first."""
    versions = snapshot.price_books.versions
    return tuple(versions[key] for key in sorted(versions) if key[0] == id)


def book_answer(head: BookHead, snapshot: Snapshot) -> PriceBookSummary:
    """Return a price book without its versions."""
    return PriceBookSummary(
        id=head.id,
        organisation=head.organisation,
        public=head.public,
        versions=len(versions_of(head.id, snapshot)),
        url=book_url(head.id),
    )


def version_summary(book: PriceBook) -> PriceBookVersionSummary:
    """Return a version without its lines."""
    return PriceBookVersionSummary(**_summary(book))


def publication_answer(made: Publication) -> PriceBookPublication:
    """Return what an upload made, found or would make."""
    ends = None
    if made.ends is not None:
        ends = EndedVersion(version=made.ends, effective_to=made.book.effective_from - timedelta(days=1))
    return PriceBookPublication(**_summary(made.book), outcome=made.outcome, ends=ends)


def version_answer(book: PriceBook) -> PriceBookVersion:
    """Return a whole version."""
    sections = tuple(PriceBookSection(**asdict(one)) for one in book.sections)
    return PriceBookVersion(
        **_version(book), lines=tuple(_line(line) for line in book.lines), sections=sections
    )


def _version(book: PriceBook) -> dict[str, Any]:
    names = PriceBookVersion.__struct_fields__
    return {name: getattr(book, name) for name in names if name not in ("lines", "sections")}


def _summary(book: PriceBook) -> dict[str, Any]:
    return {**_version(book), "line_count": len(book.lines), "url": version_url(book.id, book.version)}


def _line(line: PriceLine) -> PriceBookLine:
    return PriceBookLine(
        item=line.item,
        sku=line.sku,
        description=line.description,
        unit=line.unit,
        length_ft=line.length_ft,
        unit_price=unit_price(line.unit_price),
        breaks=tuple(
            PriceBookBreak(at_least=one.at_least, unit_price=unit_price(one.unit_price))
            for one in line.breaks
        ),
        pack_quantity=line.pack_quantity,
        availability=line.availability,
        note=line.note or None,
    )

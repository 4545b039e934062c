"""Item codes as people read them: by the price book's description, or else in words."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from service.contract.report import DesignReport
from service.rules.price_book import PriceBook
from service.takeoff.items import is_item
from service.units.text import item_words
from service.web.desk import Desk

_CODE = re.compile(r"\b[a-z_]+(?:\.[a-z0-9][a-z0-9_-]*)+")


@dataclass(frozen=True)
class ItemNames:
    """What to call items; ``described`` is item code to description, without a stock length."""

    described: Mapping[str, str] = field(default_factory=dict)

    def of(self, item: str) -> str:
        """Return what to call an item."""
        return self.described.get(item) or item_words(item)

    def in_text(self, text: str) -> str:
        """Return a text with the item codes in it as people read them.

        >>> ItemNames().in_text("2 each anchor.1-2in.10in.hot_dip_galvanized. See main.post-1-1.")
        '2 each anchor, 1/2 in, 10 in, hot dip galvanized. See main.post-1-1.'
        """
        return _CODE.sub(lambda found: self._in_a_sentence(found[0]), text)

    def _in_a_sentence(self, code: str) -> str:
        if not is_item(code):
            return code
        name = self.of(code)
        return name[:1].lower() + name[1:]


def item_names(report: DesignReport, desk: Desk) -> ItemNames:
    """Return the names of the items of a report by the price book it was priced with."""
    named = report.price_book
    if named is None:
        return ItemNames()
    return ItemNames(_described(desk.snapshot.price_books.versions[named.id, named.version]))


def _described(book: PriceBook) -> dict[str, str]:
    return {
        line.item: line.description
        if line.length_ft is None
        else line.description.removesuffix(f" {line.length_ft:g} ft").removesuffix(" x")
        for line in book.lines
    }

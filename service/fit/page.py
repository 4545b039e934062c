"""The fit page: every table, its counts, and every cell that calculation does not give back."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import chain

import msgspec

from service.fit.beams import beam_fits
from service.fit.cells import TableFit, same_cells
from service.fit.footings import footing_fits, ledger_fits
from service.fit.guide import guide_fits
from service.fit.joists import joist_fits
from service.fit.known import known_lines
from service.fit.lines import beyond_lines, heading, height_lines, row, suspect_lines
from service.fit.posts import post_areas, post_fits
from service.fit.rows import Books
from service.fit.tried import tried_lines
from service.rules.rulebook import Rulebook
from service.timber.values import TimberData


class Passage(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A heading and what stands under it."""

    title: str
    text: str


class Words(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """The sentences of the page: `words.toml`."""

    intro: str
    means: tuple[Passage, ...]
    left_out: tuple[Passage, ...]
    kinds: dict[str, Passage]
    trials: dict[str, Passage]


def codes_of(books: Books) -> list[Rulebook]:
    """Return the editions of the code, oldest first."""
    return sorted((book for book in books.values() if book.kind == "code"), key=lambda book: book.edition)


def table_fits(books: Books, timber: TimberData) -> list[TableFit]:
    """Return every published table beside its calculation, by kind and then by edition."""
    codes, guides = codes_of(books), [book for book in books.values() if book.kind == "guide"]
    found = [
        *chain.from_iterable(joist_fits(book, timber) for book in codes),
        *chain.from_iterable(beam_fits(book, timber) for book in codes),
        *chain.from_iterable(post_fits(book, timber) for book in codes),
        *chain.from_iterable(footing_fits(book) for book in codes),
        *chain.from_iterable(ledger_fits(book, timber) for book in codes),
        *chain.from_iterable(guide_fits(book, timber) for book in guides),
    ]
    kinds = list(dict.fromkeys(fit.kind for fit in found))
    return sorted(found, key=lambda fit: kinds.index(fit.kind))


def fit_page(books: Books, timber: TimberData, words: Words) -> str:
    """Return the page as Markdown."""
    fits, codes = table_fits(books, timber), codes_of(books)
    lines = [
        "# How closely calculation gives the published tables back",
        words.intro.strip(),
        *chain.from_iterable(heading(2, one.title, one.text) for one in words.means),
        *heading(2, "What is known at second hand, and what from memory", ""),
        *known_lines(timber),
        *heading(2, "All tables", ""),
        "\n".join(_summary(fits, words)),
        *heading(2, "Not calculated", ""),
        "\n".join(f"- {one.title}: {one.text}" for one in words.left_out),
        *heading(2, "Table by table", ""),
        *_tables(fits, words),
        *heading(2, "Heights printed without an area", ""),
        *height_lines([area for book in codes for area in post_areas(book, timber)]),
        *heading(2, "Cells that look like misprints", ""),
        *suspect_lines(fits),
        *heading(2, "What explains the fitted figures", ""),
    ]
    for key, table in tried_lines(codes, timber).items():
        lines += [*heading(3, words.trials[key].title, words.trials[key].text), table]
    return "\n\n".join(line for line in lines if line) + "\n"


def _summary(fits: Sequence[TableFit], words: Words) -> Iterator[str]:
    yield row("table", "printed in", "cells", "compared", "exact", "within", "beyond", "less safe")
    yield row("---", "---", *["---:"] * 6)
    for fit in fits:
        counts = len(fit.cells), len(fit.compared), fit.exact, fit.within, len(fit.beyond), len(fit.unsafe)
        yield row(words.kinds[fit.kind].title, fit.document, *counts)


def _tables(fits: Sequence[TableFit], words: Words) -> Iterator[str]:
    for kind in dict.fromkeys(fit.kind for fit in fits):
        yield from heading(3, words.kinds[kind].title, words.kinds[kind].text)
        yield from _editions([fit for fit in fits if fit.kind == kind])


def _editions(fits: Iterable[TableFit]) -> Iterator[str]:
    shown: list[TableFit] = []
    for fit in fits:
        twin = next((one for one in shown if same_cells(one, fit)), None)
        shown.append(fit)
        if twin is not None:
            yield f"{fit.document}: cell for cell as {twin.document}."
        else:
            yield from beyond_lines(fit)

"""Joist tables beside their calculation."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from service.fit.cells import Cell, TableFit, calculated_cell
from service.fit.rows import (
    Record,
    document,
    group_of,
    load_kind,
    number,
    number_or_none,
    records,
    text,
)
from service.rules.rulebook import Rulebook
from service.sizing.calculated_joists import (
    joist_cantilever_2018,
    joist_cantilever_2021,
    joist_span,
    joist_span_with_cantilever_2015,
)
from service.sizing.calculated_result import Allowable
from service.timber.refusal import NoRule
from service.timber.values import TimberData

TABLE = "joist_spans"
ByRow = Callable[[Record], Allowable | NoRule]


def joist_fits(book: Rulebook, timber: TimberData) -> Iterator[TableFit]:
    """Yield the joist spans of an edition, and the column or table of its cantilevers."""
    yield _fit(book, "joist_spans", "max_span_in", lambda row: calculated_span(timber, row))
    rule = book.in_force_settings.joist_cantilever_rule
    if rule == "by_back_span":
        yield _by_back_span(book, timber)
    elif rule == "with_cantilever_column":
        column = "max_span_with_cantilever_in"
        yield _fit(
            book, "with_cantilever", column,
            lambda row: joist_span_with_cantilever_2015(*_of_the_span(timber, row)),
        )  # fmt: skip
    else:
        yield _fit(
            book, "cantilevers_by_spacing", "max_cantilever_in",
            lambda row: joist_cantilever_2018(*_of_the_span(timber, row)),
        )  # fmt: skip


def _of_the_span(timber: TimberData, row: Record) -> tuple[TimberData, str, str, float]:
    return timber, text(row, "species_group"), text(row, "nominal_size"), number(row, "max_span_in")


def calculated_span(timber: TimberData, row: Record) -> Allowable | NoRule:
    """Return the joist span of a row of the code."""
    return joist_span(
        timber, text(row, "species_group"), text(row, "nominal_size"), number(row, "spacing_in"),
        number(row, "load_psf"), load_kind(row),
    )  # fmt: skip


def _fit(book: Rulebook, kind: str, column: str, rule: ByRow) -> TableFit:
    cells = tuple(
        calculated_cell(joist_name(row), group_of(row), number_or_none(row, column), rule(row))
        for row in records(book, TABLE)
    )
    return TableFit(f"{kind}_{book.edition}", kind, book.edition, document(book, TABLE), cells)


def joist_name(row: Record) -> str:
    """Return the words that name a cell of a joist table."""
    load = f"{number(row, 'load_psf'):g} psf, " if "load_psf" in row else ""
    return f"{load}{group_of(row)}, {row['nominal_size']} at {number(row, 'spacing_in'):g} in"


def _by_back_span(book: Rulebook, timber: TimberData) -> TableFit:
    table = "joist_cantilevers"
    return TableFit(
        f"cantilevers_{book.edition}",
        "cantilevers_by_back_span",
        book.edition,
        document(book, table),
        tuple(_back_span_cell(row, timber) for row in records(book, table)),
    )


def _back_span_cell(row: Record, timber: TimberData) -> Cell:
    back_ft = number(row, "joist_back_span_ft")
    load, size = number(row, "load_psf"), text(row, "nominal_size")
    found = joist_cantilever_2021(
        timber, text(row, "species_group"), size, 12 * back_ft, load, load_kind(row)
    )
    name = f"{load:g} psf, {group_of(row)}, {size}, back span {back_ft:g} ft"
    printed = None if row["flag"] == "NP" else number(row, "max_cantilever_in")
    return calculated_cell(name, group_of(row), printed, found)

"""Beam tables beside their calculation."""

from __future__ import annotations

from collections.abc import Iterator

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
from service.sizing.calculated_beams import (
    JOINT_GROUP,
    TRIBUTARY_SHARE,
    beam_span_2018,
    beam_span_2021,
    beam_span_2024,
)
from service.sizing.calculated_result import Allowable, nearest
from service.timber.refusal import NoRule
from service.timber.values import TimberData

TABLE = "beam_spans"
FACTORS = "beam_joist_span_factors"
HALF_SPAN = 0.5


def beam_fits(book: Rulebook, timber: TimberData) -> Iterator[TableFit]:
    """Yield the beam spans of an edition, and its table of joist span factors where it has one."""
    cells = tuple(_cell(row, calculated_beam(book, timber, row)) for row in printed_beam_rows(book))
    yield TableFit(f"beam_spans_{book.edition}", "beam_spans", book.edition, document(book, TABLE), cells)
    if FACTORS in book.tables:
        factors = tuple(_factor_cell(row) for row in records(book, FACTORS))
        where = document(book, FACTORS)
        yield TableFit(f"factors_{book.edition}", "factors", book.edition, where, factors, "ratio", True)


def printed_beam_rows(book: Rulebook) -> Iterator[Record]:
    """Yield each row as often as it is printed: 3x and two plies of 2x of the joint group share one."""
    for row in records(book, TABLE):
        if not (row["species_group"] == JOINT_GROUP and row["plies"] == 2):
            yield row


def calculated_beam(book: Rulebook, timber: TimberData, row: Record) -> Allowable | NoRule:
    """Return the beam span of a row, by the rule of the edition it is printed in."""
    group, size, plies = text(row, "species_group"), text(row, "nominal_size"), int(number(row, "plies"))
    joist_ft, load = number(row, "joist_span_ft"), number(row, "load_psf")
    lookup = book.in_force_settings.beam_lookup_rule
    if lookup == "factored_span":
        return beam_span_2021(timber, group, size, plies, joist_ft, load, load_kind(row))
    if lookup == "span_and_cantilever_pair":
        over_ft = number(row, "joist_cantilever_ft")
        return beam_span_2024(timber, group, size, plies, joist_ft, over_ft, load, load_kind(row))
    return beam_span_2018(timber, group, size, plies, joist_ft)


def beam_name(row: Record) -> str:
    """Return the words that name a cell of a beam table."""
    load = f"{number(row, 'load_psf'):g} psf, " if "load_psf" in row else ""
    over = number_or_none(row, "joist_cantilever_ft") if "joist_cantilever_ft" in row else None
    joists = f"joists {number(row, 'joist_span_ft'):g}" + (f" + {over:g}" if over is not None else "")
    return f"{load}{group_of(row)}, {number(row, 'plies'):g}-{row['nominal_size']}, {joists} ft"


def _cell(row: Record, found: Allowable | NoRule) -> Cell:
    likely = number_or_none(row, "likely_max_beam_span_in")
    return calculated_cell(beam_name(row), group_of(row), number(row, "max_beam_span_in"), found, likely)


def _factor_cell(row: Record) -> Cell:
    ratio = number(row, "cantilever_to_span_ratio")
    found = nearest(100 * (HALF_SPAN + ratio) / TRIBUTARY_SHARE) / 100
    printed, likely = number(row, "joist_span_factor"), number_or_none(row, "likely_joist_span_factor")
    return Cell(f"cantilever {ratio:g} of the span", "any species", printed, found, likely)

"""The tables of the deck guide beside their calculation."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from service.fit.beams import beam_name
from service.fit.cells import Cell, TableFit, calculated_cell
from service.fit.footings import NO_GROUP
from service.fit.joists import joist_name
from service.fit.rows import LIVE_PSF, Record, group_of, number, records, text
from service.rules.rulebook import Rulebook
from service.sizing.calculated_beams import beam_span_2018
from service.sizing.calculated_joists import CLEAR_LESS_IN, joist_overhang_dca6, joist_span
from service.sizing.calculated_ledger import ledger_spacing
from service.sizing.calculated_result import Allowable
from service.timber.refusal import NoRule
from service.timber.values import TimberData

GUIDE = "AWC DCA 6"
JOISTS, BEAMS, LEDGERS = "dca6_joist_spans", "dca6_beam_spans", "dca6_ledger_fasteners"
FASTENERS = {
    "lag screw 1/2": "lag_screw_1/2",
    "through bolt 1/2": "bolt_1/2",
    "through bolt 1/2 with 1/2 in stacked washers": "bolt_1/2_with_washers",
}
BOARDS = {"1 in engineered rim": "rim_board_1", "1-1/8 in engineered rim": "rim_board_1-1/8"}


def guide_fits(book: Rulebook, timber: TimberData) -> Iterator[TableFit]:
    """Yield joist spans, overhangs, beam spans and ledger fasteners of the guide."""
    yield _fit(book, "guide_joist_spans", JOISTS, lambda row: _span_cell(row, timber))
    yield _fit(book, "guide_overhangs", JOISTS, lambda row: _overhang_cell(row, timber))
    yield _fit(book, "guide_beam_spans", BEAMS, lambda row: _beam_cell(row, timber))
    yield _fit(book, "guide_ledger", LEDGERS, lambda row: _ledger_cell(row, timber))


def _fit(book: Rulebook, kind: str, table: str, cell: Callable[[Record], Cell]) -> TableFit:
    rows = tuple(records(book, table))
    edition = text(rows[0], "dca6_edition")
    where = f"{GUIDE} ({edition}), {book.tables[table].printed}"
    cells = tuple(cell(row) for row in rows)
    return TableFit(kind, kind, edition, where, cells, "in" if table == LEDGERS else "span")


def _span(row: Record, timber: TimberData) -> Allowable | NoRule:
    size, spacing_in = text(row, "nominal_size"), number(row, "spacing_in")
    return joist_span(timber, text(row, "species_group"), size, spacing_in, LIVE_PSF)


def _span_cell(row: Record, timber: TimberData) -> Cell:
    return calculated_cell(
        joist_name(row), group_of(row), number(row, "max_clear_span_in"), _span(row, timber)
    )


def _overhang_cell(row: Record, timber: TimberData) -> Cell:
    span = _span(row, timber)
    found = (
        span
        if isinstance(span, NoRule)
        else joist_overhang_dca6(timber, text(row, "species_group"), text(row, "nominal_size"), span)
    )
    return calculated_cell(joist_name(row), group_of(row), number(row, "max_overhang_in"), found)


def _beam_cell(row: Record, timber: TimberData) -> Cell:
    size, plies = text(row, "nominal_size"), int(number(row, "plies"))
    found = beam_span_2018(timber, text(row, "species_group"), size, plies, number(row, "joist_span_ft"))
    clear = None if isinstance(found, NoRule) else found.printed - CLEAR_LESS_IN
    return Cell(beam_name(row), group_of(row), number(row, "max_clear_beam_span_in"), clear)


def _ledger_cell(row: Record, timber: TimberData) -> Cell:
    fastener, band, joist_ft = text(row, "fastener"), text(row, "band"), number(row, "joist_span_max_ft")
    found = ledger_spacing(timber, BOARDS.get(band, FASTENERS[fastener]), joist_ft, LIVE_PSF)
    name = f"{fastener} in, {band}, joists {joist_ft:g} ft"
    return calculated_cell(name, NO_GROUP, number(row, "spacing_oc_in"), found)

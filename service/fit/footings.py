"""Footing and ledger tables beside their calculation."""

from __future__ import annotations

from collections.abc import Iterator

from service.fit.cells import Cell, TableFit, calculated_cell
from service.fit.rows import Record, document, load_kind, number, number_or_none, records, text
from service.rules.rulebook import Rulebook
from service.sizing.calculated_footings import footing_cell
from service.sizing.calculated_ledger import ledger_spacing
from service.timber.refusal import NoRule
from service.timber.values import TimberData

FOOTINGS, LEDGERS = "footing_sizes", "ledger_fasteners"
SIZES = {
    "footing_side": "square_side_in",
    "footing_diameter": "round_diameter_in",
    "footing_thickness": "thickness_in",
}
WASHERS_FROM_IN = 1.0
NO_GROUP = "any species"


def footing_fits(book: Rulebook) -> Iterator[TableFit]:
    """Yield side, diameter and thickness of an edition's footing table, where it has one."""
    if not book.in_force_settings.footing_table:
        return
    where = document(book, FOOTINGS)
    for kind, column in SIZES.items():
        cells = tuple(_footing(book.edition, row, column) for row in records(book, FOOTINGS))
        yield TableFit(f"{kind}_{book.edition}", kind, book.edition, where, cells, "in", True)


def _footing(edition: str, row: Record, column: str) -> Cell:
    area, load = number(row, "tributary_area_sqft"), number(row, "load_psf")
    bearing = number(row, "soil_bearing_psf")
    name = f"{load:g} psf, {area:g} sq ft on {bearing:g} psf"
    found = footing_cell(edition, area, load, bearing)
    likely = number_or_none(row, f"likely_{column}")
    if isinstance(found, NoRule):
        return Cell(name, NO_GROUP, number(row, column), None, likely, found.why)
    return Cell(name, NO_GROUP, number(row, column), getattr(found, column), likely)


def ledger_fits(book: Rulebook, timber: TimberData) -> Iterator[TableFit]:
    """Yield the spacing of ledger fasteners of an edition."""
    cells = tuple(_ledger(row, timber) for row in records(book, LEDGERS))
    where = document(book, LEDGERS)
    yield TableFit(f"ledger_{book.edition}", "ledger", book.edition, where, cells, "in")


def _ledger(row: Record, timber: TimberData) -> Cell:
    fastener, joist_ft = text(row, "fastener"), number(row, "joist_span_ft")
    washers = fastener == "bolt_1/2" and number(row, "max_sheathing_in") == WASHERS_FROM_IN
    key = f"{fastener}_with_washers" if washers else fastener
    found = ledger_spacing(timber, key, joist_ft, number(row, "load_psf"), load_kind(row))
    name = f"{number(row, 'load_psf'):g} psf, {key.replace('_', ' ')} in, joists {joist_ft:g} ft"
    return calculated_cell(name, NO_GROUP, number(row, "spacing_oc_in"), found)

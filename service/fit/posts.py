"""Post heights beside their calculation: as the table has them, and by plain NDS."""

from __future__ import annotations

from collections.abc import Iterator

import msgspec

from service.fit.cells import Cell, TableFit, calculated_cell
from service.fit.rows import (
    GROUPS,
    LIVE_PSF,
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
from service.sizing.calculated_posts import (
    TABLE_EMIN_PSI,
    TABLE_LOAD_SHARE,
    TABLE_SPECIES,
    TALLEST_IN,
    post_capacity,
    post_height,
    post_height_2021,
    table_fc_psi,
)
from service.sizing.calculated_result import Allowable
from service.timber.columns import column_value_psi
from service.timber.refusal import NoRule
from service.timber.sections import section
from service.timber.values import TimberData

TABLE = "post_heights"
LIVE_60 = "post_heights_live_60"
DEAD_PSF = 10.0


class PostAreas(msgspec.Struct, frozen=True):
    """A height printed without an area, and the deck area at which each calculation gives it, sq ft."""

    edition: str
    size: str
    height_in: float
    by_table_sqft: dict[str, float]
    by_nds_sqft: dict[str, float]


def post_fits(book: Rulebook, timber: TimberData) -> Iterator[TableFit]:
    """Yield the post heights of an edition twice: by the table's own method, and by plain NDS."""
    if book.in_force_settings.post_table_rule != "by_tributary_area":
        return
    yield _fit(book, TABLE, "posts", timber, "")
    yield _fit(book, TABLE, "posts_nds", timber, "")
    if LIVE_60 in book.tables:
        yield _fit(book, LIVE_60, "posts", timber, "_live_60")
        yield _fit(book, LIVE_60, "posts_nds", timber, "_live_60")


def _fit(book: Rulebook, table: str, kind: str, timber: TimberData, tail: str) -> TableFit:
    rule = _by_table if kind == "posts" else _by_nds
    varies = "live" if tail else None
    cells = tuple(rule(row, varies or load_kind(row), timber) for row in records(book, table))
    return TableFit(f"{kind}_{book.edition}{tail}", kind, book.edition, document(book, table), cells)


def _name(row: Record) -> str:
    return (
        f"{number(row, 'load_psf'):g} psf, {group_of(row)}, {row['post_size']}, "
        f"{number(row, 'tributary_area_sqft'):g} sq ft"
    )


def _by_table(row: Record, varies: str, timber: TimberData) -> Cell:
    found = post_height_2021(
        timber, text(row, "species_group"), text(row, "post_size"), number(row, "tributary_area_sqft"),
        number(row, "load_psf"), varies,
    )  # fmt: skip
    return calculated_cell(_name(row), group_of(row), number_or_none(row, "max_height_in"), found)


def _by_nds(row: Record, varies: str, timber: TimberData) -> Cell:
    load_lb = (number(row, "load_psf") + DEAD_PSF) * number(row, "tributary_area_sqft")
    found = post_height(timber, text(row, "species_group"), text(row, "post_size"), load_lb, varies)
    name, group, printed = _name(row), group_of(row), number_or_none(row, "max_height_in")
    if isinstance(found, NoRule):
        return Cell(name, group, printed, None, refused=found.why)
    crushed = found.governing == "crushing"
    return Cell(name, group, printed, None if crushed else min(TALLEST_IN, found.printed))


def post_areas(book: Rulebook, timber: TimberData) -> Iterator[PostAreas]:
    """Yield the heights an edition prints without an area, with the area each calculation allows there."""
    if book.in_force_settings.post_table_rule == "by_tributary_area":
        return
    for row in records(book, TABLE):
        size, height_in = text(row, "post_size"), number(row, "max_height_in")
        yield PostAreas(
            book.edition,
            size,
            height_in,
            {GROUPS[group]: _table_area_sqft(timber, group, size, height_in) for group in TABLE_SPECIES},
            _nds_areas_sqft(timber, size, height_in),
        )


def _table_area_sqft(timber: TimberData, group: str, size: str, height_in: float) -> float:
    piece = section(size)
    if isinstance(piece, NoRule):
        raise TypeError(piece.why)
    star = table_fc_psi(timber, TABLE_SPECIES[group], piece, "live")
    if isinstance(star, NoRule):
        raise TypeError(star.why)
    value = column_value_psi(star, TABLE_EMIN_PSI, height_in / piece.width_in)
    if isinstance(value, NoRule):
        raise TypeError(value.why)
    return value * piece.area_sqin / (TABLE_LOAD_SHARE * LIVE_PSF)


def _nds_areas_sqft(timber: TimberData, size: str, height_in: float) -> dict[str, float]:
    found = {GROUPS[group]: post_capacity(timber, group, size, height_in) for group in TABLE_SPECIES}
    return {
        group: capacity.value / (LIVE_PSF + DEAD_PSF)
        for group, capacity in found.items()
        if isinstance(capacity, Allowable)
    }

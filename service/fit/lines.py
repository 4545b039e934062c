"""Pieces of the fit page: headings, rows, and lists of cells."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence

from service.fit.cells import Cell, TableFit, Unit
from service.fit.posts import PostAreas
from service.sizing.calculated_result import nearest

SPLIT_BY_GROUP = "posts_nds"


def row(*cells: object) -> str:
    """Return a row of a Markdown table."""
    return f"| {' | '.join(str(cell) for cell in cells)} |"


def heading(level: int, title: str, text: str) -> Iterator[str]:
    """Yield a heading and its paragraph."""
    yield f"{'#' * level} {title}"
    yield text.strip()


def value_text(value: float | None, unit: Unit) -> str:
    """Return a value as its table prints it.

    >>> value_text(100.0, "span"), value_text(9.0, "in"), value_text(0.9, "ratio"), value_text(None, "in")
    ('8-4', '9 in', '0.90', 'NP')
    """
    if value is None:
        return "NP"
    if unit == "span":
        feet, inches = divmod(round(value), 12)
        return f"{feet}-{inches}"
    return f"{value:.2f}" if unit == "ratio" else f"{value:g} in"


def _over_text(cell: Cell, unit: Unit) -> str:
    if math.isinf(cell.over):
        return ""
    return f"{cell.over:+.2f}" if unit == "ratio" else f"{cell.over:+g} in"


def beyond_lines(fit: TableFit) -> Iterator[str]:
    """Yield the counts of a table, and every cell beyond with both values."""
    left = len(fit.cells) - len(fit.compared)
    less = f" ({left} of {len(fit.cells)} cannot be compared)" if left else ""
    counts = f"{fit.exact} of {len(fit.compared)} exact, {fit.within} within"
    if not fit.beyond:
        yield f"{fit.document}: {counts}{less}."
        return
    yield f"{fit.document}: {counts}{less}. The {len(fit.beyond)} beyond:"
    if fit.kind == SPLIT_BY_GROUP:
        yield "\n".join(_by_group(fit))
    yield "\n".join(_cells(fit))


def _cells(fit: TableFit) -> Iterator[str]:
    yield row("cell", "printed", "calculated", "difference")
    yield row("---", "---", "---", "---:")
    for cell in fit.beyond:
        printed, found = value_text(cell.printed, fit.unit), value_text(cell.calculated, fit.unit)
        yield row(cell.name, printed, found, _over_text(cell, fit.unit))


def _by_group(fit: TableFit) -> Iterator[str]:
    most = "by at most (NP aside)"
    yield row("group", "compared", "table allows more", most, "table allows less", most)
    yield row("---", *["---:"] * 5)
    for group in dict.fromkeys(cell.group for cell in fit.compared):
        compared = [cell for cell in fit.compared if cell.group == group]
        beyond = [cell for cell in fit.beyond if cell.group == group]
        more = [cell.over for cell in beyond if cell.over > 0]
        less = [-cell.over for cell in beyond if cell.over < 0]
        yield row(group, len(compared), len(more), _most(more), len(less), _most(less))


def _most(differences: Iterable[float]) -> str:
    finite = [one for one in differences if math.isfinite(one)]
    return f"{max(finite):g} in" if finite else ""


def suspect_lines(fits: Sequence[TableFit]) -> Iterator[str]:
    """Yield the cells that look like misprints, with printed, likely and calculated value."""
    yield "The service uses the safer of printed and likely, and says so."
    lines = [row("printed in", "cell", "printed", "likely", "calculated"), row(*["---"] * 5)]
    for fit in fits:
        for cell in fit.suspect:
            values = (value_text(value, fit.unit) for value in (cell.printed, cell.likely, cell.calculated))
            lines.append(row(fit.document, cell.name, *values))
    yield "\n".join(lines)


def height_lines(areas: Sequence[PostAreas]) -> Iterator[str]:
    """Yield, for heights printed without an area, the areas at which calculation gives them."""
    yield "Deck area, sq ft, at which each calculation allows just the printed height at 40 psf live load:"
    groups = list(areas[0].by_table_sqft) if areas else []
    columns = [f"{group}, {by}" for group in groups for by in ("table's method", "NDS")]
    lines = [row("edition", "post", "printed", *columns), row("---", "---", "---", *["---:"] * len(columns))]
    for area in areas:
        found = [_area(by.get(group)) for group in groups for by in (area.by_table_sqft, area.by_nds_sqft)]
        lines.append(row(area.edition, area.size, value_text(area.height_in, "span"), *found))
    yield "\n".join(lines)


def _area(sqft: float | None) -> str:
    return "no values" if sqft is None else f"{nearest(sqft):g}"

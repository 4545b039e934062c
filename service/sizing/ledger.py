"""Spacing of ledger fasteners by table, each edition by its own look-up rule."""

from __future__ import annotations

from dataclasses import dataclass

from service.rules.lookups import Reading, linear, next_row_up
from service.rules.table import Table
from service.sizing.criteria import Criteria

TABLE = "ledger_fasteners"
LAG_SCREW = "lag_screw"


@dataclass(frozen=True)
class FastenerOption:
    """A column of the fastener table: a fastener and the thickest sheathing it may go through, in.

    >>> FastenerOption("bolt_1/2", 1.0).is_lag
    False
    """

    fastener: str
    max_sheathing_in: float

    @property
    def is_lag(self) -> bool:
        """Whether it is driven from outside, with no work inside the house."""
        return self.fastener.startswith(LAG_SCREW)


def fastener_options(table: Table) -> tuple[FastenerOption, ...]:
    """Return the columns of the fastener table, lag screws first, then by sheathing thickness (in).

    Source: IRC Table R507.2 (2015), Table R507.9.1.3(1) (2018 on).
    """
    columns = ("load_psf", "fastener", "max_sheathing_in")
    printed = {FastenerOption(str(fastener), float(most or 0)) for _, fastener, most in table.groups(columns)}
    return tuple(sorted(printed, key=lambda one: (not one.is_lag, one.max_sheathing_in)))


def pick_option(options: tuple[FastenerOption, ...], sheathing_in: float) -> FastenerOption | None:
    """Return the first option that may go through this sheathing; null past every column.

    Source: the sheathing rows of IRC Table R507.9.1.3(1).

    Args:
        options: the table's columns, preferred first.
        sheathing_in: between band and ledger, in.

    >>> columns = (FastenerOption("lag_screw_1/2", 0.5), FastenerOption("bolt_1/2", 1.0))
    >>> pick_option(columns, 0.5).fastener, pick_option(columns, 0.75).fastener
    ('lag_screw_1/2', 'bolt_1/2')
    >>> pick_option(columns, 1.125) is None
    True
    """
    return next((one for one in options if sheathing_in <= one.max_sheathing_in + 1e-9), None)


def ledger_spacing(criteria: Criteria, option: FastenerOption, joist_span_ft: float) -> Reading:
    """Return the widest fastener spacing the table allows, in.

    Source: IRC Table R507.2 (2015) and R507.9.1.3(1) (2018): the next joist span row up; 2021 and 2024:
    interpolated. Never past the last row, 18 ft. Under the first row its value holds.

    Args:
        criteria: rules and the load column that covers the site.
        option: fastener and sheathing column.
        joist_span_ft: ledger to first beam, ft.

    Returns:
        The reading in inches; off the table over 18 ft or where no load column covers the site.
    """
    table = criteria.rulebook.tables[TABLE]
    key = {
        "load_psf": criteria.table_load_psf,
        "fastener": option.fastener,
        "max_sheathing_in": option.max_sheathing_in,
    }
    interpolated = criteria.rulebook.in_force_settings.ledger_lookup_rule == "interpolated"
    span_ft = max(joist_span_ft, table.printed_values("joist_span_ft")[0])
    return (linear if interpolated else next_row_up)(table, key, "spacing_oc_in", span_ft)

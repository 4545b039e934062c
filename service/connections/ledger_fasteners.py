"""Ledger fasteners: which, how far apart, where along the ledger, and how many."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

from service.contract.ids import item
from service.rules.lookups import Reading, exact
from service.rules.rulebook import Rulebook
from service.sizing.criteria import Criteria
from service.sizing.ledger import TABLE, FastenerOption, fastener_options, ledger_spacing, pick_option
from service.sizing.lumber import PLY_IN
from service.units.finding import SLACK, Finding, at_least, at_most
from service.units.working import step

LONGEST_PIECE_IN = (
    240.0  # a longer ledger has butts; 20 ft stock is what a yard usually has (common practice)
)
LAG_PAST_BAND_IN = 0.5  # the tip has to come out of the band (2024 R507.9.1.3); by how much: common practice
BOLT_END_IN = 1.0  # two washers, nut and thread, common practice


@dataclass(frozen=True)
class FastenerPlace:
    """One fastener: distance from the ledger's start, in, and its row."""

    at_in: float
    row: Literal["lower", "upper"]


@dataclass(frozen=True)
class FastenerPlan:
    """Fasteners of one ledger. ``spacing_in`` null: no table covers it, and ``why`` says so.

    ``item`` is the order's code, ``washers`` whether half an inch of washers is stacked behind the ledger.
    """

    item: str | None
    spacing_in: float | None
    places: tuple[FastenerPlace, ...] = ()
    washers: bool = False
    reading: Reading | None = None
    why: str = ""
    findings: tuple[Finding, ...] = ()


def whole_inches(spacing_in: float) -> float:
    """Return a spacing rounded down to what is marked with a tape, whole in.

    Source: convention of this service; never over the table's figure.

    >>> whole_inches(16.5), whole_inches(15.0)
    (16.0, 15.0)
    """
    return float(math.floor(spacing_in + SLACK))


def fastener_length_in(is_lag: bool, sheathing_in: float, washers: bool = False) -> float:
    """Return the length to order, to the next half inch, in.

    Source: ledger and band of 1.5 in; a lag screw's tip passes the band's inside face (IRC 2024 R507.9.1.3);
    the allowances past it are common practice.

    Args:
        is_lag: lag screw, else bolt.
        sheathing_in: between band and ledger, in.
        washers: half an inch of washers stacked behind the ledger.

    >>> fastener_length_in(True, 0.5), fastener_length_in(False, 0.5), fastener_length_in(False, 1.0, True)
    (4.0, 4.5, 5.5)
    """
    through = 2 * PLY_IN + sheathing_in + (0.5 if washers else 0.0)
    past = LAG_PAST_BAND_IN if is_lag else BOLT_END_IN
    return math.ceil((through + past) * 2 - SLACK) / 2


def fastener_item(option: FastenerOption, sheathing_in: float, coating: str, washers: bool) -> str:
    """Return the item code of a ledger fastener; its length is in the code, in.

    Source: item grammar of this service.

    >>> fastener_item(FastenerOption("lag_screw_1/2", 0.5), 0.5, "hot_dip_galvanized", False)
    'lag_screw.1-2in.4in.hot_dip_galvanized'
    """
    length_in = fastener_length_in(option.is_lag, sheathing_in, washers)
    half = "-1-2" if length_in % 1 else ""
    kind = "lag_screw" if option.is_lag else "bolt"
    return item(kind, "1-2in", f"{int(length_in)}{half}in", coating)


@dataclass(frozen=True)
class LedgerRun:
    """A ledger along the wall: its length, the longest piece it is cut from, and the sheathing behind it, in."""

    length_in: float
    sheathing_in: float
    longest_piece_in: float = LONGEST_PIECE_IN


def ledger_pieces(length_in: float, longest_piece_in: float) -> int:
    """Return into how many equal pieces a ledger is cut.

    Source: lengths in in of what the yard sells; butts in equal parts are a convention of this service.

    >>> ledger_pieces(192, 240), ledger_pieces(250, 240)
    (1, 2)
    """
    return math.ceil(length_in / longest_piece_in - SLACK)


def stagger(run: LedgerRun, spacing_in: float, end_in: float) -> tuple[FastenerPlace, ...]:
    """Return the fasteners of a ledger, evenly spread at or under ``spacing_in``, alternating rows.

    Source: two staggered rows, end distances at ends and butts, IRC Table R507.9.1.3(2) and its figure.

    Args:
        run: the ledger, lengths in in.
        spacing_in: widest spacing along the ledger, in.
        end_in: distance of the outer fasteners from ends and butts, in.

    >>> [(p.at_in, p.row) for p in stagger(LedgerRun(67, 0.5), 30, 3.5)]
    [(3.5, 'lower'), (33.5, 'upper'), (63.5, 'lower')]
    >>> len(stagger(LedgerRun(192, 0.5), 15, 3.5)), len(stagger(LedgerRun(250, 0.5), 15, 3.5))
    (14, 18)
    """
    pieces = ledger_pieces(run.length_in, run.longest_piece_in)
    piece_in = run.length_in / pieces
    run_in = piece_in - 2 * end_in
    gaps = max(1, math.ceil(run_in / spacing_in - SLACK))
    along = [
        piece * piece_in + end_in + gap * run_in / gaps for piece in range(pieces) for gap in range(gaps + 1)
    ]
    return tuple(FastenerPlace(at, "upper" if n % 2 else "lower") for n, at in enumerate(along))


def _end_limits(rulebook: Rulebook) -> tuple[Reading, Reading]:
    table = rulebook.tables["ledger_placement"]
    key = {"member": "ledger", "dimension": "end distance"}
    return exact(table, key, "min_in"), exact(table, key, "max_in")


def _end_findings(member: str, end_in: float, least: Reading, most: Reading) -> tuple[Finding, ...]:
    name = "ledger_fastener_rows"
    return (
        at_least(member, name, "table", end_in, least.value or 0.0, "in", least.citation, least.steps),
        at_most(member, name, "table", end_in, most.value, "in", most.citation, most.steps),
    )


def plan_fasteners(criteria: Criteria, member: str, run: LedgerRun, first_span_in: float) -> FastenerPlan:
    """Return the fasteners of a ledger on a band.

    Source: IRC Table R507.2 (2015), R507.9.1.3(1) and (2) (2018 on).

    Args:
        criteria: rules, load column and coating.
        member: id of the ledger.
        run: the ledger along the wall, lengths in in.
        first_span_in: joist span from ledger to first beam, in.

    Returns:
        The plan, places and spacing in in; without a spacing where sheathing, span or load is past the table.
    """
    options = fastener_options(criteria.rulebook.tables[TABLE])
    option = pick_option(options, run.sheathing_in)
    if option is None:
        return FastenerPlan(
            None, None, why=f"{run.sheathing_in:g} in of sheathing is past the fastener table"
        )
    washers = needs_washers(options, option)
    reading = ledger_spacing(criteria, option, first_span_in / 12)
    bare = FastenerPlan(
        item=fastener_item(option, run.sheathing_in, criteria.coating, washers),
        spacing_in=None,
        washers=washers,
        reading=reading,
        why=reading.why,
    )
    if reading.value is None:
        return bare
    return _spaced(criteria, member, run, first_span_in, bare, reading, reading.value)


def needs_washers(options: tuple[FastenerOption, ...], option: FastenerOption) -> bool:
    """Return whether an option is the bolt with washers stacked behind the ledger: the thick-sheathing column.

    Source: IRC Table R507.2 (2015), R507.9.1.3(1) (2018 on), sheathing in in.

    >>> thin, thick = FastenerOption("bolt_1/2", 0.5), FastenerOption("bolt_1/2", 1.0)
    >>> needs_washers((thin, thick), thin), needs_washers((thin, thick), thick)
    (False, True)
    """
    thinnest = min(one.max_sheathing_in for one in options if not one.is_lag)
    return not option.is_lag and option.max_sheathing_in > thinnest


def _spaced(
    criteria: Criteria,
    member: str,
    run: LedgerRun,
    first_span_in: float,
    bare: FastenerPlan,
    reading: Reading,
    table_in: float,
) -> FastenerPlan:
    spacing_in = whole_inches(table_in)
    least, most = _end_limits(criteria.rulebook)
    end_in = ((least.value or 0.0) + (most.value or least.value or 0.0)) / 2
    span = step("joist_span", first_span_in / 12, "ft", "ledger to first beam")
    steps = (span, *reading.steps)
    name = "ledger_fastener_spacing"
    spacing = at_most(member, name, "table", spacing_in, table_in, "in", reading.citation, steps)
    return replace(
        bare,
        spacing_in=spacing_in,
        places=stagger(run, spacing_in, end_in),
        why="",
        findings=(spacing, *_end_findings(member, end_in, least, most)),
    )

"""The house side of a frame: the ledgers asked for, which walls may carry one, and which joist sizes land it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import msgspec

from service.choice.level.ask import Ask
from service.connections.ledger import RANK, LedgerAsk, LedgerResult, judge_ledger, worst
from service.connections.ledger_fasteners import whole_inches
from service.connections.wall import WallBehind, edge_wall, house_wall
from service.contract.report_comparison import Status
from service.contract.report_frame import Point
from service.contract.spec import DeckSpec, LevelSpec
from service.framing.layout import Arrangement, Layout
from service.framing.members import Numbers, ledger_bounds
from service.framing.region import Bound
from service.framing.sides import Outline
from service.framing.statics import Shares
from service.sizing.criteria import Criteria
from service.sizing.ledger import TABLE, fastener_options, ledger_spacing, pick_option
from service.sizing.lumber import BY_DEPTH, depth_in

LEAST_LEDGER = "2x8"
Places = Sequence[tuple[int, float]]  # where joists stand: their section, and across it, in
TRIAL_SPAN_IN = 72.0


def ledger_size(joist_size: str) -> str:
    """Return the ledger's size: the joist's, at least 2x8 (R507.9.1.1).

    >>> ledger_size("2x6"), ledger_size("2x10")
    ('2x8', '2x10')
    """
    return max(joist_size, LEAST_LEDGER, key=depth_in)


def wall_at(spec: DeckSpec, level: str, number: int) -> WallBehind:
    """Return the wall one edge of a level stands at."""
    other = (one for one in spec.house.edge_walls if one.level == level and one.edge == number)
    return next((edge_wall(spec.house, one) for one in other), house_wall(spec.house))


def _ask(
    ask: Ask, spec: DeckSpec, bound: Bound, joist_size: str, first_span_in: float, at_in: tuple[float, ...] = (),
    number: int = 1,
) -> LedgerAsk:  # fmt: skip
    axes = ask.region.axes
    start, end = sorted((axes.deck_ft(*bound.from_in), axes.deck_ft(*bound.to_in)))
    return LedgerAsk(
        member=f"{ask.level}.ledger-{number}",
        mark=f"L{number}",
        edge=bound.number or 0,
        start_ft=start,
        end_ft=end,
        size=ledger_size(joist_size),
        joist_size=joist_size,
        surface_height_in=ask.surface_in,
        decking_thickness_in=ask.decking_in,
        first_span_in=first_span_in,
        projection_ft=_projection_ft(ask, bound),
        pinned_species=spec.framing.ledger_species,
        joists_at_in=at_in,
        longest_piece_in=ask.boards.beam(ledger_size(joist_size)),
        deck_width_ft=ask.region.width_in / 12,
    )


def _projection_ft(ask: Ask, bound: Bound) -> float:
    """How far the floor reaches out from a wall, ft."""
    reach = [p[1] for s in ask.region.sections if bound in (s.low, s.high) for b in (s.low, s.high)
             for p in (b.from_in, b.to_in)]  # fmt: skip
    return max(abs(v - bound.from_in[1]) for v in reach) / 12


def ledgers_of(
    ask: Ask, spec: DeckSpec, layout: Layout, numbers: Numbers, carried: Shares
) -> tuple[LedgerResult, ...]:
    """Return the ledgers of a layout, judged."""
    return tuple(_ledger(ask, spec, layout, bound, numbers, carried) for bound in ledger_bounds(layout))


def _ledger(
    ask: Ask, spec: DeckSpec, layout: Layout, bound: Bound, numbers: Numbers, carried: Shares
) -> LedgerResult:
    places = ask.joists_in[layout.spacing_in]
    span = first_span_in(layout.arrangement, bound)
    found = judged_ledger(ask, spec, bound, layout.joist_size, span, places, numbers.ledgers[bound.place])
    if found.ledger is None:
        return found
    area_sqft = carried.ledgers.get(bound.place, 0.0)
    return replace(found, ledger=msgspec.structs.replace(found.ledger, tributary_sqft=area_sqft))


def first_span_in(laid: Arrangement, bound: Bound) -> float:
    """Return the longest joist span from a ledger to the first beam, in."""
    parts = laid.region.sections
    hung = [n for n, part in enumerate(parts) if bound in (part.low, part.high)]
    lines = ((parts[n], line) for n, _, line in laid.lines if n in hung)
    return max(line.spans_in[0 if part.low == bound else -1] for part, line in lines)


def judged_ledger(
    ask: Ask, spec: DeckSpec, bound: Bound, joist_size: str, span_in: float, places: Places, number: int = 1
) -> LedgerResult:
    """Return the ledger of joists of a size that stand at ``places``, judged."""
    hung = [n for n, part in enumerate(ask.region.sections) if bound in (part.low, part.high)]
    at = tuple(u - bound.from_in[0] for n, u in places if n in hung)
    request = _ask(ask, spec, bound, joist_size, span_in, at, number)
    return judge_ledger(wall_at(spec, ask.level, request.edge), ask.criteria, request)


def fastener_spacing_in(ask: Ask, spec: DeckSpec, bound: Bound, span_in: float) -> float | None:
    """Return how far apart the fasteners of a ledger stand by the table: of ledgers that differ in their span alone
    those with the same spacing cost the same. Null where no table gives it.
    """
    wall = wall_at(spec, ask.level, bound.number or 0)
    option = pick_option(fastener_options(ask.criteria.rulebook.tables[TABLE]), wall.sheathing_thickness_in)
    reading = ledger_spacing(ask.criteria, option, span_in / 12) if option else None
    return whole_inches(reading.value) if reading is not None and reading.value is not None else None


def landings(ask: Ask, spec: DeckSpec, sizes: Sequence[str]) -> dict[str, int]:
    """Return how the ledger of each joist size may land on its walls at best: 0 by tables, 1 for an engineer.

    Sizes that may not land at all are left out where any other may.
    """
    bounds = [bound for bound in ask.region.bounds if bound.meets == "ledger"]
    found = {size: RANK[worst([_trial(ask, spec, bound, size) for bound in bounds])] for size in sizes}
    refused = RANK["not_permitted"]
    if min(found.values()) == refused:
        return dict.fromkeys(sizes, 0)
    return {size: rank for size, rank in found.items() if rank < refused}


def _trial(ask: Ask, spec: DeckSpec, bound: Bound, size: str) -> Status:
    wall = wall_at(spec, ask.level, bound.number or 0)
    return judge_ledger(wall, ask.criteria, _ask(ask, spec, bound, size, TRIAL_SPAN_IN)).possible


def ledger_sides(spec: DeckSpec, level: LevelSpec, outline: Outline, criteria: Criteria) -> frozenset[int]:
    """Return the edges whose wall may carry a ledger best; where none may, all of them: shown, and refused."""
    found = {side.edge.number: _best(spec, level, side.edge.number, side.edge.start_ft, side.edge.end_ft, criteria)
             for side in outline.house_sides}  # fmt: skip
    if not found:
        return frozenset()
    best = min(found.values(), key=lambda one: RANK[one])
    return frozenset(number for number, one in found.items() if one == best)


def _best(
    spec: DeckSpec, level: LevelSpec, number: int, start_ft: Point, end_ft: Point, criteria: Criteria
) -> Status:
    """The best verdict a ledger of any size may have on a wall."""
    wall = wall_at(spec, level.id, number)
    tried = []
    for size in BY_DEPTH:
        request = LedgerAsk(
            f"{level.id}.ledger-1", "L1", number, start_ft, end_ft, ledger_size(size), size, level.surface_height_in,
            level.decking.thickness_in, TRIAL_SPAN_IN, TRIAL_SPAN_IN / 12, spec.framing.ledger_species,
        )  # fmt: skip
        tried.append(judge_ledger(wall, criteria, request).possible)
    return min(tried, key=lambda one: RANK[one])

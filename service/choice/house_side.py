"""The house side of a frame: the ledger asked for, and which joist sizes land one."""

from __future__ import annotations

from collections.abc import Sequence

from service.choice.ask import Ask
from service.connections.ledger import LedgerAsk, LedgerResult, judge_ledger
from service.connections.wall import house_wall
from service.contract.spec import DeckSpec
from service.framing.joist_lines import joist_centres
from service.framing.layout import LEDGER_IN, Layout
from service.sizing.lumber import depth_in

LEAST_LEDGER = "2x8"
TRIAL_SPAN_IN = 72.0


def ledger_size(joist_size: str) -> str:
    """Return the ledger's size: the joist's, at least 2x8 (R507.9.1.1).

    >>> ledger_size("2x6"), ledger_size("2x10")
    ('2x8', '2x10')
    """
    return max(joist_size, LEAST_LEDGER, key=depth_in)


def _ask(
    ask: Ask, spec: DeckSpec, joist_size: str, first_span_in: float, at_in: tuple[float, ...]
) -> LedgerAsk:
    rect = ask.rectangle
    return LedgerAsk(
        member=f"{ask.level}.ledger-1",
        mark="L1",
        edge=rect.house_edge,
        start_ft=(rect.x_ft, rect.y_ft),
        end_ft=(rect.x_ft + rect.width_ft, rect.y_ft),
        size=ledger_size(joist_size),
        joist_size=joist_size,
        surface_height_in=ask.surface_in,
        decking_thickness_in=ask.decking_in,
        first_span_in=first_span_in,
        projection_ft=rect.projection_ft,
        pinned_species=spec.framing.ledger_species,
        joists_at_in=at_in,
        longest_piece_in=ask.stock_in,
    )


def ledger_of(ask: Ask, spec: DeckSpec, layout: Layout) -> LedgerResult:
    """Return the ledger of a layout, judged."""
    at_in = joist_centres(layout.width_in, layout.spacing_in)
    request = _ask(ask, spec, layout.joist_size, layout.support_ys_in[1] - LEDGER_IN, at_in)
    return judge_ledger(house_wall(spec.house), ask.criteria, request)


def landing_sizes(ask: Ask, spec: DeckSpec, sizes: Sequence[str]) -> tuple[str, ...]:
    """Return the joist sizes whose ledger lands best on this wall, in the order given."""
    wall = house_wall(spec.house)
    found = {
        size: judge_ledger(wall, ask.criteria, _ask(ask, spec, size, TRIAL_SPAN_IN, ())).possible
        for size in sizes
    }
    order = ("prescriptive", "engineer_required", "not_permitted")
    best = min(found.values(), key=order.index)
    return tuple(size for size in sizes if found[size] == best)
